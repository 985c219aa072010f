//! What must hold of every plan. Two plans are compared as documented: whole square metres, then cents.

use crownhold::plan::standing::{Standing, host_beyond_accepted, whole_square_metres};
use crownhold::plan::{Limits, Plan, check, with_fresh_risk};
use crownhold::tactics::{Flying, Options};
use crownhold::types::{Area, Hours, Money};
use crownhold_plan::{SolveSetting, solve};
use proptest::prelude::*;

use crate::city;

fn exact(options: &Options, limits: &Limits) -> Plan {
    solve(options, limits, &SolveSetting { gap: 0.0, ..SolveSetting::default() }).unwrap()
}

/// (square metres beyond accepted, square metres sprayed, dollars)
fn value(plan: &Plan, options: &Options) -> (i64, i64, f64) {
    let host = options
        .blocks
        .iter()
        .zip(&plan.blocks)
        .map(|(b, row)| whole_square_metres(host_beyond_accepted(b, &b.options[row.option])))
        .sum();
    (host, plan.blocks.iter().map(|b| whole_square_metres(b.sprayed)).sum(), plan.aims.cost.as_dollars())
}

fn no_worse(looser: (i64, i64, f64), tighter: (i64, i64, f64)) -> bool {
    let order = (looser.0, looser.1).cmp(&(tighter.0, tighter.1));
    order.is_lt() || order.is_eq() && looser.2 <= tighter.2 + 0.02
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(40))]

    #[test]
    fn a_looser_limit_never_makes_it_worse(seed in any::<u64>(), by in 1.0..2.0f64, which in 0..3usize) {
        let (options, limits) = city::wild(seed, 12, 5);
        let mut looser = limits.clone();
        match which {
            0 => looser.budget = limits.budget.map(|b| b * by + Money::dollars(1.0)),
            1 => looser.most_sprayed = limits.most_sprayed.map(|m| m * by + Area::acres(1.0)),
            _ => looser.hours.iter_mut().for_each(|h| h.hours = h.hours * by + Hours::hours(1.0)),
        }
        let before = value(&exact(&options, &limits), &options);
        let after = value(&exact(&options, &looser), &options);
        prop_assert!(no_worse(after, before), "{after:?} is worse than {before:?}");
    }

    #[test]
    fn every_plan_passes_the_checker(seed in any::<u64>()) {
        let (options, limits) = city::realistic(seed, 12);
        let plan = solve(&options, &limits, &SolveSetting::default()).unwrap();
        prop_assert_eq!(check(&plan, &options, &limits), Vec::<String>::new());
        prop_assert!(plan.gap <= 1e-3 + 1e-9);
    }

    #[test]
    fn no_single_change_that_fits_is_a_gain(seed in any::<u64>()) {
        let (options, limits) = city::realistic(seed, 12);
        let plan = solve(&options, &limits, &SolveSetting { gap: 0.05, ..SolveSetting::default() }).unwrap();
        let standing = Standing::new(&options, &limits, plan.blocks.iter().map(|b| b.option).collect());
        for (b, block) in options.blocks.iter().enumerate() {
            for o in 0..block.options.len() {
                let swap = standing.swap(b, o);
                prop_assert!(!swap.change.is_gain() || !swap.refused.is_empty(), "block {b}, option {o}");
            }
        }
    }

    #[test]
    fn with_all_but_watching_barred_there_is_still_a_plan(seed in any::<u64>()) {
        let (mut options, limits) = city::wild(seed, 8, 5);
        for option in options.blocks.iter_mut().flat_map(|b| b.options.iter_mut().skip(1)) {
            option.barred = vec!["Barred for the test.".to_owned()];
        }
        let plan = exact(&options, &limits);
        prop_assert!(plan.blocks.iter().all(|b| b.option == 0));
        prop_assert_eq!(plan.aims.cost, Money::ZERO);
        prop_assert_eq!(plan.risk.in_sample, plan.risk.untreated);
    }
}

#[test]
fn the_same_input_gives_the_same_plan() {
    let (options, limits) = city::realistic(5, 30);
    let plan = || solve(&options, &limits, &SolveSetting::default()).unwrap();
    assert_eq!(plan(), plan());
}

#[test]
fn a_city_without_blocks_has_an_empty_plan() {
    let options = Options { blocks: Vec::new(), flying: Flying::default(), draws: 10, seed: 1 };
    let plan = exact(&options, &Limits::default());
    assert!(plan.blocks.is_empty() && check(&plan, &options, &Limits::default()).is_empty());
}

/// By hand: draws of 1, 2 and 6 hectares have mean 3 and standard error sqrt(7/3).
#[test]
fn fresh_draws_are_measured_with_their_error() {
    let (options, limits) = city::realistic(9, 10);
    let plan = with_fresh_risk(exact(&options, &limits), &[10_000.0, 20_000.0, 60_000.0]);
    assert!((plan.risk.out_of_sample.unwrap().as_hectares() - 3.0).abs() < 1e-12);
    assert!((plan.risk.standard_error.unwrap().as_hectares() - (7.0_f64 / 3.0).sqrt()).abs() < 1e-12);
    assert_eq!(plan.risk.fresh_draws, 3);
}

/// The checker must be able to say no: each spoilt plan is caught.
#[test]
fn the_checker_catches_spoilt_plans() {
    let (options, limits) = city::realistic(3, 12);
    let good = exact(&options, &limits);
    assert!(check(&good, &options, &limits).is_empty());
    let spoil = |how: &dyn Fn(&mut Plan)| {
        let mut plan = good.clone();
        how(&mut plan);
        check(&plan, &options, &limits)
    };
    assert!(!spoil(&|p| p.blocks[0].option = 99).is_empty());
    assert!(!spoil(&|p| drop(p.blocks.pop())).is_empty());
    assert!(!spoil(&|p| p.blocks.swap(0, 1)).is_empty());
    assert!(!spoil(&|p| p.blocks[2].cost = p.blocks[2].cost + Money::dollars(5.0)).is_empty());
    assert!(!spoil(&|p| p.aims.sprayed = Area::acres(1e4)).is_empty());
    assert!(!spoil(&|p| p.risk.in_sample = Area::ZERO).is_empty());
    assert!(!spoil(&|p| p.blocks[1].chance_over = 0.999).is_empty());
    let none = Limits { hours: Vec::new(), ..limits.clone() };
    assert!(check(&good, &options, &none).iter().any(|w| w.contains("anywhere")));
    let poor = Limits { budget: Some(Money::dollars(1.0)), most_sprayed: Some(Area::ZERO), ..limits.clone() };
    assert_eq!(check(&good, &options, &poor).len(), 2);
}
/// This city's search for the area flown finds the first aim lower still; without a second look it stayed at 0.0026.
#[test]
fn a_lower_first_aim_is_held() {
    let (options, limits) = city::realistic(16_217_027_033_375_155_475, 12);
    let plan = solve(&options, &limits, &SolveSetting::default()).unwrap();
    assert!(plan.gap <= 1e-3 + 1e-9, "{}", plan.gap);
}
