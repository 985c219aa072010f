//! Integration tests of the domain, one module a room.
#![allow(clippy::unwrap_used)]

mod agenda;
mod chain;
mod geometry_checks;
mod residents;
mod survey_checks;
mod survey_space;
mod timing_data;
mod timing_degree_days;
mod timing_forecast;
mod timing_heat;
mod timing_hindcast;
mod timing_spray;
