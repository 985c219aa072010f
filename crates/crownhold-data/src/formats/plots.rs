//! Survey plots.

use std::collections::BTreeSet;

use crownhold::types::{Area, BlockId, Length, Plot, PlotId, PlotMethod, Problem};

use super::areas::{self, fields};
use super::cells::{self, choices, grounds, lengths, maybe_numbers};
use super::columns::{Columns, Field, Measure};
use super::job::{Job, merge, note_doubles};
use super::places::{self, X};
use super::table::Table;
use super::trees::Finder;

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
/// What a plot area may sensibly be: a square metre to a whole woodlot.
const AREAS: (f64, f64) = (1.0, 200_000.0);

/// Takes plots over.
pub(super) fn take(job: &mut Job<'_>, table: &Table) {
    debug_assert!(EAST.name == X.name && NORTH.name == places::Y.name, "places look for the same fields");
    let columns = Columns::find(job, table, FIELDS);
    let Some(id_column) = columns.need(job, table, &ID).cloned() else { return };
    let methods = methods(job, table, &columns);
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
    let mut ids = Vec::new();
    for (row, (named, lies_in)) in found.into_iter().enumerate() {
        let Some(id) = cells::text(table, &columns, &ID, row) else {
            job.note(cells::bad_cell("I-214", "The row has no id.".to_owned(), table, row, &id_column));
            continue;
        };
        ids.push((id.to_owned(), table.number(row)));
        let block = block_of(job, id, named, lies_in, &known, table.number(row));
        let method = methods[row].unwrap_or(PlotMethod::FixedRadius);
        let area = area_of(job, table, row, id, method, &sizes);
        if let Some(block) = block {
            incoming.push(Plot { id: PlotId::new(id), block, place: points[row], method, area });
        }
    }
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

fn methods(job: &mut Job<'_>, table: &Table, columns: &Columns) -> Vec<Option<PlotMethod>> {
    let factors = maybe_numbers(job, table, columns, &BAF);
    let mut methods = choices(job, table, columns, &METHOD, method, &METHODS);
    let mut silent = 0;
    for (row, method) in methods.iter_mut().enumerate() {
        silent += usize::from(method.is_none() && factors[row].is_none());
        let is_prism = matches!(method, Some(PlotMethod::Prism { .. }));
        match (is_prism, factors[row]) {
            (_, Some(factor)) if is_prism || method.is_none() => {
                *method = Some(PlotMethod::Prism { basal_area_factor: factor })
            }
            (true, None) => {
                let what = "A prism plot needs its basal area factor.";
                let problem =
                    Problem::error("I-513", what, "Give a column baf, in square feet per acre.").row(table.number(row));
                job.note(problem.expected("a factor such as 10"));
            }
            _ => {}
        }
    }
    if silent > 0 {
        let what = format!("Plots that do not say how they are counted: {silent}.");
        job.note(Problem::notice("I-514", what, "They were taken as fixed radius plots."));
    }
    methods
}

fn method(word: &str) -> Option<PlotMethod> {
    let plain: String = word.chars().filter(char::is_ascii_alphanumeric).collect::<String>().to_lowercase();
    Some(match plain.as_str() {
        "fixedradius" | "fixed" | "circle" | "circular" | "radius" => PlotMethod::FixedRadius,
        "square" => PlotMethod::Square,
        "wholelot" | "lot" | "parcel" | "wholeparcel" => PlotMethod::WholeLot,
        "prism" | "variable" | "variableradius" | "fixedandvariableradius" => {
            PlotMethod::Prism { basal_area_factor: f64::NAN }
        }
        "timedwalk" | "walk" | "fiveminutewalk" => PlotMethod::TimedWalk,
        "burlap" | "band" => PlotMethod::Burlap,
        "trap" | "pheromonetrap" => PlotMethod::Trap,
        _ => return None,
    })
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

/// The counted area: as given, else from radius or side. An area count without it is an error.
fn area_of(job: &mut Job<'_>, table: &Table, row: usize, id: &str, method: PlotMethod, sizes: &Sizes) -> Option<Area> {
    let square = |l: Length, by: f64| Area::square_metres(l.as_metres() * l.as_metres() * by);
    let circle = sizes.radii[row].map(|r| square(r, std::f64::consts::PI));
    let side = sizes.sides[row].map(|s| square(s, 1.0));
    let area = sizes.areas[row].or(circle).or(side);
    let about = |p: Problem| p.row(table.number(row)).item(format!("plot {id}"));
    match area {
        None if method.is_area_count() && !sizes.asked => {
            let what = format!("The {} plot has no size.", method.word());
            job.note(about(Problem::error("I-515", what, "Give a column radius, side or area with its unit.")));
        }
        Some(a) if !(AREAS.0..=AREAS.1).contains(&a.as_square_metres()) => {
            let what = format!("A plot of {:.2} square metres.", a.as_square_metres());
            job.note(about(
                Problem::error("I-516", what, "Check the unit of its size.").expected("1 to 200,000 square metres"),
            ));
        }
        Some(a) if sizes.areas[row].is_some() && circle.is_some_and(|c| ((c / a) - 1.0).abs() > 0.05) => {
            let what = "Area and radius of the plot do not fit each other.";
            job.note(about(Problem::notice("I-517", what, "The area was taken.")));
        }
        _ => {}
    }
    area
}
