//! Bytes to records and back: the programme file and the exchange formats.

pub mod formats;
