//! Middle lines of streets, for the ways of crews.

use std::collections::{BTreeMap, BTreeSet};

use crownhold::types::{Problem, Street, StreetId};

use super::areas::fields;
use super::cells;
use super::columns::{Columns, Field, Measure};
use super::job::{Job, merge, note_doubles};
use super::keep::Kept;
use super::kinds;
use super::places;
use super::table::Table;

fields! {
    /// The street's own number; a layer's own order where it has none.
    ID = "id", Plain, ["segmentid", "streetid", "linkid", "roadid", "centerlineid", "id", "objectid", "fid", "gid"];
    /// Name for people.
    NAME = "name", Plain, ["name", "streetname", "fullname", "fullstreetname", "stname", "street", "roadname", "road", "label"];
}

/// Takes streets over. A layer of streets is one whole: those that are not in it any more go.
pub(super) fn take(job: &mut Job<'_>, table: &Table) {
    let columns = Columns::find(job, table, FIELDS);
    if !table.spatial {
        kinds::note_none(job, table, kinds::Needed::Lines);
        return;
    }
    let numbered = columns.get(ID.name).is_some();
    if !numbered {
        let what = "No column has numbers of the streets.";
        job.note(Problem::notice("I-911", what, "They were numbered in the order of the layer."));
    }
    let id_of = |row: usize| {
        let own = if numbered { cells::text(table, &columns, &ID, row).map(str::to_owned) } else { None };
        own.unwrap_or_else(|| format!("row-{}", table.number(row)))
    };
    let Some(lines) = places::lines(job, table, |row| format!("street {}", id_of(row))) else { return };
    let before: BTreeMap<StreetId, String> =
        job.draft.streets.iter().filter(|s| !s.name.is_empty()).map(|s| (s.id.clone(), s.name.clone())).collect();
    let mut incoming = Vec::new();
    let mut kept = Kept::default();
    for (row, lines) in lines.into_iter().enumerate() {
        let Some(lines) = lines else { continue };
        let id = StreetId::new(id_of(row));
        let known = before.get(&id).cloned();
        let name = cells::text(table, &columns, &NAME, row).map(str::to_owned);
        incoming.push(Street { id, name: kept.or_known(&NAME, "names", name, known).unwrap_or_default(), lines });
    }
    kept.note(job, &columns);
    note_doubles(job, "street", (0..table.len()).map(|row| (id_of(row), table.number(row))));
    note_gone(job, &incoming);
    job.report.taken = merge(&mut job.draft.streets, incoming, |s| s.id.clone());
}

/// Streets that are not in the layer are taken out, and that is said: a mixture of two layers would join nowhere.
fn note_gone(job: &mut Job<'_>, incoming: &[Street]) {
    let there: BTreeSet<&StreetId> = incoming.iter().map(|s| &s.id).collect();
    let before = job.draft.streets.len();
    job.draft.streets.retain(|s| there.contains(&s.id));
    let gone = before - job.draft.streets.len();
    if gone > 0 {
        let what = format!("{gone} streets that were there are not in this layer.");
        job.note(Problem::notice("I-912", what, "They were taken out: a layer of streets replaces the one before."));
    }
}
