//! Hourly weather: any table with an hour, a wind and what else spraying is judged by.
//!
//! The hour may stand in one column ("2027-05-10 06:00", with or without an offset) or in a day and an hour
//! column, or in year, month, day and hour. Readings between full hours go to the nearest one. A clock without
//! offset is the local clock; its offset is asked for, or taken from the station's longitude as standard time.

use std::collections::BTreeMap;

use crownhold::types::quantity::celsius;
use crownhold::types::{HourWeather, HourlySeries, Problem, StationId, WeatherSeries};
use jiff::civil::Date;

use super::areas::fields;
use super::cells::{self, numbers_or_words};
use super::columns::{Columns, Field, Measure, need_unit};
use super::hours::{Clock, clock, hours_of};
use super::job::Job;
use super::report::Taken;
use super::table::Table;
use super::words::choices;

fields! {
    /// Station.
    STATION = "station", Plain, ["station", "stationid", "id", "stid", "site", "origin"];
    /// Name for people.
    NAME = "name", Plain, ["stationname", "name", "location"];
    /// Day and hour, or the day.
    TIME = "time", Plain, ["time", "datetime", "localtime", "validtime", "valid", "timestamp", "date", "obstime"];
    /// Hour of the day, beside a day.
    HOUR = "hour", Plain, ["hour", "hr", "localhour"];
    /// Year, beside month, day and hour.
    YEAR = "year", Plain, ["year", "yr"];
    /// Month.
    MONTH = "month", Plain, ["month", "mo"];
    /// Day of the month.
    DAY = "day", Plain, ["day", "dayofmonth"];
    /// How far the clock is ahead of universal time.
    OFFSET = "offset", Plain, ["offset", "utcoffset", "gmtoffset", "tzoffset"];
    /// Air temperature.
    TEMPERATURE = "temperature", Temperature, ["temperature", "temp", "airtemp", "airtemperature", "tmp", "drybulb", "temperature2m", "t2m"];
    /// Relative humidity.
    HUMIDITY = "humidity", Share, ["relativehumidity", "humidity", "humid", "rh", "relh", "relativehumidity2m"];
    /// Mean wind.
    WIND = "wind", Speed, ["windspeed", "wind", "wspd", "windspeed10m", "sknt", "wspeed"];
    /// Gusts.
    GUST = "gust", Speed, ["windgust", "gust", "gusts", "windgusts", "windgusts10m", "gustspeed", "wgst"];
    /// Where the wind comes from.
    DIRECTION = "direction", Plain, ["winddirection", "winddir", "wdir", "direction", "winddirdeg", "winddirection10m", "drct"];
    /// Rain of the hour.
    RAIN = "precipitation", Rain, ["precipitation", "precip", "rain", "prcp", "rainfall", "hourlyprecip", "p01i", "ppt"];
    /// Chance of rain.
    CHANCE = "rain-chance", Share, ["precipitationprobability", "probabilityofprecipitation", "rainchance", "chanceofrain", "precipchance", "pop"];
    /// Forecast rather than observed.
    FORECAST = "forecast", Plain, ["forecast", "isforecast"];
    /// Latitude.
    LATITUDE = "latitude", Plain, ["latitude", "lat"];
    /// Longitude.
    LONGITUDE = "longitude", Plain, ["longitude", "lon", "long"];
}

/// What is believed, in degrees C, percent, m/s and mm: beyond the records of the United States and Canada
/// (-63.0 and 56.7 C; 103 m/s on Mount Washington; 305 mm of rain in 42 minutes at Holt, Missouri).
const BELIEVED: [(&str, f64, f64); 6] = [
    ("temperature", -65.0, 57.0),
    ("humidity", 0.0, 105.0),
    ("wind", 0.0, 110.0),
    ("gust", 0.0, 110.0),
    ("precipitation", 0.0, 350.0),
    ("rain-chance", 0.0, 100.0),
];
/// Above this share of unbelievable readings the unit or the column is wrong.
const TOO_MANY: f64 = 0.02;

/// One row as it was read, SI.
struct Row {
    station: String,
    number: u64,
    /// Minutes from the full hour.
    beside: i64,
    weather: HourWeather,
}

/// Takes hourly weather over.
pub(super) fn take(job: &mut Job<'_>, table: &Table) {
    let columns = Columns::find(job, table, FIELDS);
    if columns.need(job, table, &WIND).is_none() {
        return;
    }
    let Some(times) = times(job, table, &columns) else { return };
    let values = [&TEMPERATURE, &HUMIDITY, &WIND, &GUST, &RAIN, &CHANCE].map(|f| values(job, table, &columns, f));
    let directions = cells::maybe_numbers(job, table, &without_words(&columns), &DIRECTION);
    let forecast = choices(job, table, &columns, &FORECAST, cells::yes, &["yes", "no"]);
    let stations = stations(job, table, &columns);
    let places = places(table, &columns);
    note_left_blank(job, &columns);
    let mut rows: BTreeMap<String, Vec<Row>> = BTreeMap::new();
    for row in 0..table.len() {
        let (Some(clock), Some(station)) = (times[row], stations[row].clone()) else { continue };
        let offset = clock.offset.unwrap_or_else(|| standard_offset(job, &station, &places));
        let [temperature, humidity, wind, gust, precipitation, rain_chance] =
            [0, 1, 2, 3, 4, 5].map(|i| values[i][row]);
        let weather = HourWeather {
            temperature,
            humidity: humidity.map(|v| v.min(100.0)),
            wind,
            gust,
            direction: directions[row].map(|v| v.rem_euclid(360.0)),
            precipitation,
            rain_chance,
            forecast: forecast[row].unwrap_or(false),
            ..HourWeather::empty(clock.hour, offset)
        };
        if [temperature, humidity, wind, gust, precipitation, rain_chance].iter().all(Option::is_none) {
            continue;
        }
        let one = Row { station: station.clone(), number: table.number(row), beside: clock.beside, weather };
        rows.entry(station).or_default().push(one);
    }
    if rows.is_empty() && !job.report.has_errors() {
        job.note(Problem::error("I-621", "No hour with a reading was found.", "Look at the columns of the time."));
    }
    for (station, rows) in rows {
        let place = place_of(&places, &station);
        let hours = one_each(job, rows);
        merge(job, &station, name(table, &columns, &station), place, hours);
    }
}

/// The wind's direction may be written in words; those are taken as not known.
fn without_words(columns: &Columns) -> Columns {
    columns.only(&[DIRECTION.name])
}

fn times(job: &mut Job<'_>, table: &Table, columns: &Columns) -> Option<Vec<Option<Clock>>> {
    let parts = [&YEAR, &MONTH, &DAY, &HOUR].map(|f| columns.get(f.name).cloned());
    let before = job.report.problems.len();
    let times = if let [Some(year), Some(month), Some(day), Some(hour)] = parts {
        let [y, m, d, h] = [&year, &month, &day, &hour].map(|c| cells::numbers(job, table, c));
        (0..table.len()).map(|r| from_parts(y[r]?, m[r]?, d[r]?, h[r]?)).collect()
    } else {
        let time = columns.need(job, table, &TIME)?.clone();
        let hour = columns.get(HOUR.name).cloned();
        hours_of(job, table, &time, hour.as_ref())
    };
    let offsets =
        columns.get(OFFSET.name).map(|c| (0..table.len()).map(|r| clock::offset(table.cell(r, c.at))).collect());
    let offsets: Vec<Option<i16>> = offsets.unwrap_or_else(|| vec![None; table.len()]);
    let wished = job.wishes.offset;
    let times: Vec<Option<Clock>> = times
        .into_iter()
        .zip(offsets)
        .map(|(t, o): (Option<Clock>, _)| t.map(|t| Clock { offset: t.offset.or(o).or(wished), ..t }))
        .collect();
    if times.iter().all(Option::is_none) && job.report.problems.len() == before {
        job.note(Problem::error("I-621", "No row has a time.", "Look at the columns of the time."));
    }
    Some(times)
}

/// Year, month, day and hour; hour 24 is the next day's midnight.
fn from_parts(year: f64, month: f64, day: f64, hour: f64) -> Option<Clock> {
    let whole = |v: f64| (v.fract() == 0.0 && v.abs() < 10_000.0).then_some(v as i16);
    let small = |v: f64| whole(v).and_then(|v| i8::try_from(v).ok());
    let date = Date::new(whole(year)?, small(month)?, small(day)?).ok()?;
    clock::at(date, i64::from(small(hour).filter(|h| (0..=24).contains(h))?) * 60, None)
}

/// The numbers of a field in SI; believed ones only.
fn values(job: &mut Job<'_>, table: &Table, columns: &Columns, field: &Field) -> Vec<Option<f64>> {
    let Some(column) = columns.get(field.name).cloned() else { return vec![None; table.len()] };
    let blank = [("M", None), ("-9999", None), ("9999", None), ("-999", None), ("T", Some(0.0))];
    let raw = numbers_or_words(job, table, &column, &blank);
    let unit = match field.measure {
        Measure::Share => Some(column.unit.unwrap_or_else(|| share_unit(&raw))),
        _ => need_unit(job, field, &column, &raw),
    };
    let Some(unit) = unit else { return vec![None; table.len()] };
    // Three decimals keep what any station writes, and the file small.
    let si = |v: f64| (to_si(v, unit) * 1000.0).round() / 1000.0;
    let mut values: Vec<Option<f64>> = raw.into_iter().map(|v| v.map(si)).collect();
    let (_, low, high) =
        BELIEVED.into_iter().find(|(name, ..)| *name == field.name).unwrap_or(("", f64::MIN, f64::MAX));
    let known = values.iter().flatten().count();
    let wrong: Vec<usize> =
        (0..values.len()).filter(|r| values[*r].is_some_and(|v| !(low..=high).contains(&v))).collect();
    if let Some(first) = wrong.first() {
        let what = format!(
            "{} of {known} readings of {} cannot be, such as {:?}.",
            wrong.len(),
            field.name,
            table.cell(*first, column.at)
        );
        let too_many = wrong.len() as f64 > TOO_MANY * known as f64 && wrong.len() > 3;
        let problem = if too_many {
            Problem::error("I-622", what, "The unit or the column looks wrong; check it.")
        } else {
            Problem::repaired("I-622", what, "They were left out.")
        };
        job.note(problem.row(table.number(*first)).column(column.header.clone()));
    }
    wrong.into_iter().for_each(|r| values[r] = None);
    values
}

/// Humidities of 0 to 1 all through are shares; else percent.
fn share_unit(values: &[Option<f64>]) -> &'static str {
    let highest = values.iter().flatten().copied().fold(0.0, f64::max);
    if highest > 0.0 && highest <= 1.0 { "share" } else { "%" }
}

fn to_si(value: f64, unit: &str) -> f64 {
    match unit {
        "F" => celsius(value),
        "tenths of C" | "tenths of mm" => value / 10.0,
        "in" => value * 25.4,
        "share" => value * 100.0,
        "mph" => value * 0.447_04,
        "km/h" => value / 3.6,
        "knots" => value * 1852.0 / 3600.0,
        _ => value,
    }
}

/// The station of each row: its column, the user's word, or the file's name.
fn stations(job: &mut Job<'_>, table: &Table, columns: &Columns) -> Vec<Option<String>> {
    if let Some(wish) = job.wishes.station.clone() {
        let picks = (0..table.len()).any(|r| cells::text(table, columns, &STATION, r) == Some(wish.as_str()));
        let here = |r| !picks || cells::text(table, columns, &STATION, r) == Some(wish.as_str());
        return (0..table.len()).map(|r| here(r).then(|| wish.clone())).collect();
    }
    if columns.get(STATION.name).is_some() {
        return (0..table.len()).map(|r| cells::text(table, columns, &STATION, r).map(str::to_owned)).collect();
    }
    let only = match &job.draft.weather[..] {
        [only] => Some(only.station.to_string()),
        _ => None,
    };
    let file = job.report.file.rsplit(['/', '\\']).next().unwrap_or_default();
    let stem = file.split('.').next().unwrap_or_default().to_owned();
    let station = only.clone().unwrap_or(stem);
    let how = if only.is_some() { "the programme's only station" } else { "the file's name" };
    let what = "The file does not name its station.";
    let remedy = format!("The hours were taken for \"{station}\" ({how}); say --station NAME for another.");
    job.note(Problem::notice("I-610", what, remedy));
    vec![Some(station); table.len()]
}

fn places(table: &Table, columns: &Columns) -> BTreeMap<String, (f64, f64)> {
    let number = |f: &Field, r| cells::text(table, columns, f, r).and_then(|c| c.parse::<f64>().ok());
    let mut places = BTreeMap::new();
    for row in 0..table.len() {
        let (Some(latitude), Some(longitude)) = (number(&LATITUDE, row), number(&LONGITUDE, row)) else { continue };
        if latitude.abs() <= 90.0 && longitude.abs() <= 180.0 {
            let station = cells::text(table, columns, &STATION, row).unwrap_or_default().to_owned();
            places.entry(station).or_insert((latitude, longitude));
        }
    }
    places
}

/// The place of a station; a file with a single place means that one, whatever the station is called.
fn place_of(places: &BTreeMap<String, (f64, f64)>, station: &str) -> Option<(f64, f64)> {
    let only = places.values().next().filter(|_| places.len() == 1);
    places.get(station).or(only).copied()
}

fn name(table: &Table, columns: &Columns, station: &str) -> Option<String> {
    let row = (0..table.len()).find(|r| cells::text(table, columns, &STATION, *r) == Some(station))?;
    cells::text(table, columns, &NAME, row).map(str::to_owned)
}

/// Standard time of the station's longitude; noted once.
fn standard_offset(job: &mut Job<'_>, station: &str, places: &BTreeMap<String, (f64, f64)>) -> i16 {
    let known = job.draft.weather.iter().find(|w| w.station.as_str() == station).and_then(|w| w.longitude);
    let longitude = place_of(places, station).map(|p| p.1).or(known);
    let offset = longitude.map_or(0, |l| (l / 15.0).round() as i16 * 60);
    if !job.report.problems.iter().any(|p| p.code == "I-623") {
        let what = "The times do not say how far their clock is from universal time.";
        let problem = match longitude {
            Some(_) => {
                let remedy = "They were read as standard time of the station's longitude; say --offset -04:00 if \
                              they are daylight time.";
                Problem::notice("I-623", what, remedy)
            }
            None => {
                let remedy = "Say --offset, such as -05:00 for Eastern standard or -04:00 for Eastern daylight time.";
                Problem::error("I-623", what, remedy).expected("an offset, or a station whose longitude is known")
            }
        };
        job.note(problem);
    }
    offset
}

fn note_left_blank(job: &mut Job<'_>, columns: &Columns) {
    let needed = [&TEMPERATURE, &HUMIDITY].into_iter().filter(|f| columns.get(f.name).is_none());
    let mut without: Vec<&str> = needed.map(|f| f.name).collect();
    if columns.get(RAIN.name).is_none() && columns.get(CHANCE.name).is_none() {
        without.push("precipitation or rain-chance");
    }
    if !without.is_empty() {
        let what = format!("The file has no column for {}.", without.join(", "));
        let remedy = "No hour can be a go without them; name the columns with --map if they are there.";
        job.note(Problem::notice("I-624", what, remedy));
    }
}

/// One reading for each hour: the one nearest to the full hour. Rain between is not lost: the largest counts.
fn one_each(job: &mut Job<'_>, rows: Vec<Row>) -> Vec<HourWeather> {
    let mut hours: BTreeMap<i64, Row> = BTreeMap::new();
    let (mut put_together, mut differing) = (0, None);
    for row in rows {
        let key = row.weather.universal_hour();
        let Some(before) = hours.get_mut(&key) else {
            hours.insert(key, row);
            continue;
        };
        if before.beside == row.beside && before.weather != row.weather {
            differing.get_or_insert((before.number, row.number, row.weather.time, row.station.clone()));
        }
        put_together += 1;
        let rain = |a: Option<f64>, b: Option<f64>| a.into_iter().chain(b).reduce(f64::max);
        let precipitation = rain(before.weather.precipitation, row.weather.precipitation);
        if row.beside < before.beside {
            *before = row;
        }
        before.weather.precipitation = precipitation;
    }
    if let Some((first, second, time, station)) = differing {
        let what = format!("{station} has {time} twice with different values, in rows {first} and {second}.");
        let remedy = "Keep one of the rows; where the clock was set back, give the offset of each row.";
        job.note(Problem::error("I-625", what, remedy).row(second));
    } else if put_together > 0 {
        let what = format!("Readings beside another one of the same hour: {put_together}.");
        let remedy = "The one nearest to the full hour was kept, with the most rain of them.";
        job.note(Problem::repaired("I-625", what, remedy));
    }
    hours.into_values().map(|row| row.weather).collect()
}

fn merge(job: &mut Job<'_>, station: &str, name: Option<String>, place: Option<(f64, f64)>, hours: Vec<HourWeather>) {
    let id = StationId::new(station);
    let draft = &mut job.draft;
    let at = draft.weather.iter().position(|w| w.station == id).unwrap_or_else(|| {
        draft.weather.push(WeatherSeries {
            name: id.to_string(),
            station: id.clone(),
            elevation: None,
            latitude: None,
            longitude: None,
            days: Vec::new(),
        });
        draft.weather.len() - 1
    });
    let known = &mut draft.weather[at];
    known.name = name.unwrap_or_else(|| known.name.clone());
    known.latitude = place.map(|p| p.0).or(known.latitude);
    known.longitude = place.map(|p| p.1).or(known.longitude);
    let at = draft.hourly.iter().position(|h| h.station == id).unwrap_or_else(|| {
        draft.hourly.push(HourlySeries { station: id, hours: Vec::new() });
        draft.hourly.len() - 1
    });
    let taken = super::job::merge(&mut draft.hourly[at].hours, hours, HourWeather::universal_hour);
    let sum = job.report.taken;
    job.report.taken = Taken {
        new: sum.new + taken.new,
        replaced: sum.replaced + taken.replaced,
        unchanged: sum.unchanged + taken.unchanged,
    };
}
