//! How alike the egg-mass densities of two places are.

use super::linear::Matrix;

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
    /// Of every pair, the lower half column by column.
    pairs: Vec<Pair>,
}

#[derive(Clone, Copy)]
struct Pair {
    distance: f64,
    /// Covariance by level, stratum and covariates.
    stated: f64,
    same_block: bool,
}

impl Pairs {
    /// Of these sites.
    pub fn new(sites: &[Site], levels: &Levels) -> Self {
        let pair = |a: &Site, b: &Site| {
            let [x, y] = [a.place[0] - b.place[0], a.place[1] - b.place[1]];
            Pair { distance: (x * x + y * y).sqrt(), stated: stated(a, b, levels), same_block: a.block == b.block }
        };
        let column = |j: usize| sites[j..].iter().map(move |a| pair(a, &sites[j]));
        Self { size: sites.len(), pairs: (0..sites.len()).flat_map(column).collect() }
    }

    /// Covariance among them, with both halves filled.
    pub fn among(&self, hyper: &Hyper) -> Matrix {
        let mut matrix = Matrix::zeros(self.size, self.size);
        let mut pairs = self.pairs.iter();
        for j in 0..self.size {
            for (i, pair) in (j..self.size).zip(&mut pairs) {
                let value = pair.stated + learned(pair.distance, pair.same_block, hyper);
                matrix[(i, j)] = value;
                matrix[(j, i)] = value;
            }
            matrix[(j, j)] += JITTER;
        }
        matrix
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
}
