//! Daily weather: any table with a day, a lowest and a highest temperature, and the public station layouts.
//!
//! A unit is taken from the header, from the user, from a layout that fixes it, or from values that leave
//! no doubt (then it is said). A stated unit that the values contradict is an error with the evidence.

use std::collections::{BTreeMap, BTreeSet};

use crownhold::types::quantity::celsius;
use crownhold::types::{DayWeather, Length, Problem, StationId, WeatherSeries};
use jiff::civil::Date;

use super::areas::fields;
use super::cells::{self, numbers_or_words};
use super::columns::{Columns, Field, Measure};
use super::dates::dates;
use super::job::Job;
use super::report::Taken;
use super::station;
use super::table::Table;
use super::twins;
use super::words::choices;

fields! {
    /// Station.
    STATION = "station", Plain, ["station", "stationid", "id", "stid", "site"];
    /// Name for people.
    NAME = "name", Plain, ["name", "stationname", "location"];
    /// Day.
    DATE = "date", Plain, ["date", "day", "datum", "obsdate", "datetime", "time"];
    /// Lowest temperature.
    MIN = "min", Temperature, ["min", "tmin", "tempmin", "mintemp", "mintemperature", "minimum", "minimumtemperature", "low", "lowtemp", "temperaturemin", "airtempmin", "tn"];
    /// Highest temperature.
    MAX = "max", Temperature, ["max", "tmax", "tempmax", "maxtemp", "maxtemperature", "maximum", "maximumtemperature", "high", "hightemp", "temperaturemax", "airtempmax", "tx"];
    /// Rain and melted snow.
    RAIN = "precipitation", Rain, ["precipitation", "prcp", "precip", "rain", "rainfall", "ppt", "rr"];
    /// Snow lying on the ground.
    SNOW = "snow", Snow, ["snowdepth", "snwd", "snowonground", "depthofsnow", "lyingsnow"];
    /// Forecast rather than observed.
    FORECAST = "forecast", Plain, ["forecast", "isforecast"];
    /// Latitude.
    LATITUDE = "latitude", Plain, ["latitude", "lat"];
    /// Longitude.
    LONGITUDE = "longitude", Plain, ["longitude", "lon", "long"];
    /// Height above sea level.
    ELEVATION = "elevation", Length, ["elevation", "elev", "altitude"];
}

/// Lowest and highest day temperatures that are believed, degrees C: a little beyond the records of the
/// United States and Canada (-63.0 Snag 1947, 56.7 Furnace Creek 1913; World Meteorological Organization).
const BELIEVED_C: (f64, f64) = (-65.0, 57.0);
/// Most rain in a day that is believed, mm (record of the United States: 1,262 mm, Kauai 2018).
const MOST_RAIN_MM: f64 = 1_300.0;
/// Deepest snow that is believed, mm (record of measured depth: 11,820 mm, Mount Ibuki 1927).
const MOST_SNOW_MM: f64 = 12_000.0;
/// Above this share of unbelievable days the unit or the columns are wrong, not the days.
const TOO_MANY: f64 = 0.02;

/// How a series' numbers were written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Raw {
    /// The by-element layout fixes tenths.
    TenthsByLayout,
    /// By the columns' units.
    Columns,
}

/// One day as written.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct RawDay {
    pub date: Date,
    pub row: u64,
    pub min: Option<f64>,
    pub max: Option<f64>,
    pub rain: Option<f64>,
    pub snow: Option<f64>,
    pub forecast: bool,
}

impl RawDay {
    pub fn empty(date: Date, row: u64) -> Self {
        Self { date, row, min: None, max: None, rain: None, snow: None, forecast: false }
    }
    /// The place of an element of the public layout.
    pub fn slot(&mut self, element: &str) -> &mut Option<f64> {
        match element {
            "TMAX" => &mut self.max,
            "TMIN" => &mut self.min,
            "SNWD" => &mut self.snow,
            _ => &mut self.rain,
        }
    }
}

/// One station's days as written.
pub(super) struct Series {
    pub station: String,
    pub name: Option<String>,
    pub place: [Option<f64>; 2],
    pub elevation: Option<Length>,
    pub days: Vec<RawDay>,
    pub raw: Raw,
}

impl Series {
    pub fn new(station: String, days: Vec<RawDay>) -> Self {
        Self { station, name: None, place: [None, None], elevation: None, days, raw: Raw::Columns }
    }
}

/// Takes daily weather over.
pub(super) fn take(job: &mut Job<'_>, table: &Table) {
    let (series, units) = if station::is_by_element(table) {
        let units = Some(Units {
            min: Some("tenths of C"),
            max: Some("tenths of C"),
            rain: Some("tenths of mm"),
            snow: Some("mm"),
        });
        (station::read(job, table), units)
    } else {
        by_day(job, table)
    };
    if series.is_empty() && !job.report.has_errors() {
        job.note(Problem::error(
            "I-609",
            "No day with a temperature was found.",
            "Look at the station and the columns.",
        ));
    }
    let Some(units) = units else { return };
    for series in series {
        let checked = match series.raw {
            Raw::TenthsByLayout => Some((units.min, units.max)),
            Raw::Columns => agreed_units(job, &series, units.min, units.max),
        };
        if let Some((min @ Some(_), max @ Some(_))) = checked {
            take_series(job, series, Units { min, max, ..units });
        }
    }
}

/// Units as stated; `None` where nothing states them.
#[derive(Clone, Copy)]
struct Units {
    min: Option<&'static str>,
    max: Option<&'static str>,
    rain: Option<&'static str>,
    snow: Option<&'static str>,
}

/// Tables with one row per day.
fn by_day(job: &mut Job<'_>, table: &Table) -> (Vec<Series>, Option<Units>) {
    let columns = Columns::find(job, table, FIELDS);
    let needed = [&DATE, &MIN, &MAX].map(|f| columns.need(job, table, f).cloned());
    let [Some(date), Some(min), Some(max)] = needed else { return (Vec::new(), None) };
    let days = dates(job, table, &date);
    let missing = [("M", None), ("-9999", None), ("9999", None), ("-999", None)];
    let lows = numbers_or_words(job, table, &min, &missing);
    let highs = numbers_or_words(job, table, &max, &missing);
    let rain_column = columns.get(RAIN.name).cloned();
    let with_trace = [missing[0], missing[1], missing[2], missing[3], ("T", Some(0.0))];
    let snow_column = columns.get(SNOW.name).cloned();
    let [rain, snow] = [&rain_column, &snow_column].map(|column| {
        let read = |c| numbers_or_words(job, table, c, &with_trace);
        column.as_ref().map_or_else(|| vec![None; table.len()], read)
    });
    let forecast = choices(job, table, &columns, &FORECAST, cells::yes, &["yes", "no"]);
    let station = station_of(job, table, &columns);
    let mut all: BTreeMap<String, Vec<RawDay>> = BTreeMap::new();
    for row in 0..table.len() {
        let (Some(date), Some(station)) = (days[row], station(row)) else { continue };
        let day = RawDay {
            date,
            row: table.number(row),
            min: lows[row],
            max: highs[row],
            rain: rain[row],
            snow: snow[row],
            forecast: forecast[row].unwrap_or(false),
        };
        all.entry(station).or_default().push(day);
    }
    let mut series: Vec<Series> = all.into_iter().map(|(s, d)| Series::new(s, d)).collect();
    for one in &mut series {
        describe(job, table, &columns, one);
    }
    let unit = |column: Option<super::columns::Column>| column.and_then(|c| c.unit);
    (series, Some(Units { min: min.unit, max: max.unit, rain: unit(rain_column), snow: unit(snow_column) }))
}

/// The station of each row: its column, the user's word, or the file's name. A wished station picks one.
fn station_of<'t>(job: &mut Job<'_>, table: &'t Table, columns: &'t Columns) -> impl Fn(usize) -> Option<String> + 't {
    let wish = job.wishes.station.clone();
    let named: BTreeSet<&str> = (0..table.len()).filter_map(|r| cells::text(table, columns, &STATION, r)).collect();
    // A file of one station may be given another name; of several stations the name picks one.
    let renamed = named.len() == 1 && wish.as_deref().is_some_and(|w| !named.contains(w));
    let has_column = columns.get(STATION.name).is_some() && !renamed;
    let file = job.report.file.rsplit(['/', '\\']).next().unwrap_or_default();
    let stem = file.split('.').next().unwrap_or_default().to_owned();
    if !has_column && wish.is_none() {
        let what = "The file does not name its station.";
        job.note(Problem::notice(
            "I-610",
            what,
            format!("It was called \"{stem}\" after the file; say --station NAME for another."),
        ));
    }
    move |row| match (has_column, &wish) {
        (true, wish) => cells::text(table, columns, &STATION, row)
            .filter(|s| wish.as_deref().is_none_or(|w| w == *s))
            .map(str::to_owned),
        (false, Some(wish)) => Some(wish.clone()),
        (false, None) => Some(stem.clone()),
    }
}

/// Name and place of a station from its first row.
fn describe(job: &mut Job<'_>, table: &Table, columns: &Columns, series: &mut Series) {
    let Some(first) = series.days.first().map(|d| d.row) else { return };
    let Some(row) = (0..table.len()).find(|r| table.number(*r) == first) else { return };
    let number = |f: &Field| cells::text(table, columns, f, row).and_then(|c| c.parse::<f64>().ok());
    series.name = cells::text(table, columns, &NAME, row).map(str::to_owned);
    series.place = [number(&LATITUDE).filter(|v| v.abs() <= 90.0), number(&LONGITUDE).filter(|v| v.abs() <= 180.0)];
    let height = number(&ELEVATION).filter(|v| v.is_finite());
    // The public access layout gives metres under this very header.
    let public = table.columns.iter().any(|c| c == "STATION") && table.columns.iter().any(|c| c == "ELEVATION");
    let unit = columns.get(ELEVATION.name).and_then(|c| c.unit).or(public.then_some("m"));
    series.elevation = match (height, unit) {
        (Some(h), Some("m")) => Some(Length::metres(h)),
        (Some(h), Some("ft")) => Some(Length::feet(h)),
        (Some(h), None) => {
            let what = format!("The unit of the station's elevation ({h}) is not stated.");
            job.note(Problem::notice("I-611", what, "It was left out; say --unit elevation=m or ft."));
            None
        }
        _ => None,
    };
}

/// What the temperatures look like, with the evidence; `None` when that is open.
fn look(series: &Series) -> Option<(&'static str, String)> {
    let mut summer: Vec<f64> =
        series.days.iter().filter(|d| (6..=8).contains(&d.date.month())).filter_map(|d| d.max).collect();
    let extreme =
        series.days.iter().flat_map(|d| [d.min, d.max]).flatten().max_by(|a, b| a.abs().total_cmp(&b.abs()))?;
    if summer.len() >= 10 {
        summer.sort_by(f64::total_cmp);
        let median = summer[summer.len() / 2];
        let unit = match median {
            m if (10.0..46.0).contains(&m) => "C",
            m if (46.0..115.0).contains(&m) => "F",
            m if (115.0..460.0).contains(&m) => "tenths of C",
            _ => return None,
        };
        return Some((unit, format!("the middle one of {} summer maxima is {median}", summer.len())));
    }
    (extreme.abs() > 140.0).then(|| ("tenths of C", format!("a day reaches {extreme}")))
}

/// Stated units checked against the values; units that are not stated are taken from values that leave
/// no doubt. `None` after an error was noted.
fn agreed_units(
    job: &mut Job<'_>,
    series: &Series,
    min: Option<&'static str>,
    max: Option<&'static str>,
) -> Option<(Option<&'static str>, Option<&'static str>)> {
    let stated = max.or(min);
    match (stated, look(series)) {
        (Some(unit), Some((seen, why))) if unit != seen => {
            let what = format!(
                "The temperatures of {} are said to be in {unit}, but the values look like {seen}: {why}.",
                series.station
            );
            let remedy = format!("Check the unit; say --unit min={seen} --unit max={seen} if that is what they are.");
            job.note(Problem::error("I-602", what, remedy));
            None
        }
        (Some(unit), _) => Some((min.or(Some(unit)), max.or(Some(unit)))),
        (None, Some((seen, why))) => {
            let what = format!("The unit of the temperatures of {} is not stated; {why}.", series.station);
            job.note(Problem::notice("I-603", what, format!("They were read as {seen}.")));
            Some((Some(seen), Some(seen)))
        }
        (None, None) => {
            let what = format!(
                "The unit of the temperatures of {} is not stated, and the values fit more than one.",
                series.station
            );
            let remedy = "Say --unit min=C --unit max=C (or F, or \"tenths of C\").";
            job.note(Problem::error("I-205", what, remedy).expected("one of: C, F, tenths of C"));
            None
        }
    }
}

fn to_celsius(value: f64, unit: &str) -> f64 {
    match unit {
        "F" => celsius(value),
        "tenths of C" => value / 10.0,
        _ => value,
    }
}

fn to_millimetres(value: f64, unit: &str) -> f64 {
    match unit {
        "in" => value * 25.4,
        "cm" => value * 10.0,
        "tenths of mm" => value / 10.0,
        _ => value,
    }
}

/// Units of rain and of snow; one that is not stated is the one that goes with the temperatures, and that is said.
fn water_units(job: &mut Job<'_>, series: &Series, units: &Units, max: &str) -> (&'static str, &'static str) {
    let (rain, snow) = match max {
        "F" => ("in", "in"),
        "tenths of C" => ("tenths of mm", "mm"),
        _ => ("mm", "cm"),
    };
    let mut taken = |stated: Option<&'static str>, usual: &'static str, any: bool, code, what: &str| {
        if stated.is_none() && any {
            let what = format!("The unit of the {what} is not stated.");
            let remedy = format!("It was read as {usual}, which goes with temperatures in {max}.");
            job.note(Problem::notice(code, what, remedy));
        }
        stated.unwrap_or(usual)
    };
    let any_rain = series.days.iter().any(|d| d.rain.is_some());
    let any_snow = series.days.iter().any(|d| d.snow.is_some());
    (
        taken(units.rain, rain, any_rain, "I-612", "precipitation"),
        taken(units.snow, snow, any_snow, "I-615", "snow on the ground"),
    )
}

fn take_series(job: &mut Job<'_>, series: Series, units: Units) {
    let (Some(min), Some(max)) = (units.min, units.max) else { return };
    let (rain_unit, snow_unit) = water_units(job, &series, &units, max);
    let mut days: BTreeMap<Date, (DayWeather, u64)> = BTreeMap::new();
    let mut doubles = 0;
    for raw in &series.days {
        let day = DayWeather {
            date: raw.date,
            min: raw.min.map(|v| to_celsius(v, min)),
            max: raw.max.map(|v| to_celsius(v, max)),
            precipitation: raw.rain.map(|v| to_millimetres(v, rain_unit)),
            snow: raw.snow.map(|v| to_millimetres(v, snow_unit)),
            forecast: raw.forecast,
        };
        match days.insert(raw.date, (day, raw.row)) {
            Some((before, _)) if before == day => doubles += 1,
            Some((_, row)) => {
                let what = format!(
                    "{} has {} twice with different values, in rows {row} and {}.",
                    series.station, raw.date, raw.row
                );
                job.note(Problem::error("I-604", what, "Keep one of the rows.").row(raw.row));
            }
            None => {}
        }
    }
    if doubles > 0 {
        job.note(Problem::repaired(
            "I-604",
            format!("Days that stand twice with the same values: {doubles}."),
            "They were taken once.",
        ));
    }
    check_days(job, &series.station, &mut days);
    note_gaps(job, &series.station, &days);
    merge_series(job, series, days.into_values().map(|(d, _)| d).collect());
}

/// Leaves out what cannot be; too much of it is a wrong unit or exchanged columns.
fn check_days(job: &mut Job<'_>, station: &str, days: &mut BTreeMap<Date, (DayWeather, u64)>) {
    let believed = |v: f64| (BELIEVED_C.0..=BELIEVED_C.1).contains(&v);
    let (mut absurd, mut crossed) = (Vec::new(), Vec::new());
    let (day_out, value_out) =
        ("The values of that day were left out.", "That value was left out, the rest of the day stays.");
    for (day, row) in days.values_mut() {
        let bad_heat = [day.min, day.max].into_iter().flatten().any(|v| !believed(v));
        let bad_rain = day.precipitation.is_some_and(|v| !(0.0..=MOST_RAIN_MM).contains(&v));
        if bad_rain {
            absurd.push((*row, format!("{} mm of rain", day.precipitation.unwrap_or_default()), value_out));
            day.precipitation = None;
        }
        if let Some(depth) = day.snow.filter(|v| !(0.0..=MOST_SNOW_MM).contains(v)) {
            absurd.push((*row, format!("{depth} mm of snow on the ground"), value_out));
            day.snow = None;
        }
        let said = |v: Option<f64>| v.map_or("blank".to_owned(), |v| format!("{v:.1}"));
        let text = format!("{} to {} degrees C on {}", said(day.min), said(day.max), day.date);
        if bad_heat {
            absurd.push((*row, text, day_out));
            (day.min, day.max) = (None, None);
        } else if day.min.zip(day.max).is_some_and(|(low, high)| low > high) {
            crossed.push((*row, text, day_out));
            (day.min, day.max) = (None, None);
        }
    }
    let too_many = |n: usize| n as f64 > TOO_MANY * days.len() as f64 && n > 3;
    let faults = [
        (absurd, "I-605", "is not believable", "The unit or the columns look wrong; check them."),
        (crossed, "I-601", "has its lowest above its highest", "The columns look exchanged; check them."),
    ];
    for (found, code, fault, remedy) in faults {
        if too_many(found.len()) {
            let what =
                format!("{} of {} days of {station}: such as {}, which {fault}.", found.len(), days.len(), found[0].1);
            job.note(Problem::error(code, what, remedy).row(found[0].0));
            continue;
        }
        for (row, text, left_out) in found {
            let what = format!("{text} {fault}.");
            job.note(Problem::repaired(code, what, left_out).row(row));
        }
    }
}

fn note_gaps(job: &mut Job<'_>, station: &str, days: &BTreeMap<Date, (DayWeather, u64)>) {
    let usable: Vec<Date> =
        days.values().filter(|(d, _)| d.min.is_some() && d.max.is_some()).map(|(d, _)| d.date).collect();
    let missing = usable.windows(2).map(|w| (w[0], i64::from((w[1] - w[0]).get_days()) - 1)).filter(|(_, n)| *n > 0);
    let gaps: Vec<(Date, i64)> = missing.collect();
    if let Some((after, longest)) = gaps.iter().max_by_key(|(_, n)| *n) {
        let total: i64 = gaps.iter().map(|(_, n)| n).sum();
        let what = format!(
            "Days that {station} lacks between its first and last: {total}, in {} places; the longest gap begins after {after} (days: {longest}).",
            gaps.len()
        );
        job.note(Problem::notice("I-613", what, "Gaps stay gaps; the timing tells how it treats them."));
    }
}

fn merge_series(job: &mut Job<'_>, series: Series, days: Vec<DayWeather>) {
    let id = StationId::new(&series.station);
    if let Some(problem) = twins::found(&job.draft.weather, &id, &days) {
        job.note(problem);
        return;
    }
    let at = job.draft.weather.iter().position(|w| w.station == id);
    let at = at.unwrap_or_else(|| {
        let new = WeatherSeries {
            name: id.to_string(),
            station: id,
            elevation: None,
            latitude: None,
            longitude: None,
            days: Vec::new(),
        };
        job.draft.weather.push(new);
        job.draft.weather.len() - 1
    });
    let known = &mut job.draft.weather[at];
    known.name = series.name.unwrap_or_else(|| known.name.clone());
    known.latitude = series.place[0].or(known.latitude);
    known.longitude = series.place[1].or(known.longitude);
    known.elevation = series.elevation.or(known.elevation);
    let taken = super::job::merge(&mut known.days, days, |d| d.date);
    let sum = job.report.taken;
    job.report.taken = Taken {
        new: sum.new + taken.new,
        replaced: sum.replaced + taken.replaced,
        unchanged: sum.unchanged + taken.unchanged,
    };
}
