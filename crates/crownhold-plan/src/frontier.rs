//! The whole trade-off: for every amount of spraying, or of money, the least expected harm that it buys.
//!
//! A limit on the amount is moved and the plan solved anew each time (the method of bounded objectives: Haimes, Lasdon and
//! Wismer 1971, IEEE Trans. Syst. Man Cybern. 1:296-297). Each search begins with a plan that is known to fit. Harm is the
//! literal expected host area over tolerance here: no chance is accepted beforehand.

use std::sync::atomic::Ordering;

use crownhold::plan::{Limits, Plan};
use crownhold::tactics::Options;
use crownhold::types::{Area, Money};
use rayon::prelude::*;

use crate::{Aim, SolveError, SolveSetting, solve, solve_learning};

/// What the harm is held against.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Along {
    /// Area sprayed from the air, repeats counted.
    Sprayed,
    /// Money.
    Cost,
}

impl Along {
    /// How much of it a plan takes: square metres or dollars.
    pub fn of(self, plan: &Plan) -> f64 {
        match self {
            Self::Sprayed => plan.sprayed().as_square_metres(),
            Self::Cost => plan.cost().as_dollars(),
        }
    }
    fn bounded(self, limits: &Limits, most: f64) -> Limits {
        match self {
            Self::Sprayed => Limits { most_sprayed: Some(Area::square_metres(most)), ..limits.clone() },
            Self::Cost => Limits { budget: Some(Money::dollars(most)), ..limits.clone() },
        }
    }
}

/// What is told after each search: how many plans are found, and how many are wanted.
pub type Found<'a> = &'a (dyn Fn(usize, usize) + Sync);

/// Amounts closer than this share of the whole span are not searched between.
const FINEST: f64 = 1e-3;
/// Spans searched side by side: a fixed number, so that the plans are the same on any number of threads.
const AT_ONCE: usize = 4;

/// Plans of which none is beaten by another in both the amount and the harm, by rising amount: from the least amount to
/// what the limits allow. At most `points` (two at least); fewer where there are no more, or where it was stopped. A plan within the search's gap of a better one may stand for it.
///
/// # Errors
/// As [`solve`].
pub fn frontier(
    options: &Options,
    limits: &Limits,
    along: Along,
    points: usize,
    setting: &SolveSetting<'_>,
    found: Found<'_>,
) -> Result<Vec<Plan>, SolveError> {
    let literal = literal(options);
    let setting = &SolveSetting { aims: &[Aim::Host], ..*setting };
    let (top, learned) = solve_learning(&literal, limits, setting)?;
    let setting = &SolveSetting { learned: Some(&learned), ..*setting };
    found(1, points);
    let at = |most: f64, start: Option<&Plan>| match solve(
        &literal,
        &along.bounded(limits, most),
        &SolveSetting { start, ..*setting },
    ) {
        // Decisions that are fixed may take more than that.
        Err(SolveError::Impossible(_)) => Ok(None),
        other => other.map(Some),
    };
    let least = at(0.0, None)?;
    let mut open = vec![(least.as_ref().map_or(0.0, |p| along.of(p)), along.of(&top))];
    let finest = FINEST * (open[0].1 - open[0].0);
    let mut plans = unbeaten(least.into_iter().chain([top]).collect(), along);
    while plans.len() < points {
        found(plans.len(), points);
        if setting.stop.is_some_and(|s| s.load(Ordering::Relaxed)) {
            break;
        }
        let spans = widest(&mut open, finest, AT_ONCE.min(points - plans.len()));
        if spans.is_empty() {
            break;
        }
        let middle = |&(low, high): &(f64, f64)| {
            let most = f64::midpoint(low, high);
            Ok((low, most, high, at(most, plans.iter().rfind(|p| along.of(p) <= most))?))
        };
        let searched: Vec<_> = spans.par_iter().map(middle).collect::<Result<_, SolveError>>()?;
        for (low, most, high, plan) in searched {
            open.push((most, high));
            if let Some(plan) = plan {
                // Between what it takes and what it might have taken there is nothing better.
                open.push((low, along.of(&plan).min(most)));
                plans.push(plan);
            }
        }
        plans = unbeaten(plans, along);
    }
    Ok(plans)
}

/// No chance is accepted beforehand.
fn literal(options: &Options) -> Options {
    let mut literal = options.clone();
    literal.blocks.iter_mut().for_each(|b| b.accepted_chance = 0.0);
    literal
}

/// Takes the widest spans out, at most so many; none that is finer than `finest`.
fn widest(open: &mut Vec<(f64, f64)>, finest: f64, most: usize) -> Vec<(f64, f64)> {
    open.retain(|(low, high)| high - low > finest);
    open.sort_by(|a, b| (b.1 - b.0).total_cmp(&(a.1 - a.0)).then(a.0.total_cmp(&b.0)));
    open.drain(..most.min(open.len())).collect()
}

/// Those that no other beats, by rising amount; of two alike the first stays.
fn unbeaten(mut plans: Vec<Plan>, along: Along) -> Vec<Plan> {
    let harm = |p: &Plan| p.risk.in_sample.as_square_metres();
    plans.sort_by(|a, b| along.of(a).total_cmp(&along.of(b)).then(harm(a).total_cmp(&harm(b))));
    let mut least = f64::INFINITY;
    plans.retain(|p| {
        // Half a square metre: the grid that the search compares on.
        let better = harm(p) < least - 0.5;
        if better {
            least = harm(p);
        }
        better
    });
    plans
}
