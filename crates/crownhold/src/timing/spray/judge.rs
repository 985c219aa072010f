//! Each hour against the limits: go, no-go with every reason, or not known.

use std::collections::BTreeMap;

use jiff::civil::{Date, DateTime};

use super::limits::Limits;
use super::sun::{Daylight, Light, Place, daylight};
use crate::types::records::choice;
use crate::types::{HourWeather, hourly::local_minutes};

choice! {
    /// Something an hour must be known by.
    Reading {
        /// Mean wind.
        Wind = "wind",
        /// Relative humidity.
        Humidity = "humidity",
        /// Temperature.
        Temperature = "temperature",
        /// Rain in the hour.
        Rain = "rain",
        /// Rain in the hours after.
        RainAhead = "rain in the hours after",
    }
}

/// Why an hour is no good, with the value seen, SI.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Reason {
    /// Before first or after last light.
    Dark,
    /// Mean wind above the limit, m/s.
    WindStrong(f64),
    /// Gusts above the limit, m/s.
    Gusts(f64),
    /// Too little wind, m/s: a sign of an inversion.
    Calm(f64),
    /// Air too dry, percent.
    Dry(f64),
    /// Too cold, degrees C.
    Cold(f64),
    /// Too warm, degrees C.
    Warm(f64),
    /// Rain in the hour.
    RainNow,
    /// Rain so many hours later.
    RainAhead(u8),
}

/// What an hour is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Verdict {
    /// Within every limit.
    Go,
    /// Outside at least one.
    NoGo,
    /// Nothing seen against it, but not everything was seen: no go either.
    Unknown,
}

/// One hour judged.
#[derive(Clone, Debug, PartialEq)]
pub struct JudgedHour {
    /// The hour.
    pub weather: HourWeather,
    /// Every reason against it.
    pub reasons: Vec<Reason>,
    /// What could not be judged.
    pub missing: Vec<Reading>,
    /// Is it light?
    pub light: bool,
}

impl JudgedHour {
    /// The verdict.
    pub fn verdict(&self) -> Verdict {
        match (self.reasons.is_empty(), self.missing.is_empty()) {
            (false, _) => Verdict::NoGo,
            (true, false) => Verdict::Unknown,
            (true, true) => Verdict::Go,
        }
    }
}

/// Judges hours, in time order. An hour runs from its full hour to the next one.
///
/// Days on which the sun neither rises nor sets are taken as dark.
pub fn judge(hours: &[HourWeather], place: Place, limits: &Limits) -> Vec<JudgedHour> {
    let rain: BTreeMap<i64, Option<bool>> =
        hours.iter().map(|hour| (hour.universal_hour(), rains(hour, limits))).collect();
    let mut sun: BTreeMap<(Date, i16), Option<Daylight>> = BTreeMap::new();
    hours
        .iter()
        .map(|hour| {
            let day = (hour.time.date(), hour.offset);
            let light = *sun.entry(day).or_insert_with(|| daylight(day.0, place, day.1, Light::Sun));
            let light = light.is_some_and(|light| is_light(hour.time, light, limits));
            judge_hour(hour, light, &rain, limits)
        })
        .collect()
}

/// Is the whole hour light, with the minutes of twilight that are allowed?
fn is_light(hour: DateTime, light: Daylight, limits: &Limits) -> bool {
    let start = local_minutes(hour);
    start >= local_minutes(light.from) - limits.before_sunrise
        && start + 60 <= local_minutes(light.to) + limits.before_sunrise
}

/// Does it rain in the hour? Measured rain goes before a forecast chance.
fn rains(hour: &HourWeather, limits: &Limits) -> Option<bool> {
    let measured = hour.precipitation.map(|mm| mm > limits.rain_trace);
    let likely = hour.rain_chance.map(|chance| chance >= limits.rain_chance);
    match (measured, likely) {
        (Some(a), Some(b)) => Some(a || b),
        (a, b) => a.or(b),
    }
}

fn judge_hour(hour: &HourWeather, light: bool, rain: &BTreeMap<i64, Option<bool>>, limits: &Limits) -> JudgedHour {
    let mut reasons = Vec::new();
    let mut missing = Vec::new();
    if !light {
        reasons.push(Reason::Dark);
    }
    let mut look = |value: Option<f64>, reading: Reading, wrong: fn(f64, &Limits) -> Option<Reason>| match value {
        Some(value) => reasons.extend(wrong(value, limits)),
        None => missing.push(reading),
    };
    look(hour.wind, Reading::Wind, |v, l| match v {
        v if v > l.wind_most => Some(Reason::WindStrong(v)),
        v if v < l.wind_least => Some(Reason::Calm(v)),
        _ => None,
    });
    look(hour.humidity, Reading::Humidity, |v, l| (v < l.humidity_least).then_some(Reason::Dry(v)));
    look(hour.temperature, Reading::Temperature, |v, l| match v {
        v if v < l.temperature_least => Some(Reason::Cold(v)),
        v if v > l.temperature_most => Some(Reason::Warm(v)),
        _ => None,
    });
    if let Some(gust) = hour.gust.filter(|gust| *gust > limits.gust_most) {
        reasons.push(Reason::Gusts(gust));
    }
    rain_reasons(hour, rain, limits, &mut reasons, &mut missing);
    JudgedHour { weather: *hour, reasons, missing, light }
}

fn rain_reasons(
    hour: &HourWeather,
    rain: &BTreeMap<i64, Option<bool>>,
    limits: &Limits,
    reasons: &mut Vec<Reason>,
    missing: &mut Vec<Reading>,
) {
    match rains(hour, limits) {
        Some(true) => reasons.push(Reason::RainNow),
        Some(false) => {}
        None => missing.push(Reading::Rain),
    }
    let now = hour.universal_hour();
    let ahead = |h: u8| rain.get(&(now + i64::from(h))).copied().flatten();
    if let Some(first) = (1..=limits.rain_free).find(|h| ahead(*h) == Some(true)) {
        reasons.push(Reason::RainAhead(first));
    } else if (1..=limits.rain_free).any(|h| ahead(h).is_none()) {
        missing.push(Reading::RainAhead);
    }
}
