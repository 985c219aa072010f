//! Papers, one module each: what stands on it and in which words.

pub mod document;
mod season_dates;
pub mod season_plan;

pub use document::{Column, Document, Part, Table};
pub use season_dates::season_dates_sheet;
pub use season_plan::{SeasonPlanInputs, season_plan};
