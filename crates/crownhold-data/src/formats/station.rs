//! The public by-element station layout: one row for each station, day and element
//! (GHCN-Daily: ID, DATE, ELEMENT, VALUE, M-FLAG, Q-FLAG, S-FLAG; temperatures in tenths of a degree C,
//! precipitation in tenths of a millimetre, snow depth in millimetres, as the layout's own readme states).

use std::collections::{BTreeMap, BTreeSet};

use crownhold::types::Problem;
use jiff::civil::Date;

use super::job::Job;
use super::table::Table;
use super::weather::{Raw, RawDay, Series};

/// Positions of the columns, by header or, without one, by the layout's order.
struct Layout {
    station: usize,
    date: usize,
    element: usize,
    value: usize,
    quality: Option<usize>,
}

fn layout(table: &Table) -> Option<Layout> {
    let plain = |h: &str| h.chars().filter(char::is_ascii_alphanumeric).collect::<String>().to_lowercase();
    let at = |names: &[&str]| table.columns.iter().position(|c| names.contains(&plain(c).as_str()));
    if table.columns.first().is_some_and(|c| c == "column 1") {
        return Some(Layout {
            station: 0,
            date: 1,
            element: 2,
            value: 3,
            quality: (table.columns.len() > 5).then_some(5),
        });
    }
    Some(Layout {
        station: at(&["id", "station", "stationid"])?,
        date: at(&["date", "yearmonthday", "day"])?,
        element: at(&["element", "datatype"])?,
        value: at(&["value", "datavalue"])?,
        quality: at(&["qflag", "qualityflag"]),
    })
}

/// Is the table in that layout?
pub(super) fn is_by_element(table: &Table) -> bool {
    layout(table).is_some()
}

/// Rows to days, station by station.
pub(super) fn read(job: &mut Job<'_>, table: &Table) -> Vec<Series> {
    let Some(layout) = layout(table) else { return Vec::new() };
    let named: BTreeSet<&str> = (0..table.len()).map(|r| table.cell(r, layout.station)).collect();
    // A file of one station may be given another name; of several stations the name picks one.
    let wish = job.wishes.station.clone();
    let new_name = wish.clone().filter(|w| named.len() == 1 && !named.contains(w.as_str()));
    let mut stations: BTreeMap<String, BTreeMap<Date, RawDay>> = BTreeMap::new();
    let (mut failed, mut other) = (0, 0);
    for row in 0..table.len() {
        let element = table.cell(row, layout.element);
        if !["TMAX", "TMIN", "PRCP", "SNWD"].contains(&element) {
            other += 1;
            continue;
        }
        if layout.quality.is_some_and(|q| !table.cell(row, q).is_empty()) {
            failed += 1;
            continue;
        }
        let Some((date, value)) = values(job, table, &layout, row) else { continue };
        let station = new_name.as_deref().unwrap_or_else(|| table.cell(row, layout.station));
        if wish.as_deref().is_some_and(|w| w != station) {
            continue;
        }
        let days = stations.entry(station.to_owned()).or_default();
        let day = days.entry(date).or_insert_with(|| RawDay::empty(date, table.number(row)));
        let slot = day.slot(element);
        if let Some(before) = slot.filter(|b| *b != value) {
            let what = format!("{station} has {element} of {date} twice: {before} and {value}.");
            job.note(Problem::error("I-604", what, "Keep one of the rows.").row(table.number(row)));
        }
        *slot = Some(value);
    }
    if failed > 0 {
        job.note(Problem::repaired(
            "I-606",
            format!("Values with a failed quality flag: {failed}."),
            "They were left out.",
        ));
    }
    if other > 0 {
        job.note(Problem::notice(
            "I-607",
            format!("Rows of elements that are not used: {other}."),
            "TMAX, TMIN, PRCP and SNWD are.",
        ));
    }
    let series = |(station, days): (String, BTreeMap<Date, RawDay>)| Series {
        raw: Raw::TenthsByLayout,
        ..Series::new(station, days.into_values().collect())
    };
    stations.into_iter().map(series).collect()
}

fn values(job: &mut Job<'_>, table: &Table, layout: &Layout, row: usize) -> Option<(Date, f64)> {
    let text: String = table.cell(row, layout.date).chars().filter(char::is_ascii_digit).take(8).collect();
    let part = |range: std::ops::Range<usize>| text.get(range).and_then(|t| t.parse::<i16>().ok());
    let date = (|| Date::new(part(0..4)?, part(4..6)? as i8, part(6..8)? as i8).ok())();
    let value = table.cell(row, layout.value).parse::<f64>().ok().filter(|v| v.is_finite());
    if date.is_none() || value.is_none() {
        let what = format!(
            "\"{}\" and \"{}\" are not a day and a value.",
            table.cell(row, layout.date),
            table.cell(row, layout.value)
        );
        job.note(
            Problem::error("I-608", what, "Correct the row, or download the file again.")
                .row(table.number(row))
                .expected("a day such as 20260503 and a whole number"),
        );
    }
    // -9999 stands for missing.
    date.zip(value).filter(|(_, v)| *v > -9990.0)
}
