//! Integration tests of the command, one module each.
#![allow(clippy::unwrap_used, missing_docs)]

mod acts;
mod commands;
mod house;
mod plans;
mod rounds;
mod season;
mod sent;
