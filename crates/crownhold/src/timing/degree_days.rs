//! Degree-days: heat above a threshold, in exact closed forms.
//!
//! A total means something only together with the way it was counted. 90 degree-days F by the daily mean from
//! 1 March and 90 by a sine curve from 1 January are weeks apart (JFK 2014: ten days), so [`Heat`] carries its
//! [`HeatMethod`] and two totals of different methods do not compare.
//!
//! Curves: sine after Baskerville & Emin 1969, Ecology 50:514-517; triangle after Sevacherian et al. 1977,
//! J. Econ. Entomol. 70:399-402; double forms after Allen 1976; the two daily-mean forms after McMaster &
//! Wilhelm 1997. The six published cases of Zalom et al. 1983 are all one expression, heat above the base less
//! heat above the upper threshold. Checked against their printed tables and against numerical integration in
//! `tests/it/timing_degree_days.rs`.
//!
//! Not for: hourly data (sum `max(0, T - base) / 24` instead), or slopes in the sun.

use std::cmp::Ordering;
use std::collections::BTreeMap;
use std::f64::consts::{FRAC_PI_2, PI};

use jiff::civil::Date;

use crate::types::records::choice;
use crate::types::{Problem, WeatherSeries};

choice! {
    /// How the temperature runs between a day's lowest and highest.
    Curve {
        /// Mean of lowest and highest, less the base, never below 0.
        SimpleMean = "simple mean",
        /// As the mean, but lowest and highest are first moved to the thresholds ("corn" method).
        Corn = "corn",
        /// A triangle per day.
        SingleTriangle = "single triangle",
        /// A triangle per half day; the second half falls to the next day's lowest.
        DoubleTriangle = "double triangle",
        /// A sine wave per day.
        SingleSine = "single sine",
        /// A sine wave per half day; the second half falls to the next day's lowest.
        DoubleSine = "double sine",
    }
}
choice! {
    /// What heat above the upper threshold does.
    Cutoff {
        /// There is no upper threshold.
        None = "none",
        /// Development goes on at the rate of the upper threshold.
        Horizontal = "horizontal",
        /// Development slows as fast as it rose below.
        Intermediate = "intermediate",
        /// Development stops.
        Vertical = "vertical",
    }
}

/// The day of the year from which heat is counted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct StartDay {
    month: i8,
    day: i8,
}

impl StartDay {
    /// 1 January.
    pub const JANUARY: Self = Self { month: 1, day: 1 };
    /// 1 March.
    pub const MARCH: Self = Self { month: 3, day: 1 };

    /// Month and day of a date.
    pub fn of(date: Date) -> Self {
        Self { month: date.month(), day: date.day() }
    }
    /// The date in a year; 29 February becomes 1 March where there is none.
    pub fn in_year(self, year: i16) -> Date {
        Date::new(year, self.month, self.day).unwrap_or(jiff::civil::date(year, 3, 1))
    }
}

impl std::fmt::Display for StartDay {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{:02}-{:02}", self.month, self.day)
    }
}

/// Everything that must be known to repeat a heat total: curve, thresholds, cutoff, first day.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HeatMethod {
    curve: Curve,
    base: f64,
    upper: Option<f64>,
    cutoff: Cutoff,
    start: StartDay,
}

impl HeatMethod {
    /// A method without an upper threshold, counted from 1 January; `base` in degrees C.
    ///
    /// # Panics
    /// If the base is not finite.
    pub fn above(curve: Curve, base: f64) -> Self {
        assert!(base.is_finite(), "a base temperature is a number");
        Self { curve, base, upper: None, cutoff: Cutoff::None, start: StartDay::JANUARY }
    }

    /// Any method; temperatures in degrees C.
    ///
    /// # Errors
    /// Thresholds that are not finite or in the wrong order, a cutoff without an upper threshold or the other
    /// way round, and the corn method with a cutoff that it does not have.
    pub fn new(
        curve: Curve,
        base: f64,
        upper: Option<f64>,
        cutoff: Cutoff,
        start: StartDay,
    ) -> Result<Self, Vec<Problem>> {
        let mut wrong = Vec::new();
        let mut refuse = |what: String, remedy: &str| wrong.push(Problem::error("heat.method", what, remedy));
        if !base.is_finite() {
            refuse(format!("the base temperature is {base}."), "Give a base temperature in degrees.");
        }
        match (upper, cutoff) {
            (None, Cutoff::None) => {}
            (None, _) => refuse(
                format!("a {cutoff} cutoff was asked for without an upper threshold."),
                "Give the upper threshold, or leave the cutoff away.",
            ),
            (Some(_), Cutoff::None) => refuse(
                "an upper threshold was given without a cutoff.".to_owned(),
                "Say what happens above it: horizontal, intermediate or vertical.",
            ),
            (Some(upper), _) if !upper.is_finite() || upper <= base => refuse(
                format!("the upper threshold {upper} is not above the base {base}."),
                "Give an upper threshold above the base, in the same unit.",
            ),
            _ => {}
        }
        if curve == Curve::Corn && matches!(cutoff, Cutoff::Intermediate | Cutoff::Vertical) {
            refuse(
                format!("the corn method has no {cutoff} cutoff."),
                "Use a horizontal cutoff, or a sine or triangle curve.",
            );
        }
        if wrong.is_empty() { Ok(Self { curve, base, upper, cutoff, start }) } else { Err(wrong) }
    }

    /// The same method counted from another day.
    pub fn starting(self, start: StartDay) -> Self {
        Self { start, ..self }
    }
    /// The curve.
    pub fn curve(&self) -> Curve {
        self.curve
    }
    /// Base, degrees C.
    pub fn base(&self) -> f64 {
        self.base
    }
    /// Upper threshold, degrees C.
    pub fn upper(&self) -> Option<f64> {
        self.upper
    }
    /// Cutoff.
    pub fn cutoff(&self) -> Cutoff {
        self.cutoff
    }
    /// First day.
    pub fn start(&self) -> StartDay {
        self.start
    }

    /// Heat of one day, degree-days C. The double curves use the next day's lowest and fall back to their
    /// single form when it is not known (the last day of a series).
    pub fn day(&self, day: DayRange, next_low: Option<f64>) -> f64 {
        let second = next_low.map_or(day, |next| DayRange::ordered(next, day.high));
        match self.curve {
            Curve::SimpleMean => self.cut(|threshold| mean_above(day, threshold)),
            Curve::Corn => self.corn(day),
            Curve::SingleTriangle => self.cut(|threshold| triangle_above(day, threshold)),
            Curve::SingleSine => self.cut(|threshold| sine_above(day, threshold)),
            Curve::DoubleTriangle => {
                0.5 * (self.cut(|threshold| triangle_above(day, threshold))
                    + self.cut(|threshold| triangle_above(second, threshold)))
            }
            Curve::DoubleSine => {
                0.5 * (self.cut(|threshold| sine_above(day, threshold))
                    + self.cut(|threshold| sine_above(second, threshold)))
            }
        }
    }

    fn cut(&self, above: impl Fn(f64) -> Above) -> f64 {
        let heat = above(self.base).area;
        let Some(upper) = self.upper else { return heat };
        let top = above(upper);
        let lost = match self.cutoff {
            Cutoff::None => 0.0,
            Cutoff::Horizontal => top.area,
            Cutoff::Intermediate => 2.0 * top.area,
            Cutoff::Vertical => top.area + (upper - self.base) * top.share,
        };
        // On a day far above the upper threshold the falling line would go below zero; development does not.
        (heat - lost).max(0.0)
    }

    fn corn(&self, day: DayRange) -> f64 {
        let held = |t: f64| t.max(self.base).min(self.upper.unwrap_or(f64::INFINITY));
        0.5 * (held(day.low) + held(day.high)) - self.base
    }
}

impl std::fmt::Display for HeatMethod {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{} above {:.1} C", self.curve, self.base)?;
        if let Some(upper) = self.upper {
            write!(f, ", {} cutoff at {upper:.1} C", self.cutoff)?;
        }
        write!(f, ", from {}", self.start)
    }
}

/// Lowest and highest temperature of a day, degrees C; lowest is not above highest.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DayRange {
    low: f64,
    high: f64,
}

impl DayRange {
    /// A day, or `None` when lowest is above highest or one of them is not a number.
    pub fn new(low: f64, high: f64) -> Option<Self> {
        (low.is_finite() && high.is_finite() && low <= high).then_some(Self { low, high })
    }
    /// Two temperatures in any order. A half day that warms towards a higher next lowest is as good a half
    /// curve as one that cools.
    fn ordered(a: f64, b: f64) -> Self {
        Self { low: a.min(b), high: a.max(b) }
    }
    /// Lowest.
    pub fn low(self) -> f64 {
        self.low
    }
    /// Highest.
    pub fn high(self) -> f64 {
        self.high
    }
    /// The same day warmer by some degrees.
    pub(super) fn warmer(self, by: f64) -> Self {
        Self { low: self.low + by, high: self.high + by }
    }
    /// Mean of the two.
    pub fn mean(self) -> f64 {
        0.5 * (self.low + self.high)
    }
}

/// What of a day lies above a threshold.
struct Above {
    /// Degree-days.
    area: f64,
    /// Share of the day.
    share: f64,
}

impl Above {
    const NOTHING: Self = Self { area: 0.0, share: 0.0 };
    fn all(area: f64) -> Self {
        Self { area, share: 1.0 }
    }
}

fn mean_above(day: DayRange, threshold: f64) -> Above {
    let area = day.mean() - threshold;
    if area > 0.0 { Above::all(area) } else { Above::NOTHING }
}

fn triangle_above(day: DayRange, threshold: f64) -> Above {
    if day.low >= threshold {
        return Above::all(day.mean() - threshold);
    }
    if day.high <= threshold {
        return Above::NOTHING;
    }
    let share = (day.high - threshold) / (day.high - day.low);
    Above { area: 0.5 * share * (day.high - threshold), share }
}

fn sine_above(day: DayRange, threshold: f64) -> Above {
    if day.low >= threshold {
        return Above::all(day.mean() - threshold);
    }
    if day.high <= threshold {
        return Above::NOTHING;
    }
    let swing = 0.5 * (day.high - day.low);
    let angle = libm::asin(((threshold - day.mean()) / swing).clamp(-1.0, 1.0));
    let area = ((day.mean() - threshold) * (FRAC_PI_2 - angle) + swing * libm::cos(angle)) / PI;
    Above { area: area.max(0.0), share: 0.5 - angle / PI }
}

/// A heat total together with the way it was counted.
///
/// Totals of different methods are neither equal, nor is one greater than the other.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Heat {
    method: HeatMethod,
    degree_days: f64,
}

impl Heat {
    /// From degree-days C.
    pub fn celsius(method: HeatMethod, degree_days: f64) -> Self {
        Self { method, degree_days }
    }
    /// From degree-days F.
    pub fn fahrenheit(method: HeatMethod, degree_days: f64) -> Self {
        Self { method, degree_days: degree_days / 1.8 }
    }
    /// How it was counted.
    pub fn method(&self) -> &HeatMethod {
        &self.method
    }
    /// Degree-days C.
    pub fn as_celsius(&self) -> f64 {
        self.degree_days
    }
    /// Degree-days F.
    pub fn as_fahrenheit(&self) -> f64 {
        self.degree_days * 1.8
    }
    /// Is this total at least the one needed?
    ///
    /// # Errors
    /// When the two were counted in different ways.
    pub fn reaches(&self, needed: &Self) -> Result<bool, Vec<Problem>> {
        match self.partial_cmp(needed) {
            Some(order) => Ok(order != Ordering::Less),
            None => Err(vec![Problem::error(
                "heat.mixed-methods",
                format!("a total by {} was held against a figure by {}.", self.method, needed.method),
                "Count the heat again with the method, thresholds and first day of the figure.",
            )]),
        }
    }
}

impl PartialOrd for Heat {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        if self.method == other.method { self.degree_days.partial_cmp(&other.degree_days) } else { None }
    }
}

/// Heat of one calendar day.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HeatDay {
    /// The day.
    pub date: Date,
    /// Degree-days C of the day; `None` where the weather is missing.
    pub daily: Option<f64>,
    /// Degree-days C from the first day to the end of this one; `None` from the first missing day on, because
    /// a total across a gap is not known.
    pub total: Option<f64>,
}

/// Heat day by day, with the way it was counted.
#[derive(Clone, Debug, PartialEq)]
pub struct HeatDays {
    /// How it was counted; its start is the first day asked for.
    pub method: HeatMethod,
    /// Every calendar day from the first day asked for to the last of the series.
    pub days: Vec<HeatDay>,
}

impl HeatDays {
    /// The first day at whose end the total reaches what is needed.
    ///
    /// # Errors
    /// When the figure belongs to another method.
    pub fn first_reaching(&self, needed: &Heat) -> Result<Option<Date>, Vec<Problem>> {
        Heat::celsius(self.method, 0.0).reaches(needed)?;
        let reached = |day: &&HeatDay| day.total.is_some_and(|total| total >= needed.degree_days);
        Ok(self.days.iter().find(reached).map(|day| day.date))
    }
}

/// Heat of every day of a series from `from` on. The total runs on to the end of the series, over new years.
///
/// # Errors
/// Every day whose lowest temperature is above its highest; [`super::weather::check`] takes such days out.
pub fn daily(series: &WeatherSeries, method: &HeatMethod, from: Date) -> Result<HeatDays, Vec<Problem>> {
    let method = method.starting(StartDay::of(from));
    let mut ranges = BTreeMap::new();
    let mut wrong = Vec::new();
    for day in &series.days {
        let (Some(low), Some(high)) = (day.min, day.max) else { continue };
        match DayRange::new(low, high) {
            Some(range) => _ = ranges.insert(day.date, range),
            None => wrong.push(super::weather::upside_down(day.date, low, high)),
        }
    }
    if !wrong.is_empty() {
        return Err(wrong);
    }
    let Some(last) = series.days.iter().map(|day| day.date).max() else {
        return Ok(HeatDays { method, days: Vec::new() });
    };
    let mut total = Some(0.0);
    let days = from
        .series(jiff::Span::new().days(1))
        .take_while(|date| *date <= last)
        .map(|date| {
            let next = date.tomorrow().ok().and_then(|tomorrow| ranges.get(&tomorrow)).map(|range| range.low);
            let daily = ranges.get(&date).map(|range| method.day(*range, next));
            total = total.zip(daily).map(|(sum, day)| sum + day);
            HeatDay { date, daily, total }
        })
        .collect();
    Ok(HeatDays { method, days })
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    fn day(low: f64, high: f64) -> DayRange {
        DayRange::new(low, high).unwrap()
    }

    #[test]
    fn a_flat_day_is_a_rectangle() {
        for curve in Curve::ALL {
            let method = HeatMethod::above(*curve, 3.0);
            assert_eq!(method.day(day(10.0, 10.0), None), 7.0, "{curve}");
            assert_eq!(method.day(day(1.0, 1.0), None), 0.0, "{curve}");
        }
    }

    #[test]
    fn lowest_above_highest_is_no_day() {
        assert!(DayRange::new(5.0, 4.9).is_none());
        assert!(DayRange::new(f64::NAN, 4.9).is_none());
    }

    #[test]
    fn methods_that_make_no_sense_are_refused_with_every_reason() {
        let wrong = HeatMethod::new(Curve::Corn, 10.0, Some(5.0), Cutoff::Vertical, StartDay::JANUARY).unwrap_err();
        assert_eq!(wrong.len(), 2);
        assert!(HeatMethod::new(Curve::SingleSine, 10.0, None, Cutoff::Vertical, StartDay::JANUARY).is_err());
        assert!(HeatMethod::new(Curve::SingleSine, 10.0, Some(30.0), Cutoff::None, StartDay::JANUARY).is_err());
    }

    #[test]
    fn a_very_hot_day_never_counts_below_zero() {
        let method =
            HeatMethod::new(Curve::SingleSine, 10.0, Some(30.0), Cutoff::Intermediate, StartDay::JANUARY).unwrap();
        assert_eq!(method.day(day(55.0, 60.0), None), 0.0);
    }
}
