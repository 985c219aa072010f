//! The whole trade-off of a programme: the least harm for every amount of spraying, or of money.

use crownhold::Setting;
use crownhold::plan::{Plan, with_fresh_risk};
use crownhold::tactics::{Bundle, RuleOfThumb, host_over_tolerance, threshold_rule};
use crownhold::types::{Area, Records};
use crownhold_plan::{Along, SolveSetting, frontier};

use super::chain::{Stages, stages_watched};
use super::plan::{Wishes, fresh, fresh_density, limits};
use super::progress::Watcher;
use super::refuse;
use crate::trouble::Trouble;

/// The plans of the trade-off, each measured again on fresh draws.
#[derive(Clone, Debug)]
pub struct TradeOff {
    /// What the harm is held against.
    pub along: Along,
    /// How many plans were wanted.
    pub wanted: usize,
    /// Plans of which none is beaten by another, by rising amount.
    pub plans: Vec<Plan>,
    /// Expected host area over tolerance if nothing is done.
    pub untreated: Area,
    /// What flying by the action threshold alone would take and leave, on the same draws.
    pub rule: RuleOfThumb,
}

/// What is asked.
#[derive(Clone)]
pub struct Question {
    /// What the harm is held against.
    pub along: Along,
    /// How many plans are wanted.
    pub points: usize,
    /// Limits other than the programme's, and the gap; no accepted chance.
    pub wishes: Wishes,
}

/// Works the trade-off out. `found` is told how many plans there are of how many wanted. A stop gives what was found.
///
/// # Errors
/// As a plan's.
pub fn trade_off(
    records: &Records,
    setting: &Setting,
    question: &Question,
    watcher: Watcher<'_>,
    found: &(dyn Fn(usize, usize) + Sync),
) -> Result<TradeOff, Trouble> {
    refuse(question.wishes.problems())?;
    let stages = stages_watched(records, setting, watcher)?;
    trade_off_from(&stages, records, setting, question, watcher, found)
}

/// The same from stages that were worked out from these records with this setting.
///
/// # Errors
/// As [`trade_off`].
pub fn trade_off_from(
    stages: &Stages,
    records: &Records,
    setting: &Setting,
    question: &Question,
    watcher: Watcher<'_>,
    found: &(dyn Fn(usize, usize) + Sync),
) -> Result<TradeOff, Trouble> {
    let solve = SolveSetting {
        gap: question.wishes.gap.unwrap_or(SolveSetting::default().gap),
        units: records.programme.units,
        stop: watcher.stop,
        ..SolveSetting::default()
    };
    let limits = limits(records, &question.wishes);
    let plans = frontier(&stages.options, &limits, question.along, question.points, &solve, found)?;
    let density = fresh_density(records, setting)?;
    let again = |plan: Plan| {
        let chosen: Vec<Bundle> = plan.blocks.iter().map(|b| b.bundle.clone()).collect();
        let over = host_over_tolerance(records, &density, stages.timing.as_ref().ok(), &chosen, &fresh(setting));
        with_fresh_risk(plan, &over)
    };
    Ok(TradeOff {
        along: question.along,
        wanted: question.points,
        untreated: plans[0].risk.untreated,
        plans: plans.into_iter().map(again).collect(),
        rule: threshold_rule(records, &stages.density, &stages.options),
    })
}
