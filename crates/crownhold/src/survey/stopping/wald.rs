//! Wald's test between two densities, for negative binomial counts with a common k.
//!
//! With m0 < m1 the means per plot, G = ln[m1(m0+k)/(m0(m1+k))], slope b = k ln[(m1+k)/(m0+k)]/G and intercepts
//! h0 = ln[beta/(1-alpha)]/G, h1 = ln[(1-beta)/alpha]/G: after n plots with total T stop "below" when T <= b n + h0 and
//! "above" when T >= b n + h1. Wald 1947, Sequential Analysis; for negative binomial counts Oakland 1950,
//! Biometrics 6:59-67. At the last plot the mean decides against the middle of the two densities.
//!
//! alpha is the chance wished for of "above" at the lower density, beta that of "below" at the upper one. With few
//! plots and a limit on their number the errors made differ from both: see [`WaldPlan::realised`].

use rayon::prelude::*;

use super::exact::{Course, course, probabilities};
use super::{Last, StopTable};
use crate::types::{Area, MassesPerArea, Problem};

/// No rule asks for more plots than this.
pub const MOST_PLOTS: u32 = 300;

/// What the rule is to tell apart, how surely, with what plots.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WaldRule {
    /// Density at which "below" is the right answer.
    pub low: MassesPerArea,
    /// Density at which "above" is the right answer.
    pub high: MassesPerArea,
    /// Dispersion of the counts on a plot.
    pub k: f64,
    /// Nominal chance of "above" at `low`.
    pub alpha: f64,
    /// Nominal chance of "below" at `high`.
    pub beta: f64,
    /// Area of a plot.
    pub plot: Area,
    /// Nobody stops before this many plots.
    pub least: u32,
    /// At this many plots the mean decides.
    pub most: u32,
}

/// A rule with its lines.
#[derive(Clone, Debug, PartialEq)]
pub struct WaldPlan {
    /// The rule.
    pub rule: WaldRule,
    /// Masses per further plot by which both lines rise.
    pub slope: f64,
    /// Where the lower line meets no plots (negative).
    pub low_intercept: f64,
    /// Where the upper line meets no plots.
    pub high_intercept: f64,
    /// The lines plot by plot.
    pub table: StopTable,
}

/// Errors that a plan really makes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Realised {
    /// Chance of "above" at the lower density.
    pub alpha: f64,
    /// Chance of "below" at the upper density.
    pub beta: f64,
}

/// Nominal errors chosen so that the real ones keep their limits.
#[derive(Clone, Debug, PartialEq)]
pub enum Adjusted {
    /// The plan with the fewest plots, on average over both densities and their middle, whose real errors are within.
    Plan(Box<WaldPlan>),
    /// No lines on the grid do it with so few plots. With this many a sample of fixed size does; `None` when not even
    /// [`MOST_PLOTS`] are enough.
    NeedsPlots(Option<u32>),
}

impl WaldRule {
    /// Mean masses on a plot at a density.
    pub fn on_a_plot(&self, density: MassesPerArea) -> f64 {
        density.as_per_square_metre() * self.plot.as_square_metres()
    }
    /// The density of a mean per plot.
    pub fn density_of(&self, per_plot: f64) -> MassesPerArea {
        MassesPerArea::per_square_metre(per_plot / self.plot.as_square_metres())
    }
    /// The middle of the two densities, against which the mean decides at the last plot.
    pub fn middle(&self) -> MassesPerArea {
        (self.low + self.high) * 0.5
    }

    /// The lines.
    ///
    /// # Errors
    /// Every number that cannot be used, at once.
    pub fn plan(&self) -> Result<WaldPlan, Vec<Problem>> {
        let problems = self.faults();
        if problems.is_empty() { Ok(self.plan_unchecked()) } else { Err(problems) }
    }

    fn plan_unchecked(&self) -> WaldPlan {
        let (m0, m1, k) = (self.on_a_plot(self.low), self.on_a_plot(self.high), self.k);
        let g = libm::log(m1 * (m0 + k) / (m0 * (m1 + k)));
        let slope = k * libm::log((m1 + k) / (m0 + k)) / g;
        let low_intercept = libm::log(self.beta / (1.0 - self.alpha)) / g;
        let high_intercept = libm::log((1.0 - self.beta) / self.alpha) / g;
        let cut = Last::Mean(self.on_a_plot(self.middle()));
        let table = StopTable::new(self.least, self.most, cut, |n| {
            (Some(slope * n + low_intercept), Some(slope * n + high_intercept))
        });
        WaldPlan { rule: *self, slope, low_intercept, high_intercept, table }
    }

    fn faults(&self) -> Vec<Problem> {
        let mut out = Vec::new();
        let mut need = |holds: bool, name: &str, found: String, expected: &str| {
            if !holds {
                let what = format!("{name} is {found}.");
                out.push(Problem::error("D-201", what, "Correct it.").column(name).expected(expected));
            }
        };
        let (m0, m1) = (self.on_a_plot(self.low), self.on_a_plot(self.high));
        let per_acre = |d: MassesPerArea| format!("{:.6} per acre", d.as_per_acre());
        need(m0 > 0.0, "low", per_acre(self.low), "a density above 0");
        need(m1 > m0, "high", per_acre(self.high), "a density above the low one");
        need(m1 <= 2_000.0, "high", format!("{m1:.0} masses on a plot"), "at most 2,000 masses on a plot");
        need(self.plot.as_square_metres() > 0.0, "plot", "without area".to_owned(), "an area above 0");
        need((0.01..=1_000.0).contains(&self.k), "k", self.k.to_string(), "0.01 to 1000");
        for (name, value) in [("alpha", self.alpha), ("beta", self.beta)] {
            need((1e-6..0.5).contains(&value), name, value.to_string(), "a chance above 0 and below 0.5");
        }
        need(self.least >= 1, "min", self.least.to_string(), "at least 1 plot");
        need(
            (self.least..=MOST_PLOTS).contains(&self.most),
            "max",
            self.most.to_string(),
            "not below min, at most 300 plots",
        );
        out
    }
}

impl WaldPlan {
    /// What happens at a true density, exactly.
    pub fn at(&self, density: MassesPerArea) -> Course {
        self.at_with_k(density, self.rule.k)
    }
    /// The same when the counts have another dispersion than the rule believes.
    pub fn at_with_k(&self, density: MassesPerArea, k: f64) -> Course {
        course(&self.table, self.rule.on_a_plot(density), k)
    }
    /// The errors really made at the two densities.
    pub fn realised(&self) -> Realised {
        Realised { alpha: self.at(self.rule.low).above, beta: self.at(self.rule.high).below }
    }
    /// The greatest whole total that ends "below" at the last plot, reached without a line.
    pub fn last_below(&self) -> u32 {
        let cut = self.rule.on_a_plot(self.rule.middle()) * f64::from(self.rule.most);
        (cut.ceil() - 1.0).max(0.0) as u32
    }

    /// Wald's own approximations of the chance of "below" and of the number of plots, without a limit on plots.
    /// Of low accuracy (they neglect the overshoot over a line); kept to show the difference.
    pub fn wald_approximation(&self, density: MassesPerArea) -> (f64, f64) {
        let (rule, mean) = (&self.rule, self.rule.on_a_plot(density));
        let (p0, p1) = (rule.on_a_plot(rule.low) / rule.k, rule.on_a_plot(rule.high) / rule.k);
        let (up, odds) = (libm::log((1.0 + p0) / (1.0 + p1)), libm::log(p1 * (1.0 + p0) / (p0 * (1.0 + p1))));
        // The mean falls as h rises; h is the power at which the likelihood ratio has expectation 1.
        let mean_at = |h: f64| rule.k * -libm::expm1(h * up) / libm::expm1(h * odds);
        let (mut low, mut high) = (-60.0, 60.0);
        for _ in 0..200 {
            let middle = 0.5 * (low + high);
            let at = if middle == 0.0 { self.slope } else { mean_at(middle) };
            if at > mean { low = middle } else { high = middle }
        }
        let h = 0.5 * (low + high);
        let (a, b) = (libm::log((1.0 - rule.beta) / rule.alpha), libm::log(rule.beta / (1.0 - rule.alpha)));
        if h.abs() < 1e-9 {
            let variance = self.slope + self.slope * self.slope / rule.k;
            return (a / (a - b), -self.low_intercept * self.high_intercept / variance);
        }
        let below = libm::expm1(h * a) / (libm::exp(h * a) - libm::exp(h * b));
        let plots = (self.high_intercept + (self.low_intercept - self.high_intercept) * below) / (mean - self.slope);
        (below, plots)
    }

    /// Searches nominal errors whose real errors keep the limits of this plan's rule. Of all that do, the one with the
    /// fewest plots. A search over a grid of both, each from a tenth of its limit to four times it.
    pub fn adjusted(&self) -> Adjusted {
        const STEPS: usize = 18;
        let grid = |limit: f64| -> Vec<f64> {
            (0..STEPS).map(|i| (0.1 * limit * libm::pow(40.0, i as f64 / (STEPS - 1) as f64)).min(0.45)).collect()
        };
        let (alphas, betas) = (grid(self.rule.alpha), grid(self.rule.beta));
        let pairs: Vec<(f64, f64)> = alphas.iter().flat_map(|a| betas.iter().map(|b| (*a, *b))).collect();
        let found: Vec<Option<(f64, WaldPlan)>> = pairs
            .par_iter()
            .map(|(alpha, beta)| {
                let plan = WaldRule { alpha: *alpha, beta: *beta, ..self.rule }.plan_unchecked();
                let (low, high) = (plan.at(self.rule.low), plan.at(self.rule.high));
                let keeps = low.above <= self.rule.alpha && high.below <= self.rule.beta;
                keeps.then(|| (low.mean_plots + high.mean_plots + plan.at(self.rule.middle()).mean_plots, plan))
            })
            .collect();
        let best = found.into_iter().flatten().min_by(|a, b| a.0.total_cmp(&b.0));
        best.map_or_else(|| Adjusted::NeedsPlots(self.rule.plots_enough()), |(_, plan)| Adjusted::Plan(Box::new(plan)))
    }
}

impl WaldRule {
    /// The fewest plots at which a sample of fixed size, judged by its mean against the middle, keeps both errors.
    pub fn plots_enough(&self) -> Option<u32> {
        let cut = self.on_a_plot(self.middle());
        let below = |density: MassesPerArea, n: f64| -> f64 {
            let most = (cut * n).ceil() as usize - 1;
            probabilities(n * self.on_a_plot(density), n * self.k, most).iter().sum()
        };
        (self.least..=MOST_PLOTS).find(|n| {
            let n = f64::from(*n);
            1.0 - below(self.low, n) <= self.alpha && below(self.high, n) <= self.beta
        })
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::*;

    fn rule(low: f64, high: f64, k: f64, error: f64) -> WaldRule {
        let density = MassesPerArea::per_acre;
        let plot = Area::acres(1.0 / 40.0);
        WaldRule { low: density(low), high: density(high), k, alpha: error, beta: error, plot, least: 1, most: 20 }
    }

    fn close(got: f64, want: f64, tolerance: f64) {
        assert!((got - want).abs() <= tolerance, "{got} is not {want} within {tolerance}");
    }

    /// Arithmetic of Wald's formulas (the same by an independent program in `checks/stopping.py`).
    #[test]
    fn lines() {
        for (rule, slope, intercept) in [
            (rule(150.0, 350.0, 1.0, 0.1), 5.610_467, 17.142_354),
            (rule(150.0, 350.0, 0.5, 0.1), 5.587_497, 31.572_362),
            (rule(250.0, 500.0, 1.0, 0.05), 8.699_933, 41.204_613),
        ] {
            let plan = rule.plan().unwrap();
            close(plan.slope, slope, 1e-6);
            close(plan.high_intercept, intercept, 1e-5);
            close(plan.low_intercept, -intercept, 1e-5);
        }
        let plan = rule(150.0, 350.0, 1.0, 0.1).plan().unwrap();
        let limits = |n: usize| (plan.table.rows()[n - 1].whole_below(), plan.table.rows()[n - 1].whole_above());
        assert_eq!(limits(3), (None, Some(34)));
        for (n, low, high) in [(5, 10, 46), (6, 16, 51), (8, 27, 63), (10, 38, 74), (15, 67, 102), (20, 95, 130)] {
            assert_eq!(limits(n), (Some(low), Some(high)), "{n} plots");
        }
        assert_eq!(plan.last_below(), 124);
    }

    /// Wald's approximations: at the two densities the nominal errors themselves, between them one half.
    #[test]
    fn approximations() {
        let plan = rule(150.0, 350.0, 1.0, 0.1).plan().unwrap();
        for (per_plot, below, plots) in [(3.75, 0.9, 7.371), (plan.slope, 0.5, 7.923), (8.75, 0.1, 4.368)] {
            let got = plan.wald_approximation(plan.rule.density_of(per_plot));
            close(got.0, below, 1e-3);
            close(got.1, plots, 1e-3);
        }
        let plan = rule(250.0, 500.0, 1.0, 0.05).plan().unwrap();
        close(plan.wald_approximation(plan.rule.low).1, 15.137, 1e-3);
        close(plan.wald_approximation(plan.rule.high).1, 9.759, 1e-3);
    }

    /// Exact figures of the truncated plan, by an independent program (numpy; `checks/stopping.py` has it and a
    /// simulation).
    #[test]
    fn exact_figures() {
        let mut rule = rule(150.0, 350.0, 1.0, 0.1);
        let plan = rule.plan().unwrap();
        for (per_acre, below, plots) in [
            (100.0, 0.9982, 6.234),
            (150.0, 0.9540, 9.057),
            (200.0, 0.7514, 10.889),
            (250.0, 0.4533, 10.283),
            (350.0, 0.1090, 6.994),
            (500.0, 0.0152, 4.259),
        ] {
            let got = plan.at(MassesPerArea::per_acre(per_acre));
            close(got.below, below, 5e-5);
            close(got.mean_plots, plots, 5e-4);
        }
        close(plan.realised().alpha, 0.046, 5e-4);
        close(plan.realised().beta, 0.109, 5e-4);
        rule.least = 5;
        let plan = rule.plan().unwrap();
        for (per_acre, below, plots) in [(150.0, 0.9629, 9.38), (250.0, 0.4620, 11.08), (350.0, 0.1087, 8.20)] {
            let got = plan.at(MassesPerArea::per_acre(per_acre));
            close(got.below, below, 5e-5);
            close(got.mean_plots, plots, 5e-3);
        }
    }

    /// Nominal errors of 0.1 make 0.046 and 0.109; the search trades one for the other and keeps both limits, with
    /// fewer plots. For errors of 0.02 twelve plots are too few whatever the lines.
    #[test]
    fn adjusted_errors_are_kept() {
        let plan = rule(150.0, 350.0, 1.0, 0.1).plan().unwrap();
        let Adjusted::Plan(found) = plan.adjusted() else { panic!("20 plots are enough") };
        let errors = found.realised();
        assert!(errors.alpha <= 0.1 && errors.beta <= 0.1, "{errors:?}");
        assert!(found.rule.alpha > 0.1 && found.rule.beta < 0.1, "{:?}", found.rule);
        let short = WaldRule { most: 12, ..rule(150.0, 350.0, 1.0, 0.02) }.plan().unwrap();
        let Adjusted::NeedsPlots(Some(enough)) = short.adjusted() else { panic!("12 plots cannot be enough") };
        let fixed = WaldRule { least: enough, most: enough, ..short.rule }.plan().unwrap().realised();
        assert!(fixed.alpha <= 0.02 && fixed.beta <= 0.02, "{enough}: {fixed:?}");
    }

    #[test]
    fn every_fault_at_once() {
        let wrong = WaldRule { k: 0.0, alpha: 0.7, least: 9, most: 3, ..rule(350.0, 150.0, 1.0, 0.1) };
        let names: Vec<_> = wrong.plan().unwrap_err().into_iter().filter_map(|p| p.place.column).collect();
        assert_eq!(names, ["high", "k", "alpha", "max"]);
    }
}
