//! Thirty years of invented weather at one station.

use jiff::ToSpan;
use jiff::civil::Date;

use crate::types::chance::{normal, stream, uniform};
use crate::types::{DayWeather, Length, StationId, WeatherSeries};

/// Depth of lying snow for the water in it.
const SNOW_PER_WATER: f64 = 4.0;
/// Water that a day's mean of one degree C above freezing melts, mm.
const MELT: f64 = 3.0;

/// Daily weather from 1 January thirty years before the season to 20 November of the survey autumn.
///
/// A yearly wave around 8.4 degrees C, a slow warming, weather that remembers yesterday, and rain on three days in ten.
pub(super) fn station(seed: u64, season: i16) -> WeatherSeries {
    let mut rng = stream(seed, "pellwood.weather", 0);
    let last = Date::constant(season - 1, 11, 20);
    let mut day = Date::constant(season - 30, 1, 1);
    let (mut days, mut anomaly, mut year_shift, mut snow_water) = (Vec::new(), 0.0, 0.0, 0.0);
    while day <= last {
        if day.day_of_year() == 1 {
            year_shift = 0.7 * normal(&mut rng) + 0.03 * f64::from(day.year() - (season - 15));
        }
        let turn = std::f64::consts::TAU * (f64::from(day.day_of_year()) - 201.0) / 365.25;
        let summer = 0.5 * (1.0 + libm::cos(turn));
        anomaly = 0.72 * anomaly + (3.4 - 1.4 * summer) * normal(&mut rng);
        let mean = 8.4 + 13.6 * libm::cos(turn) + year_shift + anomaly;
        let half_range = 0.5 * (7.0 + 4.5 * summer + 2.5 * normal(&mut rng)).max(2.0);
        let wet = uniform(&mut rng) < 0.3;
        let rain = if wet { -6.0 * libm::log(uniform(&mut rng)) } else { 0.0 };
        snow_water = snow_after(snow_water, mean, rain);
        let tenth = |v: f64| (v * 10.0).round() / 10.0;
        days.push(DayWeather {
            date: day,
            min: Some(tenth(mean - half_range)),
            max: Some(tenth(mean + half_range)),
            precipitation: Some(tenth(rain)),
            snow: Some((snow_water * SNOW_PER_WATER / 10.0).round() * 10.0),
            forecast: false,
        });
        day = day.saturating_add(1.day());
    }
    WeatherSeries {
        station: StationId::new("PELLWOOD-1"),
        name: "Pellwood waterworks (invented)".to_owned(),
        elevation: Some(Length::metres(195.0)),
        latitude: Some(43.5),
        longitude: Some(-87.0),
        days,
    }
}

/// Water in the lying snow after a day, mm.
fn snow_after(before: f64, mean: f64, rain: f64) -> f64 {
    if mean < 0.0 { before + rain } else { (before - MELT * mean).max(0.0) }
}
