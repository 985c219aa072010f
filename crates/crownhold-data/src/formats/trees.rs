//! The tree inventory.

use std::collections::BTreeMap;

use crownhold::types::species::{self, Recognised};
use crownhold::types::{Block, BlockId, Length, Problem, SpeciesRule, Tree, TreeId};
use geo::{BoundingRect as _, Contains as _, Intersects as _, Point, Rect};

use super::areas::fields;
use super::cells::{self, lengths};
use super::columns::{Column, Columns, Field, Measure};
use super::job::{Job, merge, note_doubles};
use super::keep::Kept;
use super::places::{self, X, Y};
use super::table::Table;
use super::words::choices;

fields! {
    /// The inventory's own number.
    ID = "id", Plain, ["treeid", "tree", "treeno", "treenumber", "treenum", "inventoryid", "assetid", "siteid", "tag", "tagnumber", "id", "objectid", "fid", "gid"];
    /// Species as written.
    SPECIES = "species", Plain, ["species", "speciesname", "scientificname", "scientific", "latinname", "botanicalname", "botanical", "commonname", "common", "spp", "treespecies", "spccommon", "spclatin", "genusspecies"];
    /// Diameter at breast height.
    DBH = "dbh", Length, ["dbh", "diameter", "trunkdiameter", "diam", "diameteratbreastheight", "treedbh", "stemdiameter"];
    /// Tree of the city?
    PUBLIC = "public", Plain, ["public", "ispublic", "publictree", "cityowned", "citytree", "ownership", "owner"];
    /// Easting or longitude.
    EAST = "x", Plain, ["x", "lon", "long", "longitude", "lng", "easting", "east", "xcoord", "xcoordinate", "coordx", "pointx", "utmx", "utme"];
    /// Northing or latitude.
    NORTH = "y", Plain, ["y", "lat", "latitude", "northing", "north", "ycoord", "ycoordinate", "coordy", "pointy", "utmy", "utmn"];
}

/// Trunks thicker than this are taken for a unit mistake, in metres.
const THICKEST: f64 = 4.0;

/// Takes trees over.
pub(super) fn take(job: &mut Job<'_>, table: &Table) {
    debug_assert!(EAST.name == X.name && NORTH.name == Y.name, "places look for the same fields");
    let columns = Columns::find(job, table, FIELDS);
    let id_column = columns.need(job, table, &ID).cloned();
    let species = columns.need(job, table, &SPECIES).is_some();
    if !table.spatial {
        columns.need(job, table, &X);
        columns.need(job, table, &Y);
    }
    let dbh = lengths(job, table, &columns, &DBH);
    check_trunks(job, table, &dbh);
    let public = choices(job, table, &columns, &PUBLIC, is_public, &["yes", "no", "public", "private"]);
    if columns.get(PUBLIC.name).is_none() {
        job.note(Problem::notice(
            "I-508",
            "No column says whose trees these are.",
            "New trees were taken as trees of the city.",
        ));
    }
    let points = places::points(job, table, &columns);
    let (Some(id_column), true, Some(points)) = (id_column, species, points) else { return };
    let ids = ids(job, table, &columns, &id_column);
    let rows = Rows { ids, points, dbh, public };
    let incoming = collect(job, table, &columns, rows);
    note_names(job, &incoming);
    note_outside(job, &incoming);
    job.report.taken = merge(&mut job.draft.trees, incoming, |t| t.id.clone());
}

/// Everything the columns say, row by row.
struct Rows {
    ids: Vec<Option<TreeId>>,
    points: Vec<Option<Point<f64>>>,
    dbh: Vec<Option<Length>>,
    public: Vec<Option<bool>>,
}

/// The id of each row; one without, or one that stands twice, is noted.
fn ids(job: &mut Job<'_>, table: &Table, columns: &Columns, id_column: &Column) -> Vec<Option<TreeId>> {
    let mut ids = Vec::with_capacity(table.len());
    for row in 0..table.len() {
        let id = cells::text(table, columns, &ID, row);
        if id.is_none() {
            job.note(cells::bad_cell("I-214", "The row has no id.".to_owned(), table, row, id_column));
        }
        ids.push(id.map(TreeId::new));
    }
    let present = ids.iter().enumerate().filter_map(|(r, id)| Some((id.as_ref()?.to_string(), table.number(r))));
    note_doubles(job, "tree", present);
    ids
}

/// Rows to trees, laid over what is known of them.
fn collect(job: &mut Job<'_>, table: &Table, columns: &Columns, rows: Rows) -> Vec<Tree> {
    let finder = Finder::new(&job.draft.blocks);
    let blocks: Vec<_> = rows.points.iter().map(|p| p.and_then(|p| finder.block_at(p))).collect();
    let table_of_species = job.draft.species.clone();
    let mut names = Names { table: &table_of_species, known: BTreeMap::new() };
    let old: BTreeMap<TreeId, Tree> = job.draft.trees.iter().map(|t| (t.id.clone(), t.clone())).collect();
    let mut kept = Kept::default();
    let mut trees = Vec::with_capacity(table.len());
    for (row, (id, block)) in rows.ids.into_iter().zip(blocks).enumerate() {
        let Some(id) = id else { continue };
        let (old, place) = (old.get(&id), rows.points[row]);
        let block = if place.is_some() { block } else { old.and_then(|t| t.block.clone()) };
        let Some(place) = kept.or_known(&EAST, "positions", place, old.map(|t| t.place)) else {
            let problem = Problem::error("I-409", "The tree has no position.", "Give it one, or take the row out.");
            job.note(problem.row(table.number(row)).item(format!("tree {id}")));
            continue;
        };
        let name = cells::text(table, columns, &SPECIES, row).map(str::to_owned);
        let known_name = old.map(|t| t.species.clone()).filter(|n| !n.is_empty());
        let name = kept.or_known(&SPECIES, "species names", name, known_name).unwrap_or_default();
        let trunk = rows.dbh[row].filter(|d| d.as_metres() > 0.0);
        trees.push(Tree {
            id,
            block,
            place,
            class: names.look_up(&name).map(|found| found.rule.class),
            species: name,
            dbh: kept.or_known(&DBH, "diameters", trunk, old.and_then(|t| t.dbh)),
            public: kept.or_known(&PUBLIC, "owners", rows.public[row], old.map(|t| t.public)).unwrap_or(true),
        });
    }
    kept.note(job, columns);
    trees
}

fn is_public(word: &str) -> Option<bool> {
    match word.to_lowercase().as_str() {
        "public" | "city" | "municipal" | "town" => Some(true),
        "private" => Some(false),
        other => cells::yes(other),
    }
}

/// A trunk of more than four metres is a diameter in another unit, or a circumference.
fn check_trunks(job: &mut Job<'_>, table: &Table, dbh: &[Option<Length>]) {
    for (row, trunk) in dbh.iter().enumerate() {
        if let Some(trunk) = trunk.filter(|t| t.as_metres() > THICKEST) {
            let what = format!("A trunk {:.1} m thick.", trunk.as_metres());
            let remedy = "Check the unit of the column (--unit dbh=...), or correct the cell.";
            job.note(Problem::error("I-215", what, remedy).row(table.number(row)).expected("a diameter below 4 m"));
        }
    }
}

/// How many names are listed in one message.
const NAMES_LISTED: usize = 20;

/// What the inventory's names are to the species table, each name looked up once.
struct Names<'t> {
    table: &'t [SpeciesRule],
    known: BTreeMap<String, Option<Recognised<'t>>>,
}

impl<'t> Names<'t> {
    fn look_up(&mut self, name: &str) -> Option<Recognised<'t>> {
        if let Some(known) = self.known.get(name) {
            return *known;
        }
        let found = species::recognise(name, self.table);
        self.known.insert(name.to_owned(), found);
        found
    }
}

/// Names with their numbers of trees and what is said of each, as many as a reader takes in.
fn listed(names: &BTreeMap<String, (usize, String)>) -> String {
    let name = |(n, (count, more)): (&String, &(usize, String))| format!("{n} ({count}{more})");
    let text = names.iter().take(NAMES_LISTED).map(name).collect::<Vec<_>>().join(", ");
    match names.len().saturating_sub(NAMES_LISTED) {
        0 => text,
        more => format!("{text} and {more} more names"),
    }
}

/// Lists names that are unknown, with what they may be, and names that tell only the genus.
fn note_names(job: &mut Job<'_>, trees: &[Tree]) {
    let table = job.draft.species.clone();
    let mut names = Names { table: &table, known: BTreeMap::new() };
    let (mut unknown, mut genera) = (BTreeMap::new(), BTreeMap::new());
    for tree in trees {
        let count = match names.look_up(&tree.species) {
            None => {
                let name = if tree.species.is_empty() { "(blank)" } else { &tree.species };
                unknown.entry(name.to_owned())
            }
            Some(found) if found.genus_only => genera.entry(tree.species.clone()),
            Some(_) => continue,
        };
        count.or_insert((0, String::new())).0 += 1;
    }
    job.report.unknown_species = unknown.iter().map(|(name, (count, _))| (name.clone(), *count)).collect();
    for (name, (_, more)) in &mut unknown {
        *more = species::nearest(name, &table).map_or(String::new(), |near| format!("; did you mean {near}?"));
    }
    for (name, (_, more)) in &mut genera {
        *more = names.look_up(name).map_or(String::new(), |found| format!("; {}", found.rule.scientific));
    }
    let total = |names: &BTreeMap<String, (usize, String)>| names.values().map(|(n, _)| n).sum::<usize>();
    if !unknown.is_empty() {
        let (kinds, trees) = (unknown.len(), total(&unknown));
        let what =
            format!("Names that the species table does not know: {kinds}, on trees: {trees}. {}.", listed(&unknown));
        let remedy = "They were taken over without a host class. Add the names to the species table, or correct them.";
        job.note(Problem::notice("I-509", what, remedy));
    }
    if !genera.is_empty() {
        let (kinds, trees) = (genera.len(), total(&genera));
        let what = format!("Names known by their genus only: {kinds}, on trees: {trees}. {}.", listed(&genera));
        job.note(Problem::notice("I-527", what, "They were given the class of the genus."));
    }
}

/// Says how many trees stand outside all blocks.
fn note_outside(job: &mut Job<'_>, trees: &[Tree]) {
    let outside = trees.iter().filter(|t| t.block.is_none()).count();
    if outside > 0 {
        let what = format!("{outside} of {} trees stand in no block.", trees.len());
        let remedy = "They were taken over; import blocks that cover them if they should count.";
        job.note(Problem::notice("I-510", what, remedy));
    }
}

/// Finds the block at a place.
pub(super) struct Finder<'b> {
    blocks: Vec<(Rect<f64>, &'b Block)>,
}

impl<'b> Finder<'b> {
    pub fn new(blocks: &'b [Block]) -> Self {
        Self { blocks: blocks.iter().filter_map(|b| Some((b.shape.bounding_rect()?, b))).collect() }
    }
    /// The first block, in id order, that holds the place or has it on its edge.
    pub fn block_at(&self, place: Point<f64>) -> Option<BlockId> {
        let inside = |b: &&(Rect<f64>, &Block)| b.0.intersects(&place) && b.1.shape.contains(&place);
        let touching = |b: &&(Rect<f64>, &Block)| b.0.intersects(&place) && b.1.shape.intersects(&place);
        self.blocks.iter().find(inside).or_else(|| self.blocks.iter().find(touching)).map(|(_, b)| b.id.clone())
    }
}

/// Gives every tree that stands in no block the block it stands in, if there is one by now.
pub fn place_trees(records: &mut crownhold::types::Records) {
    let finder = Finder::new(&records.blocks);
    let found: Vec<Option<BlockId>> = records.trees.iter().map(|t| finder.block_at(t.place)).collect();
    for (tree, block) in records.trees.iter_mut().zip(found) {
        if tree.block.is_none() {
            tree.block = block;
        }
    }
}
