//! Work from the air: what the gear must deliver, and how a block is flown.

pub mod calibrate;
