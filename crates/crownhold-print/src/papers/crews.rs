//! Sheets for crews: scraping and bands, block by block, with the trees and room to write.

use crownhold::field::caution;
use crownhold::field::crews::{ListedTree, Material, TreeList};
use crownhold::timing::{Timing, WindowKind};
use crownhold::types::{Hours, Length, Parameters, Records, Tactic, UnitSystem};

use super::document::{Column, Document, Part, Table};
use crate::cautions;
use crate::wording::{Wording, capital, count, grouped, hours_counted, money};

/// The work of one block.
#[derive(Clone, Debug, PartialEq)]
pub struct CrewBlock {
    /// Its name, as crews know it.
    pub name: String,
    /// Where it lies: neighbourhood, or blank.
    pub place: String,
    /// Trees on record.
    pub trees: TreeList,
    /// Hours planned.
    pub hours: Hours,
    /// Is the egg-mass count closed?
    pub counted: bool,
}

/// Sheets of one tactic: a first page for who leads the work, then one for each block.
pub fn crew_sheets(
    tactic: Tactic,
    blocks: &[CrewBlock],
    materials: &[Material],
    timing: Option<&Timing>,
    records: &Records,
) -> Document {
    let programme = &records.programme;
    let w = Wording::new(programme.units);
    let bands = tactic == Tactic::Bands;
    let mut parts = vec![Part::Caution(cautions::of(tactic).to_owned()), Part::Heading("When".to_owned())];
    parts.push(Part::Text(when(bands, timing, w)));
    parts.push(Part::Heading("How".to_owned()));
    parts.push(Part::List(how(bands, &records.parameters)));
    parts.push(Part::Heading("What to bring".to_owned()));
    parts.push(kit(materials));
    parts.push(Part::Heading("The blocks".to_owned()));
    parts.push(overview(blocks));
    for block in blocks {
        parts.extend(sheet(block, bands, programme.units));
    }
    Document {
        title: if bands { "Bands: crew sheets".to_owned() } else { "Scraping: crew sheets".to_owned() },
        lead: format!("Season {}. {}.", programme.season, count(blocks.len(), "block", "blocks")),
        lang: "en",
        parts,
    }
}

fn when(bands: bool, timing: Option<&Timing>, w: Wording) -> String {
    let kind = if bands { WindowKind::Bands } else { WindowKind::Scraping };
    let window = timing.and_then(|t| t.window(kind));
    let ends = window.and_then(|win| {
        Some((
            win.opens_among_those_that_do(0.1),
            win.opens_among_those_that_do(0.5)?,
            win.closes_among_those_that_do(0.5)?,
        ))
    });
    let hours = if bands {
        " Serve in late afternoon or early evening, every day while catches are high: larvae go back up at dusk."
    } else {
        " Masses stay until the block's count is closed."
    };
    match ends {
        Some((early, opens, closes)) => {
            let ready = early.map(|day| format!(" Be ready by {}.", w.date(day))).unwrap_or_default();
            format!("Most likely from {} to {}.{ready}{hours}", w.date(opens), w.date(closes))
        }
        None => format!("There are no dates yet: weather is missing.{hours}"),
    }
}

/// Common practice; no source.
fn how(bands: bool, p: &Parameters) -> Vec<String> {
    let steps: &[&str] = if bands {
        &[
            "Full strip: around the trunk at chest height, tied at its middle, top half folded down over the lower, slit into flaps.",
            "Square flap: one piece pinned at its upper edge, on small trees or where there are many.",
            "Lift every flap, brush larvae and pupae into the soap bath; do not squash, and never use a bare hand.",
            "Write down what was found, also nothing. Larvae that hang dead and straight: fungus; bent like a V: virus.",
            "A band that nobody serves becomes a shelter: serve it, or take it down.",
        ]
    } else {
        &[
            "Scrape the whole mass off into the jar with a plastic or putty knife; leave the bark whole, let nothing fall.",
            "Soak in soapy water for two days, drain, then into the trash.",
            "Look under limbs, on walls, fences, firewood, vehicles and furniture, not only on trunks.",
            "Write down what was taken from the ground, with a pole, and what was seen and left.",
        ]
    };
    let mut all: Vec<String> = steps.iter().map(|s| (*s).to_owned()).collect();
    if bands {
        let spoons = p.number("bands.soap");
        all.push(format!("Bath: {spoons:.0} tablespoons of soap to a pint of water. Leave them in it for two days."));
    }
    all
}

fn kit(materials: &[Material]) -> Part {
    let row = |m: &Material| {
        vec![capital(m.name), grouped(m.amount.ceil()), m.unit.to_owned(), money(m.price), m.because.clone()]
    };
    Part::table(
        vec![
            Column::words("What"),
            Column::figures("How much"),
            Column::words("Of"),
            Column::figures("Price"),
            Column::wide("Because", 1.0),
        ],
        materials.iter().map(row).collect(),
    )
}

fn overview(blocks: &[CrewBlock]) -> Part {
    let row = |b: &CrewBlock| {
        vec![
            b.name.clone(),
            b.place.clone(),
            b.trees.trees.len().to_string(),
            hours_counted(b.hours),
            if b.counted { "closed".to_owned() } else { "OPEN: scrape nothing".to_owned() },
        ]
    };
    Part::table(
        vec![
            Column::wide("Block", 1.5),
            Column::wide("Place", 1.5),
            Column::figures("Trees listed"),
            Column::words("Hours planned"),
            Column::words("Count"),
        ],
        blocks.iter().map(row).collect(),
    )
}

/// The sheet of one block. The caution stands on every sheet: sheets are handed out one by one.
fn sheet(block: &CrewBlock, bands: bool, units: UnitSystem) -> Vec<Part> {
    let tactic = if bands { Tactic::Bands } else { Tactic::Scraping };
    let mut parts = vec![
        Part::NewPage,
        Part::Heading(format!("Block {}", block.name)),
        Part::Caution(caution(tactic).to_owned()),
        Part::Blanks(vec!["Day and hours".to_owned(), "Who".to_owned()]),
    ];
    if !bands && !block.counted {
        parts.push(Part::Caution("The egg-mass count of this block is not closed. Scrape nothing here.".to_owned()));
    }
    let private = block.trees.trees.iter().filter(|t| !t.public).count();
    if private > 0 {
        let trees = count(private, "tree stands", "trees stand");
        parts.push(Part::Soft(format!("{trees} on private ground: ask before entering.")));
    }
    let heads: &[&str] =
        if bands { &["Larvae", "Pupae", "Dead", "Masses"] } else { &["From ground", "With pole", "Left"] };
    let mut columns = vec![Column::words("Tree"), Column::wide("Species", 1.6), Column::figures("Trunk")];
    if bands {
        columns.push(Column::words("Band"));
        columns.push(Column::figures("Cloth"));
    }
    columns.extend(heads.iter().map(|head| Column::wide(head, 0.7)));
    let blank = heads.len();
    let row = |t: &ListedTree| {
        let mut cells = vec![t.tree.to_string(), t.species.clone(), t.dbh.map_or("?".to_owned(), |l| length(l, units))];
        if bands {
            cells.push(t.kind.word().to_owned());
            cells.push(t.cloth.map_or("?".to_owned(), |l| length(l, units)));
        }
        cells.extend(std::iter::repeat_n(String::new(), blank));
        cells
    };
    let mut rows: Vec<Vec<String>> = block.trees.trees.iter().map(row).collect();
    let width = columns.len();
    rows.extend(std::iter::repeat_n(vec![String::new(); width], 3));
    parts.push(Part::Table(Table { columns, rows, to_fill_in: true }));
    parts
}

fn length(l: Length, units: UnitSystem) -> String {
    match units {
        UnitSystem::Us => format!("{:.0} in", l.as_inches()),
        UnitSystem::Metric => format!("{:.0} cm", 100.0 * l.as_metres()),
    }
}
