//! How alike the egg-mass densities of two places are.

use super::lanes::exp_all;
use super::linear::{Matrix, mirrored};

/// Where the density is looked at, and what is known of the place.
#[derive(Clone, Debug, PartialEq)]
pub struct Site {
    /// Planar coordinates, metres.
    pub place: [f64; 2],
    /// Position of its block.
    pub block: usize,
    /// Number of its stratum.
    pub stratum: usize,
    /// Covariates of its block: middle 0, spread 1, 0 where not known.
    pub covariates: Vec<f64>,
}

/// What is learned from the counts.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hyper {
    /// Log standard deviation of the part that changes smoothly over the ground.
    pub spread: f64,
    /// Length of that part, metres: places so far apart have a correlation of 0.48.
    pub length: f64,
    /// Log standard deviation of blocks around it.
    pub block: f64,
    /// Dispersion of the counts on plots of one block.
    pub k: f64,
}

/// What is stated beforehand about levels and covariates.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Levels {
    /// ln of the expected density, masses per square metre.
    pub centre: f64,
    /// Log standard deviation of the common level.
    pub common: f64,
    /// Log standard deviation of the strata around it.
    pub stratum: f64,
    /// Standard deviation of what one spread of a covariate does to the log density.
    pub covariate: f64,
}

/// Correlation of Matérn 3/2 at a distance: (1 + √3 d/l) exp(-√3 d/l) (Rasmussen & Williams 2006, eq. 4.17).
pub fn matern32(distance: f64, length: f64) -> f64 {
    let r = 3.0_f64.sqrt() * distance / length;
    (1.0 + r) * libm::exp(-r)
}

/// Covariance of the log densities of two places.
pub fn covariance(a: &Site, b: &Site, hyper: &Hyper, levels: &Levels) -> f64 {
    let [x, y] = [a.place[0] - b.place[0], a.place[1] - b.place[1]];
    stated(a, b, levels) + learned((x * x + y * y).sqrt(), a.block == b.block, hyper)
}

fn alike(same: bool, sd: f64) -> f64 {
    if same { sd * sd } else { 0.0 }
}

/// The part by what is stated beforehand.
fn stated(a: &Site, b: &Site, levels: &Levels) -> f64 {
    let known: f64 = a.covariates.iter().zip(&b.covariates).map(|(x, y)| x * y).sum();
    levels.common * levels.common
        + alike(a.stratum == b.stratum, levels.stratum)
        + levels.covariate * levels.covariate * known
}

/// The part by what is learned.
fn learned(distance: f64, same_block: bool, hyper: &Hyper) -> f64 {
    hyper.spread * hyper.spread * matern32(distance, hyper.length) + alike(same_block, hyper.block)
}

/// Keeps the factor of the covariance of sites that lie on each other.
const JITTER: f64 = 1e-8;

/// What pairs of sites have in common whatever is learned: worked out once, because the covariance is asked for with a
/// hundred sets of values.
pub struct Pairs {
    size: usize,
    /// Distance of every pair, the lower half column by column.
    distances: Vec<f64>,
    /// Covariance by level, stratum and covariates.
    stated: Vec<f64>,
    same_block: Vec<bool>,
}

impl Pairs {
    /// Of these sites.
    pub fn new(sites: &[Site], levels: &Levels) -> Self {
        let size = sites.len();
        let room = size * (size + 1) / 2;
        let mut pairs = Self {
            size,
            distances: Vec::with_capacity(room),
            stated: Vec::with_capacity(room),
            same_block: Vec::with_capacity(room),
        };
        for (j, b) in sites.iter().enumerate() {
            for a in &sites[j..] {
                let [x, y] = [a.place[0] - b.place[0], a.place[1] - b.place[1]];
                pairs.distances.push((x * x + y * y).sqrt());
                pairs.stated.push(stated(a, b, levels));
                pairs.same_block.push(a.block == b.block);
            }
        }
        pairs
    }

    /// Covariance among them: the lower half, which is all that a factor reads.
    pub fn lower(&self, hyper: &Hyper) -> Matrix {
        let mut matrix = Matrix::zeros(self.size, self.size);
        let (smooth, block) = (hyper.spread * hyper.spread, hyper.block * hyper.block);
        let by = -(3.0_f64.sqrt()) / hyper.length;
        let mut powers = vec![0.0; self.size];
        let mut from = 0;
        for j in 0..self.size {
            let own = from..from + self.size - j;
            from = own.end;
            let powers = &mut powers[j..];
            powers.iter_mut().zip(&self.distances[own.clone()]).for_each(|(p, d)| *p = by * d);
            exp_all(powers);
            let known = self.distances[own.clone()].iter().zip(&self.stated[own.clone()]).zip(&self.same_block[own]);
            let cells = matrix.col_as_slice_mut(j)[j..].iter_mut().zip(powers);
            for ((cell, power), ((distance, stated), same)) in cells.zip(known) {
                *cell = stated + smooth * (1.0 - by * distance) * *power + if *same { block } else { 0.0 };
            }
            matrix[(j, j)] += JITTER;
        }
        matrix
    }

    /// Both halves of it.
    pub fn among(&self, hyper: &Hyper) -> Matrix {
        mirrored(self.lower(hyper).as_ref())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: at √3 d = l the correlation is 2/e.
    #[test]
    fn matern_at_known_distances() {
        assert!((matern32(0.0, 300.0) - 1.0).abs() < 1e-15);
        assert!((matern32(300.0 / 3.0_f64.sqrt(), 300.0) - 2.0 / std::f64::consts::E).abs() < 1e-15);
        assert!((matern32(300.0, 300.0) - 0.4834).abs() < 1e-4);
    }

    /// The pairs give what two sites give.
    #[test]
    fn among_all_as_between_two() {
        let site = |i: usize| Site {
            place: [37.0 * i as f64, (i * i) as f64],
            block: i / 2,
            stratum: i / 3,
            covariates: vec![0.1 * i as f64],
        };
        let sites: Vec<Site> = (0..7).map(site).collect();
        let levels = Levels { centre: 0.0, common: 2.0, stratum: 0.7, covariate: 0.5 };
        let hyper = Hyper { spread: 1.1, length: 80.0, block: 0.4, k: 1.0 };
        let matrix = Pairs::new(&sites, &levels).among(&hyper);
        for (i, a) in sites.iter().enumerate() {
            for (j, b) in sites.iter().enumerate() {
                let expected = covariance(a, b, &hyper, &levels);
                assert!((matrix[(i, j)] - expected).abs() < 1e-7, "{i} {j}");
            }
        }
    }
}
