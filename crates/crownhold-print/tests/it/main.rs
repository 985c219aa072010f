//! Integration tests of this crate, one module each.
#![allow(clippy::unwrap_used)]

mod desk;
mod drawings;
mod papers;
mod season_plan;
mod town;
