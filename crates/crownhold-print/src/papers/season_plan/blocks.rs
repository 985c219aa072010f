//! The table of blocks, one part per option, heaviest first, each under the caution of its acts.

use std::collections::BTreeMap;

use crownhold::tactics::Bundle;
use crownhold::types::{MassesPerArea, Tactic};
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
    let (calm, rows): (Vec<&BlockRow<'_>>, Vec<&BlockRow<'_>>) =
        members.iter().copied().partition(|r| r.watched() && r.held());
    json!({
        "code": style.code, "fill": style.fill, "ink": style.ink,
        "name": bundle.key(), "id": class_id(&style.code),
        "watched": bundle.tactics().is_empty(),
        "cautions": said,
        "rows": rows.into_iter().map(|r| row(inputs.wording(), r)).collect::<Vec<_>>(),
        "calm": calm.into_iter().map(calm_row).collect::<Vec<_>>(),
    })
}

/// A watched block within its accepted chance: its figures say all there is to say.
fn calm_row(r: &BlockRow<'_>) -> Value {
    json!({ "block": r.block.id.as_str(), "figures": figures(r) })
}

/// The ids of a block's figures by the word that ends them.
fn figures(r: &BlockRow<'_>) -> BTreeMap<&'static str, String> {
    BLOCK_FIGURES.iter().map(|f| (f.suffix, block_id(r.block.id.as_str(), f.suffix))).collect()
}

fn row(w: Wording, r: &BlockRow<'_>) -> Value {
    let id = r.block.id.as_str();
    json!({
        "block": id,
        "name": if r.block.name == id { "" } else { r.block.name.as_str() },
        "use": r.block.land_use.word(),
        "area": w.area(r.block.area()),
        "figures": figures(r),
        "tolerance": percent(r.options.tolerance.value()),
        "accepted": percent(r.options.accepted_chance),
        "why": r.plan.why,
        "bands": bands_at_outbreak(r),
        "runner_up": runner_up(r),
        "barred": barred(r),
    })
}

/// From this density on, egg masses per acre, a council that reads "bands" or "scraping" is told what bands take.
/// Common practice: 500 opens the second heaviest density class of Maryland's scoring (science notes on surveys).
/// It decides only whether the sentence stands; how little bands take is reckoned.
const OUTBREAK_PER_ACRE: f64 = 500.0;

/// What bands alone would take, where hand work is done or comes next at the density of an outbreak.
fn bands_at_outbreak(r: &BlockRow<'_>) -> Option<String> {
    let by_hand = |b: &Bundle| b.has(Tactic::Bands) || b.has(Tactic::Scraping);
    let told = by_hand(&r.plan.bundle) || r.plan.runner_up.as_ref().is_some_and(|u| by_hand(&u.bundle));
    if !told || r.density_at(0.5) < MassesPerArea::per_acre(OUTBREAK_PER_ACRE) {
        return None;
    }
    let bands = Bundle::new(vec![Tactic::Bands]);
    let option = r.options.options.iter().find(|o| o.bundle == bands)?;
    Some(format!("At this density bands alone would take {} larvae.", in_hundred(option.larvae_removed)))
}

/// "under 2 in 100", "about 15 in 100"
fn in_hundred(share: f64) -> String {
    let of_hundred = share * 100.0;
    if of_hundred < 5.0 {
        format!("under {:.0} in 100", of_hundred.floor() + 1.0)
    } else {
        format!("about {of_hundred:.0} in 100")
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

/// The next best option with its reason, unless the reasons of the chosen one say it already.
fn runner_up(r: &BlockRow<'_>) -> Option<Value> {
    let next = r.plan.runner_up.as_ref()?;
    let said = r.plan.why.contains(next.why_not.trim_start_matches("It "));
    (!said).then(|| json!([next.bundle.key(), next.why_not]))
}

/// Why some options may not be taken here: every reason once, and none that the chosen option's reasons name.
fn barred<'a>(r: &BlockRow<'a>) -> Vec<&'a str> {
    let mut reasons: Vec<&str> = Vec::new();
    for reason in r.options.options.iter().flat_map(|o| &o.barred) {
        let said = r.plan.why.contains(reason.trim_end_matches('.'));
        if !said && !reasons.contains(&reason.as_str()) {
            reasons.push(reason);
        }
    }
    reasons
}

#[cfg(test)]
mod tests {
    use super::in_hundred;

    #[test]
    fn shares_of_larvae_are_not_flattered() {
        let said = [(0.0, "under 1"), (0.0154, "under 2"), (0.02, "under 3"), (0.15, "about 15")];
        for (share, words) in said {
            assert_eq!(in_hundred(share), format!("{words} in 100"));
        }
    }
}
