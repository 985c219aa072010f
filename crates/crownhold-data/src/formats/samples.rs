//! Field samples of spring: first hatch, instars, leaves; one row a look.

use std::collections::BTreeSet;

use crownhold::types::{BlockId, FieldSample, InstarCounts, LeafHost, Problem, SampleId, SampleKind, Seen, Share};

use super::areas::{self, fields};
use super::cells::{self, counts, shares};
use super::columns::{Columns, Field, Measure};
use super::dates::dates;
use super::job::{Job, merge, note_doubles};
use super::table::Table;
use super::words::choices;

fields! {
    /// Its own number.
    ID = "id", Plain, ["id", "sample", "sampleid", "sampleno"];
    /// Day.
    DATE = "date", Plain, ["date", "day", "sampledate", "surveydate"];
    /// What kind of look.
    KIND = "kind", Plain, ["kind", "type", "what", "seen", "sampletype"];
    /// Block.
    BLOCK = "block", Plain, ["block", "blockid", "blockno", "blocknumber", "unit"];
    /// Where, in words.
    PLACE = "place", Plain, ["place", "site", "where", "location"];
    /// Who looked.
    OBSERVER = "observer", Plain, ["observer", "surveyor", "who", "technician", "initials"];
    /// First instars.
    L1 = "l1", Plain, ["l1", "instar1", "firstinstar", "first"];
    /// Second instars.
    L2 = "l2", Plain, ["l2", "instar2", "secondinstar", "second"];
    /// Third instars.
    L3 = "l3", Plain, ["l3", "instar3", "thirdinstar", "third"];
    /// Fourth instars.
    L4 = "l4", Plain, ["l4", "instar4", "fourthinstar", "fourth"];
    /// Fifth instars.
    L5 = "l5", Plain, ["l5", "instar5", "fifthinstar", "fifth"];
    /// Sixth instars.
    L6 = "l6", Plain, ["l6", "instar6", "sixthinstar", "sixth"];
    /// Pupae.
    PUPA = "pupa", Plain, ["pupa", "pupae", "pupas"];
    /// Which oak's leaves.
    HOST = "host", Plain, ["host", "oak", "species", "tree"];
    /// Leaf size against final size.
    LEAF = "leaf", Share, ["leaf", "leafsize", "leafexpansion", "leafpercent", "expansion"];
    /// Free text.
    NOTE = "note", Plain, ["note", "notes", "remark", "remarks", "comment", "comments"];
}

/// Everything the columns say, row by row.
struct Rows {
    kinds: Vec<Option<SampleKind>>,
    counts: Vec<Vec<Option<u32>>>,
    hosts: Vec<Option<LeafHost>>,
    leaves: Vec<Option<Share>>,
}

impl Rows {
    fn counts(&self, row: usize) -> InstarCounts {
        InstarCounts(std::array::from_fn(|i| self.counts[i][row].unwrap_or(0)))
    }
}

/// Takes samples over.
pub(super) fn take(job: &mut Job<'_>, table: &Table) {
    let columns = Columns::find(job, table, FIELDS);
    let date_column = columns.need(job, table, &DATE).cloned();
    let kind_column = columns.need(job, table, &KIND).cloned();
    let (Some(date_column), Some(_)) = (date_column, kind_column) else { return };
    let days = dates(job, table, &date_column);
    let rows = read(job, table, &columns);
    let known: BTreeSet<BlockId> = job.draft.blocks.iter().map(|b| b.id.clone()).collect();
    let (mut incoming, mut ids) = (Vec::new(), Vec::new());
    for (row, day) in days.into_iter().enumerate() {
        let Some(date) = day else {
            if cells::is_blank(table.cell(row, date_column.at)) {
                job.note(cells::bad_cell("I-208", "The row has no date.".to_owned(), table, row, &date_column));
            }
            continue;
        };
        let Some(seen) = seen(job, &rows, row, table.number(row)) else { continue };
        let text = |field: &Field| cells::text(table, &columns, field, row).unwrap_or_default().to_owned();
        let block = cells::text(table, &columns, &BLOCK, row).map(BlockId::from);
        if let Some(block) = block.as_ref().filter(|block| !known.contains(block)) {
            areas::unknown_block(job, block, table.number(row));
            continue;
        }
        let (place, given) = (text(&PLACE), text(&ID));
        let where_ = block.as_ref().map_or(place.as_str(), BlockId::as_str);
        let made = || format!("{date} {} {where_}", seen.kind());
        let id = SampleId::new(if given.is_empty() { made() } else { given });
        ids.push((id.to_string(), table.number(row)));
        incoming.push(FieldSample { id, date, block, place, observer: text(&OBSERVER), seen, note: text(&NOTE) });
    }
    note_doubles(job, "sample", ids.into_iter());
    job.report.taken = merge(&mut job.draft.samples, incoming, |s| s.id.clone());
}

fn read(job: &mut Job<'_>, table: &Table, columns: &Columns) -> Rows {
    let kinds: Vec<&str> = SampleKind::ALL.iter().map(|k| k.word()).collect();
    let hosts: Vec<&str> = LeafHost::ALL.iter().map(|h| h.word()).collect();
    Rows {
        kinds: choices(job, table, columns, &KIND, kind, &kinds),
        counts: [&L1, &L2, &L3, &L4, &L5, &L6, &PUPA].iter().map(|field| counts(job, table, columns, field)).collect(),
        hosts: choices(job, table, columns, &HOST, LeafHost::from_word, &hosts),
        leaves: shares(job, table, columns, &LEAF),
    }
}

/// What a row has seen; what is missing is told.
fn seen(job: &mut Job<'_>, rows: &Rows, row: usize, number: u64) -> Option<Seen> {
    let lacks = |what: &str, remedy: &str| Problem::error("I-220", what, remedy).row(number);
    match rows.kinds[row] {
        None => {
            // A word that is none was told already.
            let all = SampleKind::ALL.iter().map(|k| k.word()).collect::<Vec<_>>().join(", ");
            job.note(lacks("The row does not say what was looked at.", "Write its kind.").column("kind").expected(all));
            None
        }
        Some(SampleKind::FirstHatch) => Some(Seen::FirstHatch),
        Some(SampleKind::NoHatch) => Some(Seen::NoHatch),
        Some(SampleKind::UnderBands) => {
            let seen = Seen::under_bands(rows.counts(row));
            if seen.is_none() {
                let remedy = "Count at least one larva in L4 to L6 or a pupa; younger larvae hardly hide there.";
                job.note(lacks("The row counts nothing that hides under bands.", remedy).column("l4"));
            }
            seen
        }
        Some(SampleKind::Instars) => {
            let counts = rows.counts(row);
            if counts.total() == 0 {
                let remedy = "Count at least one in L1 to L6 or pupae, or leave the row out.";
                job.note(lacks("The row counts no larva and no pupa.", remedy).column("l1"));
                return None;
            }
            Some(Seen::Instars(counts))
        }
        Some(SampleKind::Leaf) => match (rows.hosts[row], rows.leaves[row]) {
            (Some(host), Some(size)) => Some(Seen::Leaf { host, size }),
            _ => {
                let remedy = "Write red oak or white oak, and the percentage.";
                job.note(lacks("A leaf rating needs the oak and the share of final leaf size.", remedy).column("leaf"));
                None
            }
        },
    }
}

/// The kinds in the words people write.
fn kind(word: &str) -> Option<SampleKind> {
    SampleKind::from_word(word).or_else(|| match word.trim().to_lowercase().as_str() {
        "hatch" | "hatched" => Some(SampleKind::FirstHatch),
        "no hatch" | "none" | "not hatched" | "no" => Some(SampleKind::NoHatch),
        "instar" | "larvae" | "larva" | "stages" => Some(SampleKind::Instars),
        "bands" | "band" | "burlap" | "under burlap" => Some(SampleKind::UnderBands),
        "leaves" | "leaf rating" | "leaf expansion" => Some(SampleKind::Leaf),
        _ => None,
    })
}
