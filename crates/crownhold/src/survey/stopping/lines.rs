//! Lines of fixed precision (Green 1970, Kuno 1969) and Iwao's confidence plan (1975). All totals and means per plot.

use super::{Last, StopTable};

/// Iwao's patchiness regression: mean crowding = alpha + beta x mean, so variance = (alpha + 1) m + (beta - 1) m².
/// A negative binomial with dispersion k has alpha 0 and beta 1 + 1/k.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Patchiness {
    /// Intercept.
    pub alpha: f64,
    /// Slope.
    pub beta: f64,
}

impl Patchiness {
    /// Of a negative binomial.
    pub fn of_k(k: f64) -> Self {
        Self { alpha: 0.0, beta: 1.0 + 1.0 / k }
    }
    /// Variance between plots at a mean.
    pub fn variance(self, mean: f64) -> f64 {
        (self.alpha + 1.0) * mean + (self.beta - 1.0) * mean * mean
    }
}

/// Green's line: the total on n plots at which the standard error is the share `precision` of the mean, with
/// variance = a m^b (Taylor). Green 1970, Researches on Population Ecology 12:249-251.
pub fn green(n: f64, a: f64, b: f64, precision: f64) -> f64 {
    libm::pow(precision * precision / a, 1.0 / (b - 2.0)) * libm::pow(n, (b - 1.0) / (b - 2.0))
}

/// Kuno's line, the same with Iwao's variance; `None` with so few plots that no total is enough.
/// Kuno 1969, Researches on Population Ecology 11:127-136.
pub fn kuno(n: f64, patchiness: Patchiness, precision: f64) -> Option<f64> {
    let rest = precision * precision - (patchiness.beta - 1.0) / n;
    (rest > 0.0).then(|| (patchiness.alpha + 1.0) / rest)
}

/// Iwao's lines: totals outside which n plots differ from `mean` by more than `t` standard errors.
/// Iwao 1975, Researches on Population Ecology 16:281-288.
pub fn iwao(n: f64, mean: f64, patchiness: Patchiness, t: f64) -> (f64, f64) {
    let half = t * (n * patchiness.variance(mean)).sqrt();
    (n * mean - half, n * mean + half)
}

/// Table of Green's line; a run of plots that never reaches it ends open. Exact figures take the totals for whole numbers.
pub fn green_table(a: f64, b: f64, precision: f64, least: u32, most: u32) -> StopTable {
    StopTable::new(least, most, Last::Nothing, |n| (None, Some(green(n, a, b, precision))))
}

/// Table of Kuno's line.
pub fn kuno_table(patchiness: Patchiness, precision: f64, least: u32, most: u32) -> StopTable {
    StopTable::new(least, most, Last::Nothing, |n| (None, kuno(n, patchiness, precision)))
}

/// Table of Iwao's plan; at the last plot the mean decides against the same threshold.
pub fn iwao_table(mean: f64, patchiness: Patchiness, t: f64, least: u32, most: u32) -> StopTable {
    StopTable::new(least, most, Last::Mean(mean), |n| {
        let (low, high) = iwao(n, mean, patchiness, t);
        (Some(low), Some(high))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn close(got: f64, want: f64, tolerance: f64) {
        assert!((got - want).abs() <= tolerance, "{got} is not {want}");
    }

    /// Arithmetic of the stated formulas.
    #[test]
    fn lines_of_the_papers() {
        close(green(10.0, 2.0, 1.5, 0.25), 102.4, 1e-9);
        close(green(20.0, 2.0, 1.5, 0.25), 51.2, 1e-9);
        let k1 = Patchiness::of_k(1.0);
        close(kuno(20.0, k1, 0.25).unwrap_or(0.0), 80.0, 1e-9);
        close(kuno(40.0, k1, 0.25).unwrap_or(0.0), 26.667, 1e-3);
        assert_eq!(kuno(16.0, k1, 0.25), None);
        let (low, high) = iwao(10.0, 6.25, k1, 1.645);
        close(low, 27.483, 1e-3);
        close(high, 97.517, 1e-3);
    }

    /// On its line Green's total has the precision asked for: variance of the mean = a m^b / n.
    #[test]
    fn greens_total_is_as_precise_as_asked() {
        for n in [8.0, 25.0, 90.0] {
            let m = green(n, 1.684, 1.672, 0.2) / n;
            close((1.684 * libm::pow(m, 1.672) / n).sqrt() / m, 0.2, 1e-9);
        }
    }
}
