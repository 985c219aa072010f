//! How good a forecast of a date was: bias, absolute error, coverage, CRPS.
//!
//! A forecast is a list of members, days counted from anywhere, and one best day. Nothing here knows of moths.

/// The scores of many forecasts of one kind.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Score {
    /// How many forecasts were judged.
    pub n: usize,
    /// Mean of best day minus true day, days; above 0 the forecast is late.
    pub bias_days: f64,
    /// Mean distance between best day and true day, days.
    pub mae_days: f64,
    /// Share of the true days inside the middle nine tenths of the members (see [`inside_nine_tenths`]).
    pub coverage90: f64,
    /// Mean of the continuous ranked probability score, days (see [`crps`]): 0 is perfect, and for a forecast
    /// of one day it is the absolute error.
    pub crps: f64,
}

/// Sums behind a [`Score`].
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Tally {
    n: usize,
    bias: f64,
    distance: f64,
    inside: f64,
    crps: f64,
}

impl Tally {
    /// Adds one forecast; `members` are in order.
    pub(super) fn add(&mut self, best: f64, members: &[f64], truth: f64) {
        self.n += 1;
        self.bias += best - truth;
        self.distance += (best - truth).abs();
        self.inside += inside_nine_tenths(members, truth);
        self.crps += crps(members, truth);
    }
    pub(super) fn and(self, other: Self) -> Self {
        Self {
            n: self.n + other.n,
            bias: self.bias + other.bias,
            distance: self.distance + other.distance,
            inside: self.inside + other.inside,
            crps: self.crps + other.crps,
        }
    }
    /// The means; `None` when nothing was judged.
    pub(super) fn score(self) -> Option<Score> {
        let mean = |sum: f64| sum / self.n as f64;
        (self.n > 0).then(|| Score {
            n: self.n,
            bias_days: mean(self.bias),
            mae_days: mean(self.distance),
            coverage90: mean(self.inside),
            crps: mean(self.crps),
        })
    }
}

/// Continuous ranked probability score of members (in order) against what came: mean distance to the truth less half
/// the mean distance between two different members. This is the fair form (Ferro 2014, Q. J. R. Meteorol. Soc.
/// 140:1917-1923), which does not punish a forecast for having few members. One member: the absolute error.
pub fn crps(sorted: &[f64], truth: f64) -> f64 {
    let m = sorted.len() as f64;
    if sorted.is_empty() {
        return f64::NAN;
    }
    let to_truth = sorted.iter().map(|x| (x - truth).abs()).sum::<f64>() / m;
    if sorted.len() == 1 {
        return to_truth;
    }
    // The sum of all distances between members, from their ranks.
    let among: f64 = sorted.iter().enumerate().map(|(i, x)| (2.0 * i as f64 - m + 1.0) * x).sum();
    to_truth - among / (m * (m - 1.0))
}

/// Does the truth lie in the middle nine tenths of the members (in order)? Days are whole, so that a good part of the
/// members may share the day on which a limit falls; a truth on that day counts with the part of the day's members
/// that lies inside the limits. A right forecast then scores 0.9 on average, however narrow it is (the
/// probability integral transform of counts: Czado et al. 2009, Biometrics 65:1254-1261).
pub fn inside_nine_tenths(sorted: &[f64], truth: f64) -> f64 {
    if sorted.is_empty() {
        return f64::NAN;
    }
    let m = sorted.len() as f64;
    let before = sorted.partition_point(|x| *x < truth) as f64 / m;
    let until = sorted.partition_point(|x| *x <= truth) as f64 / m;
    if until > before {
        ((until.min(0.95) - before.max(0.05)) / (until - before)).max(0.0)
    } else {
        f64::from(u8::from((0.05..=0.95).contains(&before)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: members 1, 2, 4 and truth 3: (2 + 1 + 1) / 3 less half of (1 + 3 + 2) * 2 / 6 = 1/3.
    #[test]
    fn crps_by_hand() {
        assert!((crps(&[1.0, 2.0, 4.0], 3.0) - 1.0 / 3.0).abs() < 1e-12);
        assert_eq!(crps(&[5.0], 3.0), 2.0);
    }

    /// Gneiting & Raftery 2007 (J. Am. Stat. Assoc. 102:359-378), equation 21: the standard normal against 0 scores
    /// (sqrt 2 - 1) / sqrt pi = 0.23370.
    #[test]
    fn crps_of_a_normal() {
        let members: Vec<f64> =
            (0..20_000).map(|i| crate::types::chance::normal_quantile((f64::from(i) + 0.5) / 20_000.0)).collect();
        assert!((crps(&members, 0.0) - 0.233_695).abs() < 1e-4);
    }

    /// Identity: members themselves, as truths, lie inside in nine cases of ten, however many share a day.
    #[test]
    fn a_right_forecast_covers_nine_tenths() {
        for width in [1_usize, 3, 40, 1000] {
            let members: Vec<f64> = (0..1000).map(|i| (i / width) as f64).collect();
            let mean = members.iter().map(|t| inside_nine_tenths(&members, *t)).sum::<f64>() / 1000.0;
            assert!((mean - 0.9).abs() < 1e-9, "{width}: {mean}");
        }
        assert_eq!(inside_nine_tenths(&[1.0, 2.0], 1.5), 1.0);
        assert_eq!(inside_nine_tenths(&[1.0, 2.0], 2.5), 0.0);
    }

    #[test]
    fn sums_become_means() {
        let mut tally = Tally::default();
        assert_eq!(tally.score(), None);
        tally.add(10.0, &[10.0], 12.0);
        tally.add(10.0, &[10.0], 9.0);
        let score = tally.score();
        let wanted = Score { n: 2, bias_days: -0.5, mae_days: 1.5, coverage90: 0.0, crps: 1.5 };
        assert_eq!(score, Some(wanted));
    }
}
