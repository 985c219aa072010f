//! How widely and how far densities vary, and how clumped the counts are: the doubt about all four, by importance
//! sampling around the most likely values.
//!
//! Coordinates are logarithms in units of their priors' standard deviations, so that the prior is a standard normal.

use rayon::prelude::*;

use super::kernel::{Hyper, Levels, Pairs, Site};
use super::laplace::{Counted, mode};
use crate::types::chance::normal_quantile;

/// Median and log standard deviation of each prior.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HyperPriors {
    /// Spread of the smooth part.
    pub spread: (f64, f64),
    /// Its length, metres.
    pub length: (f64, f64),
    /// Spread of blocks.
    pub block: (f64, f64),
    /// Dispersion.
    pub k: (f64, f64),
}

const DIMENSIONS: usize = 4;
type Point = [f64; DIMENSIONS];

impl HyperPriors {
    fn hyper(&self, z: &Point) -> Hyper {
        let at = |(median, sd): (f64, f64), z: f64| median * libm::exp(sd * z);
        Hyper {
            spread: at(self.spread, z[0]),
            length: at(self.length, z[1]),
            block: at(self.block, z[2]),
            k: at(self.k, z[3]),
        }
    }
}

/// Counts, where they were made, and the priors.
#[derive(Clone, Copy)]
pub struct Task<'a> {
    /// Counts.
    pub counts: &'a [Counted],
    /// Their places.
    pub sites: &'a [Site],
    /// Pairs of these.
    pub pairs: &'a Pairs,
    /// Priors of the levels.
    pub levels: &'a Levels,
    /// Priors of the rest.
    pub priors: &'a HyperPriors,
}

/// One set of values with its share of the posterior.
#[derive(Clone, Debug)]
pub struct Weighted {
    /// The values.
    pub hyper: Hyper,
    /// Share.
    pub weight: f64,
    /// Mode of the log densities at the plots.
    pub mode: Vec<f64>,
}

struct Tried {
    z: Point,
    log_posterior: f64,
    mode: Vec<f64>,
}

/// The four values are learned from up to so many plots.
const FEW: usize = 500;
const FIRST_LOOK: usize = 24;
const PROPOSED: usize = 64;
/// Sets of values that stand for the posterior.
const SETS: usize = 16;
/// Largest last step of a log density: Newton's method squares it, so that what is left is a ten-thousandth.
const TOLERANCE: f64 = 0.01;
/// The proposal is a little wider than the posterior's curvature says.
const WIDER: f64 = 1.3;
/// Bounds of a coordinate's width: no narrower than a quarter of the prior, no wider than it.
const WIDTHS: (f64, f64) = (0.25, 1.0);

impl Task<'_> {
    fn try_at(&self, z: Point, start: &[f64]) -> Option<Tried> {
        let hyper = self.priors.hyper(&z);
        let found = mode(self.counts, &self.pairs.among(&hyper), self.levels.centre, hyper.k, start, TOLERANCE)?;
        let prior: f64 = z.iter().map(|v| -0.5 * v * v).sum();
        Some(Tried { z, log_posterior: found.log_marginal + prior, mode: found.at })
    }

    fn try_all(&self, points: &[Point], start: &[f64]) -> Vec<Tried> {
        points.par_iter().filter_map(|z| self.try_at(*z, start)).collect()
    }

    /// Every plot at the level of all together.
    fn level_start(&self) -> Vec<f64> {
        let masses: f64 = self.counts.iter().map(|c| c.masses).sum();
        let area: f64 = self.counts.iter().map(|c| c.area).sum();
        vec![libm::log((masses + 0.5) / area); self.counts.len()]
    }

    /// The best of a first look over the priors.
    fn first_look(&self) -> Option<Tried> {
        let points: Vec<Point> = (1..=FIRST_LOOK).map(|i| halton(i).map(normal_quantile)).collect();
        best(self.try_all(&points, &self.level_start()))
    }

    /// Goes uphill one coordinate after the other by parabolas; gives the widths that their curvature shows.
    fn climb(&self, mut at: Tried, steps: &[f64]) -> (Tried, Point) {
        let mut widths = [WIDTHS.1; DIMENSIONS];
        for step in steps {
            for (d, width) in widths.iter_mut().enumerate() {
                let shifted = |by: f64| {
                    let mut z = at.z;
                    z[d] += by;
                    z
                };
                let sides = self.try_all(&[shifted(-step), shifted(*step)], &at.mode);
                let [low, high] = &sides[..] else { continue };
                let bend = (2.0 * at.log_posterior - low.log_posterior - high.log_posterior) / (step * step);
                if bend > 0.0 {
                    *width = (1.0 / bend.sqrt()).clamp(WIDTHS.0, WIDTHS.1);
                }
                let slope = (high.log_posterior - low.log_posterior) / (2.0 * step);
                let target =
                    if bend > 0.0 { (slope / bend).clamp(-2.0 * step, 2.0 * step) } else { slope.signum() * step };
                let tip = self.try_at(shifted(target), &at.mode);
                let all = sides.into_iter().chain(tip).filter(|t| t.log_posterior > at.log_posterior);
                if let Some(better) = best(all.collect()) {
                    at = better;
                }
            }
        }
        (at, widths)
    }
}

fn best(tried: Vec<Tried>) -> Option<Tried> {
    tried.into_iter().max_by(|a, b| a.log_posterior.total_cmp(&b.log_posterior))
}

/// Values that stand for the posterior, all with the same share; `None` when no values fit at all.
///
/// Of more plots than `FEW` an even part is used for these four values; the densities always rest on all plots.
pub fn explore(task: &Task<'_>) -> Option<Vec<Weighted>> {
    let stride = task.counts.len().div_ceil(FEW);
    let counts: Vec<Counted> = task.counts.iter().step_by(stride).copied().collect();
    let sites: Vec<Site> = task.sites.iter().step_by(stride).cloned().collect();
    let own = (stride > 1).then(|| Pairs::new(&sites, task.levels));
    let part = Task { counts: &counts, sites: &sites, pairs: own.as_ref().unwrap_or(task.pairs), ..*task };
    let picked = part.pick(if stride == 1 { SETS } else { SETS / 2 })?;
    if stride == 1 {
        let weighted = |(t, weight): (Tried, f64)| Weighted { hyper: task.priors.hyper(&t.z), weight, mode: t.mode };
        return Some(picked.into_iter().map(weighted).collect());
    }
    // The sets lie near each other, so that one mode is a good start for all others.
    let start = task.try_at(picked[0].0.z, &task.level_start())?.mode;
    let whole = |(t, weight): &(Tried, f64)| {
        let hyper = task.priors.hyper(&t.z);
        task.try_at(t.z, &start).map(|t| Weighted { hyper, weight: *weight, mode: t.mode })
    };
    picked.par_iter().map(whole).collect()
}

impl Task<'_> {
    /// So many sets of values, drawn from the posterior by importance sampling around its top and systematic resampling.
    fn pick(&self, number: usize) -> Option<Vec<(Tried, f64)>> {
        let (top, widths) = self.climb(self.first_look()?, &[0.7, 0.4]);
        let proposed = |i: usize| {
            let u = halton(i).map(normal_quantile);
            std::array::from_fn(|d| top.z[d] + WIDER * widths[d] * u[d])
        };
        let points: Vec<Point> = (1..=PROPOSED).map(proposed).collect();
        let tried = self.try_all(&points, &top.mode);
        let proposal = |z: &Point| -> f64 {
            let part = |d: usize| {
                let u = (z[d] - top.z[d]) / (WIDER * widths[d]);
                -0.5 * u * u
            };
            (0..DIMENSIONS).map(part).sum()
        };
        let logs: Vec<f64> = tried.iter().map(|t| t.log_posterior - proposal(&t.z)).collect();
        let times = resampled(&truncated(&logs)?, number);
        let share = |n: usize| n as f64 / number as f64;
        Some(tried.into_iter().zip(times).filter(|(_, n)| *n > 0).map(|(t, n)| (t, share(n))).collect())
    }
}

/// How often each of the shares comes up in `number` evenly spaced looks.
fn resampled(shares: &[f64], number: usize) -> Vec<usize> {
    let (mut run, mut before) = (0.0, 0);
    let mut times: Vec<usize> = shares
        .iter()
        .map(|share| {
            run += share * number as f64;
            let until = (run + 0.5).floor() as usize;
            let mine = until - before;
            before = until;
            mine
        })
        .collect();
    // Rounding of the sum may cost the last look.
    if let (Some(last), true) = (times.iter_mut().rev().find(|n| **n > 0), before < number) {
        *last += number - before;
    }
    times
}

/// Shares from log weights, none of them more than the root of their number times the mean one (Ionides 2008), so that
/// one lucky point does not stand for all.
fn truncated(logs: &[f64]) -> Option<Vec<f64>> {
    let most = logs.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    if !most.is_finite() {
        return None;
    }
    let raw: Vec<f64> = logs.iter().map(|l| libm::exp(l - most)).collect();
    let mean = raw.iter().sum::<f64>() / raw.len() as f64;
    let cut: Vec<f64> = raw.iter().map(|w| w.min(mean * (raw.len() as f64).sqrt())).collect();
    let sum: f64 = cut.iter().sum();
    Some(cut.iter().map(|w| w / sum).collect())
}

/// Point `i` of Halton's sequence: evenly spread, the same every time.
fn halton(i: usize) -> Point {
    [2, 3, 5, 7].map(|base| {
        let (mut rest, mut scale, mut value) = (i, 1.0, 0.0);
        while rest > 0 {
            scale /= base as f64;
            value += scale * (rest % base) as f64;
            rest /= base;
        }
        value
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn halton_and_shares() {
        assert_eq!(halton(1), [0.5, 1.0 / 3.0, 0.2, 1.0 / 7.0]);
        assert_eq!(halton(6)[0], 0.375);
        let Some(shares) = truncated(&[0.0, -1_000.0, -1_000.0, -1_000.0]) else { panic!("shares") };
        assert!((shares[0] - 1.0).abs() < 1e-12);
        assert!(truncated(&[]).is_none());
        assert_eq!(resampled(&[0.5, 0.01, 0.49], 16), [8, 0, 8]);
        assert_eq!(resampled(&[1.0 / 3.0; 3], 16).iter().sum::<usize>(), 16);
    }
}
