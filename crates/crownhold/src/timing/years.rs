//! Which past years stand in for the days to come, and how much each counts.
//!
//! Springs warm. A straight line through the spring heat of the past years is tested; where its slope is not
//! chance, recent years count more, by a weight that fades with age.

use statrs::distribution::{ContinuousCDF, StudentsT};

use crate::types::{Parameters, Problem};

/// Fewer years than this do not tell a trend from chance.
const LEAST: usize = 10;
/// How finely weights are kept: turns in a round of members.
const TURNS: usize = 256;

/// The order in which members take their past years.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Turns(Vec<usize>);

impl Turns {
    /// The past year of a member, as a place in the list of years.
    pub(super) fn of(&self, member: usize) -> usize {
        self.0[member % self.0.len()]
    }

    /// Every year as often as the others.
    pub(super) fn equal(years: usize) -> Self {
        Self((0..years).collect())
    }

    /// Every year as often as its weight asks, spread over the round so that any stretch of it is fair: always
    /// the year that is furthest behind its share.
    fn weighted(weights: &[f64]) -> Self {
        let total: f64 = weights.iter().sum();
        let mut taken = vec![0.0_f64; weights.len()];
        let next = |turn: usize| {
            let behind = |i: usize| weights[i] / total * (turn as f64 + 1.0) - taken[i];
            let most = (0..weights.len()).max_by(|a, b| behind(*a).total_cmp(&behind(*b))).unwrap_or(0);
            taken[most] += 1.0;
            most
        };
        Self((0..TURNS).map(next).collect())
    }
}

/// A straight line through spring heat.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Trend {
    /// Degree-days C a year.
    slope: f64,
    /// Chance of one as steep without a trend.
    chance: f64,
}

/// Who stands in how often, and what should be said about it. `heat` is each past year's spring heat (degree-days
/// C above 3 C up to 15 May), in the order of `years`.
pub(super) fn choose(years: &[i16], heat: &[f64], season: i16, parameters: &Parameters) -> (Turns, Option<Problem>) {
    let equal = Turns::equal(years.len());
    let Some(trend) = trend(years, heat) else { return (equal, None) };
    if trend.chance >= parameters.number("timing.years.trend") {
        return (equal, None);
    }
    let memory = parameters.number("timing.years.memory").max(1.0);
    let weight = |year: &i16| libm::exp(-f64::from(season - year) / memory);
    let weights: Vec<f64> = years.iter().map(weight).collect();
    let (sum, squares) = weights.iter().fold((0.0, 0.0), |(s, q), w| (s + w, q + w * w));
    let what = format!(
        "springs up to 15 May have become {} by {:.0} degree-days C above 3 C in ten years (chance of this without a trend: {}).",
        if trend.slope > 0.0 { "warmer" } else { "colder" },
        10.0 * trend.slope.abs(),
        percent(trend.chance),
    );
    let remedy = format!(
        "Recent years count more: the {} past years weigh as much as {:.0} equal ones. timing.years.memory sets how fast they \
         fade, timing.years.trend when.",
        years.len(),
        sum * sum / squares
    );
    (Turns::weighted(&weights), Some(Problem::notice("timing.trend", what, remedy)))
}

fn percent(chance: f64) -> String {
    if chance < 0.001 { "under 0.1 %".to_owned() } else { format!("{:.1} %", 100.0 * chance) }
}

/// Least squares and the t-test of its slope.
fn trend(years: &[i16], heat: &[f64]) -> Option<Trend> {
    let n = years.len() as f64;
    if years.len() < LEAST {
        return None;
    }
    let (mean_x, mean_y) = (years.iter().map(|y| f64::from(*y)).sum::<f64>() / n, heat.iter().sum::<f64>() / n);
    let pairs = || years.iter().zip(heat).map(|(x, y)| (f64::from(*x) - mean_x, y - mean_y));
    let xx: f64 = pairs().map(|(x, _)| x * x).sum();
    let slope = pairs().map(|(x, y)| x * y).sum::<f64>() / xx;
    let left: f64 = pairs().map(|(x, y)| (y - slope * x).powi(2)).sum();
    let error = (left / (n - 2.0) / xx).sqrt();
    let t = StudentsT::new(0.0, 1.0, n - 2.0).ok()?;
    let chance = if error > 0.0 { 2.0 * t.sf((slope / error).abs()) } else { 1.0 };
    Some(Trend { slope, chance })
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    /// SciPy 1.17: linregress([1..10], [2,1,4,3,6,5,8,7,10,9]) has slope 0.93939 and p 5.48e-5.
    #[test]
    fn a_slope_and_its_chance() {
        let years: Vec<i16> = (1..=10).collect();
        let found = trend(&years, &[2.0, 1.0, 4.0, 3.0, 6.0, 5.0, 8.0, 7.0, 10.0, 9.0]).unwrap();
        assert!((found.slope - 0.939_393_939).abs() < 1e-8, "{found:?}");
        assert!((found.chance - 5.484_052_998_513_666e-5).abs() < 1e-10, "{found:?}");
    }

    #[test]
    fn without_a_trend_all_years_count_the_same() {
        let years: Vec<i16> = (2000..2012).collect();
        let heat: Vec<f64> = (0..12).map(|i| 300.0 + f64::from(i % 3) * 20.0).collect();
        let (turns, note) = choose(&years, &heat, 2012, &Parameters::defaults());
        assert_eq!((turns, note), (Turns::equal(12), None));
    }

    #[test]
    fn with_a_trend_recent_years_count_more_and_it_is_said() {
        let years: Vec<i16> = (1990..2020).collect();
        let heat: Vec<f64> = (0..30).map(|i| 300.0 + f64::from(i) * 3.0 + f64::from(i % 4) * 10.0).collect();
        let (turns, note) = choose(&years, &heat, 2020, &Parameters::defaults());
        let often = |year: usize| turns.0.iter().filter(|y| **y == year).count();
        assert!(often(0) >= 1 && often(29) >= 5 * often(0), "{} {}", often(0), often(29));
        insta::assert_snapshot!(note.unwrap().to_string());
    }
}
