//! Hourly weather: what spraying is judged by.

use jiff::civil::{Date, DateTime};

use super::StationId;

/// One hour at a weather station, as measured or forecast. What was not written down is `None`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HourWeather {
    /// The full hour of the local clock that the reading belongs to.
    pub time: DateTime,
    /// How far that clock is ahead of universal time, minutes (-240 for Eastern daylight time).
    pub offset: i16,
    /// Air temperature, degrees C.
    pub temperature: Option<f64>,
    /// Relative humidity, percent.
    pub humidity: Option<f64>,
    /// Mean wind speed, m/s.
    pub wind: Option<f64>,
    /// Gusts, m/s; stations write none when there are none.
    pub gust: Option<f64>,
    /// Where the wind comes from, degrees clockwise from north.
    pub direction: Option<f64>,
    /// Rain and melted snow of the hour, mm.
    pub precipitation: Option<f64>,
    /// Chance of rain in the hour, percent; forecasts have it.
    pub rain_chance: Option<f64>,
    /// A forecast hour rather than an observed one.
    pub forecast: bool,
}

impl HourWeather {
    /// An hour of which nothing is known yet.
    pub fn empty(time: DateTime, offset: i16) -> Self {
        Self {
            time,
            offset,
            temperature: None,
            humidity: None,
            wind: None,
            gust: None,
            direction: None,
            precipitation: None,
            rain_chance: None,
            forecast: false,
        }
    }

    /// Hours since 1970 in universal time; readings of the same hour have the same number, whatever the clock.
    /// In half-hour zones it is rounded down.
    pub fn universal_hour(&self) -> i64 {
        (local_minutes(self.time) - i64::from(self.offset)).div_euclid(60)
    }
}

/// Minutes since 1970 on the local clock.
pub(crate) fn local_minutes(time: DateTime) -> i64 {
    let days = i64::from((time.date() - Date::constant(1970, 1, 1)).get_days());
    days * 1440 + i64::from(time.hour()) * 60 + i64::from(time.minute())
}

/// Hours of one station, in time order, without doubled hours.
#[derive(Clone, Debug, PartialEq)]
pub struct HourlySeries {
    /// Station; its name and place stand with its daily series.
    pub station: StationId,
    /// Hours.
    pub hours: Vec<HourWeather>,
}
