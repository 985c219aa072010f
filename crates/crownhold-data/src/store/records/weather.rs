//! Weather stations and their days.

use std::collections::BTreeMap;

use crownhold::types::{DayWeather, Length, Problem, StationId, WeatherSeries};

use super::super::row::{Snapshot, Table};
use super::all;
use super::reader::Reader;

pub(super) const STATIONS: Table = Table {
    name: "weather_station",
    key: &["id"],
    columns: &["id", "position", "name", "elevation_m", "latitude", "longitude"],
    is_layer: false,
};

pub(super) const DAYS: Table = Table {
    name: "weather_day",
    key: &["station", "day"],
    columns: &["station", "day", "min_c", "max_c", "precipitation_mm", "snow_mm", "forecast"],
    is_layer: false,
};

pub(super) fn write(weather: &[WeatherSeries], rows: &mut Snapshot) {
    for (position, series) in weather.iter().enumerate() {
        rows.add(
            &STATIONS,
            [
                ("id", series.station.as_str().into()),
                ("position", (position + 1).into()),
                ("name", (&series.name).into()),
                ("elevation_m", series.elevation.map(Length::as_metres).into()),
                ("latitude", series.latitude.into()),
                ("longitude", series.longitude.into()),
            ],
        );
        series.days.iter().for_each(|day| write_day(&series.station, day, rows));
    }
}

fn write_day(station: &StationId, day: &DayWeather, rows: &mut Snapshot) {
    rows.add(
        &DAYS,
        [
            ("station", station.as_str().into()),
            ("day", day.date.into()),
            ("min_c", day.min.into()),
            ("max_c", day.max.into()),
            ("precipitation_mm", day.precipitation.into()),
            ("snow_mm", day.snow.into()),
            ("forecast", day.forecast.into()),
        ],
    );
}

pub(super) fn read(rows: &Snapshot, problems: &mut Vec<Problem>) -> Vec<WeatherSeries> {
    let mut days: BTreeMap<StationId, Vec<DayWeather>> = BTreeMap::new();
    for (station, day) in all(rows, &DAYS, problems, read_day) {
        days.entry(station).or_default().push(day);
    }
    let mut stations = all(rows, &STATIONS, problems, read_station);
    stations.sort_by(|(a, x), (b, y)| (a, &x.station).cmp(&(b, &y.station)));
    let mut weather: Vec<_> = stations.into_iter().map(|(_, series)| series).collect();
    for series in &mut weather {
        series.days = days.remove(&series.station).unwrap_or_default();
        series.days.sort_by_key(|day| day.date);
    }
    problems.extend(days.keys().map(|s| super::dangling(&DAYS, "station", s.as_str(), s.as_str(), "weather station")));
    weather
}

fn read_station(r: &mut Reader) -> (i64, WeatherSeries) {
    let id = StationId::new(r.need_text("id"));
    let series = WeatherSeries {
        name: r.text("name").unwrap_or_else(|| id.to_string()),
        station: id,
        elevation: r.height("elevation_m"),
        latitude: r.number("latitude", -90.0, 90.0, "degrees north, -90 to 90"),
        longitude: r.number("longitude", -180.0, 180.0, "degrees east, -180 to 180"),
        days: Vec::new(),
    };
    (r.whole("position", "the place of the station in the list").unwrap_or(i64::MAX), series)
}

fn read_day(r: &mut Reader) -> (StationId, DayWeather) {
    // Bounds just outside the records of the WMO extremes archive: -89.2 C, 56.7 C, 1,825 mm in a day.
    let celsius = "degrees C, -90 to 60";
    let day = DayWeather {
        date: r.need_day("day"),
        min: r.number("min_c", -90.0, 60.0, celsius),
        max: r.number("max_c", -90.0, 60.0, celsius),
        precipitation: r.number("precipitation_mm", 0.0, 3000.0, "millimetres, 0 to 3000"),
        snow: r.number("snow_mm", 0.0, 15_000.0, "millimetres, 0 to 15000"),
        forecast: r.flag("forecast"),
    };
    (StationId::new(r.need_text("station")), day)
}
