//! `plan --json`, and a kept plan.

use crownhold::plan::{Aims, Binding, BlockPlan, HoursUsed, Plan, Risk, RunnerUp, Status};
use crownhold::tactics::{BlockOptions, Bundle, Options, threshold_rule};
use crownhold::types::{Area, Hours, Money, Period, Records, Workforce};
use serde::{Deserialize, Serialize};

use super::{ProblemJson, problems, round};
use crate::actions::plan::{Made, Wishes};

/// A season plan. Also what is kept in a programme file: [`to_plan`] makes the plan from it again. Its six decimals
/// (4 mm2 of ground, a ten-thousandth of a cent) are finer than anything printed.
#[derive(Serialize, Deserialize, Clone, PartialEq, Debug)]
pub struct PlanJson {
    pub(crate) programme: String,
    pub(crate) season: i16,
    pub(crate) seed: u64,
    pub(crate) draws: usize,
    /// The day it was asked on, ISO; empty in plans kept before it was written down.
    #[serde(default)]
    pub(crate) day: String,
    #[serde(default)]
    pub(crate) wishes: WishesJson,
    pub(crate) status: String,
    pub(crate) gap: f64,
    pub(crate) solve_seconds: f64,
    pub(crate) cost: f64,
    pub(crate) sprayed_acres: f64,
    pub(crate) crew_hours: f64,
    pub(crate) volunteer_hours: f64,
    pub(crate) expected_host_acres_over_tolerance: RiskJson,
    pub(crate) rule_of_thumb: RuleJson,
    pub(crate) aims: [AimJson; 3],
    pub(crate) binding: Vec<BindingJson>,
    pub(crate) hours: Vec<HoursJson>,
    pub(crate) blocks: Vec<BlockJson>,
    pub(crate) notes: Vec<ProblemJson>,
    /// In a kept plan: the last operation of the history when the records were read.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(crate) last_entry: Option<i64>,
}

#[derive(Serialize, Deserialize, Clone, Default, PartialEq, Debug)]
#[serde(default)]
pub(crate) struct WishesJson {
    pub(crate) budget: Option<f64>,
    pub(crate) volunteer_hours: Option<f64>,
    pub(crate) max_sprayed_acres: Option<f64>,
    pub(crate) accepted_chance: Option<f64>,
    pub(crate) gap: Option<f64>,
    #[serde(default)]
    pub(crate) robust: bool,
}

#[derive(Serialize, Deserialize, Clone, PartialEq, Debug)]
pub(crate) struct RiskJson {
    pub(crate) in_sample: f64,
    pub(crate) out_of_sample: Option<f64>,
    pub(crate) standard_error: Option<f64>,
    pub(crate) p05: Option<f64>,
    pub(crate) p95: Option<f64>,
    #[serde(default)]
    pub(crate) worst_tenth: Option<f64>,
    pub(crate) draws: usize,
    pub(crate) untreated: f64,
}

#[derive(Serialize, Deserialize, Clone, PartialEq, Debug)]
pub(crate) struct RuleJson {
    pub(crate) sprayed_acres: f64,
    pub(crate) expected_host_acres_over_tolerance: f64,
}

#[derive(Serialize, Deserialize, Clone, PartialEq, Debug)]
pub(crate) struct AimJson {
    pub(crate) aim: String,
    pub(crate) value: f64,
    pub(crate) unit: String,
}

#[derive(Serialize, Deserialize, Clone, PartialEq, Debug)]
pub(crate) struct BindingJson {
    pub(crate) limit: String,
    pub(crate) available: f64,
    pub(crate) used: f64,
    pub(crate) unit: String,
}

#[derive(Serialize, Deserialize, Clone, PartialEq, Debug)]
pub(crate) struct HoursJson {
    pub(crate) who: String,
    pub(crate) period: String,
    pub(crate) neighbourhood: Option<String>,
    pub(crate) used: f64,
    pub(crate) available: f64,
}

#[derive(Serialize, Deserialize, Clone, PartialEq, Debug)]
pub(crate) struct BlockJson {
    pub(crate) id: String,
    pub(crate) option: String,
    pub(crate) sprayed_acres: f64,
    pub(crate) cost: f64,
    pub(crate) crew_hours: f64,
    pub(crate) volunteer_hours: f64,
    pub(crate) chance_over_tolerance: f64,
    pub(crate) chance_over_tolerance_untreated: f64,
    pub(crate) host_acres: f64,
    pub(crate) tolerance: f64,
    pub(crate) accepted_chance: f64,
    pub(crate) why: String,
    pub(crate) runner_up: Option<RunnerUpJson>,
}

#[derive(Serialize, Deserialize, Clone, PartialEq, Debug)]
pub(crate) struct RunnerUpJson {
    pub(crate) option: String,
    pub(crate) why_not: String,
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
            day: made.setting.today.to_string(),
            wishes: WishesJson::from(&made.wishes),
            status: match plan.status {
                Status::Optimal => OPTIMAL,
                Status::Feasible => FEASIBLE,
            }
            .to_owned(),
            gap: round(plan.gap),
            solve_seconds: round(made.solve_seconds),
            cost: round(plan.cost().as_dollars()),
            sprayed_acres: round(plan.sprayed().as_acres()),
            crew_hours: total(|b| b.crew_hours.as_hours()),
            volunteer_hours: total(|b| b.volunteer_hours.as_hours()),
            expected_host_acres_over_tolerance: risk(plan),
            rule_of_thumb: rule(made, records),
            aims: aims(plan),
            binding: plan.binding.iter().map(BindingJson::from).collect(),
            hours: plan.hours.iter().map(HoursJson::from).collect(),
            blocks: plan.blocks.iter().zip(&made.stages.options.blocks).map(|(b, o)| block(b, o)).collect(),
            notes: notes(made),
            last_entry: None,
        }
    }

    /// What was wished of it.
    pub fn wishes(&self) -> Wishes {
        let w = &self.wishes;
        Wishes {
            budget: w.budget,
            volunteer_hours: w.volunteer_hours,
            max_sprayed_acres: w.max_sprayed_acres,
            accepted_chance: w.accepted_chance,
            gap: w.gap,
            robust: w.robust,
        }
    }
}

const OPTIMAL: &str = "optimal";
const FEASIBLE: &str = "feasible";

impl From<&Wishes> for WishesJson {
    fn from(w: &Wishes) -> Self {
        Self {
            budget: w.budget,
            volunteer_hours: w.volunteer_hours,
            max_sprayed_acres: w.max_sprayed_acres,
            accepted_chance: w.accepted_chance,
            gap: w.gap,
            robust: w.robust,
        }
    }
}

impl From<&Binding> for BindingJson {
    fn from(b: &Binding) -> Self {
        let (available, used) = (round(b.available), round(b.used));
        Self { limit: b.limit.clone(), available, used, unit: b.unit.to_owned() }
    }
}

impl From<&HoursUsed> for HoursJson {
    fn from(h: &HoursUsed) -> Self {
        Self {
            who: h.who.word().to_owned(),
            period: h.period.word().to_owned(),
            neighbourhood: h.neighbourhood.clone(),
            used: round(h.used.as_hours()),
            available: round(h.available.as_hours()),
        }
    }
}

fn risk(plan: &Plan) -> RiskJson {
    let acres = |a: Area| round(a.as_acres());
    RiskJson {
        in_sample: acres(plan.risk.in_sample),
        out_of_sample: plan.risk.out_of_sample.map(acres),
        standard_error: plan.risk.standard_error.map(acres),
        p05: plan.risk.range.map(|r| acres(r.0)),
        p95: plan.risk.range.map(|r| acres(r.1)),
        worst_tenth: plan.risk.worst_tenth.map(acres),
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
    let aim =
        |aim: &str, value, unit: &str| AimJson { aim: aim.to_owned(), value: round(value), unit: unit.to_owned() };
    [
        aim(
            "expected host area over tolerance, beyond the accepted chance",
            plan.aims.host_beyond_accepted.as_acres(),
            "acres",
        ),
        aim("sprayed area, repeats counted", plan.aims.sprayed.as_acres(), "acres"),
        aim("cost", plan.aims.cost.as_dollars(), "dollars"),
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

/// The plan that a kept one stands for, its options found again among those of today; `None` when they are no longer
/// there: another set of blocks, or an option that is not offered any more.
pub fn to_plan(kept: &PlanJson, options: &Options) -> Option<Plan> {
    if kept.blocks.len() != options.blocks.len() {
        return None;
    }
    let blocks = kept.blocks.iter().zip(&options.blocks).map(|(b, o)| block_back(b, o)).collect::<Option<Vec<_>>>()?;
    let [host, sprayed, cost] = &kept.aims;
    Some(Plan {
        status: if kept.status == OPTIMAL { Status::Optimal } else { Status::Feasible },
        gap: kept.gap,
        aims: Aims {
            host_beyond_accepted: Area::acres(host.value),
            sprayed: Area::acres(sprayed.value),
            cost: Money::dollars(cost.value),
        },
        blocks,
        risk: risk_back(&kept.expected_host_acres_over_tolerance),
        binding: kept.binding.iter().map(binding_back).collect::<Option<_>>()?,
        hours: kept.hours.iter().map(hours_back).collect::<Option<_>>()?,
        seed: kept.seed,
        draws: kept.draws,
    })
}

fn block_back(kept: &BlockJson, options: &BlockOptions) -> Option<BlockPlan> {
    let bundle = Bundle::from_key(&kept.option)?;
    let option = options.options.iter().position(|o| o.bundle == bundle)?;
    let runner_up = kept
        .runner_up
        .as_ref()
        .map(|r| Bundle::from_key(&r.option).map(|bundle| RunnerUp { bundle, why_not: r.why_not.clone() }));
    (kept.id == options.block.as_str()).then(|| BlockPlan {
        block: options.block.clone(),
        option,
        bundle,
        sprayed: Area::acres(kept.sprayed_acres),
        cost: Money::dollars(kept.cost),
        crew_hours: Hours::hours(kept.crew_hours),
        volunteer_hours: Hours::hours(kept.volunteer_hours),
        chance_over: kept.chance_over_tolerance,
        chance_over_untreated: kept.chance_over_tolerance_untreated,
        why: kept.why.clone(),
        runner_up: runner_up.flatten(),
    })
}

fn risk_back(kept: &RiskJson) -> Risk {
    Risk {
        in_sample: Area::acres(kept.in_sample),
        out_of_sample: kept.out_of_sample.map(Area::acres),
        standard_error: kept.standard_error.map(Area::acres),
        range: kept.p05.zip(kept.p95).map(|(low, high)| (Area::acres(low), Area::acres(high))),
        worst_tenth: kept.worst_tenth.map(Area::acres),
        fresh_draws: kept.draws,
        untreated: Area::acres(kept.untreated),
    }
}

/// Units that limits are told in (`crownhold::plan`).
const UNITS: [&str; 4] = ["$", "acres", "ha", "hours"];

fn binding_back(kept: &BindingJson) -> Option<Binding> {
    let unit = UNITS.into_iter().find(|u| *u == kept.unit)?;
    Some(Binding { limit: kept.limit.clone(), available: kept.available, used: kept.used, unit })
}

fn hours_back(kept: &HoursJson) -> Option<HoursUsed> {
    Some(HoursUsed {
        who: Workforce::from_word(&kept.who)?,
        period: Period::from_word(&kept.period)?,
        neighbourhood: kept.neighbourhood.clone(),
        used: Hours::hours(kept.used),
        available: Hours::hours(kept.available),
    })
}
