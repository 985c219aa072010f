//! Bytes to records and back: the programme file, and the formats a city's data come in.
//!
//! The domain knows none of this; nothing here computes. See [`store`], [`formats`], [`layer`], [`photos`] and [`town`].

pub mod access;
pub mod formats;
pub mod layer;
pub mod photos;
pub mod store;
pub mod town;
