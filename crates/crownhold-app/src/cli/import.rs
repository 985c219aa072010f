//! `crownhold import`

use std::process::ExitCode;

use crownhold::types::Problem;
use crownhold_data::formats::{DateOrder, Kind, Report, Wishes};

use super::{args, say, say_json};
use crate::actions::{author, import};
use crate::trouble::Trouble;
use crate::{clock, wire};

pub(super) fn run(a: &args::Import) -> Result<ExitCode, Trouble> {
    let kind = Kind::from_word(&a.kind).ok_or_else(|| {
        let kinds: Vec<&str> = Kind::ALL.iter().map(|k| k.word()).collect();
        Trouble::one(
            Problem::error("A-060", format!("\"{}\" is not a kind of data.", a.kind), "").expected(kinds.join(", ")),
        )
    })?;
    let wishes = Wishes {
        crs: a.crs.clone(),
        map: pairs(&a.map)?,
        units: pairs(&a.unit)?,
        layer: a.layer.clone(),
        date_order: date_order(a.dates.as_deref())?,
        station: a.station.clone(),
    };
    let input = import::input(&a.file)?;
    let report = import::import(&a.into, kind, &input, &wishes, &author(a.author.as_deref()), &clock::now())?;
    if a.json {
        say_json(&json(&report));
    } else {
        say(&text(&report));
    }
    Ok(if report.has_errors() { ExitCode::FAILURE } else { ExitCode::SUCCESS })
}

/// "field=column" pairs.
pub(super) fn pairs(all: &[String]) -> Result<Vec<(String, String)>, Trouble> {
    all.iter()
        .map(|p| {
            let (field, column) = p.split_once('=').ok_or_else(|| {
                Trouble::one(Problem::error("A-061", format!("\"{p}\" cannot be used."), "").expected("field=column"))
            })?;
            Ok((field.trim().to_owned(), column.trim().to_owned()))
        })
        .collect()
}

fn date_order(word: Option<&str>) -> Result<Option<DateOrder>, Trouble> {
    match word.map(|w| w.trim().to_lowercase()).as_deref() {
        None => Ok(None),
        Some("month-first") => Ok(Some(DateOrder::MonthFirst)),
        Some("day-first") => Ok(Some(DateOrder::DayFirst)),
        Some(other) => Err(Trouble::one(
            Problem::error("A-062", format!("\"{other}\" is not a date order."), "")
                .expected("month-first or day-first"),
        )),
    }
}

fn text(report: &Report) -> String {
    let t = report.taken;
    let mut out = if report.has_errors() {
        format!("{}: nothing was taken over, the programme file is unchanged.\n", report.file)
    } else {
        format!(
            "{}: {} {} taken over ({} new, {} replaced, {} unchanged).\n",
            report.file,
            t.total(),
            report.kind.word(),
            t.new,
            t.replaced,
            t.unchanged
        )
    };
    for c in &report.columns {
        let unit = c.unit.map_or(String::new(), |u| format!(", in {u}"));
        out += &format!("  {} from column \"{}\"{unit}\n", c.field, c.column);
    }
    if !report.unused.is_empty() {
        out += &format!("  not used: {}\n", report.unused.join(", "));
    }
    report.problems.iter().for_each(|p| out += &format!("{p}\n"));
    if !report.unknown_species.is_empty() {
        let names: Vec<String> = report.unknown_species.iter().map(|(name, n)| format!("{name} ({n})")).collect();
        out += &format!("Species the table does not know; kept without a host class: {}\n", names.join(", "));
    }
    out
}

fn json(report: &Report) -> serde_json::Value {
    serde_json::json!({
        "file": report.file,
        "kind": report.kind.word(),
        "taken": { "new": report.taken.new, "replaced": report.taken.replaced, "unchanged": report.taken.unchanged },
        "columns": report.columns.iter().map(|c| serde_json::json!({"field": c.field, "column": c.column, "unit": c.unit})).collect::<Vec<_>>(),
        "unused": report.unused,
        "unknown_species": report.unknown_species,
        "problems": wire::problems(&report.problems),
    })
}
