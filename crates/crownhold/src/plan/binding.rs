//! What keeps a plan from being better.
//!
//! A limit binds when it alone refuses some single change that would be a gain, or when it is a
//! volunteer supply that is used up while crews are paid for work that volunteers may do. A limit
//! that is nearly used but stands in nobody's way is not named.

use std::collections::BTreeMap;

use super::hours::HOURS_TOLERANCE;
use super::standing::{Refusal, Standing};
use super::{Binding, HoursUsed};
use crate::types::{Area, Hours, Money, Period, UnitSystem, Workforce};

/// The limits that bind: money, sprayed area, then hours in the order of the supplies.
pub(super) fn binding(standing: &Standing<'_>, hours: &[HoursUsed], units: UnitSystem) -> Vec<Binding> {
    let refusals = refused_gains(standing);
    let mut all = Vec::new();
    let met = |wanted: fn(&Refusal) -> bool| refusals.iter().any(|(_, r)| wanted(r));
    if let (Some(budget), true) = (standing.limits.budget, met(|r| matches!(r, Refusal::Money(_)))) {
        all.push(money(budget, standing.cost()));
    }
    if let (Some(most), true) = (standing.limits.most_sprayed, met(|r| matches!(r, Refusal::Sprayed(_)))) {
        all.push(sprayed(most, standing.sprayed(), units));
    }
    let mut supplies: Vec<bool> = hours.iter().map(|h| dear_for_want_of_volunteers(standing, h)).collect();
    // Hours missing where no supply reaches at all, by period and place.
    let mut nobody = BTreeMap::new();
    for (place, refusal) in &refusals {
        if let Refusal::Hours { period, open, .. } = refusal {
            let mut reached = false;
            for (mark, h) in supplies.iter_mut().zip(hours) {
                if reaches(h, *period, place) && (*open || h.who == Workforce::Crew) && nearly_used_up(h) {
                    *mark = true;
                    reached = true;
                }
            }
            if !reached {
                nobody.insert((*period, place.clone()), *open);
            }
        }
    }
    all.extend(hours.iter().zip(supplies).filter(|(_, marked)| *marked).map(|(h, _)| supply(h)));
    all.extend(nobody.into_iter().map(|((period, place), open)| none_at_all(period, place.as_deref(), open)));
    all
}

/// What refuses the changes that would be a gain, with the place of the block: limits that stand alone in the way of
/// one, because raising one of several would change nothing; only where every change meets several, all of these.
fn refused_gains(standing: &Standing<'_>) -> Vec<(Option<String>, Refusal)> {
    let (mut alone, mut together) = (Vec::new(), Vec::new());
    for (b, block) in standing.options.blocks.iter().enumerate() {
        for option in (0..block.options.len()).filter(|&o| block.options[o].allowed()) {
            let swap = standing.swap(b, option);
            if swap.change.is_gain() {
                let list = if swap.refused.len() == 1 { &mut alone } else { &mut together };
                // The least spray block is no supply that could be raised.
                let limits = swap.refused.into_iter().filter(|r| !matches!(r, Refusal::SmallSprayBlock(_)));
                list.extend(limits.map(|r| (block.neighbourhood.clone(), r)));
            }
        }
    }
    if alone.is_empty() { together } else { alone }
}

fn reaches(hours: &HoursUsed, period: Period, place: &Option<String>) -> bool {
    hours.period == period && (hours.neighbourhood.is_none() || hours.neighbourhood == *place)
}

/// A supply with more than half of it left does not bind; the work refused is merely too big for it.
fn nearly_used_up(h: &HoursUsed) -> bool {
    h.available <= h.used * 2.0
}

fn used_up(h: &HoursUsed) -> bool {
    h.available - h.used <= Hours::hours(HOURS_TOLERANCE)
}

/// Is this a volunteer supply that is used up while crews are paid for open work that it reaches?
fn dear_for_want_of_volunteers(standing: &Standing<'_>, h: &HoursUsed) -> bool {
    if h.who != Workforce::Volunteers || !used_up(h) || standing.limits.crew_wage <= Money::ZERO {
        return false;
    }
    let roster = &standing.roster;
    let staffed = roster.staff(standing.work(h.period), h.period);
    let paid_open = |p: usize| standing.work(h.period)[p].open - staffed.volunteers_at(p) > HOURS_TOLERANCE;
    (0..roster.places.len()).any(|p| paid_open(p) && reaches(h, h.period, &roster.places[p]))
}

fn money(budget: Money, used: f64) -> Binding {
    Binding { limit: "money".to_owned(), available: budget.as_dollars(), used, unit: "$" }
}

fn sprayed(most: Area, used: f64, units: UnitSystem) -> Binding {
    let used = Area::square_metres(used);
    let (available, used, unit) = match units {
        UnitSystem::Us => (most.as_acres(), used.as_acres(), "acres"),
        UnitSystem::Metric => (most.as_hectares(), used.as_hectares(), "ha"),
    };
    Binding { limit: "area sprayed from the air".to_owned(), available, used, unit }
}

fn supply(h: &HoursUsed) -> Binding {
    let who = match h.who {
        Workforce::Crew => "crew",
        Workforce::Volunteers => "volunteer",
    };
    let place = h.neighbourhood.as_deref().unwrap_or("any neighbourhood");
    let limit = format!("{who} hours, {}, {place}", h.period);
    Binding { limit, available: h.available.as_hours(), used: h.used.as_hours(), unit: "hours" }
}

fn none_at_all(period: Period, place: Option<&str>, open: bool) -> Binding {
    let who = if open { "hours" } else { "crew hours" };
    let limit = format!("{who}, {period}, {}", place.unwrap_or("blocks without a neighbourhood"));
    Binding { limit, available: 0.0, used: 0.0, unit: "hours" }
}
