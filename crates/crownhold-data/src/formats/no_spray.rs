//! Areas that are not sprayed.

use crownhold::types::{NoSprayArea, NoSprayId, NoSprayKind, Problem};

use super::areas::fields;
use super::cells::{self, lengths};
use super::columns::{Columns, Field, Measure};
use super::job::{Job, merge, note_doubles};
use super::keep::Kept;
use super::kinds;
use super::places;
use super::table::Table;
use super::words::choices;

fields! {
    /// The area's own number.
    ID = "id", Plain, ["id", "areaid", "nosprayid", "parcel", "parcelid", "pin", "name", "objectid", "fid", "gid"];
    /// Why it is not sprayed.
    KIND = "kind", Plain, ["kind", "type", "reason", "category", "class", "why"];
    /// Distance kept.
    BUFFER = "buffer", Length, ["buffer", "bufferdistance", "distance", "setback"];
    /// Free text.
    NOTE = "note", Plain, ["note", "notes", "remark", "remarks", "comment", "comments"];
}

/// Takes no-spray areas over.
pub(super) fn take(job: &mut Job<'_>, table: &Table) {
    let columns = Columns::find(job, table, FIELDS);
    if !table.spatial {
        kinds::note_none(job, table, kinds::Needed::Outlines);
        return;
    }
    let Some(id_column) = columns.need(job, table, &ID).cloned() else { return };
    let words: Vec<&str> = NoSprayKind::ALL.iter().map(|k| k.word()).collect();
    let kinds = choices(job, table, &columns, &KIND, kind, &words);
    if columns.get(KIND.name).is_none() {
        let what = "No column says why these areas are not sprayed.";
        job.note(Problem::notice(
            "I-507",
            what,
            "New ones were taken as \"other\", whose default buffer may be too small for water.",
        ));
    }
    let buffers = lengths(job, table, &columns, &BUFFER);
    let named = |row: usize| format!("no-spray area {}", table.cell(row, id_column.at));
    let Some(outlines) = places::outlines(job, table, named) else { return };
    let mut incoming = Vec::new();
    let mut kept = Kept::default();
    let mut ids = Vec::new();
    for (row, shape) in outlines.into_iter().enumerate() {
        let Some(id) = cells::text(table, &columns, &ID, row) else {
            job.note(cells::bad_cell("I-214", "The row has no id.".to_owned(), table, row, &id_column));
            continue;
        };
        ids.push((id.to_owned(), table.number(row)));
        let Some(shape) = shape else { continue };
        let id = NoSprayId::new(id);
        let old = job.draft.no_spray.iter().find(|a| a.id == id);
        let note = cells::text(table, &columns, &NOTE, row).map(str::to_owned);
        let old_note = old.map(|a| a.note.clone()).filter(|n| !n.is_empty());
        incoming.push(NoSprayArea {
            id,
            kind: kept.or_known(&KIND, "reasons", kinds[row], old.map(|a| a.kind)).unwrap_or(NoSprayKind::Other),
            shape,
            buffer: kept.or_known(&BUFFER, "buffers", buffers[row], old.and_then(|a| a.buffer)),
            note: kept.or_known(&NOTE, "notes", note, old_note).unwrap_or_default(),
        });
    }
    kept.note(job, &columns);
    note_doubles(job, "no-spray area", ids.into_iter());
    job.report.taken = merge(&mut job.draft.no_spray, incoming, |a| a.id.clone());
}

fn kind(word: &str) -> Option<NoSprayKind> {
    NoSprayKind::from_word(word).or_else(|| {
        Some(match word.to_lowercase().as_str() {
            "lake" | "river" | "stream" | "pond" | "creek" | "wetland" => NoSprayKind::Water,
            "day care" | "daycare" | "day-care" | "school grounds" => NoSprayKind::School,
            "organic" | "organic garden" => NoSprayKind::OrganicFarm,
            "objector" | "refusal" | "refused" | "no consent" => NoSprayKind::OptOut,
            "endangered" | "endangered species" | "habitat" => NoSprayKind::RareSpecies,
            "bees" | "beehives" | "hives" => NoSprayKind::Apiary,
            _ => return None,
        })
    })
}
