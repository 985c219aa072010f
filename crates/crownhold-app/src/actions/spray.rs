//! Spray weather, the winter's cold and the disease weather of a programme.

use std::collections::BTreeMap;

use crownhold::timing::cold::{self, Winter, WinterDay};
use crownhold::timing::degree_days::DayRange;
use crownhold::timing::disease::{WetSpring, wet_spring};
use crownhold::timing::spray::{
    Climatology, DayChance, JudgedHour, Limits, Morning, Place, Spraying, WindowMornings, judge, mornings,
};
use crownhold::timing::{Timing, WindowKind};
use crownhold::types::{DayWeather, HourlySeries, Problem, Records, WeatherSeries};
use jiff::civil::{Date, date};

/// Hours of a station judged, and what follows for mornings.
#[derive(Clone, Debug)]
pub struct SprayWeather {
    /// The limits used.
    pub limits: Limits,
    /// Every hour.
    pub hours: Vec<JudgedHour>,
    /// Every morning.
    pub mornings: BTreeMap<Date, Morning>,
    /// The chance of each calendar day's morning in and around the window.
    pub by_day: Vec<DayChance>,
    /// The chance of enough mornings in the window.
    pub window: Option<WindowMornings>,
}

/// Judges the programme's hours; `None` when it has none.
///
/// # Errors
/// Limits that make no sense, or a station without a place.
pub fn spray_weather(
    records: &Records,
    timing: Option<&Timing>,
    spraying: Spraying,
) -> Result<Option<SprayWeather>, Vec<Problem>> {
    let limits = Limits::read(&records.parameters, spraying)?;
    let Some(series) = records.hourly.iter().find(|series| !series.hours.is_empty()) else { return Ok(None) };
    let place = place(records, series).ok_or_else(|| vec![no_place(series)])?;
    let hours = judge(&series.hours, place, &limits);
    let mornings = mornings(&hours, &limits);
    let season = records.programme.season;
    let past = Climatology::new(&mornings, season, limits.smoothing);
    let kind = if spraying == Spraying::Air { WindowKind::AerialBtk } else { WindowKind::GroundBtk };
    let window = timing.and_then(|timing| timing.window(kind)).and_then(|window| past.in_window(window));
    let by_day = past.by_day(date(season, 4, 1), date(season, 6, 30));
    Ok(Some(SprayWeather { limits, hours, mornings, by_day, window }))
}

fn place(records: &Records, series: &HourlySeries) -> Option<Place> {
    let station = records.weather.iter().find(|w| w.station == series.station)?;
    Some(Place { latitude: station.latitude?, longitude: station.longitude? })
}

fn no_place(series: &HourlySeries) -> Problem {
    let what = format!("station {} has hours but no latitude and longitude.", series.station);
    let remedy = "Bring its hours in again with a latitude and a longitude column; light is worked out from them.";
    Problem::error("timing.no-place", what, remedy).item(format!("station {}", series.station))
}

/// What the winter before the season left of the eggs so far: 1 November to 15 April. `None` without a day of it.
///
/// # Errors
/// When the parameters make no sense.
pub fn winter(records: &Records, today: Date) -> Result<Option<Winter>, Vec<Problem>> {
    let season = records.programme.season;
    let (from, to) = (date(season - 1, 11, 1), date(season, 4, 15).min(today));
    let Some(series) = observed(records) else { return Ok(None) };
    let known = series.days.iter().filter(|day| !day.forecast && (from..=to).contains(&day.date));
    let range = |low: Option<f64>, high: Option<f64>| DayRange::new(low?, high?);
    let half = records.parameters.number("timing.cold.half-height");
    let winter_day = |day: &DayWeather| WinterDay {
        date: day.date,
        range: range(day.min, day.max),
        covered: day.snow.map(|depth| cold::share_under(depth, half)),
    };
    let days: Vec<WinterDay> = known.map(winter_day).collect();
    cold::winter(&days, &records.parameters)
}

/// The wet days of last spring and of this one, as far as they are known.
pub fn disease_weather(records: &Records, today: Date) -> Vec<WetSpring> {
    let Some(series) = observed(records) else { return Vec::new() };
    let hours = records.hourly.iter().find(|h| h.station == series.station).map_or(&[][..], |h| &h.hours);
    let season = records.programme.season;
    let of = |year| wet_spring(series, hours, year, today, &records.parameters);
    [season - 1, season].into_iter().filter_map(of).collect()
}

fn observed(records: &Records) -> Option<&WeatherSeries> {
    records.weather.iter().find(|series| !series.days.is_empty())
}
