//! What winter cold left alive of egg masses that stand above the snow.
//!
//! Eggs freeze at a rate that grows about tenfold with every degree below -26 C, so that minutes of deep cold
//! count and not the lowest temperature alone. Eggs under snow are taken as safe. Where only daily lows and
//! highs are known, a curve is laid between them.

use std::f64::consts::PI;

use jiff::civil::Date;

use super::degree_days::DayRange;
use crate::types::{Parameters, Problem};

/// The hour of the day at which the low and the high are placed.
const LOW_AT: f64 = 6.0;
const HIGH_AT: f64 = 15.0;
/// Minutes between readings of the curve.
const STEP: f64 = 5.0;
/// Standard errors on either side that nine in ten lie within.
const NINE_IN_TEN: f64 = 1.645;

/// How eggs freeze.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FreezingLaw {
    /// Rate at -27 C, per minute.
    pub rate: f64,
    /// Degrees colder for a rate ten times as high.
    pub tenfold: f64,
    /// No freezing at or above this temperature but the rate at it, degrees C.
    pub starts: f64,
}

/// The temperature that the rate is stated for, degrees C.
const STATED_AT: f64 = -27.0;

impl FreezingLaw {
    /// Reads the law.
    ///
    /// # Errors
    /// When it makes no sense.
    pub fn read(parameters: &Parameters) -> Result<Self, Vec<Problem>> {
        let number = |name: &str| parameters.number(&format!("timing.cold.{name}"));
        let law = Self { rate: number("rate"), tenfold: number("tenfold"), starts: number("starts") };
        if law.rate >= 0.0 && law.tenfold > 0.0 {
            return Ok(law);
        }
        let what = "the values of timing.cold.rate and timing.cold.tenfold make no sense together.";
        Err(vec![Problem::error("timing.parameter", what, "Change or restore them.").expected("0 or more; above 0")])
    }

    /// Share of exposed eggs that freeze in a minute, as a rate.
    pub fn hazard(&self, celsius: f64) -> f64 {
        if celsius > self.starts {
            return 0.0;
        }
        self.rate * libm::pow(10.0, -(celsius - STATED_AT) / self.tenfold)
    }

    /// Share of exposed eggs alive after stretches of (degrees C, minutes).
    pub fn survival(&self, stretches: impl IntoIterator<Item = (f64, f64)>) -> f64 {
        libm::exp(-stretches.into_iter().map(|(celsius, minutes)| self.hazard(celsius) * minutes).sum::<f64>())
    }
}

/// A winter's cold so far.
#[derive(Clone, Debug, PartialEq)]
pub struct Winter {
    /// First and last day looked at.
    pub from: Date,
    /// Last day looked at.
    pub to: Date,
    /// Days with temperatures, and days without.
    pub known: usize,
    /// Days between the two without temperatures; nothing is said about them.
    pub missing: usize,
    /// The coldest reading, degrees C, and its day.
    pub coldest: Option<(Date, f64)>,
    /// Hours below the temperature at which freezing starts.
    pub hours_below: f64,
    /// Share of exposed eggs alive: 5 %, middle, 95 %.
    pub exposed: [f64; 3],
    /// Known days on which somebody measured the snow.
    pub with_snow: usize,
    /// Share of all eggs alive, those under snow included.
    pub all: [f64; 3],
    /// Share of masses that stand above the snow where nobody measured it.
    pub share_exposed: f64,
}

/// One day of winter.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WinterDay {
    /// The day.
    pub date: Date,
    /// Its low and high; `None` when not known.
    pub range: Option<DayRange>,
    /// Share of the masses under snow on that day, where somebody measured; else the parameter holds.
    pub covered: Option<f64>,
}

/// Share of the masses under snow of a depth in mm: half of them stand below `half` metres, a quarter between that and
/// twice as high, and so on.
pub fn share_under(snow: f64, half: f64) -> f64 {
    if half > 0.0 { 1.0 - libm::exp2(-(snow / 1_000.0).max(0.0) / half) } else { 1.0 }
}

/// Survival of the eggs over a winter from daily lows and highs.
///
/// `exposed` is the share of masses above the snow where a day does not say it. The interval comes from the
/// temperature error, common to the whole winter; nothing else is in it. `None` without any known day.
///
/// # Errors
/// When the parameters make no sense.
pub fn winter(days: &[WinterDay], parameters: &Parameters) -> Result<Option<Winter>, Vec<Problem>> {
    let law = FreezingLaw::read(parameters)?;
    let exposed = parameters.number("timing.cold.exposed").clamp(0.0, 1.0);
    let error = parameters.number("timing.cold.error").abs();
    let (Some(first), Some(last)) = (days.first(), days.last()) else { return Ok(None) };
    let known: Vec<(Date, DayRange)> = days.iter().filter_map(|day| Some((day.date, day.range?))).collect();
    if known.is_empty() {
        return Ok(None);
    }
    let doses = [-NINE_IN_TEN * error, 0.0, NINE_IN_TEN * error].map(|shift| doses(days, &law, shift));
    let span = (last.date - first.date).get_days() + 1;
    Ok(Some(Winter {
        from: first.date,
        to: last.date,
        known: known.len(),
        missing: usize::try_from(span).unwrap_or(0).saturating_sub(known.len()),
        coldest: known.iter().map(|(date, day)| (*date, day.low())).min_by(|a, b| a.1.total_cmp(&b.1)),
        hours_below: minutes_below(days, law.starts) / 60.0,
        exposed: doses.each_ref().map(|dose| libm::exp(-dose.iter().map(|(_, d)| d).sum::<f64>())),
        all: doses.each_ref().map(|dose| all_alive(dose, exposed)),
        share_exposed: exposed,
        with_snow: days.iter().filter(|day| day.range.is_some() && day.covered.is_some()).count(),
    }))
}

/// The hazard that an exposed egg took on each known day, with the share of masses under snow on it.
fn doses(days: &[WinterDay], law: &FreezingLaw, shift: f64) -> Vec<(Option<f64>, f64)> {
    let dose = |i: usize| {
        // Most winter days come nowhere near the limit.
        let low = days[i].range?.low() + shift;
        if low > law.starts {
            return Some((days[i].covered, 0.0));
        }
        let sum = curve(days, i).map(|celsius| law.hazard(celsius + shift) * STEP).sum::<f64>();
        Some((days[i].covered, sum))
    };
    (0..days.len()).filter_map(dose).collect()
}

/// Share of all eggs alive. A mass that is low enough to be under snow on a day takes nothing on that day; masses
/// are looked at from the lowest to the highest in hundredths.
fn all_alive(doses: &[(Option<f64>, f64)], exposed: f64) -> f64 {
    const PARTS: usize = 100;
    let alive = |part: usize| {
        let height = (part as f64 + 0.5) / PARTS as f64;
        let above = |covered: &Option<f64>| height >= covered.unwrap_or(1.0 - exposed);
        libm::exp(-doses.iter().filter(|(covered, _)| above(covered)).map(|(_, dose)| dose).sum::<f64>())
    };
    (0..PARTS).map(alive).sum::<f64>() / PARTS as f64
}

fn minutes_below(days: &[WinterDay], limit: f64) -> f64 {
    let cold = (0..days.len()).filter(|i| days[*i].range.is_some_and(|day| day.low() <= limit));
    cold.map(|i| curve(days, i).filter(|celsius| *celsius <= limit).count()).sum::<usize>() as f64 * STEP
}

/// The temperature through a day: from yesterday's high down to the low at six, up to the high at three in the
/// afternoon, and down towards tomorrow's low, by half waves. A neighbour that is not known repeats the day.
fn curve(days: &[WinterDay], at: usize) -> impl Iterator<Item = f64> {
    let today = days[at].range;
    let next_to = |i: Option<usize>, step: i32| {
        let other = i.and_then(|i| days.get(i)).filter(|d| (d.date - days[at].date).get_days() == step);
        other.and_then(|d| d.range).or(today)
    };
    let (before, after) = (next_to(at.checked_sub(1), -1), next_to(Some(at + 1), 1));
    let half_wave = |from: f64, to: f64, share: f64| from + (to - from) * 0.5 * (1.0 - libm::cos(PI * share));
    let steps = (24.0 * 60.0 / STEP) as usize;
    (0..steps).filter_map(move |i| {
        let (today, before, after) = (today?, before?, after?);
        let hour = (i as f64 + 0.5) * STEP / 60.0;
        let night = 24.0 - (HIGH_AT - LOW_AT);
        Some(if hour < LOW_AT {
            half_wave(before.high(), today.low(), (hour + 24.0 - HIGH_AT) / night)
        } else if hour < HIGH_AT {
            half_wave(today.low(), today.high(), (hour - LOW_AT) / (HIGH_AT - LOW_AT))
        } else {
            half_wave(today.high(), after.low(), (hour - HIGH_AT) / night)
        })
    })
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use jiff::civil::date;

    fn law() -> FreezingLaw {
        FreezingLaw::read(&Parameters::defaults()).unwrap()
    }

    /// science/phenology.md 10.3, number 12: worked out from the quoted rate.
    #[test]
    fn the_rate_law() {
        let law = law();
        for (celsius, minutes, alive) in
            [(-27.0, 60.0, 0.549), (-26.0, 600.0, 0.549), (-28.0, 10.0, 0.368), (-25.0, 600.0, 1.0)]
        {
            assert!((law.survival([(celsius, minutes)]) - alive).abs() < 0.001, "{celsius}");
        }
        let continued = FreezingLaw { starts: f64::INFINITY, ..law };
        assert!((continued.survival([(-25.0, 600.0)]) - 0.942).abs() < 0.001);
    }

    fn days(lows: &[f64]) -> Vec<WinterDay> {
        let day = |(i, low): (usize, &f64)| WinterDay {
            date: date(2027, 1, 1 + i as i8),
            range: DayRange::new(*low, low + 10.0),
            covered: None,
        };
        lows.iter().enumerate().map(day).collect()
    }

    #[test]
    fn snow_keeps_eggs_and_cold_does_not() {
        let parameters = Parameters::defaults();
        let winter_of = |days: &[WinterDay]| winter(days, &parameters).unwrap().unwrap();
        let mild = winter_of(&days(&[-10.0, -15.0, -5.0]));
        assert_eq!((mild.all, mild.hours_below), ([1.0; 3], 0.0));
        let hard = winter_of(&days(&[-10.0, -33.0, -5.0]));
        assert!(hard.exposed[1] < 0.001 && (hard.all[1] - 0.1).abs() < 0.011, "{hard:?}");
        let mut buried = days(&[-10.0, -33.0, -5.0]);
        buried.iter_mut().for_each(|day| day.covered = Some(1.0));
        assert_eq!(winter_of(&buried).all, [1.0; 3]);
        let edge = winter_of(&days(&[-10.0, -27.0, -5.0]));
        assert!(edge.all[0] <= edge.all[1] && edge.all[1] <= edge.all[2], "{edge:?}");
        assert!(edge.all[0] < edge.all[2]);
        assert!(winter(&[], &parameters).unwrap().is_none());
    }

    /// By hand: half below 2 m, so a quarter more below 4 m; a foot hides 1 - 2^(-0.1524).
    #[test]
    fn deeper_snow_hides_more() {
        for (snow, share) in [(0.0, 0.0), (304.8, 0.1002), (2_000.0, 0.5), (4_000.0, 0.75)] {
            assert!((share_under(snow, 2.0) - share).abs() < 1e-4, "{snow}");
        }
        let parameters = Parameters::defaults();
        let cold = days(&[-10.0, -33.0, -5.0]);
        let alive = |snow: f64| {
            let mut days = cold.clone();
            days[1].covered = Some(share_under(snow, 2.0));
            winter(&days, &parameters).unwrap().unwrap().all[1]
        };
        assert!(alive(0.0) < 0.001 && (alive(2_000.0) - 0.5).abs() < 0.011 && alive(600.0) < alive(900.0));
    }

    #[test]
    fn the_curve_meets_its_low_and_high() {
        let days = days(&[-20.0, -27.0, -10.0]);
        let values: Vec<f64> = curve(&days, 1).collect();
        let low = values.iter().copied().fold(f64::INFINITY, f64::min);
        let high = values[72..180].iter().copied().fold(f64::NEG_INFINITY, f64::max);
        assert!((low + 27.0).abs() < 0.01 && (high + 17.0).abs() < 0.01, "{low} {high}");
    }
}
