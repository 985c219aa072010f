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
    let alike = |same: bool, sd: f64| if same { sd * sd } else { 0.0 };
    let [x, y] = [a.place[0] - b.place[0], a.place[1] - b.place[1]];
    let distance = (x * x + y * y).sqrt();
    let known: f64 = a.covariates.iter().zip(&b.covariates).map(|(x, y)| x * y).sum();
    levels.common * levels.common
        + alike(a.stratum == b.stratum, levels.stratum)
        + levels.covariate * levels.covariate * known
        + hyper.spread * hyper.spread * matern32(distance, hyper.length)
        + alike(a.block == b.block, hyper.block)
}

/// Keeps the factor of the covariance of sites that lie on each other.
const JITTER: f64 = 1e-8;

/// Covariance among sites, with both halves filled.
pub fn among(sites: &[Site], hyper: &Hyper, levels: &Levels) -> Matrix {
    let mut matrix = Matrix::zeros(sites.len(), sites.len());
    for j in 0..sites.len() {
        for i in j..sites.len() {
            let value = covariance(&sites[i], &sites[j], hyper, levels);
            matrix[(i, j)] = value;
            matrix[(j, i)] = value;
        }
        matrix[(j, j)] += JITTER;
    }
    matrix
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
