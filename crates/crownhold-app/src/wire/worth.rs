//! `worth --json`.

use crownhold::types::{Area, UnitSystem};
use crownhold_print::wording::Wording;
use serde::Serialize;

use super::round;
use crate::actions::worth::{Worth, Worths};

/// The plan as it is, and what a little more of one thing would change.
#[derive(Serialize, Debug)]
pub struct WorthJson {
    seed: u64,
    draws: usize,
    now: NowJson,
    more: Vec<MoreJson>,
}

#[derive(Serialize, Debug)]
struct NowJson {
    host_acres_beyond_accepted: f64,
    expected_host_acres_over_tolerance: f64,
    sprayed_acres: f64,
    cost: f64,
    gap: f64,
}

/// Differences are the plan with it less the plan as it is.
#[derive(Serialize, Debug)]
struct MoreJson {
    of: String,
    host_acres_beyond_accepted: f64,
    expected_host_acres_over_tolerance: f64,
    sprayed_acres: f64,
    cost: f64,
    gap: f64,
}

fn acres(square_metres: f64) -> f64 {
    round(Area::square_metres(square_metres.abs()).as_acres() * square_metres.signum())
}

impl From<&Worth> for MoreJson {
    fn from(w: &Worth) -> Self {
        Self {
            of: w.more.words(Wording::new(UnitSystem::Us)),
            host_acres_beyond_accepted: acres(w.beyond.as_square_metres() - w.beyond_now.as_square_metres()),
            expected_host_acres_over_tolerance: acres(-w.safer),
            sprayed_acres: acres(-w.flown_less),
            cost: round(-w.cheaper),
            gap: round(w.plan.gap),
        }
    }
}

impl From<&Worths> for WorthJson {
    fn from(all: &Worths) -> Self {
        let now = &all.now;
        Self {
            seed: now.seed,
            draws: now.draws,
            now: NowJson {
                host_acres_beyond_accepted: round(now.aims.host_beyond_accepted.as_acres()),
                expected_host_acres_over_tolerance: round(now.risk.in_sample.as_acres()),
                sprayed_acres: round(now.sprayed().as_acres()),
                cost: round(now.cost().as_dollars()),
                gap: round(now.gap),
            },
            more: all.all.iter().map(MoreJson::from).collect(),
        }
    }
}
