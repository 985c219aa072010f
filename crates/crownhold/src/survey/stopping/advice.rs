//! The answer in the field after each plot: stop, or go on and about how long.
//!
//! How many more plots it takes depends on the density, which is not known. So the exact course of the further plots
//! ([`super::exact`]) is averaged over the densities that fit the counts so far: the expectation before any count
//! (lognormal) times the negative binomial chance of the total.

use super::exact::{Course, course_from};
use super::{End, StopTable};
use crate::survey::negative_binomial::{exact_interval, ln_probability};

/// Densities over which the course is averaged.
const CELLS: u32 = 121;

/// What is expected before any count: mean per plot, lognormal.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Expectation {
    /// Median, masses per plot.
    pub median: f64,
    /// Log standard deviation.
    pub width: f64,
}

/// How long it still takes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct More {
    /// Further plots on average.
    pub mean: f64,
    /// Further plots that are enough in nine of ten cases.
    pub nine_in_ten: u32,
    /// Further plots at most.
    pub at_most: u32,
    /// Chance that the answer will be "above" (for fixed precision: that it will be reached).
    pub above: f64,
}

/// The answer.
#[derive(Clone, Debug, PartialEq)]
pub struct Advice {
    /// Plots counted.
    pub plots: u32,
    /// Masses on them.
    pub total: f64,
    /// Mean per plot; `None` before the first plot.
    pub mean: Option<f64>,
    /// Exact interval of the mean per plot at the level asked for, as if the number of plots had been fixed. It is not:
    /// stopping early on a high or low total makes the mean lean to that side.
    pub interval: Option<(f64, f64)>,
    /// How counting ended, `None`: go on.
    pub end: Option<End>,
    /// Whether a line ended it (rather than the last plot).
    pub by_line: bool,
    /// When to go on: how long.
    pub more: Option<More>,
}

/// The answer after some plots.
///
/// `total` need not be whole. `level` is that of the interval.
pub fn advice(table: &StopTable, plots: u32, total: f64, k: f64, expected: Expectation, level: f64) -> Advice {
    let end = if plots == 0 { None } else { table.end(plots, total) };
    let n = f64::from(plots);
    let counted = plots > 0;
    let interval = counted.then(|| {
        let (low, high) = exact_interval(total, n * k, level);
        (low / n, high / n)
    });
    let row = counted.then(|| table.rows()[plots.min(table.most()) as usize - 1]);
    let by_line = row.is_some_and(|r| r.is_below(total) || r.is_above(total));
    let more = end.is_none().then(|| more(table, plots, total, k, expected));
    Advice { plots, total, mean: counted.then_some(total / n), interval, end, by_line, more }
}

fn more(table: &StopTable, plots: u32, total: f64, k: f64, expected: Expectation) -> More {
    let left = table.most() - plots;
    let mut stops = vec![0.0; left as usize];
    let (mut mean, mut above, mut all) = (0.0, 0.0, 0.0);
    for (at, weight) in densities(plots, total, k, expected) {
        let course = course_from(table, plots, total, at, k);
        mean += weight * course.mean_plots;
        above += weight * course.above;
        all += weight;
        stops.iter_mut().zip(&course.stops).for_each(|(s, p)| *s += weight * p);
    }
    stops.iter_mut().for_each(|s| *s /= all);
    let mixed = Course { below: 0.0, above: 0.0, open: 0.0, mean_plots: 0.0, stops, estimate: None };
    More { mean: mean / all, nine_in_ten: mixed.enough(0.9), at_most: left, above: above / all }
}

/// Means per plot and their weights after the counts; those that hardly count are left out.
fn densities(plots: u32, total: f64, k: f64, expected: Expectation) -> Vec<(f64, f64)> {
    let n = f64::from(plots);
    let logs: Vec<(f64, f64)> = (0..CELLS)
        .map(|i| {
            let z = 4.0 * (2.0 * f64::from(i) / f64::from(CELLS - 1) - 1.0);
            let mean = expected.median * libm::exp(expected.width * z);
            let fit = if plots == 0 { 0.0 } else { ln_probability(total, n * mean, n * k) };
            (mean, fit - 0.5 * z * z)
        })
        .collect();
    let most = logs.iter().map(|l| l.1).fold(f64::NEG_INFINITY, f64::max);
    logs.into_iter().map(|(m, l)| (m, libm::exp(l - most))).filter(|(_, w)| *w > 1e-5).collect()
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::super::wald::WaldRule;
    use super::*;
    use crate::types::{Area, MassesPerArea};

    const EXPECTED: Expectation = Expectation { median: 6.25, width: 2.0 };

    fn table() -> StopTable {
        let plot = Area::acres(1.0 / 40.0);
        let density = MassesPerArea::per_acre;
        let rule = WaldRule {
            low: density(150.0),
            high: density(350.0),
            k: 1.0,
            alpha: 0.1,
            beta: 0.1,
            plot,
            least: 1,
            most: 20,
        };
        rule.plan().unwrap().table
    }

    fn at(plots: u32, total: f64) -> Advice {
        advice(&table(), plots, total, 1.0, EXPECTED, 0.9)
    }

    /// The stop limits of the plan in the survey notes: 5 plots 10/46, 10 plots 38/74, and the mean at the twentieth.
    #[test]
    fn stops_on_the_lines() {
        for (plots, total, end, by_line) in [
            (5, 10.0, Some(End::Below), true),
            (5, 46.0, Some(End::Above), true),
            (5, 30.0, None, false),
            (10, 38.5, Some(End::Below), true),
            (10, 39.5, None, false),
            (20, 124.5, Some(End::Below), false),
            (20, 125.0, Some(End::Above), false),
            (25, 300.0, Some(End::Above), true),
        ] {
            let got = at(plots, total);
            assert_eq!((got.end, got.by_line), (end, by_line), "{plots} plots, {total}");
            assert_eq!(got.more.is_none(), end.is_some());
        }
    }

    /// Close to a line it takes fewer plots than midway between both, and the answer leans to that line.
    #[test]
    fn how_long_depends_on_the_counts() {
        let [low, middle, high] = [12.0, 28.0, 44.0].map(|t| at(5, t).more.unwrap());
        assert!(low.mean < middle.mean && high.mean < middle.mean, "{low:?} {middle:?} {high:?}");
        assert!(low.above < 0.3 && high.above > 0.7, "{low:?} {high:?}");
        assert!(middle.nine_in_ten <= middle.at_most && middle.at_most == 15);
        let start = at(0, 0.0);
        assert_eq!((start.mean, start.interval, start.end), (None, None, None));
        assert!(start.more.unwrap().mean > 1.0);
    }
}
