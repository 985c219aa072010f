//! Intervals of plain shares and counts.

use crate::types::chance::normal_quantile;
use statrs::function::beta::inv_beta_reg;

/// Wilson's interval of a share (Wilson 1927, JASA 22:209-212).
pub fn wilson(hits: u32, of: u32, level: f64) -> (f64, f64) {
    let (x, n) = (f64::from(hits), f64::from(of));
    let z = normal_quantile(0.5 + 0.5 * level);
    let p = x / n;
    let centre = (p + z * z / (2.0 * n)) / (1.0 + z * z / n);
    let half = z / (1.0 + z * z / n) * (p * (1.0 - p) / n + z * z / (4.0 * n * n)).sqrt();
    (centre - half, centre + half)
}

/// Clopper and Pearson's exact interval of a share (Biometrika 1934, 26:404-413).
pub fn clopper_pearson(hits: u32, of: u32, level: f64) -> (f64, f64) {
    let (x, n) = (f64::from(hits), f64::from(of));
    let tail = 0.5 * (1.0 - level);
    let low = if hits == 0 { 0.0 } else { inv_beta_reg(x, n - x + 1.0, tail) };
    let high = if hits == of { 1.0 } else { inv_beta_reg(x + 1.0, n - x, 1.0 - tail) };
    (low, high)
}

#[cfg(test)]
mod tests {
    use super::{clopper_pearson, wilson};

    fn check(got: (f64, f64), want: (f64, f64)) {
        assert!((got.0 - want.0).abs() < 1e-9 && (got.1 - want.1).abs() < 1e-9, "{got:?} is not {want:?}");
    }

    /// R 4.2.2 binom.test(7, 40) and prop.test(7, 40, correct = FALSE); 30 of 40 to three digits.
    #[test]
    fn shares() {
        check(clopper_pearson(7, 40, 0.95), (0.073_382_729_352_1, 0.327_790_133_361_6));
        check(wilson(7, 40, 0.95), (0.087_454_137_460_4, 0.319_499_903_317_9));
        let (low, high) = wilson(30, 40, 0.95);
        assert!((low - 0.598).abs() < 5e-4 && (high - 0.858).abs() < 5e-4);
    }
}
