//! Integration tests of the domain, one module a room.
#![allow(clippy::unwrap_used)]

mod survey_checks;
