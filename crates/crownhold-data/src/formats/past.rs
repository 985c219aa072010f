//! Past seasons: what was counted, done and seen in each block.

use std::collections::BTreeSet;

use crownhold::tactics::Bundle;
use crownhold::types::{BlockId, PastSeason, Tactic};

use super::areas::{self, fields};
use super::cells::{self, counts, densities, grounds, shares};
use super::columns::{Columns, Field, Measure};
use super::job::{Job, merge, note_doubles};
use super::table::Table;
use super::words::choices;

fields! {
    /// The year of that spring.
    SEASON = "season", Plain, ["season", "year", "spring", "yr"];
    /// Block.
    BLOCK = "block", Plain, ["block", "blockid", "blockno", "blocknumber", "id", "unit", "unitid"];
    /// Density counted in the autumn before.
    DENSITY = "density", Density, ["density", "masses", "eggmasses", "em", "eggmassdensity", "massdensity"];
    /// Tactics used.
    TREATMENT = "treatment", Plain, ["treatment", "treated", "tactic", "tactics", "action"];
    /// Foliage lost.
    DEFOLIATION = "defoliation", Share, ["defoliation", "defoliated", "foliageloss", "loss"];
    /// Acres flown.
    SPRAYED = "sprayed", Area, ["sprayed", "sprayedarea", "flown", "areasprayed"];
}

/// Takes past seasons over.
pub(super) fn take(job: &mut Job<'_>, table: &Table) {
    let columns = Columns::find(job, table, FIELDS);
    let season_column = columns.need(job, table, &SEASON).cloned();
    let block_column = columns.need(job, table, &BLOCK).cloned();
    let (Some(season_column), Some(_)) = (season_column, block_column) else { return };
    let seasons = counts(job, table, &columns, &SEASON);
    let density = densities(job, table, &columns, &DENSITY);
    let defoliation = shares(job, table, &columns, &DEFOLIATION);
    let sprayed = grounds(job, table, &columns, &SPRAYED);
    let words: Vec<&str> = std::iter::once("watch").chain(Tactic::ALL.iter().map(|t| t.word())).collect();
    let treatments = choices(job, table, &columns, &TREATMENT, bundle, &words);
    let known: BTreeSet<BlockId> = job.draft.blocks.iter().map(|b| b.id.clone()).collect();
    let mut incoming = Vec::new();
    let mut ids = Vec::new();
    for row in 0..table.len() {
        let season = seasons[row].and_then(|s| i16::try_from(s).ok()).filter(|s| (1900..=2200).contains(s));
        let Some(season) = season else {
            let what = format!("\"{}\" is not a year.", table.cell(row, season_column.at));
            job.note(cells::bad_cell("I-208", what, table, row, &season_column).expected("a year such as 2025"));
            continue;
        };
        let block = cells::text(table, &columns, &BLOCK, row).map(BlockId::from).unwrap_or_else(|| BlockId::from(""));
        if !known.contains(&block) {
            areas::unknown_block(job, &block, table.number(row));
            continue;
        }
        ids.push((format!("{season} of block {block}"), table.number(row)));
        incoming.push(PastSeason {
            season,
            block,
            density: density[row],
            treatment: treatments[row].as_ref().map(ToString::to_string).unwrap_or_default(),
            defoliation: defoliation[row],
            sprayed: sprayed[row],
        });
    }
    note_doubles(job, "season", ids.into_iter());
    job.report.taken = merge(&mut job.draft.past, incoming, |p| (p.season, p.block.clone()));
}

/// "bands + aerial Btk once"; nothing done reads "watch".
fn bundle(word: &str) -> Option<Bundle> {
    match word.to_lowercase().as_str() {
        "untreated" | "nothing" | "no" => Some(Bundle::WATCH),
        _ => Bundle::from_key(word),
    }
}
