//! A model of counts over space: neighbours tell about each other.
//!
//! Masses on a plot of area a in place x of block b: negative binomial with mean a·exp(f) and dispersion k, where
//! f(x) = level + stratum + covariates + smooth part (Matérn 3/2) + block. The negative binomial's own spread is the
//! difference between plots of one block. All levels and effects are normal, so that f is one Gaussian process; its
//! mode is found by Newton's method ([`laplace`]), the doubt about the four values that say how densities vary is kept
//! by importance sampling ([`hyper`]), and draws are led from the normal law around the mode to the true posterior
//! ([`draws`]). Priors are parameters under `survey.space`; all are assumptions of this program or said to be others.
//!
//! Not in it: how far larvae blow, and counts that differ by who counted.

pub mod draws;
mod ground;
pub mod hyper;
pub mod kernel;
mod lanes;
pub mod laplace;
pub mod linear;
pub mod places;
pub mod town;

pub use ground::{cells_in, places_in};
pub use places::PlaceDraws;

use hyper::{HyperPriors, Task, Weighted, explore};
use kernel::{Levels, Pairs, Site};
use laplace::{Counted, mode};

/// Counts with their places, and the places that the blocks are averaged over.
#[derive(Clone, Debug)]
pub struct Survey {
    /// Counts.
    pub counts: Vec<Counted>,
    /// Where each was made.
    pub sites: Vec<Site>,
    /// Places of every block.
    pub points: Vec<Vec<Site>>,
}

/// The fitted model.
pub struct Spatial<'a> {
    survey: &'a Survey,
    levels: Levels,
    priors: HyperPriors,
    pairs: Pairs,
    found: Vec<Weighted>,
}

/// How densities vary, as far as the counts tell: 5 %, middle and 95 % points.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Variation {
    /// Log standard deviation of the smooth part.
    pub spread: [f64; 3],
    /// Its length, metres.
    pub length: [f64; 3],
    /// Log standard deviation of blocks around it.
    pub block: [f64; 3],
    /// Dispersion.
    pub k: [f64; 3],
    /// Plots without a mass, and how many the model expects, with the standard deviation of that.
    pub empty: (usize, f64, f64),
}

impl<'a> Spatial<'a> {
    /// Fits the model; `None` when no values of it fit the counts at all.
    pub fn fit(survey: &'a Survey, levels: Levels, priors: HyperPriors) -> Option<Self> {
        let pairs = Pairs::new(&survey.sites, &levels);
        let task =
            Task { counts: &survey.counts, sites: &survey.sites, pairs: &pairs, levels: &levels, priors: &priors };
        let found = explore(&task)?;
        Some(Self { survey, levels, priors, pairs, found })
    }

    fn task(&self) -> Task<'_> {
        let Self { survey: Survey { counts, sites, .. }, levels, priors, pairs, .. } = self;
        Task { counts, sites, pairs, levels, priors }
    }

    /// Joint draws of every block, masses per hectare; `None` when a covariance cannot be factored.
    pub fn draws(&self, number: usize, seed: u64) -> Option<Vec<Vec<f64>>> {
        draws::draws(&self.task(), &self.found, &self.survey.points, number, seed)
    }

    /// Draws of single places; `None` when a covariance cannot be factored.
    pub fn place_draws(&self, places: &[Site], number: usize, seed: u64) -> Option<PlaceDraws> {
        places::draws(&self.task(), &self.found, places, number, seed)
    }

    /// What was learned.
    pub fn variation(&self) -> Variation {
        let of = |value: &dyn Fn(&Weighted) -> f64| {
            let mut all: Vec<(f64, f64)> = self.found.iter().map(|w| (value(w), w.weight)).collect();
            all.sort_by(|a, b| a.0.total_cmp(&b.0));
            [0.05, 0.5, 0.95].map(|p| weighted_quantile(&all, p))
        };
        Variation {
            spread: of(&|w| w.hyper.spread),
            length: of(&|w| w.hyper.length),
            block: of(&|w| w.hyper.block),
            k: of(&|w| w.hyper.k),
            empty: self.empty(),
        }
    }

    /// Plots without a mass against what the model expects at the modes.
    fn empty(&self) -> (usize, f64, f64) {
        let counts = &self.survey.counts;
        let chance = |i: usize, w: &Weighted| {
            let mean = counts[i].area * libm::exp(w.mode[i]);
            libm::pow(1.0 + mean / w.hyper.k, -w.hyper.k)
        };
        let of_plot = |i: usize| self.found.iter().map(|w| w.weight * chance(i, w)).sum::<f64>();
        let chances: Vec<f64> = (0..counts.len()).map(of_plot).collect();
        let seen = counts.iter().filter(|c| c.masses == 0.0).count();
        (seen, chances.iter().sum(), chances.iter().map(|p| p * (1.0 - p)).sum::<f64>().sqrt())
    }
}

/// The value at quantile `p` of values in order with shares that sum to 1.
fn weighted_quantile(all: &[(f64, f64)], p: f64) -> f64 {
    let mut run = 0.0;
    let at = all.iter().find(|(_, w)| {
        run += w;
        run >= p
    });
    at.or(all.last()).map_or(f64::NAN, |(v, _)| *v)
}

/// ln of the marginal likelihood and the mode for given values: what outside programs are compared with.
pub fn fixed(survey: &Survey, levels: &Levels, hyper: &kernel::Hyper) -> Option<laplace::Mode> {
    let covariance = Pairs::new(&survey.sites, levels).among(hyper);
    let start = vec![levels.centre; survey.sites.len()];
    mode(&survey.counts, &covariance, levels.centre, hyper.k, &start, 1e-10)
}

/// Draws of the log density at the plots (draw by plot) for given values, for the same.
pub fn fixed_draws(
    survey: &Survey,
    levels: &Levels,
    hyper: &kernel::Hyper,
    number: usize,
    seed: u64,
) -> Option<Vec<Vec<f64>>> {
    let mode = fixed(survey, levels, hyper)?.at;
    let covariance = Pairs::new(&survey.sites, levels).among(hyper);
    draws::at_fixed(&survey.counts, covariance, &Weighted { hyper: *hyper, weight: 1.0, mode }, number, seed)
}
