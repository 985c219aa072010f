//! Large blocks cut into parts, so that a part of one can be flown, banded or watched by itself.

use std::path::Path;

use crownhold::plan::parts_of;
use crownhold::types::{Area, Block, BlockId, Problem, Records};
use crownhold_data::formats::block_at;
use crownhold_print::wording::{Wording, count};

use super::{By, Done, act, block_named, refuse};
use crate::trouble::Trouble;

/// Cuts every block larger than `most` into parts of about the same size, or only those of `names`. A part is called by its
/// block's name with a number, and keeps all that is known of the block; trees and plots go to the part they stand in.
///
/// # Errors
/// When no block is larger, a name is not known, or this season's field log names one of them: what was done there would
/// belong to no block.
pub fn split(path: &Path, most: Area, names: &[String], by: By<'_>) -> Result<Done, Trouble> {
    act(path, by, |records| {
        let asked: Vec<BlockId> = names.iter().map(|n| block_named(records, n)).collect::<Result<_, _>>()?;
        let is_meant = |b: &&Block| (asked.is_empty() || asked.contains(&b.id)) && b.area() > most;
        let large: Vec<Block> = records.blocks.iter().filter(is_meant).cloned().collect();
        refuse(faults(records, &large, most))?;
        let mut made = 0;
        for block in &large {
            made += apart(records, block, most);
        }
        let what = format!("{} cut into {made} parts", count(large.len(), "block", "blocks"));
        Ok(Done::new(what, large.first().map_or("", |b| b.id.as_str())))
    })
}

/// Smaller parts than this are lots, not blocks.
const LEAST: f64 = 2_000.0;

fn faults(records: &Records, large: &[Block], most: Area) -> Vec<Problem> {
    if most < Area::square_metres(LEAST) {
        let what = "Parts so small are lots, not blocks.";
        return vec![Problem::error("A-244", what, "Name a larger size.").expected("at least half an acre (0.2 ha)")];
    }
    if large.is_empty() {
        let most = Wording::new(records.programme.units).area(most);
        let what = format!("No block that is meant is larger than {most}.");
        return vec![Problem::error("A-244", what, "Name a smaller size.")];
    }
    let named = large.iter().filter(|b| is_in_the_log(records, &b.id));
    let fault = |b: &Block| {
        let what = format!("The field log of this season names block {}.", b.id);
        Problem::error("A-245", what, "Cut blocks before the season's work begins, or leave this one whole.")
    };
    named.map(fault).collect()
}

fn is_in_the_log(records: &Records, id: &BlockId) -> bool {
    let (season, log) = (records.programme.season, &records.log);
    log.bands.iter().any(|v| v.block == *id && v.date.year() == season)
        || log.scraping.iter().any(|v| v.block == *id && v.date.year() == season)
        || log.applications_of(season).any(|a| a.blocks.contains(id))
        || log.notices.iter().any(|n| n.blocks.contains(id) && n.date.year() == season)
}

/// Puts the parts of a block in its place; how many.
fn apart(records: &mut Records, block: &Block, most: Area) -> usize {
    let shapes = parts_of(&block.shape, most.as_square_metres());
    let whole = block.area();
    let is_free = |id: &BlockId| records.block_index(id).is_none();
    let ids = (1..).map(|n| BlockId::new(format!("{}-{n}", block.id))).filter(is_free);
    let parts: Vec<Block> = shapes
        .into_iter()
        .zip(ids)
        .enumerate()
        .map(|(n, (shape, id))| {
            let mut part = Block { id, shape, ..block.clone() };
            part.name = format!("{}, part {}", block.name, n + 1);
            part.dwellings = block.dwellings.map(|d| (f64::from(d) * (part.area() / whole)).round() as u32);
            part
        })
        .collect();
    move_what_stands_there(records, &block.id, &parts);
    copy_what_is_known(records, block, &parts);
    let made = parts.len();
    records.blocks.retain(|b| b.id != block.id);
    records.blocks.extend(parts);
    records.blocks.sort_by(|a, b| a.id.cmp(&b.id));
    made
}

/// Trees and plots go to the part they stand in; what has no place, or stands outside the outline, to the first.
fn move_what_stands_there(records: &mut Records, id: &BlockId, parts: &[Block]) {
    let first = &parts[0].id;
    for tree in records.trees.iter_mut().filter(|t| t.block.as_ref() == Some(id)) {
        tree.block = Some(block_at(parts, tree.place).unwrap_or_else(|| first.clone()));
    }
    for plot in records.plots.iter_mut().filter(|p| p.block == *id) {
        plot.block = plot.place.and_then(|at| block_at(parts, at)).unwrap_or_else(|| first.clone());
    }
    for sample in records.samples.iter_mut().filter(|s| s.block.as_ref() == Some(id)) {
        sample.block = Some(first.clone());
    }
    for place in records.teams.iter_mut().flat_map(|t| [&mut t.starts, &mut t.ends]).flatten().filter(|b| *b == id) {
        *place = first.clone();
    }
}

/// Past seasons and decisions hold for every part; area flown by its share of the ground.
fn copy_what_is_known(records: &mut Records, block: &Block, parts: &[Block]) {
    let past: Vec<_> = records.past.iter().filter(|p| p.block == block.id).cloned().collect();
    let decisions: Vec<_> = records.decisions.iter().filter(|d| d.block == block.id).cloned().collect();
    records.past.retain(|p| p.block != block.id);
    records.decisions.retain(|d| d.block != block.id);
    for part in parts {
        let share = part.area() / block.area();
        records.past.extend(past.iter().cloned().map(|mut p| {
            p.block = part.id.clone();
            p.sprayed = p.sprayed.map(|a| a * share);
            p
        }));
        records.decisions.extend(decisions.iter().cloned().map(|mut d| {
            d.block = part.id.clone();
            d
        }));
    }
    records.past.sort_by(|a, b| (a.season, &a.block).cmp(&(b.season, &b.block)));
    records.decisions.sort_by(|a, b| a.block.cmp(&b.block));
}
