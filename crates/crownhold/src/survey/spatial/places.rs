//! The density in single places, each for itself: maps finer than blocks, and plots not counted yet.
//!
//! Given log densities at the plots, a place elsewhere is normal: the simple kriging of Rasmussen & Williams (2006, eq. 2.19).
//! A joint law of thousands of places is neither needed for a map nor worth its cost.

use rayon::prelude::*;

use super::draws::{at_plots_of, share_out, shuffled};
use super::hyper::{Task, Weighted};
use super::kernel::{Hyper, Levels, Pairs, Site, covariance};
use super::linear::{Lower, Matrix, column, list};
use crate::types::chance::{normal, stream};

/// Draws of the density in single places.
#[derive(Clone, Debug)]
pub struct PlaceDraws {
    /// Place by draw, masses per hectare. Draws of two places are not joint beyond the counts they share.
    pub density: Vec<Vec<f64>>,
    /// Dispersion of counts in each draw.
    pub k: Vec<f64>,
}

/// How each place follows from the plots.
struct Towards {
    factor: Lower,
    /// L⁻¹ K of plots (rows) and places.
    shares: Matrix,
    sd: Vec<f64>,
    centre: f64,
}

impl Towards {
    /// `pairs` are those of the plots.
    fn new(plots: &[Site], pairs: &Pairs, places: &[Site], hyper: &Hyper, levels: &Levels) -> Option<Self> {
        let factor = Lower::of(&pairs.among(hyper))?;
        let mut shares =
            Matrix::from_fn(plots.len(), places.len(), |i, j| covariance(&plots[i], &places[j], hyper, levels));
        factor.solve(&mut shares);
        let known = |j: usize| (0..plots.len()).map(|i| shares[(i, j)] * shares[(i, j)]).sum::<f64>();
        let sd = places
            .iter()
            .enumerate()
            .map(|(j, place)| (covariance(place, place, hyper, levels) - known(j)).max(0.0).sqrt())
            .collect();
        Some(Self { factor, shares, sd, centre: levels.centre })
    }

    /// Means of all places (place by draw) from log densities at the plots (plot by draw).
    fn means(&self, at_plots: &Matrix) -> Matrix {
        let mut white = Matrix::from_fn(at_plots.nrows(), at_plots.ncols(), |i, j| at_plots[(i, j)] - self.centre);
        self.factor.solve(&mut white);
        let mut means = self.shares.transpose() * &white;
        for j in 0..means.ncols() {
            for i in 0..means.nrows() {
                means[(i, j)] += self.centre;
            }
        }
        means
    }
}

/// Draws of every place; `None` when a covariance cannot be factored.
pub(super) fn draws(
    task: &Task<'_>,
    found: &[Weighted],
    places: &[Site],
    number: usize,
    seed: u64,
) -> Option<PlaceDraws> {
    let given = share_out(found, number);
    let parts: Option<Vec<Matrix>> = found
        .par_iter()
        .enumerate()
        .map(|(i, one)| {
            let mut rng = stream(seed, "survey.space.places", i as u64);
            if given[i] == 0 {
                return Some(Matrix::zeros(places.len(), 0));
            }
            let at_plots = at_plots_of(task, one, given[i], &mut rng)?;
            let towards = Towards::new(task.sites, task.pairs, places, &one.hyper, task.levels)?;
            let mut ground = towards.means(&at_plots);
            for j in 0..given[i] {
                for (p, sd) in towards.sd.iter().enumerate() {
                    ground[(p, j)] += sd * normal(&mut rng);
                }
            }
            Some(ground)
        })
        .collect();
    let parts = parts?;
    let order = shuffled(number, &mut stream(seed, "survey.space.places.order", 0));
    let of_place = |p: usize| {
        let all: Vec<f64> = parts.iter().flat_map(|part| (0..part.ncols()).map(move |j| part[(p, j)])).collect();
        order.iter().map(|i| 10_000.0 * libm::exp(all[*i])).collect()
    };
    let k: Vec<f64> = found.iter().zip(&given).flat_map(|(one, n)| vec![one.hyper.k; *n]).collect();
    Some(PlaceDraws { density: (0..places.len()).map(of_place).collect(), k: order.iter().map(|i| k[*i]).collect() })
}

/// Mean and standard deviation of the log density in places, for given values and log densities at the plots: what outside
/// programs are compared with.
pub fn kriged(
    plots: &[Site],
    at_plots: &[f64],
    places: &[Site],
    hyper: &Hyper,
    levels: &Levels,
) -> Option<Vec<(f64, f64)>> {
    let towards = Towards::new(plots, &Pairs::new(plots, levels), places, hyper, levels)?;
    Some(list(&towards.means(&column(at_plots))).into_iter().zip(towards.sd).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    const HYPER: Hyper = Hyper { spread: 0.8, length: 300.0, block: 0.4, k: 1.0 };
    const LEVELS: Levels = Levels { centre: -3.0, common: 1.0, stratum: 0.5, covariate: 0.3 };

    fn site(x: f64, block: usize) -> Site {
        Site { place: [x, 0.0], block, stratum: 0, covariates: vec![0.0] }
    }

    /// At a plot nothing is left to guess; far away only the levels are known.
    #[test]
    fn doubt_grows_with_distance() {
        let plots = [site(0.0, 0), site(500.0, 1)];
        let places = [site(0.0, 0), site(60.0, 0), site(250.0, 2), site(1e7, 3)];
        let found = kriged(&plots, &[-2.0, -4.0], &places, &HYPER, &LEVELS).unwrap();
        assert!((found[0].0 + 2.0).abs() < 1e-6 && found[0].1 < 1e-3, "{found:?}");
        assert!(found.windows(2).all(|w| w[0].1 < w[1].1), "{found:?}");
        let own = (HYPER.spread * HYPER.spread + HYPER.block * HYPER.block).sqrt();
        assert!(found[3].1 > own, "{found:?}");
    }
}
