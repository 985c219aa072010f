//! Shapes of the wrong kind, or none at all: told once for a layer, with what was found and what is needed.

use crownhold::types::Problem;
use geo::Geometry;

use super::job::Job;
use super::report::Kind;
use super::table::Table;
use super::words::rows;

/// What a layer must hold.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Needed {
    /// One point for each row.
    Points,
    /// One outline for each row.
    Outlines,
    /// One line, or several that belong together, for each row.
    Lines,
}

impl Needed {
    fn word(self) -> &'static str {
        match self {
            Self::Points => "points",
            Self::Outlines => "areas (polygons)",
            Self::Lines => "lines",
        }
    }
}

fn word(geometry: &Geometry<f64>) -> &'static str {
    match geometry {
        Geometry::Point(_) => "points",
        Geometry::MultiPoint(_) => "groups of points",
        Geometry::Line(_) | Geometry::LineString(_) | Geometry::MultiLineString(_) => "lines",
        Geometry::Polygon(_) | Geometry::MultiPolygon(_) => "areas (polygons)",
        _ => "shapes of a kind that is not read",
    }
}

/// Notes, once for each kind, the shapes that are not of the kind needed.
pub(super) fn note_wrong(job: &mut Job<'_>, table: &Table, needed: Needed) {
    let mut wrong: Vec<(&'static str, Vec<u64>)> = Vec::new();
    for row in 0..table.len() {
        let Some(found) = table.shape(row).map(|s| word(&s.geometry)).filter(|w| *w != needed.word()) else { continue };
        match wrong.iter_mut().find(|(w, _)| *w == found) {
            Some((_, at)) => at.push(table.number(row)),
            None => wrong.push((found, vec![table.number(row)])),
        }
    }
    for (found, at) in wrong {
        let what = format!("The layer has {found} where {} are needed ({}).", needed.word(), rows(&at));
        let problem = Problem::error("I-401", what, remedy(job.kind, found, needed)).row(at[0]);
        job.note(problem.expected(format!("a layer of {}", needed.word())));
    }
}

fn remedy(kind: Kind, found: &str, needed: Needed) -> String {
    match (needed, found, kind) {
        (Needed::Outlines, "lines", Kind::NoSpray) => {
            "Buffer the line to an area in the map program (a stream by half its width, say), and give the areas."
        }
        (Needed::Outlines, "lines", _) => "Close the lines to areas in the map program, and give the areas.",
        (Needed::Outlines, ..) => "Give the layer that holds the outlines.",
        (Needed::Lines, ..) => "Give the layer that holds the middle lines.",
        (Needed::Points, ..) => "Give the layer that holds one point for each row.",
    }
    .to_owned()
}

/// Is there one outline at least?
pub(super) fn has_outlines(table: &Table) -> bool {
    (0..table.len()).any(|r| matches!(table.shape(r).map(|s| &s.geometry), Some(Geometry::MultiPolygon(_))))
}

/// Says what a file without any outline holds instead; shapes of the wrong kind have been told already.
pub(super) fn note_none(job: &mut Job<'_>, table: &Table, needed: Needed) {
    let expected = format!("a layer of {}", needed.word());
    if table.spatial {
        if !job.report.has_errors() {
            let what = format!("None of the {} rows of the layer has a shape.", table.len());
            let problem = Problem::error("I-406", what, "Export the layer again with its shapes.");
            job.note(problem.expected(expected));
        }
        return;
    }
    let columns = table.columns.join(", ");
    let (shapes, rows) = (if needed == Needed::Lines { "lines" } else { "outlines" }, table.len());
    let what = format!("The file is a table without {shapes}: {rows} rows with the columns {columns}.");
    let remedy = format!("Give the {shapes} as GeoJSON, GeoPackage or shapefile.");
    job.note(Problem::error("I-410", what, remedy).expected(expected));
}
