//! Integration tests of this crate, one module each.
#![allow(clippy::unwrap_used, missing_docs)]

mod codes;
mod formats;
mod formats_again;
mod formats_bad;
mod formats_geo;
mod formats_hourly;
mod formats_kinds;
mod formats_layers;
mod formats_log;
mod formats_lon_lat;
mod formats_words;
mod sample;
mod store;
mod store_crash;
mod store_gis;
mod store_trouble;
