//! Draws of every block's density: a three-level count model on grids.
//!
//! Counts on a plot of area a in block b: negative binomial with mean a·λ_b and dispersion k.
//! Block densities of a stratum: ln λ_b normal with mean μ and standard deviation τ.
//! Priors: μ wide around 250 masses per acre, τ half-normal, ln k from the parameter
//! `survey.k`. All three are integrated on grids, so that a block with few plots leans on its
//! stratum, a block with none is drawn from the stratum's own spread, and the doubt about k, μ and τ
//! is in every draw. Standard hierarchical Bayes; the choice of priors is an assumption of this program.
//!
//! Do not use it to extrapolate over space: neighbours share information only through their stratum.

use super::counts::PlotCount;
use super::negative_binomial::ln_probability;
use crate::types::chance::{stream, uniform};
use crate::types::quantity::SQUARE_METRES_PER_ACRE;

const DENSITY_CELLS: usize = 120;
/// Masses per hectare at both ends of the grid: from one mass in two hectares to ten times any outbreak on record here.
const DENSITY_RANGE: (f64, f64) = (0.5, 100_000.0);
const LEVEL_CELLS: usize = 33;
const SPREADS: [f64; 9] = [0.1, 0.25, 0.45, 0.7, 0.95, 1.25, 1.6, 2.0, 2.5];
const DISPERSIONS: usize = 15;
/// Ends of the grid of k: from far more clumped than any count on record here to nearly Poisson.
const DISPERSION_RANGE: (f64, f64) = (0.08, 8.0);

/// Priors of the model.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Priors {
    /// Dispersion: median and log standard deviation.
    pub k: (f64, f64),
    /// Stratum level: median (masses per acre) and log standard deviation.
    pub level: (f64, f64),
    /// Scale of the half-normal prior of the spread between blocks of a stratum (log scale).
    pub spread: f64,
}

/// The fitted model: posterior weights on its grids.
pub struct Posterior {
    log_density: Vec<f64>,
    k: Vec<f64>,
    k_weight: Vec<f64>,
    strata: Vec<Stratum>,
    /// Per block: its stratum and, per k, the likelihood over the density grid (`None` without plots).
    blocks: Vec<(usize, Option<Vec<Vec<f64>>>)>,
}

struct Stratum {
    /// Per k: posterior weight of each (level, spread) cell.
    cells: Vec<Vec<f64>>,
}

impl Posterior {
    /// Fits the model to plots; `stratum[b]` is the stratum number of block b.
    /// A stratum without plots takes the cells of all plots together.
    pub fn fit(plots: &[PlotCount], stratum: &[usize], priors: &Priors) -> Self {
        let log_density = grid(DENSITY_RANGE, DENSITY_CELLS);
        let k: Vec<f64> = grid(DISPERSION_RANGE, DISPERSIONS).into_iter().map(libm::exp).collect();
        let mut of_block = vec![Vec::new(); stratum.len()];
        for plot in plots {
            of_block[plot.block].push(plot);
        }
        let blocks: Vec<_> = of_block
            .iter()
            .zip(stratum)
            .map(|(plots, s)| (*s, (!plots.is_empty()).then(|| likelihoods(plots, &k, &log_density))))
            .collect();
        let prior = cell_prior(priors, &log_density);
        let strata_count = stratum.iter().max().map_or(0, |m| m + 1);
        let members = |s: Option<usize>| -> Vec<&Vec<Vec<f64>>> {
            blocks.iter().filter(|(b, _)| s.is_none_or(|s| *b == s)).filter_map(|(_, l)| l.as_ref()).collect()
        };
        let everything = fit_stratum(&members(None), &prior, k.len());
        let mut k_log: Vec<f64> = k
            .iter()
            .map(|k| {
                let z = libm::log(k / priors.k.0) / priors.k.1;
                -0.5 * z * z
            })
            .collect();
        let strata = (0..strata_count)
            .map(|s| {
                let own = members(Some(s));
                let fitted = if own.is_empty() { everything.clone() } else { fit_stratum(&own, &prior, k.len()) };
                if !own.is_empty() {
                    k_log.iter_mut().zip(&fitted.1).for_each(|(a, b)| *a += b);
                }
                Stratum { cells: fitted.0 }
            })
            .collect();
        Self { k_weight: weights_from_logs(&k_log), log_density, k, strata, blocks }
    }

    /// Mean-like centre and 5-95 % range of k.
    pub fn dispersion(&self) -> (f64, (f64, f64)) {
        let at = |p: f64| self.k[pick(&self.k_weight, p)];
        let centre = self.k.iter().zip(&self.k_weight).map(|(k, w)| w * libm::log(*k)).sum::<f64>();
        (libm::exp(centre), (at(0.05), at(0.95)))
    }

    /// Draws of every block, masses per hectare. Draw i of all blocks shares k, levels and spreads.
    pub fn draws(&self, draws: usize, seed: u64) -> Vec<Vec<f64>> {
        let shared: Vec<(usize, Vec<usize>)> = (0..draws)
            .map(|i| {
                let mut rng = stream(seed, "survey.levels", i as u64);
                let k = pick(&self.k_weight, uniform(&mut rng));
                (k, self.strata.iter().map(|s| pick(&s.cells[k], uniform(&mut rng))).collect())
            })
            .collect();
        let profiles = self.cell_profiles();
        (0..self.blocks.len())
            .map(|b| {
                let mut rng = stream(seed, "survey.blocks", b as u64);
                let (s, likelihood) = &self.blocks[b];
                shared
                    .iter()
                    .map(|(k, cells)| {
                        let profile = &profiles[cells[*s]];
                        let at = match likelihood {
                            Some(l) => pick_product(&l[*k], profile, uniform(&mut rng)),
                            None => pick(profile, uniform(&mut rng)),
                        };
                        let step = self.log_density[1] - self.log_density[0];
                        libm::exp(self.log_density[at] + step * (uniform(&mut rng) - 0.5))
                    })
                    .collect()
            })
            .collect()
    }

    fn cell_profiles(&self) -> Vec<Vec<f64>> {
        cells(&self.log_density).iter().map(|(level, spread)| profile(*level, *spread, &self.log_density)).collect()
    }
}

fn grid(range: (f64, f64), cells: usize) -> Vec<f64> {
    let (a, b) = (libm::log(range.0), libm::log(range.1));
    (0..cells).map(|i| a + (b - a) * i as f64 / (cells - 1) as f64).collect()
}

/// Every (level, spread) cell; levels span the density grid.
fn cells(log_density: &[f64]) -> Vec<(f64, f64)> {
    let (a, b) = (log_density[0] + 1.5, log_density[log_density.len() - 1] - 1.5);
    (0..LEVEL_CELLS)
        .flat_map(|i| SPREADS.map(|spread| (a + (b - a) * i as f64 / (LEVEL_CELLS - 1) as f64, spread)))
        .collect()
}

fn cell_prior(priors: &Priors, log_density: &[f64]) -> Vec<(Vec<f64>, f64)> {
    let centre = libm::log(priors.level.0 / SQUARE_METRES_PER_ACRE * 10_000.0);
    let widths: Vec<f64> = (0..SPREADS.len())
        .map(|i| {
            let low = if i == 0 { 0.0 } else { 0.5 * (SPREADS[i - 1] + SPREADS[i]) };
            let high = if i + 1 == SPREADS.len() { SPREADS[i] + 0.25 } else { 0.5 * (SPREADS[i] + SPREADS[i + 1]) };
            high - low
        })
        .collect();
    cells(log_density)
        .iter()
        .enumerate()
        .map(|(i, (level, spread))| {
            let z = (level - centre) / priors.level.1;
            let t = spread / priors.spread;
            (profile(*level, *spread, log_density), libm::exp(-0.5 * (z * z + t * t)) * widths[i % SPREADS.len()])
        })
        .collect()
}

/// Normal weights on the density grid, summing to 1.
fn profile(level: f64, spread: f64, log_density: &[f64]) -> Vec<f64> {
    let raw: Vec<f64> = log_density
        .iter()
        .map(|x| {
            let z = (x - level) / spread;
            libm::exp(-0.5 * z * z)
        })
        .collect();
    normalised(raw)
}

/// Per k, the likelihood of a block's counts over the density grid, scaled to a greatest value of 1;
/// the last entry of each row is the log of the scale.
fn likelihoods(plots: &[&PlotCount], k: &[f64], log_density: &[f64]) -> Vec<Vec<f64>> {
    k.iter()
        .map(|k| {
            let logs: Vec<f64> = log_density
                .iter()
                .map(|x| {
                    let per_m2 = libm::exp(*x) / 10_000.0;
                    plots.iter().map(|p| ln_probability(p.masses, per_m2 * p.area, *k)).sum()
                })
                .collect();
            let most = logs.iter().copied().fold(f64::NEG_INFINITY, f64::max);
            let mut row: Vec<f64> = logs.iter().map(|l| libm::exp(l - most)).collect();
            row.push(most);
            row
        })
        .collect()
}

/// Per k: cell weights, and the log marginal likelihood.
fn fit_stratum(blocks: &[&Vec<Vec<f64>>], prior: &[(Vec<f64>, f64)], k: usize) -> (Vec<Vec<f64>>, Vec<f64>) {
    (0..k)
        .map(|j| {
            let logs: Vec<f64> = prior
                .iter()
                .map(|(profile, weight)| {
                    let fit: f64 = blocks
                        .iter()
                        .map(|b| {
                            let row = &b[j];
                            let dot: f64 = profile.iter().zip(row).map(|(p, l)| p * l).sum();
                            libm::log(dot.max(1e-300)) + row[DENSITY_CELLS]
                        })
                        .sum();
                    fit + libm::log(weight.max(1e-300))
                })
                .collect();
            let most = logs.iter().copied().fold(f64::NEG_INFINITY, f64::max);
            let sum: f64 = logs.iter().map(|l| libm::exp(l - most)).sum();
            (weights_from_logs(&logs), most + libm::log(sum))
        })
        .unzip()
}

fn weights_from_logs(logs: &[f64]) -> Vec<f64> {
    let most = logs.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    normalised(logs.iter().map(|l| libm::exp(l - most)).collect())
}

fn normalised(mut weights: Vec<f64>) -> Vec<f64> {
    let sum: f64 = weights.iter().sum();
    weights.iter_mut().for_each(|w| *w /= sum);
    weights
}

/// The cell at quantile `p` of weights that sum to 1.
fn pick(weights: &[f64], p: f64) -> usize {
    let mut run = 0.0;
    weights
        .iter()
        .position(|w| {
            run += w;
            run >= p
        })
        .unwrap_or(weights.len() - 1)
}

/// The cell at quantile `p` of the product of a likelihood row and a profile.
fn pick_product(likelihood: &[f64], profile: &[f64], p: f64) -> usize {
    let sum: f64 = profile.iter().zip(likelihood).map(|(a, b)| a * b).sum();
    let mut run = 0.0;
    profile
        .iter()
        .zip(likelihood)
        .position(|(a, b)| {
            run += a * b;
            run >= p * sum
        })
        .unwrap_or(profile.len() - 1)
}
