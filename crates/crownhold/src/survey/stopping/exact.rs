//! What stop lines really do, by adding up the chances of every path of the running total.
//!
//! The state is the total after n plots; each plot adds a negative binomial count. Paths that have stopped leave.
//! No approximation but the largest total kept: above it every path stops with "above" at the next line.

use super::{End, Last, StopTable};

/// Chance left out above the largest total that is followed, where no line ends it.
const TAIL: f64 = 1e-11;
/// No more totals than this are followed.
const MOST_TOTALS: usize = 6_000;

/// How counting goes at one true density.
#[derive(Clone, Debug, PartialEq)]
pub struct Course {
    /// Chance that the answer is "below".
    pub below: f64,
    /// Chance that the answer is "above" (of a line of fixed precision: that it is reached).
    pub above: f64,
    /// Chance that the last plot is reached with no answer.
    pub open: f64,
    /// Plots counted on average (from the start of the course on).
    pub mean_plots: f64,
    /// Chance of counting just 1, 2, ... plots more.
    pub stops: Vec<f64>,
    /// Mean, and root of the mean squared error, of the estimate total/plots at the end. Only for lines of fixed
    /// precision, where the whole distribution is followed.
    pub estimate: Option<(f64, f64)>,
}

impl Course {
    /// The number of plots that is enough with this chance.
    pub fn enough(&self, chance: f64) -> u32 {
        let mut run = 0.0;
        let at = self.stops.iter().position(|p| {
            run += p;
            run >= chance - 1e-9
        });
        at.map_or(self.stops.len(), |i| i + 1) as u32
    }
}

/// Chances of 0, 1, ... `most` masses on a plot.
pub fn probabilities(mean: f64, k: f64, most: usize) -> Vec<f64> {
    let mut p = libm::exp(-k * libm::log1p(mean / k));
    (0..=most)
        .map(|y| {
            let now = p;
            p *= (k + y as f64) / (y as f64 + 1.0) * mean / (mean + k);
            now
        })
        .collect()
}

/// The course from the first plot on, at a true mean per plot and dispersion k.
pub fn course(table: &StopTable, mean: f64, k: f64) -> Course {
    course_from(table, 0, 0.0, mean, k)
}

/// The course of the further plots when `plots` have been counted with `total` on them and no line was reached. The
/// total need not be whole (masses out of reach count in part).
///
/// # Panics
/// When the last plot has been counted already.
pub fn course_from(table: &StopTable, plots: u32, total: f64, mean: f64, k: f64) -> Course {
    assert!(plots < table.most(), "there is a plot left to count");
    let whole = table.last() == Last::Nothing;
    let chances = probabilities(mean, k, largest(table, plots, total, mean, k, whole));
    let mut walk = Walk::new(chances, total);
    for n in plots + 1..=table.most() {
        walk.count_a_plot();
        walk.stop(table, n);
    }
    walk.finish(mean, whole)
}

/// The largest number of further masses that is followed. A path beyond the highest line to come can only end above;
/// lines of fixed precision are followed as far as chances reach, because their estimate is wanted too.
fn largest(table: &StopTable, plots: u32, total: f64, mean: f64, k: f64, whole: bool) -> usize {
    let rest = &table.rows()[plots as usize..];
    let line = rest.iter().filter_map(|r| r.above).fold(0.0, f64::max);
    let always = rest.iter().skip_while(|r| r.above.is_none()).all(|r| r.above.is_some());
    if always && !whole && line > 0.0 {
        return ((line - total).ceil().max(1.0) as usize).min(MOST_TOTALS);
    }
    let n = rest.len() as f64;
    let all = probabilities(n * mean, n * k, MOST_TOTALS);
    let mut left = 1.0;
    let reach = all.iter().position(|p| {
        left -= p;
        left < TAIL
    });
    reach.unwrap_or(MOST_TOTALS).max(1)
}

/// Paths under way.
struct Walk {
    /// Chances of a plot's count.
    count: Vec<f64>,
    /// Total at the start.
    start: f64,
    /// Chance of each number of further masses, not stopped.
    alive: Vec<f64>,
    /// Chance of more than are followed, not stopped.
    beyond: f64,
    below: f64,
    above: f64,
    open: f64,
    stops: Vec<f64>,
    moments: (f64, f64),
}

impl Walk {
    fn new(count: Vec<f64>, start: f64) -> Self {
        let mut alive = vec![0.0; count.len()];
        alive[0] = 1.0;
        let none = (0.0, 0.0);
        Self { count, start, alive, beyond: 0.0, below: 0.0, above: 0.0, open: 0.0, stops: Vec::new(), moments: none }
    }

    fn count_a_plot(&mut self) {
        let mut next = vec![0.0; self.alive.len()];
        for (t, p) in self.alive.iter().enumerate().filter(|(_, p)| **p > 0.0) {
            next[t..].iter_mut().zip(&self.count).for_each(|(to, c)| *to += p * c);
        }
        let (before, after): (f64, f64) = (self.alive.iter().sum(), next.iter().sum());
        self.beyond += (before - after).max(0.0);
        self.alive = next;
    }

    fn stop(&mut self, table: &StopTable, n: u32) {
        let mut stopped = 0.0;
        for t in 0..self.alive.len() {
            let (p, total) = (self.alive[t], self.start + t as f64);
            let Some(end) = (if p > 0.0 { table.end(n, total) } else { None }) else { continue };
            self.end(end, p, total / f64::from(n));
            stopped += p;
            self.alive[t] = 0.0;
        }
        let beyond_all = self.start + self.alive.len() as f64;
        if self.beyond > 0.0
            && let Some(end) = table.end(n, beyond_all)
        {
            self.end(end, self.beyond, beyond_all / f64::from(n));
            stopped += std::mem::take(&mut self.beyond);
        }
        self.stops.push(stopped);
    }

    fn end(&mut self, end: End, chance: f64, estimate: f64) {
        match end {
            End::Below => self.below += chance,
            End::Above => self.above += chance,
            End::Open => self.open += chance,
        }
        self.moments.0 += chance * estimate;
        self.moments.1 += chance * estimate * estimate;
    }

    fn finish(self, mean: f64, whole: bool) -> Course {
        let (first, second) = self.moments;
        let square = second - 2.0 * mean * first + mean * mean;
        Course {
            below: self.below,
            above: self.above,
            open: self.open,
            mean_plots: self.stops.iter().enumerate().map(|(i, p)| (i + 1) as f64 * p).sum(),
            stops: self.stops,
            estimate: whole.then_some((first, square.max(0.0).sqrt())),
        }
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::super::lines::{Patchiness, iwao_table, kuno_table};
    use super::super::{Last, StopTable};
    use super::*;

    /// By hand: two plots, stop below at 0, above at 2; a count is 0, 1, more with chances p0, p1 of a geometric (k 1).
    #[test]
    fn two_plots_by_hand() {
        let table = StopTable::new(1, 2, Last::Mean(0.75), |_| (Some(0.0), Some(2.0)));
        // mean 1, k 1: chances 1/2, 1/4, 1/8 ...
        let got = course(&table, 1.0, 1.0);
        // One plot: below with 1/2, above with 1/4. Else the total is 1; the second plot adds 0 (mean 1/2: below) or more.
        assert!((got.below - (0.5 + 0.25 * 0.5)).abs() < 1e-12, "{got:?}");
        assert!((got.above - (0.25 + 0.25 * 0.5)).abs() < 1e-12);
        assert!((got.mean_plots - 1.25).abs() < 1e-12);
        assert_eq!((got.enough(0.75), got.enough(0.9)), (1, 2));
    }

    /// A plan that cannot stop early is a fixed sample: its chance of "below" is that of the negative binomial total.
    #[test]
    fn a_fixed_sample() {
        let table = StopTable::new(99, 12, Last::Mean(6.25), |_| (None, None));
        let got = course(&table, 5.0, 0.8);
        let total = probabilities(60.0, 9.6, 74);
        assert!((got.below - total.iter().sum::<f64>()).abs() < 1e-9, "{} {}", got.below, total.iter().sum::<f64>());
        assert!((got.mean_plots - 12.0).abs() < 1e-9);
    }

    proptest! {
        /// Chances add up, more masses never make "below" likelier, and the number of plots stays within its bounds.
        #[test]
        fn chances_are_chances(mean in 0.2..12.0_f64, k in 0.3..3.0_f64, least in 1_u32..6, t in 1.0..2.5_f64) {
            let table = iwao_table(5.0, Patchiness::of_k(k), t, least, 14);
            let (a, b) = (course(&table, mean, k), course(&table, mean * 1.2, k));
            prop_assert!((a.below + a.above + a.open - 1.0).abs() < 1e-9);
            prop_assert!((a.stops.iter().sum::<f64>() - 1.0).abs() < 1e-9);
            prop_assert!(b.below <= a.below + 1e-9);
            prop_assert!(a.mean_plots >= f64::from(least) - 1e-9 && a.mean_plots <= 14.0 + 1e-9);
        }
    }

    /// A line of fixed precision: where it is reached the error is about the one asked for.
    #[test]
    fn kuno_keeps_about_his_precision() {
        let table = kuno_table(Patchiness::of_k(1.0), 0.25, 1, 60);
        let got = course(&table, 6.25, 1.0);
        let (mean, error) = got.estimate.unwrap_or_default();
        assert!(got.open < 1e-3 && (mean / 6.25 - 1.0).abs() < 0.06, "{got:?}");
        assert!((0.2..0.3).contains(&(error / 6.25)), "{}", error / 6.25);
    }
}
