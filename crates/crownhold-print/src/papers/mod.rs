//! Papers, one module each: what stands on it and in which words.

mod application;
mod crews;
pub mod document;
mod flights;
mod ground;
mod letters;
mod rounds;
mod season_dates;
pub mod season_plan;
mod survey;

pub use application::application_record;
pub use crews::{CrewBlock, crew_sheets};
pub use document::{Column, Document, Part, Table};
pub use flights::flight_packet;
pub use ground::ground_sheets;
pub use letters::{LANGUAGES, notice_letter};
pub use rounds::{round_sheets, ways_said};
pub use season_dates::season_dates_sheet;
pub use season_plan::{SeasonPlanInputs, StressRow, StressTable, season_plan};
pub use survey::{SheetBlock, StopOnPaper, survey_sheets, survey_summary};
