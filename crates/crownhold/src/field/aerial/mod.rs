//! Work from the air: what the gear must deliver, how a spray block is flown, and how long the job takes.
//!
//! [`spray_blocks`] puts the flown blocks of a plan together, less the ground that must not be sprayed;
//! [`sheet`] lays passes over one of them and counts loads and minutes; [`job`] adds them up to mornings.
//! Absent on purpose: wind (passes are laid for the shortest time in still air), terrain and obstacles. The pilot
//! decides how a block is really flown.

pub mod calibrate;
mod craft;
pub(crate) mod defaults;
mod ground;
mod passes;
mod sheet;

pub use craft::Aircraft;
pub use ground::{SprayBlock, spray_blocks};
pub use passes::{Pass, lay_passes};
pub use sheet::{Job, Sheet, job, sheet};
