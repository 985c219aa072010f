//! Pellwood: an invented city, made from one seed. Nothing in it is taken from a real place.
