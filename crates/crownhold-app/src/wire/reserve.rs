//! `reserve --json`.

use crownhold::types::Area;
use serde::Serialize;

use super::round;
use super::stress::HarmJson;
use crate::actions::reserve::{ReserveTest, TriedPolicy};

/// Ways to plan in February, tried on the same springs.
#[derive(Serialize, Debug)]
pub struct ReserveJson {
    seed: u64,
    springs: usize,
    look_error_log_sd: f64,
    promised: HarmJson,
    ways: Vec<WayJson>,
    best: Option<BestJson>,
}

/// `more` is against promising everything and not looking again, on the same springs.
#[derive(Serialize, Debug)]
struct WayJson {
    kept_back: f64,
    bands_and_ground_sprays_open: bool,
    february_plans_for_spring: bool,
    #[serde(flatten)]
    harm: HarmJson,
    sprayed_acres: f64,
    mean_cost: f64,
    mean_blocks_decided_otherwise: f64,
}

/// Chosen on one half of the springs, told on the other.
#[derive(Serialize, Debug)]
struct BestJson {
    way: usize,
    saved_host_acres: f64,
    standard_error: f64,
}

impl From<&TriedPolicy> for WayJson {
    fn from(t: &TriedPolicy) -> Self {
        Self {
            kept_back: t.policy.kept_back,
            bands_and_ground_sprays_open: t.policy.open,
            february_plans_for_spring: t.policy.foreseen,
            harm: (&t.harm).into(),
            sprayed_acres: round(t.plan.sprayed().as_acres()),
            mean_cost: round(t.cost.as_dollars()),
            mean_blocks_decided_otherwise: round(t.otherwise),
        }
    }
}

impl From<&ReserveTest> for ReserveJson {
    fn from(test: &ReserveTest) -> Self {
        let acres = |m2: f64| round(Area::square_metres(m2.abs()).as_acres() * m2.signum());
        Self {
            seed: test.plan.seed,
            springs: test.springs,
            look_error_log_sd: test.look_error,
            promised: (&test.promised).into(),
            ways: test.tried.iter().map(WayJson::from).collect(),
            best: test.best.map(|(way, saved, error)| BestJson {
                way,
                saved_host_acres: acres(saved),
                standard_error: acres(error),
            }),
        }
    }
}
