//! When to stop counting: after each plot the total found so far says "below", "above" or "go on".
//!
//! Four kinds of lines ([`wald`], [`lines`]): Wald's test between two densities, Iwao's confidence plan around one,
//! and the fixed-precision lines of Green and Kuno. Whatever the lines, what they really do is computed exactly
//! ([`exact`]): the chance of each answer, the plots it takes and the error made, at any true density, with the least
//! and the most number of plots taken into account. [`advice`] is the answer in the field after each plot.
//!
//! Counts are negative binomial with the same dispersion k at every density. That is a convenience of the theory,
//! not a fact; the exact figures can be asked for at another k to see what it costs to be wrong.

pub mod advice;
pub mod exact;
pub mod lines;
pub mod wald;

/// How counting ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum End {
    /// At or below the lower line, or at the last plot with a mean below the cut.
    Below,
    /// At or above the upper line, or at the last plot with a mean not below the cut. For a line of fixed precision:
    /// precise enough.
    Above,
    /// The last plot was reached and there is nothing that decides (fixed precision).
    Open,
}

/// What happens when the last plot is counted and no line was reached.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Last {
    /// The mean per plot decides: "below" when it is under this, else "above".
    Mean(f64),
    /// Nothing is decided.
    Nothing,
}

/// A line that rounding carries this far past a whole total still stops on it.
const HAIR: f64 = 1e-9;

/// The two lines after one number of plots, as totals over these plots.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Row {
    /// Plots counted.
    pub plots: u32,
    /// Stop with "below" at this total or less; `None`: not possible yet.
    pub below: Option<f64>,
    /// Stop with "above" at this total or more; `None`: not possible yet.
    pub above: Option<f64>,
}

impl Row {
    /// Does this total stop with "below"?
    pub fn is_below(&self, total: f64) -> bool {
        self.below.is_some_and(|t| total <= t + HAIR)
    }
    /// Does this total stop with "above"?
    pub fn is_above(&self, total: f64) -> bool {
        self.above.is_some_and(|t| total >= t - HAIR)
    }
    /// The greatest whole total that stops with "below".
    pub fn whole_below(&self) -> Option<u32> {
        self.below.filter(|t| *t >= 0.0).map(|t| (t + HAIR).floor() as u32)
    }
    /// The least whole total that stops with "above".
    pub fn whole_above(&self) -> Option<u32> {
        self.above.map(|t| (t - HAIR).ceil().max(0.0) as u32)
    }
}

/// Lines for 1, 2, ... plots, and what happens at the last.
#[derive(Clone, Debug, PartialEq)]
pub struct StopTable {
    rows: Vec<Row>,
    last: Last,
}

impl StopTable {
    /// Lines from a function of the number of plots, which is asked from `least` on; before it nobody stops.
    ///
    /// # Panics
    /// When `most` is 0.
    pub fn new(least: u32, most: u32, last: Last, lines: impl Fn(f64) -> (Option<f64>, Option<f64>)) -> Self {
        assert!(most > 0, "at least one plot");
        let rows = (1..=most)
            .map(|plots| {
                let (below, above) = if plots < least { (None, None) } else { lines(f64::from(plots)) };
                Row { plots, below: below.filter(|t| *t >= 0.0), above }
            })
            .collect();
        Self { rows, last }
    }
    /// The rows, for 1, 2, ... plots.
    pub fn rows(&self) -> &[Row] {
        &self.rows
    }
    /// What happens at the last plot.
    pub fn last(&self) -> Last {
        self.last
    }
    /// The greatest number of plots.
    pub fn most(&self) -> u32 {
        self.rows.len() as u32
    }
    /// Has counting ended with this total on this many plots? More plots than the last count as the last.
    ///
    /// # Panics
    /// When `plots` is 0.
    pub fn end(&self, plots: u32, total: f64) -> Option<End> {
        let row = &self.rows[plots.min(self.most()) as usize - 1];
        if row.is_below(total) {
            Some(End::Below)
        } else if row.is_above(total) {
            Some(End::Above)
        } else if plots < self.most() {
            None
        } else {
            Some(match self.last {
                Last::Mean(cut) if total < cut * f64::from(plots) => End::Below,
                Last::Mean(_) => End::Above,
                Last::Nothing => End::Open,
            })
        }
    }
}
