//! What changes between a plan and one kept before.

use std::collections::BTreeMap;

use crownhold::types::Problem;
use crownhold_data::store::ProgrammeFile;
use crownhold_print::wording::grouped;
use serde_json::Value;

use crate::trouble::Trouble;

/// The kept plan of that name, the last one if there are several.
pub(super) fn kept(file: &std::path::Path, name: &str) -> Result<Value, Trouble> {
    let plans = ProgrammeFile::open(file)?.plans()?;
    let names: Vec<String> = plans.iter().map(|p| p.name.clone()).collect();
    let found = plans.into_iter().rfind(|p| p.name == name).ok_or_else(|| {
        let remedy = format!(
            "Keep one with --keep. Kept so far: {}.",
            if names.is_empty() { "none".to_owned() } else { names.join(", ") }
        );
        Trouble::one(Problem::error("A-021", format!("No plan is kept under the name \"{name}\"."), remedy))
    })?;
    serde_json::from_str(&found.json).map_err(|e| {
        Trouble::one(Problem::error("A-022", format!("The kept plan cannot be read: {e}."), "Keep a new one."))
    })
}

/// Totals before and now, and every block whose option differs.
pub(super) fn text(name: &str, before: &Value, now: &Value) -> String {
    let number = |v: &Value, path: &str| v.pointer(path).and_then(Value::as_f64).unwrap_or(0.0);
    let mut out = format!("Against the plan kept as \"{name}\":\n");
    for (label, path) in [
        ("acres flown", "/sprayed_acres"),
        ("dollars", "/cost"),
        ("crew hours", "/crew_hours"),
        ("volunteer hours", "/volunteer_hours"),
        ("favoured acres expected over tolerance", "/expected_host_acres_over_tolerance/in_sample"),
    ] {
        let (a, b) = (number(before, path), number(now, path));
        let sign = if b >= a { "+" } else { "-" };
        out += &format!("  {label}: {} -> {} ({sign}{})\n", grouped(a), grouped(b), grouped((b - a).abs()));
    }
    let (old, new) = (options(before), options(now));
    for (block, option) in &new {
        if let Some(was) = old.get(block).filter(|w| *w != option) {
            out += &format!("  {block}: {was} -> {option}\n");
        }
    }
    out
}

fn options(plan: &Value) -> BTreeMap<String, String> {
    let text = |b: &Value, key: &str| b[key].as_str().unwrap_or_default().to_owned();
    plan["blocks"].as_array().into_iter().flatten().map(|b| (text(b, "id"), text(b, "option"))).collect()
}
