//! The negative binomial, the count model of egg masses on plots: variance m + m²/k.
//!
//! Formulas: any text on sampling insects, e.g. Bliss & Fisher 1953 (Biometrics 9:176-200). Outside
//! values in `tests/it/survey_checks.rs`.

use statrs::function::beta::inv_beta_reg;

/// Log probability of a count `y` (whole or, after the new/old correction, not quite whole) with mean `m`.
pub fn ln_probability(y: f64, m: f64, k: f64) -> f64 {
    if m <= 0.0 {
        return if y == 0.0 { 0.0 } else { f64::NEG_INFINITY };
    }
    libm::lgamma(y + k) - libm::lgamma(k) - libm::lgamma(y + 1.0) - k * libm::log1p(m / k) + y * libm::log(m / (k + m))
}

/// Mean and variance (n - 1) of counts.
pub fn moments(counts: &[f64]) -> (f64, f64) {
    let n = counts.len() as f64;
    let mean = counts.iter().sum::<f64>() / n;
    let variance = counts.iter().map(|y| (y - mean) * (y - mean)).sum::<f64>() / (n - 1.0);
    (mean, variance)
}

/// k by moments: m²/(s² - m), or corrected for the sampling error of m: (m² - s²/n)/(s² - m).
/// `None` when the counts are not over-dispersed.
pub fn k_by_moments(counts: &[f64], corrected: bool) -> Option<f64> {
    let (mean, variance) = moments(counts);
    let square = if corrected { mean * mean - variance / counts.len() as f64 } else { mean * mean };
    (variance > mean && square > 0.0).then(|| square / (variance - mean))
}

/// k by maximum likelihood: root of sum_j A_j/(k+j) = n ln(1 + m/k), A_j = counts above j.
/// `None` when the counts are not over-dispersed.
pub fn k_by_likelihood(counts: &[u32]) -> Option<f64> {
    let values: Vec<f64> = counts.iter().map(|c| f64::from(*c)).collect();
    let (mean, variance) = moments(&values);
    let n = values.len() as f64;
    // Over-dispersion of the likelihood equation uses the n-divisor variance.
    if variance * (n - 1.0) / n <= mean {
        return None;
    }
    bisect(|k| score(counts, k), 1e-6, 1e6)
}

/// k from the share of zeros: k ln(1 + m/k) = -ln P0.
pub fn k_by_zeros(mean: f64, zero_share: f64) -> Option<f64> {
    bisect(|k| k * libm::log1p(mean / k) + libm::log(zero_share), 1e-6, 1e6)
}

/// Root of a function with a change of sign, on a log scale.
fn bisect(f: impl Fn(f64) -> f64, low: f64, high: f64) -> Option<f64> {
    let (mut a, mut b) = (libm::log(low), libm::log(high));
    let sign = f(low) > 0.0;
    if sign == (f(high) > 0.0) {
        return None;
    }
    for _ in 0..200 {
        let middle = 0.5 * (a + b);
        if (f(libm::exp(middle)) > 0.0) == sign { a = middle } else { b = middle }
    }
    Some(libm::exp(0.5 * (a + b)))
}

/// Common k over groups (ratio form): sum(m² - s²/n) / sum(s² - m).
pub fn common_k(groups: &[Vec<f64>]) -> Option<f64> {
    let (mut above, mut below) = (0.0, 0.0);
    for counts in groups.iter().filter(|g| g.len() > 1) {
        let (mean, variance) = moments(counts);
        above += mean * mean - variance / counts.len() as f64;
        below += variance - mean;
    }
    (above > 0.0 && below > 0.0).then(|| above / below)
}

/// One k for all groups by maximum likelihood, each group keeping its own mean: root of
/// sum over groups of [sum_j A_j/(k+j) - n ln(1 + m/k)]. `None` when the groups are not over-dispersed
/// around their means.
pub fn common_k_by_likelihood(groups: &[Vec<u32>]) -> Option<f64> {
    let filled: Vec<&Vec<u32>> = groups.iter().filter(|g| !g.is_empty()).collect();
    bisect(|k| filled.iter().map(|g| score(g, k)).sum(), 1e-6, 1e6)
}

/// Slope of the log likelihood in k at the mean of the counts (which must not be empty).
fn score(counts: &[u32], k: f64) -> f64 {
    let n = counts.len() as f64;
    let mean = counts.iter().map(|c| f64::from(*c)).sum::<f64>() / n;
    let most = counts.iter().copied().max().unwrap_or(0);
    let steps: f64 = (0..most).map(|j| counts.iter().filter(|c| **c > j).count() as f64 / (k + f64::from(j))).sum();
    steps - n * libm::log1p(mean / k)
}

/// Taylor's power law, variance = a m^b, as (a, b): least squares of ln variance on ln mean over the groups.
/// Groups of fewer than two counts, without variance or with mean zero say nothing and are left out; `None`
/// with fewer than two different means.
///
/// Taylor 1961 (Nature 189:732-735).
pub fn taylor(groups: &[Vec<f64>]) -> Option<(f64, f64)> {
    let points: Vec<(f64, f64)> = groups
        .iter()
        .filter(|g| g.len() > 1)
        .map(|g| moments(g))
        .filter(|(mean, variance)| *mean > 0.0 && *variance > 0.0)
        .map(|(mean, variance)| (libm::log(mean), libm::log(variance)))
        .collect();
    let n = points.len() as f64;
    let (x0, y0) = (points.iter().map(|p| p.0).sum::<f64>() / n, points.iter().map(|p| p.1).sum::<f64>() / n);
    let across: f64 = points.iter().map(|p| (p.0 - x0) * (p.0 - x0)).sum();
    let along: f64 = points.iter().map(|p| (p.0 - x0) * (p.1 - y0)).sum();
    (across > 0.0).then(|| (libm::exp(y0 - along / across * x0), along / across))
}

/// Exact two-sided interval (Clopper-Pearson kind) for the expected total, given the total found and
/// its size parameter: the sum of n plots NB(m, k) is NB(nm, nk). A total of zero has a positive upper end.
pub fn exact_interval(total: f64, size: f64, level: f64) -> (f64, f64) {
    let tail = 0.5 * (1.0 - level);
    let expected = |p: f64| size * (1.0 - p) / p;
    let high = expected(inv_beta_reg(size, total + 1.0, tail));
    let low = if total > 0.0 { expected(inv_beta_reg(size, total, 1.0 - tail)) } else { 0.0 };
    (low, high)
}

/// Size parameter of a total over plots of these areas: A²k / sum a². It is n·k when they are equal;
/// otherwise it matches mean and variance.
pub fn size_of_total(areas: &[f64], k: f64) -> f64 {
    let all: f64 = areas.iter().sum();
    k * all * all / areas.iter().map(|a| a * a).sum::<f64>()
}

/// Interval of the mean on the log scale: exp(ln m ± z sqrt((1/m + 1/k)/n)).
pub fn log_interval(mean: f64, k: f64, n: f64, level: f64) -> (f64, f64) {
    let z = crate::types::chance::normal_quantile(0.5 + 0.5 * level);
    let half = z * ((1.0 / mean + 1.0 / k) / n).sqrt();
    (mean * libm::exp(-half), mean * libm::exp(half))
}

/// Plots needed for a relative standard error `d` at mean `m` per plot.
pub fn plots_for_precision(m: f64, k: f64, d: f64) -> f64 {
    (1.0 / m + 1.0 / k) / (d * d)
}

/// The same by Taylor's law, variance = a m^b.
pub fn plots_for_precision_taylor(m: f64, a: f64, b: f64, d: f64) -> f64 {
    a * libm::pow(m, b - 2.0) / (d * d)
}

/// Upper end (one-sided) of the mean per plot when `n` plots had no mass.
pub fn zero_upper(n: f64, k: f64, level: f64) -> f64 {
    k * (libm::pow(1.0 - level, -1.0 / (n * k)) - 1.0)
}
