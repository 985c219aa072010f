//! Where and how much to count: plots per stratum ([`allocation`]) and balanced random places ([`places`]).

pub mod allocation;
pub mod places;
