//! Daily weather of a station.

use jiff::civil::Date;

use super::id::StationId;
use super::quantity::Length;

/// One day at a weather station.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DayWeather {
    /// Local calendar day.
    pub date: Date,
    /// Lowest temperature, degrees C.
    pub min: Option<f64>,
    /// Highest temperature, degrees C.
    pub max: Option<f64>,
    /// Rain and melted snow, mm.
    pub precipitation: Option<f64>,
    /// Snow lying on the ground, mm deep.
    pub snow: Option<f64>,
    /// A forecast day rather than an observed one.
    pub forecast: bool,
}

/// Daily weather of one station, in date order, without doubled days.
#[derive(Clone, Debug, PartialEq)]
pub struct WeatherSeries {
    /// Station.
    pub station: StationId,
    /// Name for people.
    pub name: String,
    /// Height above sea level.
    pub elevation: Option<Length>,
    /// Latitude, degrees north.
    pub latitude: Option<f64>,
    /// Longitude, degrees east.
    pub longitude: Option<f64>,
    /// Days.
    pub days: Vec<DayWeather>,
}
