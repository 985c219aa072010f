//! Hours of weather: a row for each day of a station, with 24 readings to a cell, so that ten springs are a
//! thousand rows and not a quarter of a million.

use std::collections::BTreeMap;

use crownhold::types::{HourWeather, HourlySeries, Problem, StationId};
use jiff::civil::Date;

use super::super::row::{Cell, Snapshot, Table};
use super::all;
use super::reader::Reader;

pub(super) const HOURS: Table = Table {
    name: "weather_hours",
    key: &["station", "day", "offset_min", "forecast"],
    columns: &[
        "station",
        "day",
        "offset_min",
        "forecast",
        "temperature_c",
        "humidity_pct",
        "wind_m_s",
        "gust_m_s",
        "direction_deg",
        "precipitation_mm",
        "rain_chance_pct",
    ],
    is_layer: false,
};

/// Readings of a day: kind by kind, hour by hour.
type Readings = [[Option<f64>; 24]; 7];

/// What stands for a reading that is not known.
const UNKNOWN: &str = "-";

fn slots(hour: &mut HourWeather) -> [&mut Option<f64>; 7] {
    [
        &mut hour.temperature,
        &mut hour.humidity,
        &mut hour.wind,
        &mut hour.gust,
        &mut hour.direction,
        &mut hour.precipitation,
        &mut hour.rain_chance,
    ]
}

pub(super) fn write(series: &HourlySeries, rows: &mut Snapshot) {
    let mut days: BTreeMap<(Date, i16, bool), Readings> = BTreeMap::new();
    for hour in &series.hours {
        let mut hour = *hour;
        let at = usize::try_from(hour.time.hour()).unwrap_or(0);
        let day = days.entry((hour.time.date(), hour.offset, hour.forecast)).or_insert([[None; 24]; 7]);
        slots(&mut hour).into_iter().zip(day).for_each(|(value, kind)| kind[at] = *value);
    }
    for ((day, offset, forecast), kinds) in days {
        let [temperature, humidity, wind, gust, direction, rain, chance] = kinds.map(|values| line(&values));
        rows.add(
            &HOURS,
            [
                ("station", series.station.as_str().into()),
                ("day", day.into()),
                ("offset_min", offset.into()),
                ("forecast", forecast.into()),
                ("temperature_c", temperature),
                ("humidity_pct", humidity),
                ("wind_m_s", wind),
                ("gust_m_s", gust),
                ("direction_deg", direction),
                ("precipitation_mm", rain),
                ("rain_chance_pct", chance),
            ],
        );
    }
}

fn line(values: &[Option<f64>; 24]) -> Cell {
    if values.iter().all(Option::is_none) {
        return Cell::Null;
    }
    let words: Vec<String> = values.iter().map(|v| v.map_or(UNKNOWN.to_owned(), |v| v.to_string())).collect();
    Cell::Text(words.join(" "))
}

pub(super) fn read(rows: &Snapshot, problems: &mut Vec<Problem>) -> Vec<HourlySeries> {
    let mut stations: BTreeMap<StationId, Vec<HourWeather>> = BTreeMap::new();
    for (station, hours) in all(rows, &HOURS, problems, read_day) {
        stations.entry(station).or_default().extend(hours);
    }
    let mut series: Vec<_> = stations.into_iter().map(|(station, hours)| HourlySeries { station, hours }).collect();
    series.iter_mut().for_each(|one| one.hours.sort_by_key(|hour| (hour.universal_hour(), hour.forecast)));
    series
}

fn read_day(r: &mut Reader) -> (StationId, Vec<HourWeather>) {
    let (day, offset) = (r.need_day("day"), r.need_whole("offset_min", "minutes ahead of universal time"));
    let forecast = r.flag("forecast");
    let columns: [&str; 7] = HOURS.columns[4..].try_into().expect("seven columns of readings");
    let kinds = columns.map(|column| numbers(r, column));
    let hours = (0..24_i8).filter_map(|hour| {
        let mut made = HourWeather { forecast, ..HourWeather::empty(day.at(hour, 0, 0, 0), offset) };
        let values = kinds.each_ref().map(|kind| kind[usize::try_from(hour).unwrap_or(0)]);
        slots(&mut made).into_iter().zip(values).for_each(|(slot, value)| *slot = value);
        values.iter().any(Option::is_some).then_some(made)
    });
    (StationId::new(r.need_text("station")), hours.collect())
}

/// The 24 readings of a cell; all unknown where there is none.
fn numbers(r: &mut Reader, column: &str) -> [Option<f64>; 24] {
    let Some(text) = r.text(column) else { return [None; 24] };
    let read = |word: &str| match word {
        UNKNOWN => Some(None),
        word => word.parse::<f64>().ok().filter(|v| v.is_finite()).map(Some),
    };
    let values: Option<Vec<Option<f64>>> = text.split_whitespace().map(read).collect();
    values.and_then(|values| values.try_into().ok()).unwrap_or_else(|| {
        let what = format!("{column} is not 24 readings.");
        r.fault("S-102", column, what, "24 numbers from midnight on, parted by blanks, - for one not known");
        [None; 24]
    })
}
