//! Sheets for ground sprays: the job, then one sheet for each crew and day.

use crownhold::field::caution;
use crownhold::field::crews::{CrewDay, GroundBlock, GroundMix, SprayTree};
use crownhold::timing::{Timing, WindowKind};
use crownhold::types::{Parameters, Records, Tactic, UnitSystem, Volume};

use super::document::{Column, Document, Part, Table};
use crate::cautions;
use crate::wording::{Wording, count, grouped, hours_counted};

/// Sheets of one application; each further one takes as much again.
pub fn ground_sheets(
    blocks: &[GroundBlock],
    days: &[CrewDay],
    mix: &GroundMix,
    timing: Option<&Timing>,
    records: &Records,
) -> Document {
    let (programme, p) = (&records.programme, &records.parameters);
    let w = Wording::new(programme.units);
    let mut parts = vec![Part::Caution(cautions::of(Tactic::GroundBtk).to_owned()), Part::Heading("When".to_owned())];
    parts.push(Part::Text(when(timing, p, w)));
    parts.push(Part::Heading("How".to_owned()));
    parts.push(Part::List(how(p, mix, programme.units)));
    parts.push(Part::Heading("The job".to_owned()));
    parts.push(job(blocks, mix, programme.units));
    parts.push(Part::Soft(
        "Volumes by trunk have no published table; the product and its label in hand prevail over every figure here."
            .to_owned(),
    ));
    for day in days {
        parts.extend(sheet(day, mix, programme.units));
    }
    Document {
        title: "Ground sprays: crew sheets".to_owned(),
        lead: format!(
            "Season {}. {} in {}. One application; {:.0} are planned.",
            programme.season,
            count(days.iter().map(CrewDay::trees).sum(), "tree", "trees"),
            count(days.len(), "day of work", "days of work"),
            p.number("ground.applications"),
        ),
        lang: "en",
        parts,
    }
}

fn when(timing: Option<&Timing>, p: &Parameters, w: Wording) -> String {
    let window = timing.and_then(|t| t.window(WindowKind::GroundBtk));
    let ends = window.and_then(|v| Some((v.opens_among_those_that_do(0.5)?, v.closes_among_those_that_do(0.5)?)));
    let dates = match ends {
        Some((opens, closes)) => {
            let rule = window.map_or("", |v| v.rule.as_str());
            format!("Most likely from {} to {} ({rule}).", w.date(opens), w.date(closes))
        }
        None => "There are no dates yet: weather is missing.".to_owned(),
    };
    let limit = |name: &str| p.number(&format!("timing.spray-ground.{name}"));
    format!(
        "{dates} Limits of the programme: wind at most {:.0} mph, gusts {:.0} mph, \
         {:.0} to {:.0} degrees F, humidity at least {:.0} %, no rain for {:.0} hours after. Where the label is stricter, the label holds.",
        limit("wind-most"),
        limit("gust-most"),
        limit("temperature-least"),
        limit("temperature-most"),
        limit("humidity-least"),
        limit("rain-free")
    )
}

fn how(p: &Parameters, mix: &GroundMix, units: UnitSystem) -> Vec<String> {
    let product = mix.product(mix.tank);
    vec![
        format!(
            "Mix: {} of product to a full tank of {} ({:.0} BIU in 100 gallons of mix, product of {:.0} BIU a gallon).",
            volume(product, units),
            volume(mix.tank, units),
            p.number("ground.dose"),
            p.number("ground.strength")
        ),
        "Wet both sides of the leaves, to the drip and not to run-off. What the spray does not reach is not treated.".to_owned(),
        "Use the mix on the day it was made. Nobody enters before the label's re-entry time is over; keep people and pets away.".to_owned(),
        "Stop when the wind drifts the spray off the tree, when it rains, or when air lies still in fog. Keep off water and bee yards.".to_owned(),
        "Fill in an application record for every block and day, before you leave it.".to_owned(),
    ]
}

fn job(blocks: &[GroundBlock], mix: &GroundMix, units: UnitSystem) -> Part {
    let row = |b: &GroundBlock| {
        let all: Volume = b.trees.iter().map(|t| t.mix).sum();
        vec![
            b.block.to_string(),
            b.trees.len().to_string(),
            figure(all, units),
            small(mix.product(all), units),
            mix.loads(all).to_string(),
            left_out(b),
        ]
    };
    let (big, little) = units_of(units);
    Part::table(
        vec![
            Column::words("Block"),
            Column::figures("Trees"),
            Column::figures(&format!("Mix, {big}")),
            Column::figures(&format!("Product, {little}")),
            Column::figures("Tanks"),
            Column::wide("Left out", 1.0),
        ],
        blocks.iter().map(row).collect(),
    )
}

fn left_out(b: &GroundBlock) -> String {
    let all = [
        (b.kept_off, "on no-spray ground"),
        (b.refused, "refused by the owner"),
        (b.unknown, "of unknown species: look on the spot"),
    ];
    let told: Vec<String> = all.iter().filter(|(n, _)| *n > 0).map(|(n, why)| format!("{n} {why}")).collect();
    told.join("; ")
}

/// The sheet of a crew's day. The caution stands on every sheet: sheets are handed out one by one.
fn sheet(day: &CrewDay, mix: &GroundMix, units: UnitSystem) -> Vec<Part> {
    let all = day.mix();
    let (big, _) = units_of(units);
    let mut parts = vec![
        Part::NewPage,
        Part::Heading(format!("Crew {}, day {}", day.crew, day.day)),
        Part::Caution(caution(Tactic::GroundBtk).to_owned()),
        Part::Text(format!(
            "{}, {} of mix, {} of product, {}, {}.",
            count(day.trees(), "tree", "trees"),
            volume(all, units),
            volume(mix.product(all), units),
            count(mix.loads(all) as usize, "tank", "tanks"),
            hours_counted(day.hours)
        )),
        Part::Blanks(vec!["Date, start and end".to_owned(), "Applicator and licence".to_owned()]),
        Part::Blanks(vec!["Wind, temperature, humidity".to_owned(), "Product and registration number".to_owned()]),
    ];
    let row = |block: &GroundBlock, t: &SprayTree| {
        vec![
            block.block.to_string(),
            t.tree.tree.to_string(),
            t.tree.species.clone(),
            t.tree.dbh.map_or("?".to_owned(), |l| Wording::new(units).trunk(l)),
            figure(t.mix, units),
            String::new(),
        ]
    };
    let rows = day.parts.iter().flat_map(|b| b.trees.iter().map(move |t| row(b, t))).collect();
    let columns = vec![
        Column::words("Block"),
        Column::words("Tree"),
        Column::wide("Species", 1.6),
        Column::figures("Trunk"),
        Column::figures(&format!("Mix, {big}")),
        Column::wide("Done, or why not", 1.2),
    ];
    parts.push(Part::Table(Table { columns, rows, to_fill_in: true }));
    parts
}

fn units_of(units: UnitSystem) -> (&'static str, &'static str) {
    match units {
        UnitSystem::Us => ("gal", "fl oz"),
        UnitSystem::Metric => ("L", "mL"),
    }
}

fn figure(v: Volume, units: UnitSystem) -> String {
    let value = if units == UnitSystem::Us { v.as_gallons() } else { v.as_litres() };
    if value < 9.95 { format!("{value:.1}") } else { grouped(value) }
}

/// Fluid ounces or millilitres.
fn small(v: Volume, units: UnitSystem) -> String {
    grouped(if units == UnitSystem::Us { 128.0 * v.as_gallons() } else { 1_000.0 * v.as_litres() })
}

fn volume(v: Volume, units: UnitSystem) -> String {
    let (big, little) = units_of(units);
    let whole = if units == UnitSystem::Us { v.as_gallons() } else { v.as_litres() };
    if whole < 1.0 { format!("{} {little}", small(v, units)) } else { format!("{} {big}", figure(v, units)) }
}
