//! `stress --json`.

use crownhold::plan::Harm;
use crownhold::types::Area;
use serde::Serialize;

use super::round;
use crate::actions::stress::{StressTest, Tried};

/// The plan in seasons that go wrong, on draws it was not made on.
#[derive(Serialize, Debug)]
pub struct StressJson {
    seed: u64,
    draws: usize,
    mornings: u32,
    untreated_host_acres_over_tolerance: f64,
    as_forecast: HarmJson,
    cases: Vec<CaseJson>,
}

#[derive(Serialize, Debug)]
struct CaseJson {
    case: &'static str,
    happens: String,
    blocks_not_done: Vec<String>,
    #[serde(flatten)]
    harm: Option<HarmJson>,
}

/// Host acres over tolerance; `more` is the difference to the season as forecast on the same draws.
#[derive(Serialize, Debug)]
pub(super) struct HarmJson {
    expected_host_acres_over_tolerance: f64,
    standard_error: f64,
    worst_tenth: f64,
    more: f64,
    more_standard_error: f64,
}

fn acres(area: Area) -> f64 {
    round(area.as_acres())
}

impl From<&Harm> for HarmJson {
    fn from(h: &Harm) -> Self {
        let square = |m2: f64| round(Area::square_metres(m2.abs()).as_acres() * m2.signum());
        Self {
            expected_host_acres_over_tolerance: acres(h.mean),
            standard_error: acres(h.standard_error),
            worst_tenth: acres(h.worst_tenth),
            more: square(h.more.0),
            more_standard_error: square(h.more.1),
        }
    }
}

impl From<&Tried> for CaseJson {
    fn from(t: &Tried) -> Self {
        Self {
            case: t.stress.word(),
            happens: t.happens.clone(),
            blocks_not_done: t.undone.iter().map(ToString::to_string).collect(),
            harm: t.harm.as_ref().map(HarmJson::from),
        }
    }
}

impl From<&StressTest> for StressJson {
    fn from(test: &StressTest) -> Self {
        Self {
            seed: test.plan.seed,
            draws: test.draws,
            mornings: test.mornings,
            untreated_host_acres_over_tolerance: acres(test.untreated),
            as_forecast: (&test.forecast).into(),
            cases: test.tried.iter().map(CaseJson::from).collect(),
        }
    }
}
