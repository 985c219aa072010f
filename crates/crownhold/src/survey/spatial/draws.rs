//! Joint draws of the density of every block.
//!
//! Log densities at the plots are drawn from the normal law around their mode and then led to the true posterior by
//! elliptical slice sampling (Murray, Adams & MacKay 2010) with that law in the prior's place: what is left of the
//! likelihood is a sum over plots. The rest of the ground follows from them.

use rand::RngExt;
use rayon::prelude::*;

use super::hyper::{Task, Weighted};
use super::kernel::{Pairs, Site};
use super::laplace::{Counted, derivatives, log_likelihood, with_noise};
use super::linear::{Lower, Matrix, scale_rows};
use crate::types::chance::{Stream, stream, uniform};

/// Slice steps of every draw: the law around the mode is a near start. Eight times as many moved the share of truths below
/// the high end of 90 % ranges by less than half a percent (100 invented cities).
const SLICES: usize = 8;
/// Above so many plots the law around the mode is so near that few steps do.
const MANY: usize = 1_000;

/// Factors of one product: each lies between 1e-2 and 1e30, so that none overflows.
const FACTORS: usize = 8;

/// Density draws of every block, masses per hectare. `points[b]` are the places that block b is averaged over.
/// `None` when a covariance cannot be factored.
pub fn draws(
    task: &Task<'_>,
    found: &[Weighted],
    points: &[Vec<Site>],
    number: usize,
    seed: u64,
) -> Option<Vec<Vec<f64>>> {
    let shares = share_out(found, number);
    let sites: Vec<Site> = task.sites.iter().chain(points.iter().flatten()).cloned().collect();
    let whole = Whole { pairs: &Pairs::new(&sites, task.levels), points };
    let parts: Option<Vec<Vec<Vec<f64>>>> = found
        .par_iter()
        .enumerate()
        .map(|(i, one)| of_one(task, one, &whole, shares[i], &mut stream(seed, "survey.space", i as u64)))
        .collect();
    let parts = parts?;
    let order = shuffled(number, &mut stream(seed, "survey.space.order", 0));
    let of_block = |b: usize| {
        let all: Vec<f64> = parts.iter().flat_map(|part| part[b].iter().copied()).collect();
        order.iter().map(|i| all[*i]).collect()
    };
    Some((0..points.len()).map(of_block).collect())
}

/// How many draws each set of values gets: by its share, with systematic resampling.
pub(super) fn share_out(found: &[Weighted], number: usize) -> Vec<usize> {
    let (mut run, mut given) = (0.0, 0);
    found
        .iter()
        .enumerate()
        .map(|(i, one)| {
            run += one.weight;
            let until =
                if i + 1 == found.len() { number } else { ((run * number as f64).round() as usize).min(number) };
            let mine = until - given;
            given = until;
            mine
        })
        .collect()
}

pub(super) fn shuffled(n: usize, rng: &mut Stream) -> Vec<usize> {
    let mut order: Vec<usize> = (0..n).collect();
    for i in (1..n).rev() {
        order.swap(i, rng.random_range(0..=i));
    }
    order
}

/// Plots and the places of all blocks.
struct Whole<'a> {
    /// Pairs of the plots, then of the places.
    pairs: &'a Pairs,
    points: &'a [Vec<Site>],
}

/// Block densities for one set of values: block by draw.
fn of_one(
    task: &Task<'_>,
    one: &Weighted,
    Whole { pairs, points }: &Whole<'_>,
    number: usize,
    rng: &mut Stream,
) -> Option<Vec<Vec<f64>>> {
    if number == 0 {
        return Some(vec![Vec::new(); points.len()]);
    }
    let n = task.sites.len();
    let covariance = pairs.among(&one.hyper);
    let factor = Lower::of(&covariance)?;
    let law = Law { covariance: covariance.as_ref().submatrix(0, 0, n, n).to_owned(), factor: factor.leading(n) };
    let at_plots = at_plots(task.counts, one, &law, number, rng)?;
    let mut deviation = Matrix::from_fn(n, number, |i, j| at_plots[(i, j)] - task.levels.centre);
    law.factor.solve(&mut deviation);
    let all = points.iter().map(Vec::len).sum::<usize>();
    let fresh = normals(all, number, rng);
    let whole = Matrix::from_fn(n + all, number, |i, j| if i < n { deviation[(i, j)] } else { fresh[(i - n, j)] });
    let ground = factor.times(&whole);
    let mut from = n;
    let of_block = |own: &Vec<Site>| {
        let rows = from..from + own.len();
        from = rows.end;
        let density = |j| rows.clone().map(|i| libm::exp(task.levels.centre + ground[(i, j)])).sum::<f64>();
        (0..number).map(|j| 10_000.0 * density(j) / own.len() as f64).collect()
    };
    Some(points.iter().map(of_block).collect())
}

/// Log densities at the plots: plot by draw.
fn at_plots(counts: &[Counted], one: &Weighted, law: &Law, number: usize, rng: &mut Stream) -> Option<Matrix> {
    let around = Around::mode(counts, &one.mode, one.hyper.k);
    let slices = if counts.len() > MANY { 6 } else { SLICES };
    let pool_size = number + 2 * slices;
    let pool = law.draws(&around.curvature, number + pool_size, rng)?;
    let n = counts.len();
    let mut state = Matrix::from_fn(n, number, |i, j| pool[(i, j)]);
    let mut left_out: Vec<f64> = (0..number).map(|j| around.left_out(|i| state[(i, j)])).collect();
    // Each step mixes two draws of a pool that this one has not met: as good as a fresh one, for a part of the work.
    for slice in 0..slices {
        for (j, left) in left_out.iter_mut().enumerate() {
            let met = |step: usize| number + (j + step) % pool_size;
            *left = around.slice(&mut state, *left, &pool, (j, met(2 * slice), met(2 * slice + 1)), rng);
        }
    }
    Some(Matrix::from_fn(n, number, |i, j| one.mode[i] + state[(i, j)]))
}

/// The same from the task alone.
pub(super) fn at_plots_of(task: &Task<'_>, one: &Weighted, number: usize, rng: &mut Stream) -> Option<Matrix> {
    let covariance = task.pairs.among(&one.hyper);
    let factor = Lower::of(&covariance)?;
    at_plots(task.counts, one, &Law { covariance, factor }, number, rng)
}

/// Log densities at the plots for one set of values: draw by plot.
pub(super) fn at_fixed(
    counts: &[Counted],
    covariance: Matrix,
    one: &Weighted,
    number: usize,
    seed: u64,
) -> Option<Vec<Vec<f64>>> {
    let factor = Lower::of(&covariance)?;
    let found = at_plots(counts, one, &Law { covariance, factor }, number, &mut stream(seed, "survey.space", 0))?;
    Some((0..number).map(|j| (0..counts.len()).map(|i| found[(i, j)]).collect()).collect())
}

/// Covariance at the plots and its factor.
struct Law {
    covariance: Matrix,
    factor: Lower,
}

impl Law {
    /// Draws from N(0, (K⁻¹ + W)⁻¹): a draw of the prior, corrected by a noisy look at itself (Matheron's rule).
    fn draws(&self, curvature: &[f64], number: usize, rng: &mut Stream) -> Option<Matrix> {
        let root: Vec<f64> = curvature.iter().map(|w| w.sqrt()).collect();
        let noisy = Lower::of(&with_noise(&self.covariance, &root))?;
        let prior = self.factor.times(&normals(root.len(), number, rng));
        let mut look = normals(root.len(), number, rng);
        for j in 0..number {
            for (i, r) in root.iter().enumerate() {
                look[(i, j)] += r * prior[(i, j)];
            }
        }
        noisy.solve(&mut look);
        noisy.solve_transposed(&mut look);
        scale_rows(&mut look, &root);
        Some(prior - &self.covariance * &look)
    }
}

/// What the normal law around the mode leaves out of the likelihood.
struct Around<'a> {
    counts: &'a [Counted],
    mode: &'a [f64],
    k: f64,
    value: Vec<f64>,
    slope: Vec<f64>,
    curvature: Vec<f64>,
}

impl<'a> Around<'a> {
    fn mode(counts: &'a [Counted], mode: &'a [f64], k: f64) -> Self {
        let value = counts.iter().zip(mode).map(|(c, f)| log_likelihood(*c, *f, k)).collect();
        let (slope, curvature) = counts.iter().zip(mode).map(|(c, f)| derivatives(*c, *f, k)).unzip();
        Self { counts, mode, k, value, slope, curvature }
    }

    /// Empty plots, most of them all, have the same factor before their logarithms: of several one is enough.
    fn left_out(&self, deviation: impl Fn(usize) -> f64) -> f64 {
        let (mut sum, mut product, mut factors) = (0.0, 1.0, 0);
        for (i, count) in self.counts.iter().enumerate() {
            let g = deviation(i);
            sum -= self.value[i] + self.slope[i] * g - 0.5 * self.curvature[i] * g * g;
            if count.masses > 0.0 {
                sum += log_likelihood(*count, self.mode[i] + g, self.k);
                continue;
            }
            product *= self.k + count.area * libm::exp(self.mode[i] + g);
            factors += 1;
            if factors % FACTORS == 0 {
                sum -= self.k * libm::log(product);
                product = 1.0;
            }
        }
        sum - self.k * libm::log(product)
    }

    /// One slice step of draw `j`, on the ellipse through it and a mixture of two draws. `now` is what is left out of the
    /// likelihood at the draw; gives what it is after the step.
    fn slice(
        &self,
        state: &mut Matrix,
        now: f64,
        pool: &Matrix,
        (j, a, b): (usize, usize, usize),
        rng: &mut Stream,
    ) -> f64 {
        use std::f64::consts::TAU;
        let (sin, cos) = libm::sincos(TAU * uniform(rng));
        let other: Vec<f64> = (0..self.counts.len()).map(|i| cos * pool[(i, a)] + sin * pool[(i, b)]).collect();
        let level = now + libm::log(uniform(rng));
        let mut angle = TAU * uniform(rng);
        let (mut low, mut high) = (angle - TAU, angle);
        // The bracket closes on the state itself, which is above the level.
        for _ in 0..60 {
            let (sin, cos) = libm::sincos(angle);
            let moved = |i: usize| state[(i, j)] * cos + other[i] * sin;
            let there = self.left_out(moved);
            if there > level {
                let next: Vec<f64> = (0..self.counts.len()).map(moved).collect();
                next.into_iter().enumerate().for_each(|(i, g)| state[(i, j)] = g);
                return there;
            }
            if angle < 0.0 {
                low = angle
            } else {
                high = angle
            }
            angle = low + (high - low) * uniform(rng);
        }
        now
    }
}

/// Standard normals, by Box and Muller's pairs.
fn normals(rows: usize, columns: usize, rng: &mut Stream) -> Matrix {
    let mut matrix = Matrix::zeros(rows, columns);
    let mut spare = None;
    for j in 0..columns {
        for i in 0..rows {
            matrix[(i, j)] = spare.take().unwrap_or_else(|| {
                let radius = (-2.0 * libm::log(uniform(rng))).sqrt();
                let (sin, cos) = libm::sincos(std::f64::consts::TAU * uniform(rng));
                spare = Some(radius * sin);
                radius * cos
            });
        }
    }
    matrix
}

#[cfg(test)]
mod tests {
    use super::super::kernel::Hyper;
    use super::*;

    #[test]
    fn every_draw_is_given_out() {
        let hyper = Hyper { spread: 1.0, length: 1.0, block: 1.0, k: 1.0 };
        let with = |weight| Weighted { hyper, weight, mode: Vec::new() };
        assert_eq!(share_out(&[with(0.26), with(0.0), with(0.74)], 10), [3, 0, 7]);
        let mut order = shuffled(50, &mut stream(1, "test", 0));
        assert_ne!(order, (0..50).collect::<Vec<_>>());
        order.sort_unstable();
        assert_eq!(order, (0..50).collect::<Vec<_>>());
    }
}
