//! Integration tests of the domain, one module a room.
#![allow(clippy::unwrap_used)]

mod chain;
mod survey_checks;
