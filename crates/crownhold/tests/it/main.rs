//! Integration tests of this crate, one module each.

mod timing_data;
mod timing_degree_days;
mod timing_forecast;
