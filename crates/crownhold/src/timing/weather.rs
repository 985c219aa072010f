//! Looks a weather series over before anyone counts heat from it.
//!
//! Short gaps are filled and said so; long gaps stay gaps and make their year unusable as a stand-in for a year
//! to come; impossible values are taken out; series in the wrong unit are refused. Nothing is put right in
//! silence. Rain is not looked at here.

use std::collections::BTreeMap;

use jiff::civil::Date;

use super::degree_days::DayRange;
use crate::types::draws::{mean, quantile};
use crate::types::{DayWeather, Problem, WeatherSeries};

/// Longest run of missing days that is filled from the days on either side.
pub const LONGEST_FILLED_GAP: usize = 3;
/// Air temperatures outside this range, degrees C, are not believed: it is wider than the records of the
/// United States and Canada (-63 and 57 C).
const BELIEVED: std::ops::RangeInclusive<f64> = -64.0..=58.0;
/// Half of summer's afternoons above this, degrees C, happen nowhere: the file is in another unit.
const SUMMER_TOO_HOT: f64 = 48.0;
/// Half of summer's afternoons below this, degrees C, mean no oak grows there: the file is in another unit.
const SUMMER_TOO_COLD: f64 = 8.0;
/// Three-year means that differ by more than this, degrees C, are looked at: year-to-year spread of annual
/// means is about 0.7 C in the north-east, so that this is 3.5 standard errors (assumption).
const STEP: f64 = 2.0;

/// The series with short gaps filled and impossible values taken out, and what was done or noticed.
///
/// A problem that is an error means the series cannot be used at all.
pub fn check(series: &WeatherSeries) -> (WeatherSeries, Vec<Problem>) {
    let mut notes: Vec<Problem> = wrong_unit(&series.days).into_iter().collect();
    let mut days = series.days.clone();
    days.sort_by_key(|day| day.date);
    if notes.iter().all(|note| !note.is_error()) {
        notes.extend(take_out_impossible(&mut days));
        let (filled, filling) = fill_short_gaps(days);
        days = filled;
        notes.extend(filling);
        notes.extend(step_change(&days));
    }
    let notes = notes.into_iter().map(|note| note.item(format!("station {}", series.station))).collect();
    (WeatherSeries { days, ..series.clone() }, notes)
}

/// The temperature ranges of a checked series by date; days without one are left out.
pub fn ranges(series: &WeatherSeries) -> BTreeMap<Date, DayRange> {
    series.days.iter().filter_map(|day| Some((day.date, DayRange::new(day.min?, day.max?)?))).collect()
}

/// The problem of a day whose lowest temperature is above its highest.
pub(super) fn upside_down(date: Date, low: f64, high: f64) -> Problem {
    Problem::error(
        "weather.low-above-high",
        format!("on {date} the lowest temperature {low} is above the highest {high}."),
        "Correct the day, or leave both values blank.",
    )
}

fn wrong_unit(days: &[DayWeather]) -> Option<Problem> {
    let summer: Vec<f64> = days
        .iter()
        .filter(|d| (6..=8).contains(&d.date.month()))
        .filter_map(|d| d.max)
        .filter(|t| !t.is_nan())
        .collect();
    if summer.len() < 30 {
        return None;
    }
    let middle = quantile(&summer, 0.5);
    let guess = match middle {
        m if m > 240.0 && m < 330.0 => "kelvin, or tenths of a degree C",
        m if m > 120.0 => "tenths of a degree C",
        m if m > SUMMER_TOO_HOT => "degrees F",
        m if m < SUMMER_TOO_COLD => "degrees F that were changed to C twice",
        _ => return None,
    };
    let what = format!("half of the June to August highs are above {middle:.1}; as degrees C that is not believed.");
    Some(
        Problem::error("weather.unit", what, "Import the file again and name its temperature unit.")
            .expected(format!("degrees C; this looks like {guess}")),
    )
}

fn take_out_impossible(days: &mut [DayWeather]) -> Vec<Problem> {
    let mut notes = Vec::new();
    for day in days {
        let before = *day;
        for value in [&mut day.min, &mut day.max] {
            if value.is_some_and(|t| !BELIEVED.contains(&t)) {
                let found = value.take().map_or_else(String::new, |t| t.to_string());
                notes.push(Problem::repaired(
                    "weather.not-believed",
                    format!("on {} a temperature of {found} degrees C was given.", before.date),
                    "It was taken out, and the day treated as missing.",
                ));
            }
        }
        if let (Some(low), Some(high)) = (day.min, day.max)
            && low > high
        {
            (day.min, day.max) = (None, None);
            let mut note = upside_down(day.date, low, high);
            note.severity = crate::types::Severity::Repaired;
            "Both were taken out, and the day treated as missing.".clone_into(&mut note.remedy);
            notes.push(note);
        }
    }
    notes
}

/// Every calendar day between the first and the last, in order.
fn every_day(days: Vec<DayWeather>) -> Vec<DayWeather> {
    let mut all: Vec<DayWeather> = Vec::with_capacity(days.len());
    for day in days {
        while let Some(next) = all.last().and_then(|last| last.date.tomorrow().ok()).filter(|next| *next < day.date) {
            all.push(DayWeather {
                date: next,
                min: None,
                max: None,
                precipitation: None,
                snow: None,
                forecast: day.forecast,
            });
        }
        all.push(day);
    }
    all
}

fn fill_short_gaps(days: Vec<DayWeather>) -> (Vec<DayWeather>, Vec<Problem>) {
    let mut days = every_day(days);
    let gap = |day: &DayWeather| day.min.is_none() || day.max.is_none();
    let mut filled: BTreeMap<i16, Vec<Date>> = BTreeMap::new();
    let mut notes = Vec::new();
    let mut at = 0;
    while at < days.len() {
        if !gap(&days[at]) {
            at += 1;
            continue;
        }
        let end = (at..days.len()).find(|i| !gap(&days[*i])).unwrap_or(days.len());
        if end - at <= LONGEST_FILLED_GAP && at > 0 && end < days.len() {
            for i in at..end {
                fill(&mut days, i, at - 1, end);
                filled.entry(days[i].date.year()).or_default().push(days[i].date);
            }
        } else {
            notes.push(long_gap(&days[at..end]));
        }
        at = end;
    }
    notes.extend(filled.into_iter().map(|(year, dates)| filled_note(year, &dates)));
    days.retain(|day| !gap(day) || day.precipitation.is_some());
    (days, notes)
}

/// Sets what is missing on one day on the straight line between two complete days around it.
fn fill(days: &mut [DayWeather], at: usize, before: usize, after: usize) {
    let along = (at - before) as f64 / (after - before) as f64;
    let between = |value: fn(&DayWeather) -> Option<f64>| {
        let (a, b) = (value(&days[before])?, value(&days[after])?);
        Some(a + (b - a) * along)
    };
    let (low, high) = (between(|d| d.min), between(|d| d.max));
    let day = &mut days[at];
    // A value that was measured stays, and the filled one keeps to its side of it.
    match (day.min, day.max) {
        (Some(min), None) => day.max = high.map(|t| t.max(min)),
        (None, Some(max)) => day.min = low.map(|t| t.min(max)),
        _ => (day.min, day.max) = (low, high),
    }
}

fn filled_note(year: i16, dates: &[Date]) -> Problem {
    let list: Vec<String> = dates.iter().take(6).map(Date::to_string).collect();
    let more = if dates.len() > list.len() { " and more" } else { "" };
    Problem::repaired(
        "weather.gap-filled",
        format!("{year}: temperatures are missing on {} day(s): {}{more}.", dates.len(), list.join(", ")),
        "They were filled on the straight line between the days around them.",
    )
}

fn long_gap(days: &[DayWeather]) -> Problem {
    Problem::notice(
        "weather.gap",
        format!("no temperatures from {} to {} ({} days).", days[0].date, days[days.len() - 1].date, days.len()),
        format!(
            "Gaps over {LONGEST_FILLED_GAP} days are not filled; the year cannot stand in for a year to come. Bring the missing days in."
        ),
    )
}

/// A jump between three years before and three years after, as when a station is moved.
fn step_change(days: &[DayWeather]) -> Option<Problem> {
    let mut by_year: BTreeMap<i16, Vec<f64>> = BTreeMap::new();
    for day in days.iter().filter(|day| !day.forecast) {
        if let (Some(low), Some(high)) = (day.min, day.max) {
            by_year.entry(day.date.year()).or_default().push(0.5 * (low + high));
        }
    }
    let annual: Vec<(i16, f64)> =
        by_year.into_iter().filter(|(_, t)| t.len() >= 360).map(|(year, t)| (year, mean(&t))).collect();
    let three = |from: usize| mean(&annual[from..from + 3].iter().map(|(_, t)| *t).collect::<Vec<_>>());
    let (year, jump) = (3..(annual.len() + 1).saturating_sub(3))
        .map(|i| (annual[i].0, three(i) - three(i - 3)))
        .max_by(|a, b| a.1.abs().total_cmp(&b.1.abs()))?;
    (jump.abs() > STEP).then(|| {
        Problem::notice(
            "weather.step",
            format!(
                "from {year} on the station is {:.1} C {} than in the three years before.",
                jump.abs(),
                if jump > 0.0 { "warmer" } else { "colder" }
            ),
            "If the station was moved or changed, leave the years before out.",
        )
    })
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use jiff::civil::date;
    use proptest::prelude::*;

    use super::*;
    use crate::types::StationId;

    fn series(from: Date, values: &[(Option<f64>, Option<f64>)]) -> WeatherSeries {
        let days = from.series(jiff::Span::new().days(1)).zip(values);
        WeatherSeries {
            station: StationId::new("S1"),
            name: "Station".into(),
            elevation: None,
            latitude: None,
            longitude: None,
            days: days
                .map(|(date, (min, max))| DayWeather {
                    date,
                    min: *min,
                    max: *max,
                    precipitation: None,
                    snow: None,
                    forecast: false,
                })
                .collect(),
        }
    }
    fn said(notes: &[Problem]) -> String {
        notes.iter().map(|note| format!("{note}\n")).collect()
    }

    #[test]
    fn short_gaps_are_filled_and_said_long_ones_stay() {
        let (a, b) = ((Some(0.0), Some(10.0)), (Some(4.0), Some(14.0)));
        let none = (None, None);
        let values = [a, none, (Some(3.0), None), none, b, none, none, none, none, b];
        let (checked, notes) = check(&series(date(2025, 3, 1), &values));
        let ranges = ranges(&checked);
        assert_eq!(ranges.get(&date(2025, 3, 2)).map(|r| (r.low(), r.high())), Some((1.0, 11.0)));
        assert_eq!(ranges.get(&date(2025, 3, 3)).map(|r| (r.low(), r.high())), Some((3.0, 12.0)));
        assert_eq!(ranges.len(), 6);
        insta::assert_snapshot!(said(&notes));
    }

    #[test]
    fn impossible_values_are_taken_out_and_said() {
        let a = (Some(0.0), Some(10.0));
        let values = [a, (Some(-99.9), Some(8.0)), a, (Some(12.0), Some(2.0)), a];
        let (checked, notes) = check(&series(date(2025, 3, 1), &values));
        assert!(ranges(&checked).values().all(|r| (r.low(), r.high()) == (0.0, 10.0) || r.high() == 8.0));
        insta::assert_snapshot!(said(&notes));
    }

    #[test]
    fn fahrenheit_tenths_and_double_conversion_are_refused() {
        for (low, high) in [(60.0, 84.0), (150.0, 280.0), (288.0, 301.0), (-9.0, -2.0)] {
            let (_, notes) = check(&series(date(2025, 6, 1), &[(Some(low), Some(high)); 60]));
            assert!(notes.iter().any(|n| n.code == "weather.unit" && n.is_error()), "{low} {high}");
        }
        let (_, notes) = check(&series(date(2025, 6, 1), &[(Some(15.0), Some(28.0)); 60]));
        assert!(notes.is_empty());
    }

    #[test]
    fn a_moved_station_is_noticed() {
        let mut values = vec![(Some(5.0), Some(15.0)); 3 * 365];
        values.extend(vec![(Some(8.0), Some(18.0)); 3 * 365 + 3]);
        let (_, notes) = check(&series(date(2013, 1, 1), &values));
        assert!(notes.iter().any(|n| n.code == "weather.step" && n.what.contains("2016")), "{}", said(&notes));
    }

    proptest! {
        /// Whatever comes in, what goes out is believable, in order, and never more than the calendar holds.
        #[test]
        fn what_is_left_is_believable(values in proptest::collection::vec(any::<(Option<i8>, Option<i8>)>(), 0..80)) {
            let values: Vec<_> = values.iter().map(|(a, b)| (a.map(f64::from), b.map(f64::from))).collect();
            let (checked, notes) = check(&series(date(2025, 1, 1), &values));
            if notes.iter().all(|note| !note.is_error()) {
                prop_assert!(checked.days.windows(2).all(|pair| pair[0].date < pair[1].date));
                prop_assert!(checked.days.len() <= values.len());
                for range in ranges(&checked).values() {
                    prop_assert!(BELIEVED.contains(&range.low()) && BELIEVED.contains(&range.high()));
                }
                let complete = values.iter().all(|(low, high)| low.zip(*high).is_some_and(|(l, h)| l <= h && BELIEVED.contains(&l) && BELIEVED.contains(&h)));
                prop_assert!(complete || !notes.is_empty(), "a repair was not reported");
            }
        }
    }
}
