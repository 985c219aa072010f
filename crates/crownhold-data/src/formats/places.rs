//! Positions and outlines brought into the programme's own system, or a plain word why that cannot be.

use crownhold::types::Problem;
use geo::{BoundingRect as _, Coord, CoordsIter as _, Geometry, MapCoords as _, MultiLineString, MultiPolygon, Point};

use super::cells;
use super::columns::{Columns, Field, Measure};
use super::crs::Crs;
use super::job::Job;
use super::kinds;
use super::shapes::{Outline, mend};
use super::table::{Declared, Table};

/// Positions farther than this from the middle of their file, or from the blocks, are taken as wrong.
const FAR_METRES: f64 = 200_000.0;

/// Easting or longitude of a text table.
pub(super) const X: Field = Field {
    name: "x",
    measure: Measure::Plain,
    ways: &[
        "x",
        "lon",
        "long",
        "longitude",
        "lng",
        "easting",
        "east",
        "xcoord",
        "xcoordinate",
        "coordx",
        "pointx",
        "utmx",
        "utme",
    ],
};
/// Northing or latitude of a text table.
pub(super) const Y: Field = Field {
    name: "y",
    measure: Measure::Plain,
    ways: &["y", "lat", "latitude", "northing", "north", "ycoord", "ycoordinate", "coordy", "pointy", "utmy", "utmn"],
};
const LONGITUDES: [&str; 4] = ["lon", "long", "longitude", "lng"];

/// What the coordinates of a file turn out to be.
enum Verdict {
    Fine,
    Swapped,
    Wrong(String),
}

/// From the file's system to the programme's, once it is known that the coordinates fit.
pub(super) struct Way {
    from: Crs,
    own: Crs,
    swapped: bool,
    middle: Coord<f64>,
}

impl Way {
    fn bring(&self, at: Coord<f64>) -> Option<Coord<f64>> {
        let at = if self.swapped { Coord { x: at.y, y: at.x } } else { at };
        if self.from.name() == self.own.name() {
            // Nothing to do, and not a nanometre of rounding either.
            return Some(at);
        }
        self.from.to(&self.own, at.x, at.y).map(|(x, y)| Coord { x, y })
    }

    fn is_far(&self, at: Coord<f64>) -> bool {
        (at.x - self.middle.x).hypot(at.y - self.middle.y) > FAR_METRES
    }
}

/// The points of a table, in the programme's system; `None` where a row has none.
/// Returns `None` after an error was noted.
pub(super) fn points(job: &mut Job<'_>, table: &Table, columns: &Columns) -> Option<Vec<Option<Point<f64>>>> {
    let raw = if table.spatial { shape_points(job, table) } else { column_points(job, table, columns)? };
    if raw.iter().all(Option::is_none) {
        return Some(vec![None; table.len()]);
    }
    let declared = if table.spatial { table.declared.clone() } else { text_crs(job, table, columns)? };
    let way = way(job, &declared, &raw)?;
    let mut placed = Vec::with_capacity(raw.len());
    for (row, at) in raw.into_iter().enumerate() {
        placed.push(at.and_then(|at| place(job, table, &way, row, at)).map(Point));
    }
    Some(placed)
}

fn place(job: &mut Job<'_>, table: &Table, way: &Way, row: usize, at: Coord<f64>) -> Option<Coord<f64>> {
    let placed = way.bring(at);
    if placed.is_none_or(|p| way.is_far(p)) {
        let what = format!("The position {} lies far from all others.", spot(at));
        let problem =
            Problem::error("I-308", what, "Correct the position, or take the row out.").row(table.number(row));
        job.note(problem.expected(format!("a position within {} km of the others", FAR_METRES / 1000.0)));
        return None;
    }
    placed
}

fn shape_points(job: &mut Job<'_>, table: &Table) -> Vec<Option<Coord<f64>>> {
    kinds::note_wrong(job, table, kinds::Needed::Points);
    let at = |row: usize| match table.shape(row).map(|s| &s.geometry) {
        Some(Geometry::Point(p)) if p.x().is_finite() && p.y().is_finite() => Some(p.0),
        _ => None,
    };
    (0..table.len()).map(at).collect()
}

fn column_points(job: &mut Job<'_>, table: &Table, columns: &Columns) -> Option<Vec<Option<Coord<f64>>>> {
    let (x, y) = (columns.get(X.name)?.clone(), columns.get(Y.name)?.clone());
    let (xs, ys) = (cells::numbers(job, table, &x), cells::numbers(job, table, &y));
    Some(xs.into_iter().zip(ys).map(|(x, y)| Some(Coord { x: x?, y: y? })).collect())
}

/// A text table has no place for its system: longitude and latitude columns speak for themselves,
/// anything else is asked for.
fn text_crs(job: &mut Job<'_>, table: &Table, columns: &Columns) -> Option<Declared> {
    if let Declared::Known(crs) = &table.declared {
        return Some(Declared::Known(crs.clone()));
    }
    let header = columns.get(X.name).map(|c| c.header.to_lowercase()).unwrap_or_default();
    let plain: String = header.chars().filter(char::is_ascii_alphanumeric).collect();
    if LONGITUDES.contains(&plain.as_str()) {
        return Crs::epsg(4326).ok().map(Declared::Known);
    }
    let what = format!("It is not said which coordinate system the columns \"{header}\" and its partner are in.");
    job.note(Problem::error("I-306", what, "Say it with --crs EPSG:NUMBER.").column(header));
    None
}

/// The outlines of a table, in the programme's system and mended; `None` where a row has none or it
/// cannot be used (noted). `name` tells what a row is about.
pub(super) fn outlines(
    job: &mut Job<'_>,
    table: &Table,
    name: impl Fn(usize) -> String,
) -> Option<Vec<Option<MultiPolygon<f64>>>> {
    kinds::note_wrong(job, table, kinds::Needed::Outlines);
    if !kinds::has_outlines(table) {
        kinds::note_none(job, table, kinds::Needed::Outlines);
        return None;
    }
    // One corner each is enough to know where the layer lies, and a wild corner elsewhere does no harm.
    let corners: Vec<Option<Coord<f64>>> =
        (0..table.len()).map(|r| table.shape(r).and_then(|s| s.geometry.coords_iter().next())).collect();
    let declared = table.declared.clone();
    let way = way(job, &declared, &corners)?;
    let mut made = Vec::with_capacity(table.len());
    for row in 0..table.len() {
        made.push(outline(job, table, &way, row, &name(row)));
    }
    Some(made)
}

/// The lines of a table, in the programme's system; `None` where a row has none or it cannot be used (noted).
pub(super) fn lines(
    job: &mut Job<'_>,
    table: &Table,
    name: impl Fn(usize) -> String,
) -> Option<Vec<Option<MultiLineString<f64>>>> {
    kinds::note_wrong(job, table, kinds::Needed::Lines);
    let raw = |row: usize| match table.shape(row).map(|s| &s.geometry) {
        Some(Geometry::LineString(line)) => Some(MultiLineString(vec![line.clone()])),
        Some(Geometry::MultiLineString(lines)) => Some(lines.clone()),
        _ => None,
    };
    let all: Vec<Option<MultiLineString<f64>>> = (0..table.len()).map(raw).collect();
    let corners: Vec<_> = all.iter().map(|l| l.as_ref().and_then(|l| l.coords_iter().next())).collect();
    if corners.iter().all(Option::is_none) {
        kinds::note_none(job, table, kinds::Needed::Lines);
        return None;
    }
    let declared = table.declared.clone();
    let way = way(job, &declared, &corners)?;
    let mut made = Vec::with_capacity(table.len());
    for (row, lines) in all.into_iter().enumerate() {
        made.push(lines.and_then(|lines| line(job, table, &way, row, &lines, &name(row))));
    }
    Some(made)
}

fn line(
    job: &mut Job<'_>,
    table: &Table,
    way: &Way,
    row: usize,
    lines: &MultiLineString<f64>,
    item: &str,
) -> Option<MultiLineString<f64>> {
    let number = table.number(row);
    match lines.try_map_coords(|c| way.bring(c).filter(|p| !way.is_far(*p)).ok_or(c)) {
        Ok(placed) => {
            let whole: Vec<_> = placed.0.into_iter().filter(|l| l.0.len() > 1).collect();
            if whole.is_empty() {
                let problem = Problem::repaired("I-408", "The line has no length.", "The row was left out.");
                job.note(problem.row(number).item(item));
                return None;
            }
            Some(MultiLineString(whole))
        }
        Err(at) => {
            let what = format!("The corner {} lies far from all others.", spot(at));
            job.note(Problem::error("I-308", what, "Correct the line, or take the row out.").row(number).item(item));
            None
        }
    }
}

fn outline(job: &mut Job<'_>, table: &Table, way: &Way, row: usize, item: &str) -> Option<MultiPolygon<f64>> {
    let number = table.number(row);
    let shape = table.shape(row);
    let raw = match shape.map(|s| &s.geometry) {
        Some(Geometry::MultiPolygon(raw)) => raw,
        // Points and lines were noted for the layer as a whole.
        Some(_) => return None,
        None => {
            let problem = Problem::error("I-406", "The row has no shape.", "Draw it again or take the row out.");
            job.note(problem.row(number).item(item));
            return None;
        }
    };
    let placed = raw.try_map_coords(|c| way.bring(c).filter(|p| !way.is_far(*p)).ok_or(c));
    match placed {
        Ok(placed) => mend(job, &placed, &Outline { item, row: number, unclosed: shape.map_or(0, |s| s.unclosed) }),
        Err(at) => {
            let what = format!("The corner {} lies far from all others.", spot(at));
            job.note(Problem::error("I-308", what, "Correct the shape, or take the row out.").row(number).item(item));
            None
        }
    }
}

/// Decides how the coordinates of a file are to be taken; `None` after an error was noted.
fn way(job: &mut Job<'_>, declared: &Declared, raw: &[Option<Coord<f64>>]) -> Option<Way> {
    let own = job.own_crs()?;
    let middle = middle(raw)?;
    let from = known(job, declared, middle)?;
    let swapped = match verdict(&from, &own, middle) {
        Verdict::Fine => false,
        Verdict::Swapped => {
            let what =
                format!("The coordinates (such as {}) have their order reversed for {}.", spot(middle), from.name());
            job.note(Problem::repaired("I-307", what, "First and second were exchanged."));
            true
        }
        Verdict::Wrong(what) => {
            let remedy = "Say the right system with --crs EPSG:NUMBER, or reproject the layer.";
            job.note(Problem::error("I-307", what, remedy).expected(format!("coordinates in {}", from.name())));
            return None;
        }
    };
    let mut way = Way { from, own, swapped, middle };
    way.middle = way.bring(middle)?;
    near_blocks(job, &way)?;
    Some(way)
}

fn known(job: &mut Job<'_>, declared: &Declared, middle: Coord<f64>) -> Option<Crs> {
    let (code, what) = match declared {
        Declared::Known(crs) => return Some(crs.clone()),
        Declared::Unclear(why) => ("I-303", why.clone()),
        Declared::Missing | Declared::NoPlace => {
            let what = format!(
                "The layer does not say its coordinate system (no .prj). Its numbers, such as {}, {}.",
                spot(middle),
                look(middle)
            );
            ("I-305", what)
        }
    };
    let remedy = "Say it with --crs EPSG:NUMBER; whoever made the layer knows it. It is not guessed.";
    job.note(Problem::error(code, what, remedy));
    None
}

/// The middle of the positions, each axis by itself, so that a few wild ones do not move it.
fn middle(raw: &[Option<Coord<f64>>]) -> Option<Coord<f64>> {
    let median = |f: fn(&Coord<f64>) -> f64| {
        let mut values: Vec<f64> = raw.iter().flatten().map(f).filter(|v| v.is_finite()).collect();
        values.sort_by(f64::total_cmp);
        values.get(values.len() / 2).copied()
    };
    Some(Coord { x: median(|c| c.x)?, y: median(|c| c.y)? })
}

/// A position for messages: no more digits than anyone needs to find it.
fn spot(at: Coord<f64>) -> String {
    let places = if in_degrees(at) { 1e6 } else { 1e2 };
    format!("{}, {}", (at.x * places).round() / places, (at.y * places).round() / places)
}

/// What numbers look like to someone who has seen many layers.
fn look(at: Coord<f64>) -> &'static str {
    if in_degrees(at) || in_degrees(Coord { x: at.y, y: at.x }) {
        "look like longitude and latitude"
    } else {
        "look like feet or metres of a projected system"
    }
}

fn in_degrees(at: Coord<f64>) -> bool {
    at.x.abs() <= 180.0 && at.y.abs() <= 90.0
}

fn verdict(from: &Crs, own: &Crs, at: Coord<f64>) -> Verdict {
    let turned = Coord { x: at.y, y: at.x };
    // Does a longitude and latitude lie where the programme's own system is used?
    let home = |lon: f64, lat: f64| {
        let here = Crs::epsg(4326).ok().and_then(|g| g.to(own, lon, lat));
        here.is_some_and(|(x, y)| own.is_plausible(x, y))
    };
    if from.is_geographic() {
        return match (in_degrees(at) && home(at.x, at.y), in_degrees(turned) && home(turned.x, turned.y)) {
            (true, _) => Verdict::Fine,
            (false, true) => Verdict::Swapped,
            _ => Verdict::Wrong(not_here(from, own, at)),
        };
    }
    let fits =
        |c: Coord<f64>| from.is_plausible(c.x, c.y) && from.lon_lat(c.x, c.y).is_some_and(|(lon, lat)| home(lon, lat));
    if in_degrees(at) || in_degrees(turned) {
        let what = format!(
            "The coordinates, such as {}, look like longitude and latitude, not like {}.",
            spot(at),
            from.name()
        );
        return Verdict::Wrong(what);
    }
    match (fits(at), fits(turned)) {
        (true, _) => Verdict::Fine,
        (false, true) => Verdict::Swapped,
        _ => Verdict::Wrong(wrong_unit(from, at, fits).unwrap_or_else(|| not_here(from, own, at))),
    }
}

/// Would they fit as feet, or as metres?
fn wrong_unit(from: &Crs, at: Coord<f64>, fits: impl Fn(Coord<f64>) -> bool) -> Option<String> {
    let scaled = |by: f64| Coord { x: at.x * by, y: at.y * by };
    let per_unit = from.metres_per_unit();
    let (seen, due) = if per_unit == 1.0 { ("feet", "metres") } else { ("metres", "feet") };
    let by = if per_unit == 1.0 { 0.3048 } else { 1.0 / per_unit };
    fits(scaled(by))
        .then(|| format!("The coordinates, such as {}, look like {seen}; {} is in {due}.", spot(at), from.name()))
}

fn not_here(from: &Crs, own: &Crs, at: Coord<f64>) -> String {
    let base = format!("The coordinates, such as {}, do not fit {}", spot(at), from.name());
    match from.lon_lat(at.x, at.y).filter(|_| !from.is_geographic() || in_degrees(at)) {
        Some((lon, lat)) => {
            format!(
                "{base}: they would lie at longitude {lon:.2}, latitude {lat:.2}, where {} is not used.",
                own.name()
            )
        }
        None => format!("{base}; they {}.", look(at)),
    }
}

/// Layers that lie far from the blocks that are there belong to another city or another system.
fn near_blocks(job: &mut Job<'_>, way: &Way) -> Option<()> {
    let centres = job.draft.blocks.iter().filter_map(|b| b.shape.bounding_rect()).map(|r| r.center());
    let nearest = centres.map(|c| (c.x - way.middle.x).hypot(c.y - way.middle.y)).min_by(f64::total_cmp);
    if let Some(nearest) = nearest.filter(|n| *n > FAR_METRES) {
        let what = format!("The layer lies {:.0} km from the nearest block.", nearest / 1000.0);
        let remedy = "Check its coordinate system, or whether it belongs to this programme.";
        job.note(Problem::error("I-309", what, remedy));
        return None;
    }
    Some(())
}
