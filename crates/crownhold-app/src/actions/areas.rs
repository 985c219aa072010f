//! The land by hand: no-spray areas and blocks. Shapes come as GeoJSON in longitude and latitude.

use std::path::Path;

use crownhold::tactics::default_buffer;
use crownhold::types::{
    Area, BlockId, Consent, LandUse, Length, NoSprayArea, NoSprayId, NoSprayKind, Ownership, Problem, Records,
};
use crownhold_data::formats::{block_at, overlaps, shape_from_lon_lat};
use crownhold_print::wording::Wording;
use geo::Area as _;

use super::{By, Done, act, block_mut, block_named, ids};
use crate::trouble::Trouble;

/// What is said of a no-spray area beside its outline.
#[derive(Clone, Debug, PartialEq)]
pub struct NoSprayWords {
    /// Why it is not sprayed.
    pub kind: NoSprayKind,
    /// Distance kept from it; `None` takes the default of its kind.
    pub buffer: Option<Length>,
    /// Free text.
    pub note: String,
}

/// Adds a no-spray area under the next free number.
///
/// # Errors
/// When the shape cannot be used, or the buffer cannot be.
pub fn add_no_spray(path: &Path, geojson: &str, words: &NoSprayWords, by: By<'_>) -> Result<Done, Trouble> {
    act(path, by, |records| {
        sound_buffer(words)?;
        let (shape, repairs) = shape_from_lon_lat(geojson, &records.programme, &records.blocks)?;
        let id = NoSprayId::new(ids::next(records.no_spray.iter().map(|a| a.id.as_str()), "N01"));
        let what = format!("no-spray area {id} added: {}, {}", words.kind, spoken(records, shape.unsigned_area()));
        let (kind, buffer, note) = (words.kind, words.buffer, words.note.trim().to_owned());
        records.no_spray.push(NoSprayArea { id: id.clone(), kind, shape, buffer, note });
        records.no_spray.sort_by(|a, b| a.id.cmp(&b.id));
        Ok(Done::new(what, id.as_str()).with(repairs).with(small_buffer(records, words)))
    })
}

/// Gives a no-spray area another outline.
///
/// # Errors
/// When there is no such area, or the shape cannot be used.
pub fn reshape_no_spray(path: &Path, id: &str, geojson: &str, by: By<'_>) -> Result<Done, Trouble> {
    act(path, by, |records| {
        let at = no_spray_at(records, id)?;
        let (shape, repairs) = shape_from_lon_lat(geojson, &records.programme, &records.blocks)?;
        let sizes = [&records.no_spray[at].shape, &shape].map(|s| spoken(records, s.unsigned_area()));
        let area = &mut records.no_spray[at];
        area.shape = shape;
        let what = format!("no-spray area {} redrawn: {} before, {} now", area.id, sizes[0], sizes[1]);
        Ok(Done::new(what, area.id.as_str()).with(repairs))
    })
}

/// Changes what is said of a no-spray area.
///
/// # Errors
/// When there is no such area, or the buffer cannot be.
pub fn change_no_spray(path: &Path, id: &str, words: &NoSprayWords, by: By<'_>) -> Result<Done, Trouble> {
    act(path, by, |records| {
        sound_buffer(words)?;
        let at = no_spray_at(records, id)?;
        let w = Wording::new(records.programme.units);
        let area = &mut records.no_spray[at];
        (area.kind, area.buffer, area.note) = (words.kind, words.buffer, words.note.trim().to_owned());
        let buffer = words.buffer.map_or("the default buffer".to_owned(), |b| distance(w, b));
        let what = format!("no-spray area {}: {}, {buffer}", area.id, words.kind);
        let done = Done::new(what, area.id.as_str());
        Ok(done.with(small_buffer(records, words)))
    })
}

/// Takes a no-spray area out, and says what no longer keeps an aircraft off.
///
/// # Errors
/// When there is no such area.
pub fn delete_no_spray(path: &Path, id: &str, by: By<'_>) -> Result<Done, Trouble> {
    act(path, by, |records| {
        let at = no_spray_at(records, id)?;
        let area = records.no_spray.remove(at);
        let note = if area.note.is_empty() { String::new() } else { format!(" ({})", area.note) };
        let caution = Problem::notice(
            "A-122",
            format!("Nothing keeps a spray off this ground any more: {}{note}.", area.kind),
            "Take the change back unless the reason is gone; the label of a product is the law.",
        );
        let what = format!("no-spray area {} deleted: {}{note}", area.id, area.kind);
        Ok(Done::new(what, area.id.as_str()).with([caution.item(format!("no-spray area {}", area.id))]))
    })
}

fn no_spray_at(records: &Records, id: &str) -> Result<usize, Trouble> {
    let id = NoSprayId::new(id);
    records.no_spray.iter().position(|a| a.id == id).ok_or_else(|| {
        Trouble::one(Problem::error("A-120", format!("There is no no-spray area \"{id}\"."), "Choose one on the map."))
    })
}

/// A buffer wider than this is a slip of the unit, metres.
const WIDEST: f64 = 5_000.0;

fn sound_buffer(words: &NoSprayWords) -> Result<(), Trouble> {
    match words.buffer.map(Length::as_metres).filter(|b| !(0.0..=WIDEST).contains(b)) {
        None => Ok(()),
        Some(b) => {
            let problem = Problem::error("A-121", format!("A buffer of {b:.0} metres."), "Check its unit.");
            Err(Trouble::one(problem.column("buffer").expected("0 to 5,000 metres")))
        }
    }
}

fn small_buffer(records: &Records, words: &NoSprayWords) -> Option<Problem> {
    let usual = default_buffer(words.kind, &records.parameters);
    let own = words.buffer.filter(|b| *b < usual)?;
    let w = Wording::new(records.programme.units);
    let what =
        format!("The buffer of {} is less than the usual {} for {}.", distance(w, own), distance(w, usual), words.kind);
    Some(Problem::notice("A-123", what, "Make sure that label, law and neighbours allow it."))
}

fn distance(w: Wording, length: Length) -> String {
    if w.is_us() { format!("{:.0} ft", length.as_feet()) } else { format!("{:.0} m", length.as_metres()) }
}

fn spoken(records: &Records, square_metres: f64) -> String {
    Wording::new(records.programme.units).area(Area::square_metres(square_metres))
}

/// What changes of a block; `None` stays.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct BlockWords {
    /// Name for people.
    pub name: Option<String>,
    /// Use.
    pub land_use: Option<LandUse>,
    /// Consent to treat.
    pub consent: Option<Consent>,
    /// Owner.
    pub ownership: Option<Ownership>,
}

/// Changes what is said of a block.
///
/// # Errors
/// When there is no such block, or nothing was given to change.
pub fn change_block(path: &Path, block: &str, words: &BlockWords, by: By<'_>) -> Result<Done, Trouble> {
    act(path, by, |records| {
        let block = block_mut(records, block)?;
        let mut said = Vec::new();
        if let Some(name) = words.name.as_deref().map(str::trim).filter(|n| !n.is_empty()) {
            name.clone_into(&mut block.name);
            said.push(format!("named {name}"));
        }
        if let Some(land_use) = words.land_use {
            block.land_use = land_use;
            said.push(format!("land use {land_use}"));
        }
        if let Some(consent) = words.consent {
            block.consent = consent;
            said.push(format!("consent {consent}"));
        }
        if let Some(ownership) = words.ownership {
            block.ownership = ownership;
            said.push(format!("{ownership} land"));
        }
        if said.is_empty() {
            let what = "Nothing was given to change.";
            return Err(Trouble::one(Problem::error("A-124", what, "Give a name, land use, consent or owner.")));
        }
        Ok(Done::new(format!("block {}: {}", block.id, said.join(", ")), block.id.as_str()))
    })
}

/// Gives a block another outline. Trees are looked up again; plots that lie outside now and neighbours that overlap are
/// told. Its canopy and host shares stay as they were given.
///
/// # Errors
/// When there is no such block, or the shape cannot be used.
pub fn reshape_block(path: &Path, block: &str, geojson: &str, by: By<'_>) -> Result<Done, Trouble> {
    act(path, by, |records| {
        let id = block_named(records, block)?;
        let (shape, repairs) = shape_from_lon_lat(geojson, &records.programme, &records.blocks)?;
        let block = block_mut(records, id.as_str())?;
        let before = std::mem::replace(&mut block.shape, shape).unsigned_area();
        let now = block.shape.unsigned_area();
        let what = format!("block {id} redrawn: {} before, {} now", spoken(records, before), spoken(records, now));
        let mut notices = repairs;
        notices.extend(moved_trees(records));
        notices.extend(plots_outside(records, &id));
        notices.extend(neighbours(records, &id));
        Ok(Done::new(what, id.as_str()).with(notices))
    })
}

fn moved_trees(records: &mut Records) -> Option<Problem> {
    let before: Vec<Option<BlockId>> = records.trees.iter_mut().map(|t| t.block.take()).collect();
    crownhold_data::formats::place_trees(records);
    let moved = records.trees.iter().zip(&before).filter(|(t, b)| t.block != **b).count();
    (moved > 0).then(|| {
        let what = format!("Trees that stand in another block now, or in none: {moved}.");
        Problem::notice("A-125", what, "They were looked up again.")
    })
}

fn plots_outside(records: &Records, id: &BlockId) -> Option<Problem> {
    let outside: Vec<&str> = records
        .plots
        .iter()
        .filter(|p| p.block == *id && p.place.is_some_and(|at| block_at(&records.blocks, at).as_ref() != Some(id)))
        .map(|p| p.id.as_str())
        .collect();
    (!outside.is_empty()).then(|| {
        let what = format!("Plots of block {id} that lie outside it now: {}.", outside.join(", "));
        Problem::notice("A-126", what, "They still count for it.")
    })
}

fn neighbours(records: &Records, id: &BlockId) -> Vec<Problem> {
    let Some(at) = records.block_index(id) else { return Vec::new() };
    let others = records.blocks.iter().filter(|b| b.id != *id).map(|b| (&b.id, &b.shape));
    overlaps(&records.blocks[at].shape, others)
        .into_iter()
        .map(|(other, area)| {
            let what = format!("Blocks {id} and {other} overlap by {}.", spoken(records, area));
            Problem::notice("A-127", what, "The ground there counts twice; mend it if that matters.")
        })
        .collect()
}
