//! Survey strata.

use crownhold::types::{Stratum, StratumId};

use super::areas::fields;
use super::cells;
use super::columns::{Columns, Field, Measure};
use super::job::{Job, merge, note_doubles};
use super::table::Table;

fields! {
    /// Name in the data.
    ID = "id", Plain, ["id", "stratum", "stratumid", "code"];
    /// Name for people.
    NAME = "name", Plain, ["name", "stratumname", "label", "description", "title"];
}

/// Takes strata over.
pub(super) fn take(job: &mut Job<'_>, table: &Table) {
    let columns = Columns::find(job, table, FIELDS);
    let Some(id_column) = columns.need(job, table, &ID).cloned() else { return };
    let mut incoming = Vec::new();
    let mut ids = Vec::new();
    for row in 0..table.len() {
        let Some(id) = cells::text(table, &columns, &ID, row) else {
            job.note(cells::bad_cell("I-214", "The row has no id.".to_owned(), table, row, &id_column));
            continue;
        };
        ids.push((id.to_owned(), table.number(row)));
        let name = cells::text(table, &columns, &NAME, row).unwrap_or(id).to_owned();
        incoming.push(Stratum { id: StratumId::new(id), name });
    }
    note_doubles(job, "stratum", ids.into_iter());
    job.report.taken = merge(&mut job.draft.strata, incoming, |s| s.id.clone());
}
