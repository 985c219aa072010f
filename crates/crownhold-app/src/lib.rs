//! The outermost room: command line, clock, files.
//!
//! [`actions`] are the use cases, shared by every face of the program; [`cli`] reads arguments and prints;
//! [`desk`] serves pages; [`wire`] holds the JSON shapes, [`feed`] those of the map in the browser. Domain logic belongs
//! in `crownhold`, not here.

pub mod actions;
pub mod cli;
pub mod clock;
pub mod desk;
pub mod feed;
pub mod trouble;
pub mod wire;
