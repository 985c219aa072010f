//! Mode and curvature of the log densities at the plots, given how they vary (Rasmussen & Williams 2006,
//! algorithm 3.1, with a negative binomial likelihood and halved steps where Newton's goes too far).

use statrs::function::gamma::ln_gamma;

use super::linear::{Lower, Matrix, column, list, scale_rows};

/// Masses on a counted area.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Counted {
    /// New masses.
    pub masses: f64,
    /// Square metres.
    pub area: f64,
}

/// The mode, and what a normal law around it needs.
#[derive(Clone, Debug)]
pub struct Mode {
    /// Log density (masses per square metre) at each plot.
    pub at: Vec<f64>,
    /// Minus the second derivative of each plot's log likelihood there.
    pub curvature: Vec<f64>,
    /// ln of the marginal likelihood by Laplace's method.
    pub log_marginal: f64,
}

const MOST_STEPS: usize = 60;

/// ln likelihood of a count at log density `f`, without the part that does not depend on it.
pub fn log_likelihood(count: Counted, f: f64, k: f64) -> f64 {
    count.masses * f - (count.masses + k) * libm::log(k + count.area * libm::exp(f))
}

/// That part.
fn constant(count: Counted, k: f64) -> f64 {
    let y = count.masses;
    ln_gamma(y + k) - ln_gamma(k) - ln_gamma(y + 1.0) + k * libm::log(k) + y * libm::log(count.area)
}

/// First derivative, and minus the second.
pub fn derivatives(count: Counted, f: f64, k: f64) -> (f64, f64) {
    let mean = count.area * libm::exp(f);
    let pull = (count.masses + k) / (k + mean);
    (count.masses - pull * mean, pull * k * mean / (k + mean))
}

/// Finds the mode. `start` are log densities to begin from; the search ends when no plot moves by `tolerance`.
/// `None` when the covariance is not positive definite or the search does not end.
pub fn mode(
    counts: &[Counted],
    covariance: &Matrix,
    centre: f64,
    k: f64,
    start: &[f64],
    tolerance: f64,
) -> Option<Mode> {
    let objective = |deviation: &[f64], alpha: &[f64]| -> f64 {
        let fit: f64 = counts.iter().zip(deviation).map(|(c, g)| log_likelihood(*c, centre + g, k)).sum();
        fit - 0.5 * alpha.iter().zip(deviation).map(|(a, g)| a * g).sum::<f64>()
    };
    // The first step has nothing to be compared with: a start need not be K times anything.
    let mut deviation: Vec<f64> = start.iter().map(|f| f - centre).collect();
    let mut alpha: Option<Vec<f64>> = None;
    for _ in 0..MOST_STEPS {
        let step = newton(counts, covariance, &deviation, centre, k)?;
        let (mut next_alpha, mut next) = (step.alpha, step.deviation);
        if let Some(before) = &alpha {
            let now = objective(&deviation, before);
            let mut halvings = 0;
            while objective(&next, &next_alpha) < now - 1e-9 && halvings < 20 {
                halve(&mut next_alpha, before);
                halve(&mut next, &deviation);
                halvings += 1;
            }
        }
        let moved = next.iter().zip(&deviation).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max);
        (deviation, alpha) = (next, Some(next_alpha));
        if moved < tolerance {
            let alpha = alpha?;
            let constants: f64 = counts.iter().map(|c| constant(*c, k)).sum();
            let log_marginal = objective(&deviation, &alpha) + constants - 0.5 * step.log_determinant;
            let at: Vec<f64> = deviation.iter().map(|g| centre + g).collect();
            let curvature = counts.iter().zip(&at).map(|(c, f)| derivatives(*c, *f, k).1).collect();
            return log_marginal.is_finite().then_some(Mode { at, curvature, log_marginal });
        }
    }
    None
}

fn halve(to: &mut [f64], from: &[f64]) {
    to.iter_mut().zip(from).for_each(|(t, f)| *t = 0.5 * (*t + f));
}

struct Step {
    alpha: Vec<f64>,
    deviation: Vec<f64>,
    log_determinant: f64,
}

/// One step of Newton's method from `deviation`: the new one is K `alpha`.
fn newton(counts: &[Counted], covariance: &Matrix, deviation: &[f64], centre: f64, k: f64) -> Option<Step> {
    let (slope, curvature): (Vec<f64>, Vec<f64>) =
        counts.iter().zip(deviation).map(|(c, g)| derivatives(*c, centre + g, k)).unzip();
    let root: Vec<f64> = curvature.iter().map(|w| w.sqrt()).collect();
    let factor = Lower::of(&with_noise(covariance, &root))?;
    let b: Vec<f64> = (0..counts.len()).map(|i| curvature[i] * deviation[i] + slope[i]).collect();
    let mut inner = covariance * &column(&b);
    scale_rows(&mut inner, &root);
    factor.solve(&mut inner);
    factor.solve_transposed(&mut inner);
    let alpha: Vec<f64> = (0..counts.len()).map(|i| b[i] - root[i] * inner[(i, 0)]).collect();
    let deviation = list(&(covariance * &column(&alpha)));
    Some(Step { alpha, deviation, log_determinant: factor.log_determinant() })
}

/// The lower half of I + W½ K W½.
pub fn with_noise(covariance: &Matrix, root: &[f64]) -> Matrix {
    let mut noisy = Matrix::zeros(root.len(), root.len());
    for (j, own) in root.iter().enumerate() {
        let cells = noisy.col_as_slice_mut(j)[j..].iter_mut().zip(&covariance.col_as_slice(j)[j..]);
        cells.zip(&root[j..]).for_each(|((cell, c), r)| *cell = r * c * own);
        noisy[(j, j)] += 1.0;
    }
    noisy
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn derivatives_are_those_of_the_likelihood() {
        let count = Counted { masses: 7.0, area: 101.0 };
        for f in [-6.0, -3.0, -1.0] {
            let at = |f| log_likelihood(count, f, 0.8);
            let h = 1e-4;
            let (slope, curvature) = derivatives(count, f, 0.8);
            assert!((slope - (at(f + h) - at(f - h)) / (2.0 * h)).abs() < 1e-6);
            assert!((curvature + (at(f + h) - 2.0 * at(f) + at(f - h)) / (h * h)).abs() < 1e-5);
        }
    }

    /// One plot: Laplace's marginal against the integral by the trapezoid rule; many masses make it nearly exact.
    #[test]
    fn the_marginal_of_one_plot() {
        let count = Counted { masses: 60.0, area: 101.0 };
        let (centre, variance, k) = (-2.0, 0.6, 3.0);
        let mode = mode(&[count], &Matrix::from_fn(1, 1, |_, _| variance), centre, k, &[centre], 1e-9).unwrap();
        let step = 0.001;
        let integral: f64 = (-8_000..4_000)
            .map(|i| {
                let f = f64::from(i) * step;
                let prior = -0.5 * (f - centre) * (f - centre) / variance;
                libm::exp(prior + log_likelihood(count, f, k) + constant(count, k))
            })
            .sum::<f64>()
            * step
            / (2.0 * std::f64::consts::PI * variance).sqrt();
        assert!(
            (mode.log_marginal - libm::log(integral)).abs() < 0.02,
            "{} {}",
            mode.log_marginal,
            libm::log(integral)
        );
    }
}
