//! Egg masses scraped off.

use std::collections::BTreeSet;

use crownhold::types::{BlockId, Problem, ScrapingVisit, TreeId};

use super::super::areas::fields;
use super::super::cells::{self, counts, numbers};
use super::super::columns::{Columns, Field, Measure};
use super::super::dates::dates;
use super::super::job::{Job, merge, note_doubles};
use super::super::table::Table;
use super::{Rows, spent};

fields! {
    /// Its own number.
    ID = "id", Plain, ["id", "visit", "visitid", "record", "recordid"];
    /// Day.
    DATE = "date", Plain, ["date", "day", "scraped", "scrapedon"];
    /// Block.
    BLOCK = "block", Plain, ["block", "blockid", "blockno", "blocknumber", "unit"];
    /// Tree.
    TREE = "tree", Plain, ["tree", "treeid", "treeno", "treenumber"];
    /// Masses within reach.
    LOW = "low", Plain, ["low", "masses", "eggmasses", "em", "fromtheground", "reachable"];
    /// Masses with pole or ladder.
    HIGH = "high", Plain, ["high", "pole", "ladder", "withpole"];
    /// Masses seen and left.
    LEFT = "left", Plain, ["left", "leftup", "outofreach", "notreached"];
    /// Trees gone over.
    TREES = "trees", Plain, ["trees", "numberoftrees"];
    /// Hours of all together.
    HOURS = "hours", Plain, ["hours", "personhours", "h"];
    /// Who.
    WHO = "who", Plain, ["who", "crew", "name", "initials", "volunteer"];
    /// Free text.
    NOTE = "note", Plain, ["note", "notes", "remark", "remarks", "comment", "comments"];
}

/// Takes scraping over. Blocks whose count is not closed are told: their density may be hidden by it.
pub(in crate::formats) fn take(job: &mut Job<'_>, table: &Table) {
    let columns = Columns::find(job, table, FIELDS);
    let date_column = columns.need(job, table, &DATE).cloned();
    let Some((date_column, _)) = date_column.zip(columns.need(job, table, &BLOCK)) else { return };
    let days = dates(job, table, &date_column);
    let counted = [&LOW, &HIGH, &LEFT, &TREES].map(|f| counts(job, table, &columns, f));
    let hours = columns.get(HOURS.name).cloned().map(|column| numbers(job, table, &column)).unwrap_or_default();
    let text = |row, field: &Field| cells::text(table, &columns, field, row).unwrap_or_default().to_owned();
    let mut rows = Rows::new(job, table, &columns, &DATE, &BLOCK, &ID);
    let mut incoming = Vec::new();
    for (row, day) in days.into_iter().enumerate() {
        let Some((date, block)) = rows.placed(job, row, day) else { continue };
        let count = |i: usize| counted[i][row].unwrap_or(0);
        incoming.push(ScrapingVisit {
            id: rows.id(row, &format!("{date} {block}")),
            date,
            block,
            tree: Some(text(row, &TREE)).filter(|tree| !tree.is_empty()).map(TreeId::new),
            low: count(0),
            high: count(1),
            left: count(2),
            trees: count(3),
            hours: spent(job, table, row, hours.get(row).copied().flatten(), (HOURS.name, 1.0)),
            who: text(row, &WHO),
            place: None,
            note: text(row, &NOTE),
        });
    }
    note_doubles(job, "scraping", rows.ids.into_iter());
    note_not_counted(job, &incoming);
    job.report.taken = merge(&mut job.draft.log.scraping, incoming, |v| v.id.clone());
}

fn note_not_counted(job: &mut Job<'_>, incoming: &[ScrapingVisit]) {
    let is_open = |id: &&BlockId| job.draft.blocks.iter().any(|b| b.id == **id && b.survey_closed.is_none());
    let open: BTreeSet<&BlockId> = incoming.iter().map(|v| &v.block).filter(is_open).collect();
    if open.is_empty() {
        return;
    }
    let names = open.iter().map(ToString::to_string).collect::<Vec<_>>().join(", ");
    let what = format!("Masses were scraped where the count is not closed: {names}.");
    let remedy =
        "What was scraped is missing from later counts: add it to them, and close the count before more is scraped.";
    job.note(Problem::notice("I-282", what, remedy));
}
