//! Integration tests of this crate, one module each.
#![allow(clippy::unwrap_used)]

mod town;
