//! Papers, one module each: what stands on it and in which words.

pub mod season_plan;

pub use season_plan::{SeasonPlanInputs, season_plan};
