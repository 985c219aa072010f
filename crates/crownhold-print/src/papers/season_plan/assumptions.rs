//! What the plan rests on: the parameters by room, and what the survey and weather stages want known.

use std::collections::BTreeMap;

use crownhold::types::{Known, Parameter};
use serde_json::{Value, json};

use super::inputs::SeasonPlanInputs;
use crate::wording::percent;

/// Parameters by room; in each room this programme's own values come first.
pub fn groups(inputs: &SeasonPlanInputs<'_>) -> Value {
    let mut rooms: BTreeMap<&str, Vec<&Parameter>> = BTreeMap::new();
    for parameter in inputs.records.parameters.iter() {
        let room = parameter.name.split('.').next().unwrap_or_default();
        rooms.entry(room).or_default().push(parameter);
    }
    rooms
        .into_iter()
        .map(|(room, mut all)| {
            all.sort_by_key(|p| (p.known != Known::Local, p.name.clone()));
            json!({ "room": room, "rows": all.into_iter().map(line).collect::<Vec<_>>() })
        })
        .collect()
}

fn line(p: &Parameter) -> Value {
    json!({
        "id": p.name, "meaning": p.meaning, "unit": p.unit, "known": p.known.word(), "source": p.source,
        "local": p.known == Known::Local,
    })
}

/// Sentences on the survey and the weather.
pub fn notes(inputs: &SeasonPlanInputs<'_>) -> Value {
    let d = inputs.density;
    let joined = if d.space.is_some() { "of the plots around it" } else { "of its stratum" };
    let mut notes = vec![format!(
        "Densities in the tables are what the plan reckons with: a block's own count, joined with those {joined}. \
         The range holds nine cases in ten. What counting found stands beside."
    )];
    if let Some(n) = d.new_share {
        notes.push(format!(
            "Share of egg masses that were new: {} ({} to {}; {} new and {} old within reach).",
            percent(n.share),
            percent(n.low),
            percent(n.high),
            n.new,
            n.old
        ));
    }
    let from = d.dispersion.plots.map_or_else(|| "default".to_owned(), |n| format!("from {n} plots"));
    notes.push(format!("Clumping of egg masses, k of the negative binomial: {:.2} ({from}).", d.dispersion.k));
    notes.extend(d.notes.iter().chain(&inputs.timing.notes).map(|p| format!("{} {}", p.what, p.remedy)));
    Value::from(notes)
}
