//! The table of blocks, one part per option, heaviest first, each under the caution of its acts.

use crownhold::survey::DensityMethod;
use crownhold::types::MassesPerArea;
use serde_json::{Value, json};

use super::inputs::{BlockRow, SeasonPlanInputs};
use crate::cautions;
use crate::numbers::{self, BLOCK_FIGURES, block_id, class_id};
use crate::palette::OptionStyle;
use crate::wording::{Wording, percent};

/// Every option in use with its blocks.
pub fn classes(inputs: &SeasonPlanInputs<'_>, rows: &[BlockRow<'_>]) -> Value {
    numbers::classes(rows).iter().map(|(style, members)| class(inputs, style, members)).collect()
}

fn class(inputs: &SeasonPlanInputs<'_>, style: &OptionStyle, members: &[&BlockRow<'_>]) -> Value {
    let bundle = &members[0].plan.bundle;
    // Both aerial options carry the same caution, and so may two acts of a bundle: each is said once.
    let mut said: Vec<(&str, &str)> = Vec::new();
    for tactic in bundle.tactics() {
        if !said.iter().any(|(_, caution)| *caution == cautions::of(*tactic)) {
            said.push((tactic.word(), cautions::of(*tactic)));
        }
    }
    json!({
        "code": style.code, "fill": style.fill, "ink": style.ink,
        "name": bundle.key(), "id": class_id(&style.code),
        "cautions": said,
        "rows": members.iter().map(|r| row(inputs.wording(), r)).collect::<Vec<_>>(),
    })
}

fn row(w: Wording, r: &BlockRow<'_>) -> Value {
    let id = r.block.id.as_str();
    let figures: Vec<String> = BLOCK_FIGURES.iter().map(|f| block_id(id, f.suffix)).collect();
    json!({
        "block": id,
        "name": if r.block.name == id { "" } else { r.block.name.as_str() },
        "use": r.block.land_use.word(),
        "area": w.area(r.block.area()),
        "figures": figures,
        "interval": interval(w, r),
        "basis": basis(r),
        "tolerance": percent(r.options.tolerance.value()),
        "accepted": percent(r.options.accepted_chance),
        "why": r.plan.why,
        "held": r.plan.chance_over <= r.options.accepted_chance,
        "watched": r.plan.bundle.tactics().is_empty(),
        "runner_up": r.plan.runner_up.as_ref().map(|u| json!([u.bundle.key(), u.why_not])),
        "barred": barred(r),
    })
}

fn interval(w: Wording, r: &BlockRow<'_>) -> String {
    let text = |d: MassesPerArea| w.bare_density(d);
    format!("{} to {}", text(r.density.low), text(r.density.high))
}

/// What the density rests on; only a block's own plots are counted as its plots.
fn basis(r: &BlockRow<'_>) -> String {
    let own = r.density.method == DensityMethod::OwnPlots;
    match r.density.plots {
        _ if !own => r.density.method.word().to_owned(),
        1 => "1 own plot".to_owned(),
        n => format!("{n} own plots"),
    }
}

/// From this many blocks on, a list tells in which table each stands.
const LISTED_FROM: usize = 25;

/// Blocks in id order, each with the letters of its table; nothing for a small programme.
pub fn finder(rows: &[BlockRow<'_>]) -> Value {
    let mut list: Vec<(&str, String)> =
        rows.iter().map(|r| (r.block.id.as_str(), OptionStyle::of(&r.plan.bundle).code)).collect();
    list.sort();
    if list.len() < LISTED_FROM { json!([]) } else { json!(list) }
}

/// Why some options may not be taken here: every reason once.
fn barred<'a>(r: &BlockRow<'a>) -> Vec<&'a str> {
    let mut reasons: Vec<&str> = Vec::new();
    for reason in r.options.options.iter().flat_map(|o| &o.barred) {
        if !reasons.contains(&reason.as_str()) {
            reasons.push(reason);
        }
    }
    reasons
}
