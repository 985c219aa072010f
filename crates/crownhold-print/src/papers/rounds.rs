//! Sheets of a day's rounds: one for each team, with its trees in order and room for what was found.

use std::collections::BTreeMap;

use crownhold::types::{Block, BlockId, Length, Records, Round, RoundWork, Tactic, Tree, TreeId, UnitSystem};
use jiff::civil::Time;

use super::document::{Column, Document, Part, Table};
use crate::cautions;
use crate::maps::{RoundGround, RoundWay, rounds_map};
use crate::sheet::Sheet;
use crate::wording::{Wording, count, hours_counted};

/// Sheets of the rounds of one day and work.
pub fn round_sheets(rounds: &[&Round], records: &Records) -> Document {
    let w = Wording::new(records.programme.units);
    let places: BTreeMap<&TreeId, &Tree> = records.trees.iter().map(|t| (&t.id, t)).collect();
    let mut parts = Vec::new();
    for (i, round) in rounds.iter().enumerate() {
        if i > 0 {
            parts.push(Part::NewPage);
        }
        parts.extend(sheet(i + 1, round, records, &places));
    }
    let trees = rounds.iter().map(|r| r.stops.len()).sum();
    let first = rounds.first();
    Document {
        title: format!("Rounds: {}", first.map_or("none", |r| r.work.word())),
        lead: format!(
            "{}. {} for {}. {} Times are planned, not promised.",
            first.map_or(String::new(), |r| w.date(r.date)),
            count(trees, "tree", "trees"),
            count(rounds.len(), "team", "teams"),
            ways_said(records),
        ),
        lang: "en",
        parts,
    }
}

/// How the ways of rounds were reckoned, in a sentence.
pub fn ways_said(records: &Records) -> String {
    let (detour, feet) = (records.parameters.number("rounds.detour"), records.parameters.number("rounds.across"));
    if records.streets.is_empty() {
        return format!("Ways are straight lines times {detour}: no streets were brought in.");
    }
    let across = Wording::new(records.programme.units).distance(Length::feet(feet));
    format!(
        "Ways go along the streets; up to {across}, and in open ground, straight lines times {detour}; \
         the lines on the map show the order of the trees."
    )
}

fn sheet(number: usize, round: &Round, records: &Records, places: &BTreeMap<&TreeId, &Tree>) -> Vec<Part> {
    let w = Wording::new(records.programme.units);
    let tactic = if round.work.is_scraping() { Tactic::Scraping } else { Tactic::Bands };
    let trees: Vec<&Tree> = round.stops.iter().filter_map(|s| places.get(&s.tree).copied()).collect();
    let here = |b: &&Block| trees.iter().any(|t| t.block.as_ref() == Some(&b.id));
    let blocks: Vec<&Block> = records.blocks.iter().filter(here).collect();
    let way = RoundWay { number, trees: trees.iter().map(|t| t.place).collect() };
    let title = format!("Round {number}: {}", round.team);
    vec![
        Part::Heading(title.clone()),
        Part::Caution(cautions::of(tactic).to_owned()),
        Part::Text(format!(
            "{}, first at {}, back about {}; {} and {} on the way.",
            count(round.stops.len(), "tree", "trees"),
            round.stops.first().map_or(String::new(), |s| clock(s.at)),
            clock(round.back),
            w.way(round.way),
            hours_counted(round.travel),
        )),
        Part::Blanks(vec!["Who, and from when to when".to_owned(), "Trees not done, and why".to_owned()]),
        Part::Picture {
            svg: rounds_map(
                RoundGround { held: &blocks, around: &[], streets: &records.streets },
                &[way],
                &title,
                &Sheet::paper(&format!("round-{number}"), records.programme.units),
            ),
            alt: format!("The way of round {number} from tree to tree; the table lists the trees in its order."),
            height: 0.3,
        },
        Part::Table(Table {
            columns: columns(round.work),
            rows: rows(round, places, records.programme.units),
            to_fill_in: true,
        }),
    ]
}

fn columns(work: RoundWork) -> Vec<Column> {
    let mut columns = vec![
        Column::figures("No."),
        Column::words("About"),
        Column::words("Block"),
        Column::words("Tree"),
        Column::wide("Species", 1.2),
        Column::figures("Trunk"),
    ];
    let to_fill: &[&str] = match work {
        RoundWork::Serve => &["Small larvae", "Large larvae", "Pupae", "Dead"],
        RoundWork::Scrape | RoundWork::ScrapeHigh => &["Masses off", "Seen, left"],
        RoundWork::PutUp | RoundWork::TakeDown => &["Done, or why not"],
    };
    columns.extend(to_fill.iter().map(|head| Column::wide(head, 0.7)));
    columns
}

fn rows(round: &Round, places: &BTreeMap<&TreeId, &Tree>, units: UnitSystem) -> Vec<Vec<String>> {
    let free = columns(round.work).len() - 6;
    let row = |(i, stop): (usize, &crownhold::types::RoundStop)| {
        let tree = places.get(&stop.tree);
        let mut cells = vec![
            (i + 1).to_string(),
            clock(stop.at),
            tree.and_then(|t| t.block.as_ref()).map_or(String::new(), BlockId::to_string),
            stop.tree.to_string(),
            tree.map_or(String::new(), |t| t.species.clone()),
            tree.and_then(|t| t.dbh).map_or("?".to_owned(), |l| Wording::new(units).trunk(l)),
        ];
        cells.extend(std::iter::repeat_n(String::new(), free));
        cells
    };
    round.stops.iter().enumerate().map(row).collect()
}

fn clock(time: Time) -> String {
    time.strftime("%H:%M").to_string()
}
