//! `plan --json`.

use crownhold::plan::{BlockPlan, Plan, Status};
use crownhold::tactics::{BlockOptions, threshold_rule};
use crownhold::types::Records;
use serde::Serialize;

use super::{ProblemJson, problems, round};
use crate::actions::plan::Made;

/// A season plan.
#[derive(Serialize, Debug)]
pub struct PlanJson {
    programme: String,
    season: i16,
    seed: u64,
    draws: usize,
    status: &'static str,
    gap: f64,
    solve_seconds: f64,
    cost: f64,
    sprayed_acres: f64,
    crew_hours: f64,
    volunteer_hours: f64,
    expected_host_acres_over_tolerance: RiskJson,
    rule_of_thumb: RuleJson,
    aims: [AimJson; 3],
    binding: Vec<BindingJson>,
    hours: Vec<HoursJson>,
    blocks: Vec<BlockJson>,
    notes: Vec<ProblemJson>,
}

#[derive(Serialize, Debug)]
struct RiskJson {
    in_sample: f64,
    out_of_sample: Option<f64>,
    standard_error: Option<f64>,
    p05: Option<f64>,
    p95: Option<f64>,
    draws: usize,
    untreated: f64,
}

#[derive(Serialize, Debug)]
struct RuleJson {
    sprayed_acres: f64,
    expected_host_acres_over_tolerance: f64,
}

#[derive(Serialize, Debug)]
struct AimJson {
    aim: &'static str,
    value: f64,
    unit: &'static str,
}

#[derive(Serialize, Debug)]
struct BindingJson {
    limit: String,
    available: f64,
    used: f64,
    unit: &'static str,
}

#[derive(Serialize, Debug)]
struct HoursJson {
    who: &'static str,
    period: &'static str,
    neighbourhood: Option<String>,
    used: f64,
    available: f64,
}

#[derive(Serialize, Debug)]
struct BlockJson {
    id: String,
    option: String,
    sprayed_acres: f64,
    cost: f64,
    crew_hours: f64,
    volunteer_hours: f64,
    chance_over_tolerance: f64,
    chance_over_tolerance_untreated: f64,
    host_acres: f64,
    tolerance: f64,
    accepted_chance: f64,
    why: String,
    runner_up: Option<RunnerUpJson>,
}

#[derive(Serialize, Debug)]
struct RunnerUpJson {
    option: String,
    why_not: String,
}

impl PlanJson {
    /// From a plan and the records it was made for.
    pub fn new(made: &Made, records: &Records) -> Self {
        let plan = &made.plan;
        let total = |f: fn(&BlockPlan) -> f64| round(plan.blocks.iter().map(f).sum());
        Self {
            programme: records.programme.name.clone(),
            season: records.programme.season,
            seed: plan.seed,
            draws: plan.draws,
            status: match plan.status {
                Status::Optimal => "optimal",
                Status::Feasible => "feasible",
            },
            gap: round(plan.gap),
            solve_seconds: round(made.solve_seconds),
            cost: round(plan.cost().as_dollars()),
            sprayed_acres: round(plan.sprayed().as_acres()),
            crew_hours: total(|b| b.crew_hours.as_hours()),
            volunteer_hours: total(|b| b.volunteer_hours.as_hours()),
            expected_host_acres_over_tolerance: risk(plan),
            rule_of_thumb: rule(made, records),
            aims: aims(plan),
            binding: plan
                .binding
                .iter()
                .map(|b| BindingJson {
                    limit: b.limit.clone(),
                    available: round(b.available),
                    used: round(b.used),
                    unit: b.unit,
                })
                .collect(),
            hours: plan
                .hours
                .iter()
                .map(|h| HoursJson {
                    who: h.who.word(),
                    period: h.period.word(),
                    neighbourhood: h.neighbourhood.clone(),
                    used: round(h.used.as_hours()),
                    available: round(h.available.as_hours()),
                })
                .collect(),
            blocks: plan.blocks.iter().zip(&made.stages.options.blocks).map(|(b, o)| block(b, o)).collect(),
            notes: notes(made),
        }
    }
}

fn risk(plan: &Plan) -> RiskJson {
    let acres = |a: crownhold::types::Area| round(a.as_acres());
    RiskJson {
        in_sample: acres(plan.risk.in_sample),
        out_of_sample: plan.risk.out_of_sample.map(acres),
        standard_error: plan.risk.standard_error.map(acres),
        p05: plan.risk.range.map(|r| acres(r.0)),
        p95: plan.risk.range.map(|r| acres(r.1)),
        draws: plan.risk.fresh_draws,
        untreated: acres(plan.risk.untreated),
    }
}

fn rule(made: &Made, records: &Records) -> RuleJson {
    let rule = threshold_rule(records, &made.stages.density, &made.stages.options);
    RuleJson {
        sprayed_acres: round(rule.flown.as_acres()),
        expected_host_acres_over_tolerance: round(rule.over_tolerance.as_acres()),
    }
}

fn aims(plan: &Plan) -> [AimJson; 3] {
    [
        AimJson {
            aim: "expected host area over tolerance, beyond the accepted chance",
            value: round(plan.aims.host_beyond_accepted.as_acres()),
            unit: "acres",
        },
        AimJson { aim: "sprayed area, repeats counted", value: round(plan.aims.sprayed.as_acres()), unit: "acres" },
        AimJson { aim: "cost", value: round(plan.aims.cost.as_dollars()), unit: "dollars" },
    ]
}

fn block(b: &BlockPlan, options: &BlockOptions) -> BlockJson {
    BlockJson {
        id: b.block.to_string(),
        option: b.bundle.key(),
        sprayed_acres: round(b.sprayed.as_acres()),
        cost: round(b.cost.as_dollars()),
        crew_hours: round(b.crew_hours.as_hours()),
        volunteer_hours: round(b.volunteer_hours.as_hours()),
        chance_over_tolerance: round(b.chance_over),
        chance_over_tolerance_untreated: round(b.chance_over_untreated),
        host_acres: round(options.host_area.as_acres()),
        tolerance: round(options.tolerance.value()),
        accepted_chance: round(options.accepted_chance),
        why: b.why.clone(),
        runner_up: b.runner_up.as_ref().map(|r| RunnerUpJson { option: r.bundle.key(), why_not: r.why_not.clone() }),
    }
}

fn notes(made: &Made) -> Vec<ProblemJson> {
    let mut all = made.stages.density.notes.clone();
    match &made.stages.timing {
        Ok(timing) => all.extend(timing.notes.clone()),
        Err(why) => all.extend(why.clone()),
    }
    problems(&all)
}
