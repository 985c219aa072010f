//! Integration tests of this crate, one module each.
#![allow(clippy::unwrap_used)]

mod brute;
mod city;
mod foresee;
mod frontier;
mod messages;
mod outside;
mod properties;
mod stopping;
