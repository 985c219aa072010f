//! JSON shapes of the stages: twins of the domain types, for programs. `docs/formats/json.md` describes them.
//!
//! Names carry their unit. One rounding rule: six decimals.

mod aerial;
mod calibrate;
mod dates;
mod density;
mod design;
mod frontier;
mod hindcast;
mod learned;
mod mailing;
mod next_plots;
mod outlook;
pub mod plan;
mod reserve;
mod rounds;
mod spray;
mod stop_rule;
mod stress;
mod worth;

pub use aerial::AerialJson;
pub use calibrate::CalibrationJson;
pub use dates::{DegreeDayJson, TimingJson};
pub use density::SurveyJson;
pub use design::DesignJson;
pub use frontier::FrontierJson;
pub use hindcast::HindcastJson;
pub use learned::{EndsJson, LearnedJson};
pub use mailing::MailingJson;
pub use next_plots::NextPlotsJson;
pub use outlook::OutlookJson;
pub use plan::PlanJson;
pub use reserve::ReserveJson;
pub use rounds::{RoundsJson, TeamJson};
pub use spray::{HourJson, MorningJson, SprayWeatherJson, WindowMorningsJson, morning, reason, verdict};
pub use stop_rule::StopRuleJson;
pub use stress::StressJson;
pub use worth::WorthJson;

use crownhold::types::{Problem, Severity};
use serde::{Deserialize, Serialize};

/// The rounding rule of all output.
pub(crate) fn round(value: f64) -> f64 {
    let rounded = (value * 1e6).round() / 1e6;
    // No "-0.0" in files.
    if rounded == 0.0 { 0.0 } else { rounded }
}

/// A problem.
#[derive(Serialize, Deserialize, Clone, PartialEq, Debug)]
pub struct ProblemJson {
    code: String,
    severity: String,
    file: Option<String>,
    row: Option<u64>,
    column: Option<String>,
    item: Option<String>,
    what: String,
    expected: String,
    remedy: String,
}

impl From<&Problem> for ProblemJson {
    fn from(p: &Problem) -> Self {
        Self {
            code: p.code.to_owned(),
            severity: match p.severity {
                Severity::Error => "error",
                Severity::Repaired => "repaired",
                Severity::Notice => "notice",
            }
            .to_owned(),
            file: p.place.file.clone(),
            row: p.place.row,
            column: p.place.column.clone(),
            item: p.place.item.clone(),
            what: p.what.clone(),
            expected: p.expected.clone(),
            remedy: p.remedy.clone(),
        }
    }
}

/// All problems.
pub fn problems(all: &[Problem]) -> Vec<ProblemJson> {
    all.iter().map(ProblemJson::from).collect()
}
