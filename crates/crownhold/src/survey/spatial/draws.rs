//! Joint draws of the density of every block.
//!
//! Log densities at the plots are drawn from the normal law around their mode and then led to the true posterior by
//! elliptical slice sampling (Murray, Adams & MacKay 2010) with that law in the prior's place: what is left of the
//! likelihood is a sum over plots. The rest of the ground follows from them.

use rand::RngExt;
use rayon::prelude::*;

use super::hyper::{Task, Weighted};
use super::kernel::{Pairs, Site};
use super::lanes::{exp_all, ln_all};
use super::laplace::{Counted, derivatives, with_noise};
use super::linear::{Lower, Matrix, mirrored, scale_rows};
use crate::types::chance::{Stream, stream, uniform};

/// Slice steps of every draw: the law around the mode is a near start. Eight times as many moved the share of truths below
/// the high end of 90 % ranges by less than half a percent (100 invented cities).
const SLICES: usize = 8;
/// Above so many plots the law around the mode is so near that few steps do.
const MANY: usize = 1_000;

/// Factors of one product: each lies between 1e-2 and 1e30, so that none overflows.
const GROUP: usize = 8;

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
    let covariance = pairs.lower(&one.hyper);
    let factor = Lower::of(&covariance)?;
    let law = Law { covariance: mirrored(covariance.as_ref().submatrix(0, 0, n, n)), factor: factor.leading(n) };
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
        let mut here = vec![0.0; own.len()];
        let mut density = |j| {
            let logs = &ground.col_as_slice(j)[rows.clone()];
            here.iter_mut().zip(logs).for_each(|(h, g)| *h = task.levels.centre + g);
            exp_all(&mut here);
            here.iter().sum::<f64>()
        };
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
    let mut state = pool.as_ref().subcols(0, number).to_owned();
    let mut room = Room::default();
    let mut left_out: Vec<f64> = (0..number)
        .map(|j| {
            room.moved.clear();
            room.moved.extend_from_slice(state.col_as_slice(j));
            around.left_out(&mut room)
        })
        .collect();
    // Each step mixes two draws of a pool that this one has not met: as good as a fresh one, for a part of the work.
    for slice in 0..slices {
        for (j, left) in left_out.iter_mut().enumerate() {
            let met = |step: usize| pool.col_as_slice(number + (j + step) % pool_size);
            let two = [met(2 * slice), met(2 * slice + 1)];
            *left = around.slice(state.col_as_slice_mut(j), *left, two, &mut room, rng);
        }
    }
    Some(Matrix::from_fn(counts.len(), number, |i, j| one.mode[i] + state[(i, j)]))
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
            let cells = look.col_as_slice_mut(j).iter_mut().zip(prior.col_as_slice(j));
            cells.zip(&root).for_each(|((cell, p), r)| *cell += r * p);
        }
        noisy.solve(&mut look);
        noisy.solve_transposed(&mut look);
        scale_rows(&mut look, &root);
        Some(prior - &self.covariance * &look)
    }
}

/// What the normal law around the mode leaves out of the likelihood.
struct Around {
    k: f64,
    /// Of each plot.
    mean: Vec<f64>,
    /// Of each plot: what a deviation adds beside the logarithms, once and squared.
    once: Vec<f64>,
    squared: Vec<f64>,
    /// Plots with masses, and those without.
    filled: Vec<usize>,
    empty: Vec<usize>,
    /// Factors before the logarithms: of filled plots, then of groups of empty ones.
    factors: Vec<f64>,
    curvature: Vec<f64>,
}

/// Room for the numbers of one step.
#[derive(Default)]
struct Room {
    moved: Vec<f64>,
    means: Vec<f64>,
    logs: Vec<f64>,
}

impl Around {
    fn mode(counts: &[Counted], mode: &[f64], k: f64) -> Self {
        let (slope, curvature): (Vec<f64>, Vec<f64>) =
            counts.iter().zip(mode).map(|(c, f)| derivatives(*c, *f, k)).unzip();
        let (filled, empty): (Vec<usize>, Vec<usize>) = (0..counts.len()).partition(|i| counts[*i].masses > 0.0);
        let factors = filled.iter().map(|i| counts[*i].masses + k).chain(empty.chunks(GROUP).map(|_| k)).collect();
        Self {
            k,
            mean: counts.iter().zip(mode).map(|(c, f)| c.area * libm::exp(*f)).collect(),
            once: counts.iter().zip(slope).map(|(c, s)| c.masses - s).collect(),
            squared: curvature.iter().map(|w| 0.5 * w).collect(),
            filled,
            empty,
            factors,
            curvature,
        }
    }

    /// At `room.moved`, but for a constant. Empty plots, most of them all, have the same factor before their logarithms: of
    /// several one is enough.
    fn left_out(&self, room: &mut Room) -> f64 {
        let Room { moved, means, logs } = room;
        means.clone_from(moved);
        exp_all(means);
        means.iter_mut().zip(&self.mean).for_each(|(m, mean)| *m = self.k + *m * mean);
        logs.clear();
        logs.extend(self.filled.iter().map(|i| means[*i]));
        logs.extend(self.empty.chunks(GROUP).map(|group| group.iter().map(|i| means[*i]).product::<f64>()));
        ln_all(logs);
        let fit = moved.iter().zip(&self.once).zip(&self.squared);
        let fit: f64 = fit.map(|((g, once), squared)| (once + squared * g) * g).sum();
        fit - logs.iter().zip(&self.factors).map(|(log, factor)| factor * log).sum::<f64>()
    }

    /// One slice step of a draw, on the ellipse through it and a mixture of two draws. `now` is what is left out of the
    /// likelihood at the draw; gives what it is after the step.
    fn slice(&self, draw: &mut [f64], now: f64, [a, b]: [&[f64]; 2], room: &mut Room, rng: &mut Stream) -> f64 {
        use std::f64::consts::TAU;
        let (sin, cos) = libm::sincos(TAU * uniform(rng));
        let other: Vec<f64> = a.iter().zip(b).map(|(a, b)| cos * a + sin * b).collect();
        let level = now + libm::log(uniform(rng));
        let mut angle = TAU * uniform(rng);
        let (mut low, mut high) = (angle - TAU, angle);
        // The bracket closes on the state itself, which is above the level.
        for _ in 0..60 {
            let (sin, cos) = libm::sincos(angle);
            room.moved.clear();
            room.moved.extend(draw.iter().zip(&other).map(|(g, o)| g * cos + o * sin));
            let there = self.left_out(room);
            if there > level {
                draw.copy_from_slice(&room.moved);
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
