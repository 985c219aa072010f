//! Bytes to records and back: the programme file, and the formats in which data come and go.
//!
//! [`store`] keeps a programme in one GeoPackage, with a journal of every change.

pub mod store;
