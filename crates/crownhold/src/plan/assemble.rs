//! From a choice of options to the whole plan: cost, hours, risk, what binds, reasons.

use super::harm::{standard_error, worst_tenth};
use super::hours::{Staffed, merged, work_of};
use super::standing::Standing;
use super::{BlockPlan, HoursUsed, Limits, Plan, Risk, Status, binding, reasons};
use crate::tactics::Options;
use crate::types::draws::{mean, quantile};
use crate::types::{Area, Hours, Money, Period, UnitSystem, Workforce};

/// The plan that follows from a choice of one option per block (positions in the order of the options).
///
/// Hours of a place and period are shared among its blocks in proportion to the open work each asks
/// for, so that the blocks' volunteer and crew hours add up to the totals.
/// `units` are those of the sentences.
pub fn assemble(
    options: &Options,
    limits: &Limits,
    choice: Vec<usize>,
    status: Status,
    gap: f64,
    units: UnitSystem,
) -> Plan {
    let standing = Standing::new(options, limits, choice);
    let staffed: Vec<Staffed> = Period::ALL.iter().map(|&p| standing.roster.staff(standing.work(p), p)).collect();
    let blocks = (0..options.blocks.len()).map(|b| block_plan(&standing, &staffed, b, units)).collect();
    let hours = hours_used(&standing, &staffed);
    Plan {
        status,
        gap,
        aims: standing.aims(),
        blocks,
        risk: Risk {
            in_sample: standing.chosen().map(|(b, o)| b.host_area * o.chance_over).sum(),
            out_of_sample: None,
            standard_error: None,
            range: None,
            worst_tenth: None,
            fresh_draws: 0,
            untreated: options.blocks.iter().map(|b| b.host_area * b.options[0].chance_over).sum(),
        },
        binding: binding::binding(&standing, &hours, units),
        hours,
        seed: options.seed,
        draws: options.draws,
    }
}

fn block_plan(standing: &Standing<'_>, staffed: &[Staffed], b: usize, units: UnitSystem) -> BlockPlan {
    let block = &standing.options.blocks[b];
    let position = standing.choice[b];
    let option = &block.options[position];
    let place = standing.roster.place_of[b];
    let (mut crew, mut volunteers) = (0.0, 0.0);
    for &period in Period::ALL {
        let own = work_of(option, period);
        let all_open = standing.work(period)[place].open;
        let share = if all_open > 0.0 { staffed[period as usize].volunteers_at(place) / all_open } else { 0.0 };
        volunteers += own.open * share;
        crew += own.crew_only + own.open * (1.0 - share).max(0.0);
    }
    let (why, runner_up) = reasons::explain(standing, b, units);
    BlockPlan {
        block: block.block.clone(),
        option: position,
        bundle: option.bundle.clone(),
        sprayed: option.sprayed,
        cost: option.cost + Money::dollars(standing.limits.crew_wage.as_dollars() * crew + standing.groups.share(b)),
        crew_hours: Hours::hours(crew),
        volunteer_hours: Hours::hours(volunteers),
        chance_over: option.chance_over,
        chance_over_untreated: block.options[0].chance_over,
        why,
        runner_up,
    }
}

fn hours_used(standing: &Standing<'_>, staffed: &[Staffed]) -> Vec<HoursUsed> {
    let used = |who: Workforce, period: Period, place: &Option<String>| {
        let s = &staffed[period as usize];
        let (local, anywhere) = match who {
            Workforce::Crew => (&s.crew, &s.crew_anywhere),
            Workforce::Volunteers => (&s.volunteers, &s.volunteers_anywhere),
        };
        match place {
            None => anywhere.iter().sum(),
            Some(_) => standing.roster.places.binary_search(place).map_or(0.0, |p| local[p]),
        }
    };
    merged(&standing.limits.hours)
        .into_iter()
        .map(|((who, period, neighbourhood), available)| HoursUsed {
            who,
            period,
            used: Hours::hours(used(who, period, &neighbourhood)),
            neighbourhood,
            available: Hours::hours(available),
        })
        .collect()
}

/// The plan with its risk measured again: host area over tolerance in each of many fresh draws, square metres
/// (see [`crate::tactics::host_over_tolerance`]). The standard error is that of their mean.
///
/// # Panics
/// If there are no draws.
pub fn with_fresh_risk(mut plan: Plan, over: &[f64]) -> Plan {
    assert!(!over.is_empty(), "at least one fresh draw");
    plan.risk.out_of_sample = Some(Area::square_metres(mean(over)));
    plan.risk.standard_error = Some(Area::square_metres(standard_error(over)));
    let at = |p| Area::square_metres(quantile(over, p));
    plan.risk.range = Some((at(0.05), at(0.95)));
    plan.risk.worst_tenth = Some(worst_tenth(over));
    plan.risk.fresh_draws = over.len();
    plan
}
