//! The season plan: what is done where and when, what it costs, what risk remains, and what it rests on.

mod assumptions;
mod blocks;
mod flights;
mod inputs;
mod resources;
mod sentences;
mod summary;

use crownhold::timing::Window;
use jiff::civil::Date;
use serde_json::{Map, Value, json};

use crate::PrintError;
use crate::cautions;
use crate::charts::{self, OutlookBar};
use crate::maps::{self, MapBlock};
use crate::numbers::{number_ids, share_without, window_id};
use crate::palette::{LIGHT, OptionStyle};
use crate::pdf;
use crate::sheet::Sheet;

pub use inputs::{BlockRow, SeasonPlanInputs, StressRow, StressTable};

/// The layout, in Typst's language; all words and figures come from [`season_plan_data`].
const TEMPLATE: &str = include_str!("season_plan.typ");

/// The season plan as an accessible PDF (tagged, PDF/UA-1), on letter paper for acres and on A4 for hectares.
///
/// The same inputs and date give the same bytes.
///
/// # Errors
/// [`PrintError::Inputs`] when the stages do not belong together (every mismatch is named);
/// [`PrintError::Typesetting`] when the typesetter refuses, which is our own fault.
pub fn season_plan(inputs: &SeasonPlanInputs<'_>, issued: Date) -> Result<Vec<u8>, PrintError> {
    let mut data = season_plan_data(inputs, issued)?;
    data["unprintable"] = pdf::make_printable(&mut data).into();
    let programme = &inputs.records.programme;
    let identity = format!("season plan, {}, {}, {issued}", programme.name, programme.season);
    pdf::typeset(TEMPLATE, &data, identity, issued)
}

/// Every word, figure and drawing of the season plan, in the order of its pages.
///
/// # Errors
/// [`PrintError::Inputs`] when the stages do not belong together.
pub fn season_plan_data(inputs: &SeasonPlanInputs<'_>, issued: Date) -> Result<Value, PrintError> {
    inputs.check()?;
    let rows = inputs.rows();
    let numbers: Map<String, Value> =
        number_ids(inputs).into_iter().map(|n| (n.id.clone(), json!({ "text": n.value_text, "code": n.id }))).collect();
    Ok(json!({
        "head": head(inputs, issued),
        "numbers": numbers,
        "sentences": sentences::four(inputs, &rows),
        "tiles": summary::tiles(),
        "totals": summary::totals(inputs, &rows),
        "binding": summary::binding(inputs),
        "proof": sentences::proof(inputs),
        "map": map(inputs, &rows),
        "dates": dates(inputs, issued),
        "work": resources::work(inputs, issued),
        "outlook": outlook(inputs, &rows),
        "finder": blocks::finder(&rows),
        "classes": blocks::classes(inputs, &rows),
        "flights": flights::rows(inputs),
        "stress": flights::stress(inputs),
        "hours": resources::hours(inputs),
        "assumptions": assumptions::groups(inputs),
        "notes": assumptions::notes(inputs),
        "cautions": cautions::GENERAL,
    }))
}

fn head(inputs: &SeasonPlanInputs<'_>, issued: Date) -> Value {
    let programme = &inputs.records.programme;
    let w = inputs.wording();
    let invented = programme.invented.then(|| {
        format!(
            "Invented data. {} and every figure in this paper were made up to show how a plan looks. Do not act on them.",
            programme.name
        )
    });
    json!({
        "city": programme.name,
        "season": programme.season,
        "issued": w.date(issued),
        "issued_parts": [issued.year(), issued.month(), issued.day()],
        "paper": if w.is_us() { "us-letter" } else { "a4" },
        "area_unit": w.area_unit(),
        "per_area": w.per_area(),
        "invented": invented,
        "inks": {
            "ink": LIGHT.ink, "soft": LIGHT.soft, "rule": LIGHT.rule, "accent": LIGHT.accent,
            "accent_pale": LIGHT.accent_pale, "faint": LIGHT.faint, "guard": LIGHT.guard, "guard_pale": LIGHT.guard_pale,
        },
    })
}

fn map(inputs: &SeasonPlanInputs<'_>, rows: &[BlockRow<'_>]) -> Value {
    let programme = &inputs.records.programme;
    let shown: Vec<MapBlock<'_>> = rows.iter().map(|r| MapBlock { block: r.block, bundle: &r.plan.bundle }).collect();
    let title = format!("Options by block, {}, season {}", programme.name, programme.season);
    let svg = maps::option_map(&shown, &inputs.records.no_spray, &title, &Sheet::paper("map", programme.units));
    let alt = format!("{title}. {}", sentences::class_counts(rows));
    json!({ "svg": svg, "alt": alt, "epsg": programme.epsg, "buffers": !inputs.records.no_spray.is_empty() })
}

fn dates(inputs: &SeasonPlanInputs<'_>, issued: Date) -> Value {
    let svg = charts::season_dates(inputs.timing, issued, &Sheet::paper("dates", inputs.records.programme.units));
    json!({
        "svg": svg,
        "alt": sentences::dates_alt(inputs),
        "rules": inputs.timing.windows.iter().map(rule).collect::<Vec<_>>(),
        "basis": sentences::timing_basis(inputs),
    })
}

/// A window's rule, and where its figures stand.
fn rule(win: &Window) -> Value {
    json!({ "kind": win.kind.word(), "rule": win.rule, "id": window_id(win.kind), "missing": share_without(win).is_some() })
}

/// How many blocks the outlook chart shows; the rest stand in the tables.
const OUTLOOK_BARS: usize = 20;

fn outlook(inputs: &SeasonPlanInputs<'_>, rows: &[BlockRow<'_>]) -> Value {
    let mut bars: Vec<OutlookBar> = rows.iter().map(|r| outlook_bar(inputs, r)).collect();
    bars.sort_by(|a, b| b.mean.total_cmp(&a.mean).then_with(|| a.label.cmp(&b.label)));
    bars.truncate(OUTLOOK_BARS);
    json!({
        "svg": charts::untreated_outlook(&bars, &Sheet::paper("outlook", inputs.records.programme.units)),
        "alt": sentences::outlook_alt(&bars),
        "sentence": sentences::untreated(inputs),
        "shown": bars.len(),
        "of": rows.len(),
    })
}

fn outlook_bar(inputs: &SeasonPlanInputs<'_>, row: &BlockRow<'_>) -> OutlookBar {
    let q = |p| inputs.outlook.defoliation.quantile(row.outlook_index, p);
    OutlookBar {
        label: row.label(),
        code: OptionStyle::of(&row.plan.bundle).code,
        range: (q(0.05), q(0.95)),
        mean: row.mean_loss_untreated(inputs.outlook),
        tolerance: row.options.tolerance.value(),
        planned: (!row.watched()).then(|| row.mean_loss_planned(inputs.outlook)),
    }
}
