//! Hatch: a normal distribution over heat above 3 C, and the cohorts that start the larval stages.
//!
//! Johnson et al. 1983: egg masses hatch at 282 degree-days C above 3 C, spread 29. Eggs heat above 3 C and
//! larvae above 8 C, so that hatch has to be carried from one axis to the other through the calendar of a
//! year; that is done for [`COHORTS`] cohorts, each with its share of the masses.
//!
//! A fixed base above a fixed first day is a local approximation: where winters are mild, heat just above 3 C
//! in January and February is counted in full and hatch comes out too early.

use std::sync::LazyLock;

use super::axis::Year;
use crate::types::chance::{normal_cdf, normal_quantile};

/// How many cohorts hatch is cut into.
pub(super) const COHORTS: usize = 16;
/// They lie evenly between this many spreads before and after the mean; the tails go to the outermost.
const REACH: f64 = 4.0;

/// Shares and places (in spreads from the mean) of the cohorts, and the share hatched before each.
struct Cut {
    before: [f64; COHORTS],
    share: [f64; COHORTS],
    place: [f64; COHORTS],
}

static CUT: LazyLock<Cut> = LazyLock::new(|| {
    let width = 2.0 * REACH / COHORTS as f64;
    let edge = |i: usize| match i {
        0 => 0.0,
        COHORTS => 1.0,
        i => normal_cdf(-REACH + width * i as f64),
    };
    Cut {
        before: std::array::from_fn(edge),
        share: std::array::from_fn(|i| edge(i + 1) - edge(i)),
        // Standing each cohort at its middle would widen the whole by width^2 / 12 (Sheppard); drawn in, the
        // spread is that of the normal.
        place: std::array::from_fn(|i| (-REACH + width * (i as f64 + 0.5)) / (1.0 + width * width / 12.0).sqrt()),
    }
});

/// Shares of the cohorts; they sum to 1.
pub(super) fn cohort_shares() -> &'static [f64; COHORTS] {
    &CUT.share
}

/// What each cohort has hatched when this share of all has.
pub(super) fn hatched_by_cohort(hatched: f64) -> [f64; COHORTS] {
    std::array::from_fn(|i| (hatched - CUT.before[i]).clamp(0.0, CUT.share[i]))
}

/// Hatch over heat: mean and spread, degree-days C on the egg axis.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Hatch {
    pub(super) mean: f64,
    pub(super) spread: f64,
}

impl Hatch {
    /// Share hatched at this heat.
    pub(super) fn share(self, heat: f64) -> f64 {
        normal_cdf((heat - self.mean) / self.spread)
    }
    /// Heat at which a share has hatched.
    pub(super) fn heat(self, share: f64) -> f64 {
        self.mean + self.spread * normal_quantile(share)
    }
    /// Larval heat at which each cohort hatches in a year, in order; infinite for one that does not hatch.
    pub(super) fn cohorts(self, year: &Year) -> [f64; COHORTS] {
        let at = |place: f64| year.egg.carry(self.mean + self.spread * place, &year.larva);
        CUT.place.map(|place| at(place).unwrap_or(f64::INFINITY))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// phenology.md 10.3 oracle 7: Johnson et al. 1983 read as a normal distribution.
    #[test]
    fn johnson_1983() {
        let hatch = Hatch { mean: 282.0, spread: 29.0 };
        for (heat, share) in [(253.0, 0.159), (282.0, 0.500), (311.0, 0.841)] {
            assert!((hatch.share(heat) - share).abs() < 0.001, "{heat}");
        }
        for (share, heat) in [(0.1, 244.8), (0.9, 319.2)] {
            assert!((hatch.heat(share) - heat).abs() < 0.1, "{share}");
        }
    }

    /// Identity: the cohorts are all masses, stand around the mean, and spread as the normal does.
    #[test]
    fn cohorts_are_the_whole() {
        let sum = |f: fn(f64) -> f64| (0..COHORTS).map(|i| CUT.share[i] * f(CUT.place[i])).sum::<f64>();
        assert!((sum(|_| 1.0) - 1.0).abs() < 1e-12);
        assert!(sum(|z| z).abs() < 1e-12);
        assert!((sum(|z| z * z) - 1.0).abs() < 1e-3);
        assert!((hatched_by_cohort(0.3).iter().sum::<f64>() - 0.3).abs() < 1e-12);
    }
}
