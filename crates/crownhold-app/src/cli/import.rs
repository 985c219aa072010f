//! `crownhold import`

use std::process::ExitCode;

use crownhold::types::Problem;
use crownhold_data::formats::{Kind, Report, Wishes};

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
        map: import::pairs(&a.map)?,
        units: import::pairs(&a.unit)?,
        layer: a.layer.clone(),
        date_order: a.dates.as_deref().map(import::date_order).transpose()?,
        station: a.station.clone(),
        offset: a.offset.as_deref().map(import::offset).transpose()?,
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
