//! The spatial count model on somebody else's data, so that other programs can be set against it. All from standard input,
//! numbers apart by blanks.
//!
//! `survey_others krige SPREAD LENGTH BLOCK COMMON CENTRE`: lines `x y value` and `? x y`; prints mean and standard deviation
//! of the value at the latter as JSON. Every line is a block of its own.
//! `survey_others score SEED LEVEL LENGTH`: lines `fold x y block stratum covariate masses area`; every fold is
//! forecast from all others. Prints ln of the chance given to each count, in order, as JSON. LEVEL is the density expected
//! beforehand, LENGTH the middle of the prior of how far densities go together.
//! `survey_others city SEED PLOTS BLOCKS FOLDS`: such lines for an invented city with known law (see `survey_space`).

#![allow(clippy::print_stdout)]

use std::io::Read as _;

use crownhold::survey::negative_binomial::ln_probability;
use crownhold::survey::spatial::hyper::HyperPriors;
use crownhold::survey::spatial::kernel::{Hyper, Levels, Site};
use crownhold::survey::spatial::laplace::Counted;
use crownhold::survey::spatial::places::kriged;
use crownhold::survey::spatial::{Spatial, Survey};
use crownhold::types::draws::mean;
use rayon::prelude::*;

#[path = "survey_space/city.rs"]
#[allow(dead_code)]
mod city;

/// Draws behind every forecast.
const DRAWS: usize = 2_000;

fn main() {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let numbers: Vec<f64> = words.iter().skip(1).filter_map(|w| w.parse().ok()).collect();
    let done = match (words.first().map(String::as_str), numbers.as_slice()) {
        (Some("krige"), [spread, length, block, common, centre]) => {
            krige(*common, *centre, Hyper { spread: *spread, length: *length, block: *block, k: 1.0 })
        }
        (Some("score"), [seed, level, length]) => score(*seed as u64, *level, *length),
        (Some("city"), [seed, plots, blocks, folds]) => {
            lines_of(*seed as u64, *plots as usize, *blocks as usize, *folds as usize);
            Some(())
        }
        _ => None,
    };
    if done.is_none() {
        eprintln!("see the head of this example for how it is called and what it reads");
        std::process::exit(2);
    }
}

fn read() -> Option<String> {
    let mut text = String::new();
    std::io::stdin().read_to_string(&mut text).ok()?;
    Some(text)
}

fn site(place: [f64; 2], block: usize) -> Site {
    Site { place, block, stratum: 0, covariates: Vec::new() }
}

fn krige(common: f64, centre: f64, hyper: Hyper) -> Option<()> {
    let (mut plots, mut values, mut places) = (Vec::new(), Vec::new(), Vec::new());
    for (n, line) in read()?.lines().enumerate() {
        let asked = line.trim_start().strip_prefix('?');
        let row: Vec<f64> = asked.unwrap_or(line).split_whitespace().map(|w| w.parse().ok()).collect::<Option<_>>()?;
        match (asked, row.as_slice()) {
            (Some(_), [x, y]) => places.push(site([*x, *y], n)),
            (None, [x, y, value]) => {
                plots.push(site([*x, *y], n));
                values.push(*value);
            }
            _ => return None,
        }
    }
    let levels = Levels { centre, common, stratum: 0.0, covariate: 0.0 };
    let found = kriged(&plots, &values, &places, &hyper, &levels)?;
    println!("{:?}", found.iter().map(|(m, sd)| [*m, *sd]).collect::<Vec<_>>());
    Some(())
}

fn score(seed: u64, level: f64, length: f64) -> Option<()> {
    let mut rows: Vec<(usize, Site, Counted)> = Vec::new();
    for line in read()?.lines() {
        let row: Vec<f64> = line.split_whitespace().map(|w| w.parse().ok()).collect::<Option<_>>()?;
        let [fold, x, y, block, stratum, covariate, masses, area] = row.as_slice() else { return None };
        let site =
            Site { place: [*x, *y], block: *block as usize, stratum: *stratum as usize, covariates: vec![*covariate] };
        rows.push((*fold as usize, site, Counted { masses: *masses, area: *area }));
    }
    let levels = Levels { centre: level.ln(), common: 2.0, stratum: 0.7, covariate: 0.4 };
    let priors = HyperPriors { spread: (0.7, 0.7), length: (length, 0.8), block: (0.45, 0.7), k: (1.0, 0.8) };
    let folds = rows.iter().map(|r| r.0).max()? + 1;
    let found: Vec<Vec<(usize, f64)>> =
        (0..folds).into_par_iter().map(|fold| of_fold(&rows, fold, levels, priors, seed)).collect::<Option<_>>()?;
    let mut all: Vec<(usize, f64)> = found.into_iter().flatten().collect();
    all.sort_by_key(|(n, _)| *n);
    println!("{:?}", all.iter().map(|(_, score)| *score).collect::<Vec<_>>());
    Some(())
}

fn of_fold(
    rows: &[(usize, Site, Counted)],
    fold: usize,
    levels: Levels,
    priors: HyperPriors,
    seed: u64,
) -> Option<Vec<(usize, f64)>> {
    let (kept, out): (Vec<_>, Vec<_>) = rows.iter().enumerate().partition(|(_, r)| r.0 != fold);
    let survey = Survey {
        counts: kept.iter().map(|(_, r)| r.2).collect(),
        sites: kept.iter().map(|(_, r)| r.1.clone()).collect(),
        points: Vec::new(),
    };
    let places: Vec<Site> = out.iter().map(|(_, r)| r.1.clone()).collect();
    let drawn = Spatial::fit(&survey, levels, priors)?.place_draws(&places, DRAWS, seed)?;
    let score = |(at, (n, row)): (usize, &(usize, &(usize, Site, Counted)))| {
        let Counted { masses, area } = row.2;
        let chances: Vec<f64> = drawn.density[at]
            .iter()
            .zip(&drawn.k)
            .map(|(density, k)| ln_probability(masses, area * density / 10_000.0, *k).exp())
            .collect();
        (*n, mean(&chances).ln())
    };
    Some(out.iter().enumerate().map(score).collect())
}

fn lines_of(seed: u64, plots: usize, blocks: usize, folds: usize) {
    let city = city::city(city::Making { plots, blocks, law: city::Law::Own }, seed);
    for (n, (site, count)) in city.survey.sites.iter().zip(&city.survey.counts).enumerate() {
        let ([x, y], covariate) = (site.place, site.covariates[0]);
        println!(
            "{} {x:.3} {y:.3} {} {} {covariate:.6} {} {}",
            n % folds,
            site.block,
            site.stratum,
            count.masses,
            count.area
        );
    }
}
