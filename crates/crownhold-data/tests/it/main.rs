//! Integration tests of this crate, one module each.

mod formats;
mod formats_bad;
mod formats_geo;
mod formats_kinds;
mod formats_layers;
