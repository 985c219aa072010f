//! `frontier --json`.

use crownhold::plan::{Plan, Status};
use crownhold_plan::Along;
use serde::Serialize;

use super::round;
use crate::actions::frontier::TradeOff;

/// Plans of the trade-off by rising amount.
#[derive(Serialize, Debug)]
pub struct FrontierJson {
    against: &'static str,
    wanted: usize,
    seed: u64,
    draws: usize,
    untreated_host_acres_over_tolerance: f64,
    rule_of_thumb: RuleJson,
    plans: Vec<PointJson>,
}

#[derive(Serialize, Debug)]
struct RuleJson {
    sprayed_acres: f64,
    expected_host_acres_over_tolerance: f64,
}

#[derive(Serialize, Debug)]
struct PointJson {
    sprayed_acres: f64,
    /// On the draws that the plans were made on: there none beats another.
    expected_host_acres_over_tolerance: f64,
    cost: f64,
    volunteer_hours: f64,
    gap: f64,
    sprayed_hectares: f64,
    crew_hours: f64,
    treated_blocks: usize,
    flown_blocks: usize,
    proven: bool,
    measured_again: Option<AgainJson>,
    blocks: Vec<ChoiceJson>,
}

/// The same plan on draws that it was not made on.
#[derive(Serialize, Debug)]
struct AgainJson {
    expected_host_acres_over_tolerance: f64,
    standard_error: f64,
    p05: f64,
    p95: f64,
    draws: usize,
}

/// What is done in a block that is not only watched.
#[derive(Serialize, Debug)]
struct ChoiceJson {
    id: String,
    option: String,
}

impl From<&TradeOff> for FrontierJson {
    fn from(t: &TradeOff) -> Self {
        Self {
            against: match t.along {
                Along::Sprayed => "area",
                Along::Cost => "money",
            },
            wanted: t.wanted,
            seed: t.plans.first().map_or(0, |p| p.seed),
            draws: t.plans.first().map_or(0, |p| p.draws),
            untreated_host_acres_over_tolerance: round(t.untreated.as_acres()),
            rule_of_thumb: RuleJson {
                sprayed_acres: round(t.rule.flown.as_acres()),
                expected_host_acres_over_tolerance: round(t.rule.over_tolerance.as_acres()),
            },
            plans: t.plans.iter().map(PointJson::from).collect(),
        }
    }
}

impl From<&Plan> for PointJson {
    fn from(p: &Plan) -> Self {
        let treated = || p.blocks.iter().filter(|b| !b.bundle.tactics().is_empty());
        Self {
            sprayed_acres: round(p.sprayed().as_acres()),
            expected_host_acres_over_tolerance: round(p.risk.in_sample.as_acres()),
            cost: round(p.cost().as_dollars()),
            volunteer_hours: round(p.blocks.iter().map(|b| b.volunteer_hours.as_hours()).sum()),
            gap: round(p.gap),
            sprayed_hectares: round(p.sprayed().as_hectares()),
            crew_hours: round(p.blocks.iter().map(|b| b.crew_hours.as_hours()).sum()),
            treated_blocks: treated().count(),
            flown_blocks: treated().filter(|b| b.bundle.flies()).count(),
            proven: p.status == Status::Optimal,
            measured_again: again(p),
            blocks: treated().map(|b| ChoiceJson { id: b.block.to_string(), option: b.bundle.key() }).collect(),
        }
    }
}

fn again(p: &Plan) -> Option<AgainJson> {
    let (low, high) = p.risk.range?;
    Some(AgainJson {
        expected_host_acres_over_tolerance: round(p.risk.out_of_sample?.as_acres()),
        standard_error: round(p.risk.standard_error?.as_acres()),
        p05: round(low.as_acres()),
        p95: round(high.as_acres()),
        draws: p.risk.fresh_draws,
    })
}
