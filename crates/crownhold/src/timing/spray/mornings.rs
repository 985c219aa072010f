//! From hours to mornings, and from past years' mornings to the chance of enough of them in the window.

use std::collections::BTreeMap;

use jiff::civil::Date;

use super::judge::{JudgedHour, Verdict};
use super::limits::Limits;
use crate::timing::Window;
use crate::types::Problem;

/// Fewer years than this say little about how springs differ.
pub const ENOUGH_YEARS: usize = 5;
/// How many mornings chances are given for: 1 to this.
pub const MOST_MORNINGS: usize = 5;
/// A year speaks for a window when at least this share of its mornings there is known.
const KNOWN_ENOUGH: f64 = 0.8;
/// What a morning was.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Morning {
    /// Enough hours in a row.
    Suitable,
    /// Not enough, whatever the hours not known were.
    Unsuitable,
    /// It hangs on hours that are not known.
    Unknown,
}

/// Every morning that has readings, by day.
pub fn mornings(hours: &[JudgedHour], limits: &Limits) -> BTreeMap<Date, Morning> {
    let mut days: BTreeMap<Date, Vec<&JudgedHour>> = BTreeMap::new();
    for hour in hours.iter().filter(|hour| hour.weather.time.hour() < limits.morning_ends) {
        days.entry(hour.weather.time.date()).or_default().push(hour);
    }
    days.into_iter().filter_map(|(day, hours)| Some((day, morning(&hours, limits)?))).collect()
}

/// A morning; `None` when none of its light hours was written down.
fn morning(hours: &[&JudgedHour], limits: &Limits) -> Option<Morning> {
    let light: Vec<(i64, Verdict)> =
        hours.iter().filter(|hour| hour.light).map(|hour| (hour.weather.universal_hour(), hour.verdict())).collect();
    let (first, last) = (hours.first()?, hours.last()?);
    if light.is_empty() {
        return None;
    }
    if longest(&light, |v| v == Verdict::Go, None) >= limits.morning_hours {
        return Some(Morning::Suitable);
    }
    // Hours that were not written down may have been good: those between, those before the first where it was
    // light already, and those after the last up to the morning's end.
    let before = if first.light { usize::try_from(first.weather.time.hour()).unwrap_or(0) } else { 0 };
    let after = usize::try_from(limits.morning_ends - 1 - last.weather.time.hour()).unwrap_or(0);
    let perhaps = longest(&light, |v| v != Verdict::NoGo, Some((before, after)));
    Some(if perhaps >= limits.morning_hours { Morning::Unknown } else { Morning::Unsuitable })
}

/// Most hours in a row that are good. Hours that are not in the list break the row; with `around`, hours not in the
/// list before, between and after count as good.
fn longest(hours: &[(i64, Verdict)], good: fn(Verdict) -> bool, around: Option<(usize, usize)>) -> usize {
    let (before, after) = around.unwrap_or((0, 0));
    let (mut best, mut run, mut last) = (0, before, None);
    for (hour, verdict) in hours {
        let gap = last.map_or(0, |last: i64| usize::try_from(hour - last - 1).unwrap_or(0));
        if gap > 0 {
            run = if around.is_some() { run + gap } else { 0 };
        }
        run = if good(*verdict) { run + 1 } else { 0 };
        best = best.max(run);
        last = Some(*hour);
    }
    best.max(run + after)
}

/// Past years' mornings.
#[derive(Clone, Debug, PartialEq)]
pub struct Climatology {
    /// Mornings by year.
    pub years: BTreeMap<i16, BTreeMap<Date, Morning>>,
    /// Days on either side that a calendar day's chance is taken from.
    pub smoothing: i64,
}

/// The chance of a calendar day's morning.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DayChance {
    /// The day, in the season asked for.
    pub date: Date,
    /// Share of the known mornings around it that were suitable.
    pub chance: f64,
    /// How many mornings that is from.
    pub mornings: usize,
}

/// The chance of enough suitable mornings in a window.
#[derive(Clone, Debug, PartialEq)]
pub struct WindowMornings {
    /// Chance of at least 1, 2, .. [`MOST_MORNINGS`] suitable mornings.
    pub chance: [f64; MOST_MORNINGS],
    /// The lowest and the highest of the same chances in a single past year's weather.
    pub range: [(f64, f64); MOST_MORNINGS],
    /// Mean number of suitable mornings.
    pub expected: f64,
    /// Past years whose mornings are in it.
    pub years: Vec<i16>,
    /// Share of the possible seasons that have no window at all; they count as seasons without a morning.
    pub without: f64,
    /// What should be known about it.
    pub notes: Vec<Problem>,
}

impl Climatology {
    /// Sorts mornings by year; only years before the season count as past.
    pub fn new(mornings: &BTreeMap<Date, Morning>, season: i16, smoothing: i64) -> Self {
        let mut years: BTreeMap<i16, BTreeMap<Date, Morning>> = BTreeMap::new();
        for (day, morning) in mornings.iter().filter(|(day, _)| day.year() < season) {
            years.entry(day.year()).or_default().insert(*day, *morning);
        }
        Self { years, smoothing }
    }

    /// The chance of each day's morning, for days between two dates of one year; days about which nothing is
    /// known are left out.
    pub fn by_day(&self, first: Date, last: Date) -> Vec<DayChance> {
        let days = first.series(jiff::Span::new().days(1)).take_while(|day| *day <= last);
        days.filter_map(|date| self.day(date)).collect()
    }

    fn day(&self, date: Date) -> Option<DayChance> {
        let around = jiff::Span::new().days(self.smoothing);
        let (mut suitable, mut known) = (0, 0);
        for (year, mornings) in &self.years {
            let Some(centre) = in_year(date, *year) else { continue };
            let (from, to) = (centre.saturating_sub(around), centre.saturating_add(around));
            for (_, morning) in mornings.range(from..=to).filter(|(_, m)| **m != Morning::Unknown) {
                known += 1;
                suitable += usize::from(*morning == Morning::Suitable);
            }
        }
        (known > 0).then(|| DayChance { date, chance: suitable as f64 / known as f64, mornings: known })
    }

    /// The chance of at least so many suitable mornings in a window.
    ///
    /// Every member's window is laid, by calendar day, over every past year, and that year's mornings are
    /// counted in it as they came: dry spells stay together. A year counts for a member when most of its
    /// mornings there are known; mornings not known count as not suitable. `None` when no year can be used.
    pub fn in_window(&self, window: &Window) -> Option<WindowMornings> {
        let members = window.opens.len().max(1);
        let spans: Vec<(Date, Date)> =
            window.opens.iter().zip(&window.closes).filter_map(|(open, close)| Some(((*open)?, (*close)?))).collect();
        let missing = members - spans.len();
        let mut by_year: Vec<(i16, [f64; MOST_MORNINGS], f64)> = Vec::new();
        for (year, mornings) in &self.years {
            let counts: Vec<usize> =
                spans.iter().filter_map(|(open, close)| count(mornings, *year, *open, *close)).collect();
            // A year that can speak for few of the windows would speak for the early or late ones only.
            if spans.is_empty() || (counts.len() as f64) < KNOWN_ENOUGH * spans.len() as f64 {
                continue;
            }
            let have = spans.len() as f64 / members as f64;
            let share = |n: usize| have * counts.iter().filter(|c| **c >= n).count() as f64 / counts.len() as f64;
            let mean = have * counts.iter().sum::<usize>() as f64 / counts.len() as f64;
            by_year.push((*year, std::array::from_fn(|i| share(i + 1)), mean));
        }
        (!by_year.is_empty()).then(|| summary(&by_year, missing as f64 / members as f64))
    }
}

fn summary(by_year: &[(i16, [f64; MOST_MORNINGS], f64)], without: f64) -> WindowMornings {
    let n = by_year.len() as f64;
    let of = |i: usize| by_year.iter().map(move |(_, chances, _)| chances[i]);
    WindowMornings {
        chance: std::array::from_fn(|i| of(i).sum::<f64>() / n),
        range: std::array::from_fn(|i| (of(i).fold(1.0, f64::min), of(i).fold(0.0, f64::max))),
        expected: by_year.iter().map(|(.., mean)| mean).sum::<f64>() / n,
        years: by_year.iter().map(|(year, ..)| *year).collect(),
        without,
        notes: few_years(by_year.len()).into_iter().collect(),
    }
}

fn few_years(years: usize) -> Option<Problem> {
    (years < ENOUGH_YEARS).then(|| {
        let what = format!("only {years} past year(s) of hourly weather cover the window.");
        let remedy = "The chance of mornings says little about springs unlike these. Bring in more years of hours.";
        Problem::notice("timing.few-spray-years", what, remedy).expected(format!("{ENOUGH_YEARS} or more"))
    })
}

/// The same calendar day of another year; 29 February is the 28th where there is none.
fn in_year(day: Date, year: i16) -> Option<Date> {
    Date::new(year, day.month(), day.day()).or_else(|_| Date::new(year, 2, 28)).ok()
}

/// Suitable mornings of a year between two calendar days; `None` when too few of its mornings are known.
fn count(mornings: &BTreeMap<Date, Morning>, year: i16, open: Date, close: Date) -> Option<usize> {
    let (from, to) = (in_year(open, year)?, in_year(close, year)?);
    if from > to {
        return None;
    }
    let days = f64::from((to - from).get_days()) + 1.0;
    let there = || mornings.range(from..=to).map(|(_, morning)| *morning);
    let known = there().filter(|m| *m != Morning::Unknown).count() as f64;
    (known >= KNOWN_ENOUGH * days).then(|| there().filter(|m| *m == Morning::Suitable).count())
}
