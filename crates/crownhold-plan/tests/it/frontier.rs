//! The trade-off of small cities beside every choice tried out.

use crownhold::plan::{Limits, Plan, check};
use crownhold::tactics::Options;
use crownhold_plan::{Along, SolveError, SolveSetting, frontier};
use proptest::prelude::*;

use crate::brute::value;
use crate::city;

/// Every choice that keeps the limits: (square metres over tolerance, amount).
fn all(options: &Options, limits: &Limits, along: Along) -> Vec<(f64, f64)> {
    let mut choice = vec![0; options.blocks.len()];
    let mut found = Vec::new();
    loop {
        if let Some((host, sprayed, cost)) = value(options, limits, &choice) {
            let amount = match along {
                Along::Sprayed => sprayed as f64,
                Along::Cost => cost,
            };
            found.push((host as f64, amount));
        }
        let Some(b) = (0..choice.len()).find(|&b| choice[b] + 1 < options.blocks[b].options.len()) else {
            return found;
        };
        choice[b] += 1;
        choice[..b].fill(0);
    }
}

fn literal(options: &Options) -> Options {
    let mut options = options.clone();
    options.blocks.iter_mut().for_each(|b| b.accepted_chance = 0.0);
    options
}

fn exact(options: &Options, limits: &Limits, along: Along) -> Result<Vec<Plan>, SolveError> {
    frontier(options, limits, along, 200, &SolveSetting { gap: 0.0, ..SolveSetting::default() }, &|_, _| {})
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]
    #[test]
    fn no_choice_beats_the_trade_off(seed in any::<u64>(), by_money in any::<bool>()) {
        let along = if by_money { Along::Cost } else { Along::Sprayed };
        let (options, limits) = city::wild(seed, 5, 4);
        let plans = exact(&options, &limits, along).unwrap();
        let literal = literal(&options);
        let harm = |p: &Plan| p.risk.in_sample.as_square_metres();
        for pair in plans.windows(2) {
            prop_assert!(along.of(&pair[0]) < along.of(&pair[1]) && harm(&pair[0]) > harm(&pair[1]));
        }
        for plan in &plans {
            prop_assert_eq!(check(plan, &literal, &limits), Vec::<String>::new());
        }
        // Half a square metre a block is lost by rounding; spans finer than a thousandth are not searched.
        let rounding = 3.0;
        let span = along.of(plans.last().unwrap()) - along.of(&plans[0]);
        for (host, amount) in all(&literal, &limits, along) {
            let within = |p: &&Plan| along.of(p) <= amount + 2e-3 * span + rounding;
            let best = plans.iter().filter(within).map(harm).fold(f64::INFINITY, f64::min);
            prop_assert!(best <= host + rounding, "{} for {}, found {}", host, amount, best);
        }
    }
}

#[test]
fn as_many_as_are_wanted_and_the_same_on_any_number_of_threads() {
    let (options, limits) = city::wild(7, 30, 5);
    let on = |threads| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
        pool.install(|| frontier(&options, &limits, Along::Sprayed, 8, &SolveSetting::default(), &|_, _| {})).unwrap()
    };
    let (one, two) = (on(1), on(2));
    assert!(one.len() <= 8 && one.len() >= 3, "{}", one.len());
    assert_eq!(one, two);
}

#[test]
fn a_stop_gives_what_was_found() {
    let (options, limits) = city::wild(7, 30, 5);
    let stop = std::sync::atomic::AtomicBool::new(false);
    let told = |n: usize, _: usize| {
        if n >= 3 {
            stop.store(true, std::sync::atomic::Ordering::Relaxed);
        }
    };
    let setting = SolveSetting { stop: Some(&stop), ..SolveSetting::default() };
    let plans = frontier(&options, &limits, Along::Sprayed, 50, &setting, &told).unwrap();
    assert!((2..50).contains(&plans.len()), "{}", plans.len());
}
