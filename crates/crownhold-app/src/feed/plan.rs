//! A plan as the map draws it: the option of each block with its tone, letters and patterns.

use std::collections::BTreeMap;

use crownhold::tactics::Bundle;
use crownhold::types::{Area, Money, Problem, UnitSystem};
use crownhold_print::palette::OptionStyle;
use crownhold_print::wording::{Wording, money};
use serde::Serialize;
use serde_json::Value;

use crate::trouble::Trouble;

/// A plan.
#[derive(Serialize, Debug)]
pub struct PlanFeed {
    /// Options in use, for the legend, by their weight as the papers order them: heaviest first.
    classes: Vec<ClassFeed>,
    /// By block id.
    blocks: BTreeMap<String, BlockFeed>,
}

#[derive(Serialize, Debug)]
struct ClassFeed {
    option: String,
    code: String,
    fill: &'static str,
    ink: &'static str,
    /// Acts drawn as a pattern over the tone.
    marks: Vec<&'static str>,
    blocks: usize,
}

#[derive(Serialize, Debug)]
#[serde(rename_all = "camelCase")]
struct BlockFeed {
    option: String,
    code: String,
    /// Chance of losing more foliage than the tolerance.
    chance: f64,
    /// The same if nothing is done.
    untreated: f64,
    /// Area flown as a text; `None` where nothing flies.
    sprayed: Option<String>,
    cost: String,
    why: String,
    runner_up: Option<String>,
}

/// From a plan as `plan --json` writes it and the store keeps it.
///
/// # Errors
/// When it is not such a plan, or names an option that this program does not know.
pub fn plan(plan: &Value, units: UnitSystem) -> Result<PlanFeed, Trouble> {
    let listed = plan["blocks"].as_array().ok_or_else(unreadable)?;
    let mut classes: BTreeMap<Bundle, usize> = BTreeMap::new();
    let mut blocks = BTreeMap::new();
    for block in listed {
        let bundle = block["option"].as_str().and_then(Bundle::from_key).ok_or_else(unreadable)?;
        let id = block["id"].as_str().ok_or_else(unreadable)?;
        blocks.insert(id.to_owned(), one(block, &bundle, Wording::new(units)).ok_or_else(unreadable)?);
        *classes.entry(bundle).or_default() += 1;
    }
    let mut classes: Vec<(Bundle, usize)> = classes.into_iter().collect();
    classes.sort_by(|a, b| b.0.tactics().iter().rev().cmp(a.0.tactics().iter().rev()));
    Ok(PlanFeed { classes: classes.iter().map(|(bundle, blocks)| class(bundle, *blocks)).collect(), blocks })
}

fn class(bundle: &Bundle, blocks: usize) -> ClassFeed {
    let style = OptionStyle::of(bundle);
    ClassFeed {
        option: bundle.key(),
        marks: style.marks.iter().map(|t| t.word()).collect(),
        code: style.code,
        fill: style.fill,
        ink: style.ink,
        blocks,
    }
}

fn one(block: &Value, bundle: &Bundle, wording: Wording) -> Option<BlockFeed> {
    let acres = block["sprayed_acres"].as_f64()?;
    Some(BlockFeed {
        option: bundle.key(),
        code: OptionStyle::of(bundle).code,
        chance: block["chance_over_tolerance"].as_f64()?,
        untreated: block["chance_over_tolerance_untreated"].as_f64()?,
        sprayed: (acres > 0.0).then(|| wording.area(Area::acres(acres))),
        cost: money(Money::dollars(block["cost"].as_f64()?)),
        why: block["why"].as_str()?.to_owned(),
        runner_up: block["runner_up"]["option"].as_str().map(str::to_owned),
    })
}

fn unreadable() -> Trouble {
    Trouble::one(Problem::error(
        "A-022",
        "The plan cannot be drawn: it is not a plan as this program writes it.",
        "Make the plan again.",
    ))
}
