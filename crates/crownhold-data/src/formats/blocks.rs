//! Block outlines, with whatever attributes the layer brings along.

use crownhold::types::{Block, BlockId, Consent, LandUse, Ownership, Problem};
use geo::MultiPolygon;

use super::areas::{self, FIELDS, ID};
use super::columns::Columns;
use super::job::{Job, merge, note_doubles};
use super::keep::Kept;
use super::kinds;
use super::places;
use super::shapes::note_overlaps;
use super::table::Table;

/// Takes block outlines over.
pub(super) fn take(job: &mut Job<'_>, table: &Table) {
    if !table.spatial && job.draft.blocks.is_empty() {
        kinds::note_none(job, table, kinds::Needed::Outlines);
        return;
    }
    if !table.spatial {
        areas::take(job, table);
        return;
    }
    let columns = Columns::find(job, table, FIELDS);
    let ids = areas::ids(job, table, &columns);
    let named = |row: usize| ids[row].as_ref().map_or(format!("row {}", table.number(row)), |id| format!("block {id}"));
    let given = areas::given(job, table, &columns);
    let Some(outlines) = places::outlines(job, table, named) else { return };
    note_doubles(
        job,
        "block",
        ids.iter().enumerate().filter_map(|(r, id)| Some((id.as_ref()?.to_string(), table.number(r)))),
    );
    let mut incoming = Vec::new();
    let mut kept = Kept::default();
    for ((id, shape), given) in ids.iter().zip(outlines).zip(given) {
        if let (Some(id), Some(shape)) = (id, shape) {
            let old = job.draft.blocks.iter().find(|b| &b.id == id);
            incoming.push(match old {
                Some(old) => Block { shape, ..given.over_known(old, &mut kept) },
                None => given.new_block(id.clone(), shape),
            });
        }
    }
    kept.note(job, &columns);
    note_defaults(job, &columns);
    let pairs: Vec<_> = incoming.iter().map(|b| (format!("block {}", b.id), &b.shape)).collect();
    note_overlaps(job, &pairs);
    job.report.taken = merge(&mut job.draft.blocks, incoming, |b| b.id.clone());
    areas::add_strata(job);
    areas::relocate(job);
}

/// A block of which nothing but the outline is known.
pub(super) fn bare(id: BlockId, shape: MultiPolygon<f64>) -> Block {
    Block {
        name: id.to_string(),
        id,
        shape,
        land_use: LandUse::Other,
        canopy: None,
        hosts: None,
        dwellings: None,
        ownership: Ownership::Mixed,
        consent: Consent::Pending,
        stratum: None,
        neighbourhood: None,
        elevation: None,
        built_up: None,
        survey_closed: None,
    }
}

/// Says what a new block was given where the layer says nothing.
fn note_defaults(job: &mut Job<'_>, columns: &Columns) {
    let missing: Vec<&str> = [areas::LAND_USE.name, areas::OWNERSHIP.name, areas::CONSENT.name]
        .into_iter()
        .filter(|f| columns.get(f).is_none())
        .collect();
    if !missing.is_empty() {
        let what = format!("The layer has no column for: {}.", missing.join(", "));
        let remedy = "New blocks were taken as land use other, ownership mixed, consent pending; give them later with \"areas\".";
        job.note(Problem::notice("I-501", what, remedy));
    }
    if columns.get(ID.name).is_some_and(|c| c.header.eq_ignore_ascii_case("fid")) {
        job.note(Problem::notice(
            "I-502",
            "The block ids are the layer's row numbers (fid).",
            "They may change when the layer is saved again.",
        ));
    }
}
