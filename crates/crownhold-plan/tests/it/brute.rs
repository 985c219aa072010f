//! Every choice of small cities tried out; the solver must reach the same lexicographic optimum.
//! Feasibility and wages are worked out here anew, by closed forms (see `crownhold::plan::check` for the argument).

use crownhold::plan::{Limits, Plan, check};
use crownhold::tactics::{Flying, Options};
use crownhold::types::{Area, Money, Period, Tactic, Workforce};
use crownhold_plan::{SolveSetting, solve, solve_learning};
use proptest::prelude::*;

use crate::city;

/// (square metres beyond the accepted chance, square metres sprayed, dollars), areas rounded per block.
pub type Value = (i64, i64, f64);

fn better(a: Value, b: Value) -> bool {
    (a.0, a.1).cmp(&(b.0, b.1)).then(a.2.total_cmp(&b.2)).is_lt()
}

/// Crew hours of one period, or `None` when the work cannot be done.
fn crew_hours(options: &Options, limits: &Limits, choice: &[usize], period: Period) -> Option<f64> {
    let supply = |who, place: Option<&str>| -> f64 {
        let own = |s: &&crownhold::types::HoursSupply| {
            s.who == who && s.period == period && s.neighbourhood.as_deref() == place
        };
        limits.hours.iter().filter(own).map(|s| s.hours.as_hours()).sum()
    };
    let (mut total, mut volunteers, mut open_left, mut crews_must, mut anybody) = (0.0, 0.0, 0.0, 0.0, 0.0);
    for place in [None, Some("N0"), Some("N1"), Some("N2")] {
        let here = options.blocks.iter().zip(choice).filter(|(b, _)| b.neighbourhood.as_deref() == place);
        let labour: Vec<_> = here.flat_map(|(b, &o)| &b.options[o].labour).filter(|l| l.period == period).collect();
        let sum = |may| -> f64 { labour.iter().filter(|l| l.volunteers_may == may).map(|l| l.hours.as_hours()).sum() };
        let (open, crew_only) = (sum(true), sum(false));
        let own = |who| if place.is_some() { supply(who, place) } else { 0.0 };
        let (own_volunteers, own_crew) = (own(Workforce::Volunteers), own(Workforce::Crew));
        total += open + crew_only;
        volunteers += open.min(own_volunteers);
        let rest = (open - own_volunteers).max(0.0);
        open_left += rest;
        crews_must += (crew_only - own_crew).max(0.0);
        anybody += (crew_only + rest - own_crew).max(0.0);
    }
    let (v, k) = (supply(Workforce::Volunteers, None), supply(Workforce::Crew, None));
    let possible = crews_must <= k + 1e-6 && anybody <= k + v + 1e-6;
    possible.then(|| total - volunteers - open_left.min(v))
}

/// Dollars for setting up the spray blocks and for their turns, or `None` when one is too small.
pub fn set_up(options: &Options, choice: &[usize]) -> Option<f64> {
    let flights =
        |b: usize| options.blocks[b].options[choice[b]].bundle.tactics().iter().map(|t| t.flights()).sum::<u32>();
    let mut left: Vec<usize> = (0..choice.len()).filter(|&b| flights(b) > 0).collect();
    let mut dollars = 0.0;
    while let Some(first) = left.pop() {
        let (mut open, mut area) = (vec![first], 0.0);
        while let Some(b) = open.pop() {
            let sprayed = options.blocks[b].options[choice[b]].sprayed.as_acres();
            area += sprayed / f64::from(flights(b));
            let around = options.flying.neighbours.get(b).cloned().unwrap_or_default();
            let turns = &options.flying.turns;
            if let (Some(alone), Some(saved)) = (turns.alone.get(b), turns.saved.get(b)) {
                let earlier = around.iter().zip(saved).filter(|(n, _)| **n < b && flights(**n) == flights(b));
                let turns = alone - earlier.map(|(_, s)| s).sum::<f64>();
                dollars += f64::from(flights(b)) * turns * options.flying.turns.price.as_dollars();
            }
            let (joined, rest) = left.iter().partition(|&&n| around.contains(&n) && flights(n) == flights(b));
            open.extend::<Vec<usize>>(joined);
            left = rest;
        }
        if area < options.flying.least.as_acres() - 1e-6 {
            return None;
        }
        dollars += f64::from(flights(first)) * options.flying.set_up.as_dollars();
    }
    Some(dollars)
}

pub fn value(options: &Options, limits: &Limits, choice: &[usize]) -> Option<Value> {
    let chosen = || options.blocks.iter().zip(choice).map(|(b, &o)| (b, &b.options[o]));
    if chosen().any(|(_, o)| !o.barred.is_empty()) {
        return None;
    }
    let crew: Option<Vec<f64>> = Period::ALL.iter().map(|&p| crew_hours(options, limits, choice, p)).collect();
    let wages = crew?.iter().sum::<f64>() * limits.crew_wage.as_dollars();
    let cost = chosen().map(|(_, o)| o.cost.as_dollars()).sum::<f64>() + wages + set_up(options, choice)?;
    let sprayed: f64 = chosen().map(|(_, o)| o.sprayed.as_square_metres()).sum();
    let kept = limits.budget.is_none_or(|b| cost <= b.as_dollars() + 1e-6)
        && limits.most_sprayed.is_none_or(|m| sprayed <= m.as_square_metres() + 1e-6);
    let square_metres = |v: f64| v.round() as i64;
    let host = chosen()
        .map(|(b, o)| square_metres(b.host_area.as_square_metres() * (o.chance_over - b.accepted_chance).max(0.0)))
        .sum();
    kept.then(|| (host, chosen().map(|(_, o)| square_metres(o.sprayed.as_square_metres())).sum(), cost))
}

fn best(options: &Options, limits: &Limits) -> Value {
    let mut choice = vec![0; options.blocks.len()];
    let mut best: Option<Value> = None;
    loop {
        if let Some(v) = value(options, limits, &choice).filter(|&v| best.is_none_or(|b| better(v, b))) {
            best = Some(v);
        }
        let Some(b) = (0..choice.len()).find(|&b| choice[b] + 1 < options.blocks[b].options.len()) else {
            return best.expect("watching everywhere always fits");
        };
        choice[b] += 1;
        choice[..b].fill(0);
    }
}

/// Eight blocks round one that may not be flown: there are as many pairs of neighbours as blocks, and still one spray block.
#[test]
fn a_ring_round_a_hole_is_set_up_once() {
    for (budget, flown) in [(3_300.0, 8), (3_299.0, 7), (2_900.0, 0)] {
        let (mut options, limits) = city::realistic(1, 9);
        for (b, block) in options.blocks.iter_mut().enumerate() {
            (block.host_area, block.accepted_chance) = (Area::acres(10.0), 0.0);
            block.options.retain(|o| matches!(o.bundle.tactics(), [] | [Tactic::AerialOnce]));
            let [watch, fly] = &mut block.options[..] else { panic!("two options") };
            (watch.chance_over, fly.chance_over) = (0.9, 0.1);
            (fly.cost, fly.sprayed) = (Money::dollars(100.0), Area::acres(10.0));
            fly.barred = if b == 4 { vec!["A school.".to_owned()] } else { Vec::new() };
        }
        let limits = Limits { budget: Some(Money::dollars(budget)), most_sprayed: None, ..limits };
        let beside = |b: usize| (0..9).filter(|&n| (b % 3).abs_diff(n % 3) + (b / 3).abs_diff(n / 3) == 1).collect();
        let neighbours = (0..9).map(beside).collect();
        let (least, set_up) = (Area::acres(65.0), Money::dollars(2_500.0));
        options.flying = Flying { neighbours, least, set_up, ..Flying::default() };
        let plan = solve(&options, &limits, &SolveSetting { gap: 0.0, ..SolveSetting::default() }).unwrap();
        assert_eq!(plan.blocks.iter().filter(|b| b.bundle.flies()).count(), flown, "{budget}");
        judge(&(options, limits)).unwrap();
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(60))]
    #[test]
    fn the_solver_finds_the_best_of_all_choices(seed in any::<u64>()) {
        judge(&city::wild(seed, 6, 5))?;
    }

    #[test]
    fn with_spray_blocks_too(seed in any::<u64>(), least in 0..4usize, set_up in 0..3usize, turn in 0..3usize) {
        let (least, set_up, turn) = ([0.0, 15.0, 35.0, 60.0][least], [0.0, 300.0, 2_500.0][set_up], [0.0, 12.0, 90.0][turn]);
        judge(&city::on_the_ground(city::wild(seed, 7, 5), seed, [least, set_up, turn]))?;
    }
}

/// The plan, and the one after a flight was taken out of it, begun with all that the first search left.
fn judge((options, limits): &(Options, Limits)) -> Result<(), TestCaseError> {
    let exact = SolveSetting { gap: 0.0, ..SolveSetting::default() };
    let (plan, learned) = solve_learning(options, limits, &exact).unwrap();
    judge_plan(&plan, options, limits)?;
    let Some(flown) = plan.blocks.iter().position(|b| b.bundle.flies()) else { return Ok(()) };
    let mut locked = options.clone();
    let flights = locked.blocks[flown].options.iter_mut().filter(|o| o.bundle.flies());
    flights.for_each(|o| o.barred.push("Locked.".to_owned()));
    let again = SolveSetting { start: Some(&plan), learned: Some(&learned), ..exact };
    judge_plan(&solve(&locked, limits, &again).unwrap(), &locked, limits)
}

fn judge_plan(plan: &Plan, options: &Options, limits: &Limits) -> Result<(), TestCaseError> {
    let (host, sprayed, cost) = best(options, limits);
    prop_assert_eq!(check(plan, options, limits), Vec::<String>::new());
    let choice: Vec<usize> = plan.blocks.iter().map(|b| b.option).collect();
    let found = value(options, limits, &choice);
    prop_assert!(found.is_some(), "the plan breaks a limit");
    let found = found.unwrap();
    prop_assert_eq!((found.0, found.1), (host, sprayed));
    prop_assert!((found.2 - cost).abs() < 0.02, "cost {} instead of {cost}", found.2);
    prop_assert!((plan.aims.cost.as_dollars() - found.2).abs() < 0.02);
    prop_assert_eq!(plan.status, crownhold::plan::Status::Optimal);
    Ok(())
}
