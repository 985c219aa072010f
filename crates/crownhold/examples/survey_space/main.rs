//! The spatial count model on invented cities, whose truth is known.
//!
//! `survey_space coverage CITIES [LAW]`: how often 90 % ranges hold the true density of a block; LAW is `own` (the model's
//! smooth law), `rough` (exponential) or `steps` (no smooth part, blocks only). `survey_space time PLOTS BLOCKS DRAWS`:
//! seconds of the whole fit with draws. `survey_space next SEASONS`: what plots chosen by their worth save against plots
//! where the range is widest. `survey_space fixed`: one small city with its mode for fixed values, for outside
//! programs, as JSON; `fixed-draws`: draws for it.

#![allow(clippy::print_stdout)]

mod city;

use std::time::Instant;

use crownhold::survey::next::{Stake, worth};
use crownhold::survey::spatial::hyper::HyperPriors;
use crownhold::survey::spatial::kernel::{Hyper, Levels};
use crownhold::survey::spatial::laplace::Counted;
use crownhold::survey::spatial::{Spatial, fixed, fixed_draws};
use crownhold::types::Draws;
use crownhold::types::chance::{stream, uniform};
use crownhold::types::draws::{mean, quantile};
use rayon::prelude::*;

use crate::city::{City, Law, Making, PLOT, SIDE, city, count};

const LEVELS: Levels = Levels { centre: -2.785, common: 2.0, stratum: 0.7, covariate: 0.4 };
const PRIORS: HyperPriors = HyperPriors { spread: (0.7, 0.7), length: (450.0, 0.8), block: (0.45, 0.7), k: (1.0, 0.8) };
const FIXED: Hyper = Hyper { spread: 0.8, length: 450.0, block: 0.5, k: 0.9 };

fn coverage(cities: u64, law: Law) {
    let making = Making { plots: 240, blocks: 180, law };
    let held: Vec<(f64, f64, f64)> = (0..cities)
        .into_par_iter()
        .filter_map(|seed| {
            let city = city(making, seed);
            let draws = Spatial::fit(&city.survey, LEVELS, PRIORS)?.draws(1_000, seed)?;
            let inside = |b: usize| {
                let (low, high) = (quantile(&draws[b], 0.05), quantile(&draws[b], 0.95));
                [f64::from(u8::from(low <= city.truth[b])), f64::from(u8::from(city.truth[b] <= high))]
            };
            let all: Vec<[f64; 2]> = (0..city.truth.len()).map(inside).collect();
            let share = |i: usize| mean(&all.iter().map(|x| x[i]).collect::<Vec<_>>());
            Some((share(0) + share(1) - 1.0, share(0), city.hyper.k))
        })
        .collect();
    let shares: Vec<f64> = held.iter().map(|h| h.0).collect();
    let middle = mean(&shares);
    let spread = (mean(&shares.iter().map(|s| (s - middle) * (s - middle)).collect::<Vec<_>>())).sqrt();
    let error = spread / (shares.len() as f64).sqrt();
    println!(
        "cities {} coverage {middle:.4} standard error {error:.4}; above the low end {:.4} (0.95), below the high end {:.4} (0.95)",
        shares.len(),
        mean(&held.iter().map(|h| h.1).collect::<Vec<_>>()),
        mean(&held.iter().map(|h| h.0 + 1.0 - h.1).collect::<Vec<_>>()),
    );
    for (low, high) in [(0.4, 0.7), (0.7, 1.2), (1.2, 2.0)] {
        let some: Vec<f64> = held.iter().filter(|h| (low..high).contains(&h.2)).map(|h| h.0).collect();
        println!("  k {low} to {high}: {:.4} in {} cities", mean(&some), some.len());
    }
}

/// Plots that each rule may add.
const ADDED: usize = 12;
/// Accepted chance of loss, and what a flight leaves of the larvae.
const ACCEPTED: f64 = 0.2;
const LEFT: f64 = 0.15;
/// Draws that choices are made on.
const CHOICE_DRAWS: usize = 500;

/// Chance of losing more than the tolerance at a density per hectare: a steep curve around 500 masses per acre.
fn chance_over(density: f64) -> f64 {
    let per_acre = density / 2.471_05;
    1.0 / (1.0 + libm::pow(500.0 / per_acre.max(1e-9), 2.0))
}

fn block_stakes(draws: &[Vec<f64>]) -> Vec<Stake> {
    let stake = |(block, draws): (usize, &Vec<f64>)| Stake {
        block,
        act: ACCEPTED,
        left: draws.iter().map(|d| chance_over(*d)).collect(),
        acted: draws.iter().map(|d| chance_over(LEFT * d)).collect(),
    };
    draws.iter().enumerate().map(stake).collect()
}

/// What the choices on these draws really cost, per hundred blocks.
fn real_cost(draws: &[Vec<f64>], truth: &[f64]) -> f64 {
    let costs = block_stakes(draws).into_iter().zip(truth).map(|(stake, density)| {
        let acts = ACCEPTED + mean(&stake.acted) < mean(&stake.left);
        if acts { ACCEPTED + chance_over(LEFT * density) } else { chance_over(*density) }
    });
    100.0 * costs.sum::<f64>() / truth.len() as f64
}

/// The same city with one more plot in each of these blocks.
fn with_plots(city: &City, blocks: &[usize], seed: u64) -> Option<Vec<Vec<f64>>> {
    let mut survey = city.survey.clone();
    for b in blocks {
        // The same luck in a block whichever rule asks for it.
        let mut rng = stream(seed, "example.more", *b as u64);
        let mut site = survey.points[*b][0].clone();
        site.place[0] += SIDE * 0.4 * uniform(&mut rng);
        site.place[1] += SIDE * 0.4 * uniform(&mut rng);
        let masses = count(city.truth[*b] / 10_000.0 * PLOT, city.hyper.k, &mut rng);
        survey.counts.push(Counted { masses, area: PLOT });
        survey.sites.push(site);
    }
    Spatial::fit(&survey, LEVELS, PRIORS)?.draws(CHOICE_DRAWS, seed)
}

/// Plots by what they are worth against plots where the range is widest, on cities whose truth is known.
fn next(seasons: u64) {
    let making = Making { plots: 160, blocks: 120, law: Law::Own };
    let found: Vec<[f64; 3]> = (0..seasons)
        .into_par_iter()
        .filter_map(|seed| {
            let city = city(making, 10_000 + seed);
            let fitted = Spatial::fit(&city.survey, LEVELS, PRIORS)?;
            let draws = fitted.draws(CHOICE_DRAWS, seed)?;
            let k = fitted.variation().k[1];
            let table = Draws::from_blocks(draws.clone(), CHOICE_DRAWS);
            let by = |score: &[f64]| -> Vec<usize> {
                let mut order: Vec<usize> = (0..draws.len()).collect();
                order.sort_by(|a, b| score[*b].total_cmp(&score[*a]));
                order.truncate(ADDED);
                order
            };
            let worths = worth(&table, &block_stakes(&draws), PLOT, k);
            let widths: Vec<f64> =
                (0..draws.len()).map(|b| libm::log(table.quantile(b, 0.95) / table.quantile(b, 0.05))).collect();
            Some([
                real_cost(&draws, &city.truth),
                real_cost(&with_plots(&city, &by(&widths), seed)?, &city.truth),
                real_cost(&with_plots(&city, &by(&worths), seed)?, &city.truth),
            ])
        })
        .collect();
    let tell = |name: &str, of: &dyn Fn(&[f64; 3]) -> f64| {
        let all: Vec<f64> = found.iter().map(of).collect();
        let middle = mean(&all);
        let spread = mean(&all.iter().map(|v| (v - middle) * (v - middle)).collect::<Vec<_>>()).sqrt();
        let half = 1.645 * spread / (all.len() as f64).sqrt();
        println!("{name}: {middle:.3} (90 % {:.3} to {:.3})", middle - half, middle + half);
    };
    println!("seasons {}, {ADDED} plots added to 160 in 120 blocks; cost per hundred blocks", found.len());
    tell("saved where the range is widest", &|f| f[0] - f[1]);
    tell("saved where it is worth most", &|f| f[0] - f[2]);
    tell("the second over the first", &|f| f[1] - f[2]);
}

#[allow(clippy::disallowed_methods, reason = "an example measures from outside the domain")]
fn time(plots: usize, blocks: usize, draws: usize) {
    let city = city(Making { plots, blocks, law: Law::Own }, 1);
    for _ in 0..3 {
        let start = Instant::now();
        let Some(fitted) = Spatial::fit(&city.survey, LEVELS, PRIORS) else { return println!("no fit") };
        let fit = start.elapsed().as_secs_f64();
        let Some(drawn) = fitted.draws(draws, 1) else { return println!("no draws") };
        let sum: f64 = drawn.iter().map(|d| mean(d)).sum();
        println!(
            "plots {plots} blocks {blocks} draws {draws}: fit {fit:.3} s, in all {:.3} s (sum {sum:.3})",
            start.elapsed().as_secs_f64()
        );
    }
}

fn print_fixed() {
    let city = city(Making { plots: 60, blocks: 36, law: Law::Own }, 7);
    let hyper = FIXED;
    let Some(found) = fixed(&city.survey, &LEVELS, &hyper) else { return println!("null") };
    let rows: Vec<String> = city
        .survey
        .sites
        .iter()
        .zip(&city.survey.counts)
        .map(|(s, c)| {
            format!(
                "[{:?}, {:?}, {}, {}, {:?}, {:?}, {:?}]",
                s.place[0], s.place[1], s.block, s.stratum, s.covariates[0], c.masses, c.area
            )
        })
        .collect();
    println!(
        "{{\"levels\": [{:?}, {:?}, {:?}, {:?}], \"hyper\": [{:?}, {:?}, {:?}, {:?}], \"plots\": [{}], \"mode\": {:?}, \"log_marginal\": {:?}}}",
        LEVELS.centre,
        LEVELS.common,
        LEVELS.stratum,
        LEVELS.covariate,
        hyper.spread,
        hyper.length,
        hyper.block,
        hyper.k,
        rows.join(", "),
        found.at,
        found.log_marginal
    );
}

/// 4,000 draws of the log density at the plots for the same city and values.
fn print_fixed_draws() {
    let city = city(Making { plots: 60, blocks: 36, law: Law::Own }, 7);
    let Some(drawn) = fixed_draws(&city.survey, &LEVELS, &FIXED, 4_000, 3) else { return println!("null") };
    println!("{drawn:?}");
}

fn main() {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let number = |at: usize, usual: usize| words.get(at).and_then(|a| a.parse().ok()).unwrap_or(usual);
    let law = match words.get(2).map(String::as_str) {
        Some("rough") => Law::Rough,
        Some("steps") => Law::Steps,
        _ => Law::Own,
    };
    match words.first().map(String::as_str) {
        Some("coverage") => coverage(number(1, 200) as u64, law),
        Some("time") => time(number(1, 240), number(2, 180), number(3, 1_000)),
        Some("next") => next(number(1, 50) as u64),
        Some("fixed-draws") => print_fixed_draws(),
        _ => print_fixed(),
    }
}
