//! Survey plots.

use std::collections::{BTreeMap, BTreeSet};

use crownhold::types::{Area, BlockId, Length, Plot, PlotId, PlotMethod, Problem};

use super::areas::{self, fields};
use super::cells::{self, grounds, lengths, maybe_numbers};
use super::columns::{Columns, Field, Measure};
use super::job::{Job, merge, note_doubles};
use super::keep::Kept;
use super::methods::{self, Method, is_prism};
use super::places::{self, X};
use super::table::Table;
use super::trees::Finder;
use super::words::{Word, readings};

fields! {
    /// The plot's own number.
    ID = "id", Plain, ["plotid", "plot", "plotno", "plotnumber", "plotnum", "plotname", "id", "objectid", "fid", "gid"];
    /// Block it lies in.
    BLOCK = "block", Plain, ["block", "blockid", "blockno", "blocknumber", "unit", "unitid"];
    /// How it is counted.
    METHOD = "method", Plain, ["method", "plotmethod", "type", "plottype", "kind"];
    /// Counted area.
    AREA = "area", Area, ["area", "plotarea", "size", "plotsize", "countedarea", "lotarea", "fixedarea"];
    /// Radius of a circle.
    RADIUS = "radius", Length, ["radius", "plotradius", "fixedradius"];
    /// Side of a square.
    SIDE = "side", Length, ["side", "sidelength", "plotside"];
    /// Basal area factor of a prism, square feet per acre.
    BAF = "baf", Plain, ["baf", "basalareafactor", "prism", "prismfactor"];
    /// Easting or longitude.
    EAST = "x", Plain, ["x", "lon", "long", "longitude", "lng", "easting", "east", "xcoord", "xcoordinate", "coordx", "pointx", "utmx", "utme"];
    /// Northing or latitude.
    NORTH = "y", Plain, ["y", "lat", "latitude", "northing", "north", "ycoord", "ycoordinate", "coordy", "pointy", "utmy", "utmn"];
}

const METHODS: [&str; 7] = ["fixed radius", "square", "whole lot", "prism", "timed walk", "burlap", "trap"];
/// What a plot area may sensibly be, in square metres: a square metre to a whole woodlot.
pub const AREAS: (f64, f64) = (1.0, 200_000.0);

/// Takes plots over.
pub(super) fn take(job: &mut Job<'_>, table: &Table) {
    debug_assert!(EAST.name == X.name && NORTH.name == places::Y.name, "places look for the same fields");
    let columns = Columns::find(job, table, FIELDS);
    let Some(id_column) = columns.need(job, table, &ID).cloned() else { return };
    let old = known_plots(job, table, &columns);
    let methods = methods(job, table, &columns, &old);
    let sizes = sizes(job, table, &columns);
    let placed = table.spatial || columns.get(X.name).is_some();
    let points = if placed { places::points(job, table, &columns) } else { Some(vec![None; table.len()]) };
    let Some(points) = points else { return };
    let finder = Finder::new(&job.draft.blocks);
    let known: BTreeSet<BlockId> = job.draft.blocks.iter().map(|b| b.id.clone()).collect();
    let mut found = Vec::new();
    for (row, point) in points.iter().enumerate() {
        let named = cells::text(table, &columns, &BLOCK, row).map(BlockId::from);
        found.push((named, point.and_then(|p| finder.block_at(p))));
    }
    let mut incoming = Vec::new();
    let mut kept = Kept::default();
    let mut ids = Vec::new();
    for (row, (named, lies_in)) in found.into_iter().enumerate() {
        let Some(id) = cells::text(table, &columns, &ID, row) else {
            job.note(cells::bad_cell("I-214", "The row has no id.".to_owned(), table, row, &id_column));
            continue;
        };
        ids.push((id.to_owned(), table.number(row)));
        let old = old[row].as_ref();
        let named = if lies_in.is_none() {
            kept.or_known(&BLOCK, "blocks", named, old.map(|p| p.block.clone()))
        } else {
            named
        };
        let block = block_of(job, id, named, lies_in, &known, table.number(row));
        let said = methods[row].map(|m| m.method);
        let method = kept.or_known(&METHOD, "methods", said, old.map(|p| p.method)).unwrap_or(PlotMethod::FixedRadius);
        let size = size_of(&sizes, row, methods[row].and_then(|m| m.area));
        // The size of a plot that is counted in another way now says nothing.
        let known_size = old.filter(|p| p.method.word() == method.word()).and_then(|p| p.area);
        let area = kept.or_known(&AREA, "sizes", size, known_size);
        check_area(job, table, row, id, method, area, &sizes);
        let place = kept.or_known(&EAST, "positions", points[row], old.and_then(|p| p.place));
        if let Some(block) = block {
            incoming.push(Plot { id: PlotId::new(id), block, place, method, area });
        }
    }
    kept.note(job, &columns);
    note_doubles(job, "plot", ids.into_iter());
    job.report.taken = merge(&mut job.draft.plots, incoming, |p| p.id.clone());
}

/// The block a plot names, else the one it lies in.
fn block_of(
    job: &mut Job<'_>,
    id: &str,
    named: Option<BlockId>,
    lies_in: Option<BlockId>,
    known: &BTreeSet<BlockId>,
    row: u64,
) -> Option<BlockId> {
    match (named, lies_in) {
        (Some(named), _) if !known.contains(&named) => {
            areas::unknown_block(job, &named, row);
            None
        }
        (Some(named), Some(lies_in)) if named != lies_in => {
            let what = format!("The plot names block {named} but lies in block {lies_in}.");
            job.note(
                Problem::notice("I-511", what, "The named block was taken; check the position.")
                    .row(row)
                    .item(format!("plot {id}")),
            );
            Some(named)
        }
        (Some(named), _) => Some(named),
        (None, Some(lies_in)) => Some(lies_in),
        (None, None) => {
            let what = "The plot names no block and lies in none.";
            job.note(
                Problem::error("I-512", what, "Give it a block, or a position inside one.")
                    .row(row)
                    .item(format!("plot {id}")),
            );
            None
        }
    }
}

/// The method of each row, with the area where its words give one; `None` where neither they nor a factor do.
fn methods(job: &mut Job<'_>, table: &Table, columns: &Columns, old: &[Option<Plot>]) -> Vec<Option<Method>> {
    let factors = maybe_numbers(job, table, columns, &BAF);
    let mut methods = readings(job, table, columns, &METHOD, method, &METHODS);
    let mut silent = 0;
    for (row, read) in methods.iter_mut().enumerate() {
        let said = read.map(|m| m.method);
        let known = old[row].as_ref().map(|p| p.method);
        silent += usize::from(said.is_none() && factors[row].is_none() && known.is_none());
        let lacks_factor = matches!(said, Some(PlotMethod::Prism { basal_area_factor }) if basal_area_factor.is_nan());
        let method = match (factors[row], known.filter(|k| is_prism(*k))) {
            (Some(factor), _) if said.is_none_or(is_prism) => PlotMethod::Prism { basal_area_factor: factor },
            (None, Some(known)) if lacks_factor => known,
            _ => {
                if lacks_factor {
                    no_factor(job, table.number(row));
                }
                continue;
            }
        };
        *read = Some(Method { method, area: read.and_then(|m| m.area) });
    }
    if silent > 0 {
        let what = format!("Plots that do not say how they are counted: {silent}.");
        job.note(Problem::notice("I-514", what, "They were taken as fixed radius plots."));
    }
    methods
}

fn no_factor(job: &mut Job<'_>, row: u64) {
    let what = "A prism plot needs its basal area factor.";
    let problem = Problem::error("I-513", what, "Give a column baf, in square feet per acre.").row(row);
    job.note(problem.expected("a factor such as 10"));
}

/// A plain name is sure; a size makes the form likely (a plot of 1/40 acre is a circle, a length its radius).
fn method(word: &str) -> Option<Word<Method>> {
    if let Some(method) = methods::by_name(word) {
        return Some(Word::Sure(Method { method, area: None }));
    }
    let read = methods::by_size(word)?;
    let meaning = match (read.method, read.area) {
        (PlotMethod::Prism { basal_area_factor }, _) => format!("prism with factor {basal_area_factor}"),
        (method, Some(area)) => format!("{}, {:.2} m2", method.word(), area.as_square_metres()),
        (method, None) => method.word().to_owned(),
    };
    Some(Word::Likely(read, meaning))
}

struct Sizes {
    /// A unit is missing and was asked for; then sizes are not missed a second time.
    asked: bool,
    areas: Vec<Option<Area>>,
    radii: Vec<Option<Length>>,
    sides: Vec<Option<Length>>,
}

fn sizes(job: &mut Job<'_>, table: &Table, columns: &Columns) -> Sizes {
    let areas = grounds(job, table, columns, &AREA);
    let radii = lengths(job, table, columns, &RADIUS);
    let sides = lengths(job, table, columns, &SIDE);
    Sizes { asked: job.report.problems.iter().any(|p| p.code == "I-205"), areas, radii, sides }
}

fn circle(radius: Length) -> Area {
    Area::square_metres(radius.as_metres() * radius.as_metres() * std::f64::consts::PI)
}

/// The counted area: as given, else from radius or side, else from the words of the method.
fn size_of(sizes: &Sizes, row: usize, in_words: Option<Area>) -> Option<Area> {
    let square = |l: Length| Area::square_metres(l.as_metres() * l.as_metres());
    sizes.areas[row].or(sizes.radii[row].map(circle)).or(sizes.sides[row].map(square)).or(in_words)
}

/// An area count without a size, or with one that cannot be, is an error.
fn check_area(
    job: &mut Job<'_>,
    table: &Table,
    row: usize,
    id: &str,
    method: PlotMethod,
    area: Option<Area>,
    sizes: &Sizes,
) {
    let about = |p: Problem| p.row(table.number(row)).item(format!("plot {id}"));
    let differs =
        |a: Area| sizes.areas[row].is_some() && sizes.radii[row].is_some_and(|r| ((circle(r) / a) - 1.0).abs() > 0.05);
    match area {
        None if method.is_area_count() && !sizes.asked => {
            let what = format!("The {} plot has no size.", method.word());
            job.note(about(Problem::error("I-515", what, "Give a column radius, side or area with its unit.")));
        }
        Some(a) if !(AREAS.0..=AREAS.1).contains(&a.as_square_metres()) => {
            let what = format!("A plot of {:.2} square metres.", a.as_square_metres());
            let problem = Problem::error("I-516", what, "Check the unit of its size.");
            job.note(about(problem.expected("1 to 200,000 square metres")));
        }
        Some(a) if differs(a) => {
            let what = "Area and radius of the plot do not fit each other.";
            job.note(about(Problem::notice("I-517", what, "The area was taken.")));
        }
        _ => {}
    }
}

/// The plot of each row as it is known so far.
fn known_plots(job: &Job<'_>, table: &Table, columns: &Columns) -> Vec<Option<Plot>> {
    let old: BTreeMap<&str, &Plot> = job.draft.plots.iter().map(|p| (p.id.as_str(), p)).collect();
    let known = |row| cells::text(table, columns, &ID, row).and_then(|id| old.get(id).map(|p| (*p).clone()));
    (0..table.len()).map(known).collect()
}
