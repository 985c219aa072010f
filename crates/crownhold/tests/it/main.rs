//! Integration tests of this crate, one module each.
