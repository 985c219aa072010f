//! February's plan with spring in view, against every February of small cities, each spring worked out by hand: with money as the
//! only limit, the best split decisions of a spring go down the convex hulls of the blocks' options, steepest first (linear
//! relaxation of the multiple-choice knapsack problem: Sinha and Zoltners 1979, Operations Research 27:503-515).

use crownhold::plan::{Limits, check};
use crownhold::tactics::{BlockOptions, Options};
use crownhold::types::chance::{Stream, stream, uniform};
use crownhold::types::{Area, Money, Tactic};
use crownhold_plan::{SolveSetting, foresee, solve};
use proptest::prelude::*;

use crate::brute::set_up;
use crate::city;

const SPRINGS: usize = 3;

fn waits(tactic: Tactic) -> bool {
    matches!(tactic, Tactic::Bands | Tactic::GroundBtk)
}

fn now(block: &BlockOptions, option: usize) -> Vec<Tactic> {
    block.options[option].bundle.tactics().iter().copied().filter(|&t| !waits(t)).collect()
}

/// A small city whose only limit is money, and its springs.
fn invented(seed: u64) -> (Options, Limits, Vec<Options>) {
    let mut rng = stream(seed, "springs", 0);
    let (mut options, limits) = city::realistic(seed, 4);
    for block in &mut options.blocks {
        block.options.iter_mut().for_each(|o| o.labour.clear());
        // Fewer options, so that all Februaries can be tried.
        block.options.retain(|o| !o.bundle.has(Tactic::AerialTwice));
    }
    let dearest: f64 = options.blocks.iter().flat_map(|b| b.options.last()).map(|o| o.cost.as_dollars()).sum();
    let budget = Some(Money::dollars((dearest * (0.1 + 0.5 * uniform(&mut rng))).round()));
    let limits = Limits { budget, most_sprayed: None, hours: Vec::new(), crew_wage: limits.crew_wage };
    let (options, limits) = city::on_the_ground((options, limits), seed, [30.0, 600.0, 12.0]);
    let springs = (0..SPRINGS).map(|_| seen(&options, &mut rng)).collect();
    (options, limits, springs)
}

/// The same city where it turned out better or worse.
fn seen(options: &Options, rng: &mut Stream) -> Options {
    let mut seen = options.clone();
    for block in &mut seen.blocks {
        let worse = 2.0 * uniform(rng);
        block.options.iter_mut().for_each(|o| o.chance_over = (o.chance_over * worse).min(1.0));
    }
    seen
}

/// Least hectares beyond the accepted chances in a spring, February being given; `None` where it costs too much.
fn spring(options: &Options, february: &[usize], dollars: f64) -> Option<f64> {
    let (mut money, mut harm, mut steps) = (dollars - set_up(options, february)?, 0.0, Vec::new());
    for (block, &chosen) in options.blocks.iter().zip(february) {
        let point = |o: usize| {
            let beyond = (block.options[o].chance_over - block.accepted_chance).max(0.0);
            (block.options[o].cost.as_dollars(), block.host_area.as_hectares() * beyond)
        };
        let open = |&o: &usize| block.options[o].allowed() && now(block, o) == now(block, chosen);
        let points: Vec<(f64, f64)> = (0..block.options.len()).filter(open).map(point).collect();
        let mut at = points.iter().copied().min_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)))?;
        money -= at.0;
        harm += at.1;
        let slope = |from: (f64, f64), to: (f64, f64)| (from.1 - to.1) / (to.0 - from.0);
        while let Some(next) = points
            .iter()
            .copied()
            .filter(|p| p.0 > at.0 && p.1 < at.1)
            .max_by(|a, b| slope(at, *a).total_cmp(&slope(at, *b)))
        {
            steps.push((slope(at, next), next.0 - at.0));
            at = next;
        }
    }
    steps.sort_by(|a, b| b.0.total_cmp(&a.0));
    if money < -1e-6 {
        return None;
    }
    for (gain, cost) in steps {
        let spent = cost.min(money.max(0.0));
        harm -= gain * spent;
        money -= spent;
    }
    Some(harm)
}

/// The least mean harm over all Februaries.
fn best(options: &Options, springs: &[Options], dollars: f64) -> f64 {
    let firsts: Vec<Vec<usize>> = options
        .blocks
        .iter()
        .map(|b| {
            let allowed = (0..b.options.len()).filter(|&o| b.options[o].allowed());
            let first = |&o: &usize| (0..o).all(|e| !b.options[e].allowed() || now(b, e) != now(b, o));
            allowed.filter(first).collect()
        })
        .collect();
    let mut counter = vec![0; firsts.len()];
    let mut best = f64::INFINITY;
    loop {
        let february: Vec<usize> = counter.iter().zip(&firsts).map(|(&n, all)| all[n]).collect();
        let harms: Option<Vec<f64>> = springs.iter().map(|s| spring(s, &february, dollars)).collect();
        best = best.min(harms.map_or(f64::INFINITY, |h| h.iter().sum::<f64>() / h.len() as f64));
        let Some(b) = (0..counter.len()).find(|&b| counter[b] + 1 < firsts[b].len()) else { return best };
        counter[b] += 1;
        counter[..b].fill(0);
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(40))]
    #[test]
    fn february_is_the_best_of_all(seed in any::<u64>()) {
        let (options, limits, springs) = invented(seed);
        let exact = SolveSetting { gap: 0.0, ..SolveSetting::default() };
        let start = solve(&options, &limits, &exact).unwrap();
        let begun = SolveSetting { start: Some(&start), ..exact };
        let found = foresee(&options, &limits, &springs, waits, &begun).unwrap();
        prop_assert_eq!(check(&found.plan, &options, &limits), Vec::<String>::new());
        let best = best(&options, &springs, limits.budget.unwrap().as_dollars());
        // Between plans alike, area flown and money have a small weight.
        let ground: Area = options.blocks.iter().map(|b| b.options.iter().map(|o| o.sprayed).fold(Area::ZERO, Area::max)).sum();
        let room = 1e-6 + 2e-4 * ground.as_hectares();
        prop_assert!(found.harm > best - 1e-6 && found.harm < best + room, "{} ha, best {best}", found.harm);
        // What is planned is what was found: no spring does better with other flights.
        let february: Vec<usize> = found.plan.blocks.iter().map(|b| b.option).collect();
        let dollars = limits.budget.unwrap().as_dollars();
        let again: f64 = springs.iter().map(|s| spring(s, &february, dollars).unwrap()).sum::<f64>() / SPRINGS as f64;
        prop_assert!((again - found.harm).abs() < room, "{again} instead of {}", found.harm);
    }
}

/// Two blocks, money for flying one of them or for banding whichever turns out badly: February flies none when spring can tell.
#[test]
fn money_waits_when_spring_can_tell() {
    let (mut options, _) = city::realistic(3, 2);
    for block in &mut options.blocks {
        (block.host_area, block.accepted_chance) = (Area::hectares(10.0), 0.0);
        block.options.retain(|o| matches!(o.bundle.tactics(), [] | [Tactic::Bands] | [Tactic::AerialOnce]));
        for option in &mut block.options {
            option.barred.clear();
            option.labour.clear();
            let (cost, chance) = if option.bundle.flies() { (1_000.0, 0.2) } else { (900.0, 0.2) };
            let watch = option.bundle.tactics().is_empty();
            (option.cost, option.chance_over) = if watch { (Money::ZERO, 0.5) } else { (Money::dollars(cost), chance) };
        }
    }
    let limits =
        Limits { budget: Some(Money::dollars(1_000.0)), most_sprayed: None, hours: Vec::new(), crew_wage: Money::ZERO };
    let turned_out = |bad: usize| {
        let mut seen = options.clone();
        seen.blocks[1 - bad].options.iter_mut().for_each(|o| o.chance_over = 0.0);
        seen.blocks[bad]
            .options
            .iter_mut()
            .for_each(|o| o.chance_over = if o.bundle.flies() { 0.0 } else { 2.0 * o.chance_over });
        seen
    };
    let springs = [turned_out(0), turned_out(1)];
    let found = foresee(&options, &limits, &springs, waits, &SolveSetting::default()).unwrap();
    assert!(found.plan.blocks.iter().all(|b| !b.bundle.flies()));
    // Bands take 1.0 to 0.4 on the bad block of each spring; flying one of them would leave 10 hectares of the other in half of the springs.
    assert!((found.harm - 4.0).abs() < 1e-6, "{}", found.harm);
}
