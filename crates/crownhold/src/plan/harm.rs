//! Harm over many draws: what is expected, the worst tenth, and how exactly the simulation tells it.

use super::Plan;
use crate::tactics::{Bundle, Options};
use crate::types::Area;
use crate::types::draws::mean;

/// Host area over tolerance in one kind of season, on draws the plan was not made on.
#[derive(Clone, Debug, PartialEq)]
pub struct Harm {
    /// Expected.
    pub mean: Area,
    /// Mean of the worst tenth of the draws.
    pub worst_tenth: Area,
    /// Standard error of the mean.
    pub standard_error: Area,
    /// By how much more than in the season as forecast, square metres, with the standard error of the difference; the
    /// draws are the same.
    pub more: (f64, f64),
}

impl Harm {
    /// From the square metres over tolerance in each draw, beside those of the season as forecast on the same draws.
    pub fn of(over: &[f64], forecast: &[f64]) -> Self {
        let more: Vec<f64> = over.iter().zip(forecast).map(|(a, b)| a - b).collect();
        Self {
            mean: Area::square_metres(mean(over)),
            worst_tenth: worst_tenth(over),
            standard_error: Area::square_metres(standard_error(over)),
            more: (mean(&more), standard_error(&more)),
        }
    }
}

/// Standard error of a mean of draws.
pub(super) fn standard_error(values: &[f64]) -> f64 {
    let (n, m) = (values.len() as f64, mean(values));
    let variance = values.iter().map(|v| (v - m) * (v - m)).sum::<f64>() / (n - 1.0).max(1.0);
    (variance / n).sqrt()
}

/// Mean of the worst tenth of draws (conditional value at risk at 90 %: Rockafellar and Uryasev 2000, J. Risk 2:21-41).
pub fn worst_tenth(over: &[f64]) -> Area {
    let mut sorted = over.to_vec();
    sorted.sort_by(|a, b| b.total_cmp(a));
    Area::square_metres(mean(&sorted[..sorted.len().div_ceil(10)]))
}

/// The options that do nothing beyond a plan and fly as it does: what can be left of it when something is wanting.
pub fn only_less(options: &Options, plan: &Plan) -> Options {
    let mut less = options.clone();
    for (block, planned) in less.blocks.iter_mut().zip(&plan.blocks) {
        let within =
            |b: &Bundle| b.tactics().iter().all(|t| planned.bundle.has(*t)) && b.flights() == planned.bundle.flights();
        for option in block.options.iter_mut().filter(|o| !within(&o.bundle)) {
            option.barred.push("It is not in the plan.".to_owned());
        }
    }
    less
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Twenty draws of 1 to 20: the worst two average 19.5; a season that is 3 worse in every draw is exactly 3 worse.
    #[test]
    fn worst_tenth_and_paired_difference() {
        let draws: Vec<f64> = (1..=20).map(f64::from).collect();
        let worse: Vec<f64> = draws.iter().map(|d| d + 3.0).collect();
        let harm = Harm::of(&worse, &draws);
        assert!((worst_tenth(&draws).as_square_metres() - 19.5).abs() < 1e-9);
        assert!((harm.more.0 - 3.0).abs() < 1e-12 && harm.more.1 < 1e-12);
        assert!((standard_error(&draws) - (35.0_f64 / 20.0).sqrt()).abs() < 1e-12);
    }
}
