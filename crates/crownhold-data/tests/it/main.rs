//! Integration tests of this crate, one module each.
#![allow(clippy::unwrap_used, missing_docs)]

mod sample;
mod store;
mod store_crash;
mod store_gis;
mod store_trouble;
