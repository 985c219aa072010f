//! Invented cities whose truth is known.

use crownhold::survey::negative_binomial::ln_probability;
use crownhold::survey::spatial::Survey;
use crownhold::survey::spatial::kernel::{Hyper, Site, matern32};
use crownhold::survey::spatial::laplace::Counted;
use crownhold::survey::spatial::linear::{Lower, Matrix, column, list};
use crownhold::types::chance::{Stream, normal, stream, uniform};
use crownhold::types::draws::mean;

/// Side of a block, metres, and of a plot's ground, square metres.
pub const SIDE: f64 = 350.0;
pub const PLOT: f64 = 101.171;

/// What a city is made with.
#[derive(Clone, Copy)]
pub struct Making {
    pub plots: usize,
    pub blocks: usize,
    pub law: Law,
}

#[derive(Clone, Copy, PartialEq)]
pub enum Law {
    Own,
    Rough,
    Steps,
}

pub struct City {
    pub survey: Survey,
    /// True density of every block, masses per hectare.
    pub truth: Vec<f64>,
    pub hyper: Hyper,
}

/// A city of square blocks with invented densities and counts.
pub fn city(making: Making, seed: u64) -> City {
    let mut rng = stream(seed, "example.city", 0);
    let between = |rng: &mut Stream, low: f64, high: f64| low * libm::pow(high / low, uniform(rng));
    let mut hyper = Hyper {
        spread: between(&mut rng, 0.4, 1.2),
        length: between(&mut rng, 200.0, 1_000.0),
        block: between(&mut rng, 0.2, 0.9),
        k: between(&mut rng, 0.4, 2.0),
    };
    if making.law == Law::Steps {
        hyper.spread = 0.0;
    }
    let wide = (making.blocks as f64).sqrt().ceil() as usize;
    let level = -2.785 + 0.7 * normal(&mut rng);
    let strata: Vec<f64> = (0..4).map(|_| 0.5 * normal(&mut rng)).collect();
    let slope = 0.4 * normal(&mut rng);
    let blocks: Vec<(usize, f64, f64)> = (0..making.blocks)
        .map(|_| ((uniform(&mut rng) * 4.0) as usize, normal(&mut rng), hyper.block * normal(&mut rng)))
        .collect();
    let site = |b: usize, x: f64, y: f64| Site {
        place: [((b % wide) as f64 + x) * SIDE, ((b / wide) as f64 + y) * SIDE],
        block: b,
        stratum: blocks[b].0,
        covariates: vec![blocks[b].1],
    };
    let inside = |n: usize, b: usize| -> Vec<Site> {
        let at = |i: usize| (i as f64 + 0.5) / n as f64;
        (0..n * n).map(|i| site(b, at(i % n), at(i / n))).collect()
    };
    let plots: Vec<Site> = (0..making.plots)
        .map(|i| {
            let b = if i < making.blocks / 2 { 2 * i } else { (uniform(&mut rng) * making.blocks as f64) as usize };
            site(b.min(making.blocks - 1), uniform(&mut rng), uniform(&mut rng))
        })
        .collect();
    let fine: Vec<Vec<Site>> = (0..making.blocks).map(|b| inside(3, b)).collect();
    let all: Vec<&Site> = plots.iter().chain(fine.iter().flatten()).collect();
    let smooth = smooth(&all, &hyper, making.law, &mut rng);
    let log_density =
        |s: &Site, smooth: f64| level + strata[s.stratum] + slope * s.covariates[0] + smooth + blocks[s.block].2;
    let counts = plots
        .iter()
        .enumerate()
        .map(|(i, s)| {
            let expected = PLOT * libm::exp(log_density(s, smooth[i]));
            Counted { masses: count(expected, hyper.k, &mut rng), area: PLOT }
        })
        .collect();
    let truth = (0..making.blocks)
        .map(|b| {
            let at = |j: usize| libm::exp(log_density(&fine[b][j], smooth[plots.len() + 9 * b + j]));
            10_000.0 * mean(&(0..9).map(at).collect::<Vec<_>>())
        })
        .collect();
    City {
        survey: Survey { counts, sites: plots, points: (0..making.blocks).map(|b| inside(2, b)).collect() },
        truth,
        hyper,
    }
}

/// The smooth part at all places.
fn smooth(all: &[&Site], hyper: &Hyper, law: Law, rng: &mut Stream) -> Vec<f64> {
    if law == Law::Steps {
        return vec![0.0; all.len()];
    }
    let covariance = Matrix::from_fn(all.len(), all.len(), |i, j| {
        let [a, b] = [all[i].place, all[j].place];
        let distance = libm::hypot(a[0] - b[0], a[1] - b[1]);
        let alike =
            if law == Law::Own { matern32(distance, hyper.length) } else { libm::exp(-distance / hyper.length) };
        hyper.spread * hyper.spread * alike + if i == j { 1e-8 } else { 0.0 }
    });
    let fresh: Vec<f64> = all.iter().map(|_| normal(rng)).collect();
    Lower::of(&covariance).map_or_else(Vec::new, |factor| list(&factor.times(&column(&fresh))))
}

/// A negative binomial count by inversion.
pub fn count(expected: f64, k: f64, rng: &mut Stream) -> f64 {
    let u = uniform(rng);
    let (mut y, mut run) = (0.0, 0.0);
    loop {
        run += libm::exp(ln_probability(y, expected, k));
        if run >= u || y > 5_000.0 {
            return y;
        }
        y += 1.0;
    }
}
