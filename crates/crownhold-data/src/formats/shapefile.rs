//! Shapefiles (.shp with .dbf, .prj and .cpg) to a table.

use std::io::Cursor;

use crownhold::types::Problem;
use geo::{Coord, Geometry, LineString, MultiLineString, MultiPolygon, Point, Polygon, Winding as _};
use shapefile::dbase::{self, FieldValue};
use shapefile::record::traits::HasXY;
use shapefile::{PolygonRing, ShapeReader};

use super::Part;
use super::crs::Crs;
use super::job::Job;
use super::table::{Declared, Shape, Table};

/// Reads the parts of one shapefile; `None` after an error was noted.
pub(super) fn read(job: &mut Job<'_>, parts: &[Part]) -> Option<Table> {
    let part =
        |ending: &str| parts.iter().find(|p| p.name.to_lowercase().ends_with(ending)).map(|p| p.bytes.as_slice());
    let shapes = read_shapes(job, part(".shp")?)?;
    let Some(dbf) = part(".dbf") else {
        let remedy = "Give the .dbf that belongs to the .shp; it holds the ids and attributes.";
        job.note(Problem::error("I-121", "The shapefile has no .dbf beside it.", remedy));
        return None;
    };
    let mut table = read_attributes(job, dbf, encoding(part(".cpg"), dbf), &shapes)?;
    table.declared = match part(".prj").map(String::from_utf8_lossy) {
        None => Declared::Missing,
        Some(text) if text.trim().is_empty() => Declared::Missing,
        Some(text) => Crs::parse(&text).map_or_else(Declared::Unclear, Declared::Known),
    };
    Some(table)
}

/// The .cpg names the code page; without one, UTF-8 where it is valid, else Windows-1252.
fn encoding(cpg: Option<&[u8]>, dbf: &[u8]) -> &'static encoding_rs::Encoding {
    let Some(cpg) = cpg else {
        // The first 32 bytes are numbers; field names and cells follow.
        let utf8 = std::str::from_utf8(dbf.get(32..).unwrap_or_default()).is_ok();
        return if utf8 { encoding_rs::UTF_8 } else { encoding_rs::WINDOWS_1252 };
    };
    let label = String::from_utf8_lossy(cpg).trim().to_lowercase();
    let label = if label.chars().all(|c| c.is_ascii_digit()) && !label.is_empty() {
        if label == "65001" { "utf-8".to_owned() } else { format!("windows-{label}") }
    } else {
        label
    };
    encoding_rs::Encoding::for_label(label.as_bytes()).unwrap_or(encoding_rs::WINDOWS_1252)
}

fn read_shapes(job: &mut Job<'_>, bytes: &[u8]) -> Option<Vec<Option<Shape>>> {
    let read = ShapeReader::new(Cursor::new(bytes)).and_then(ShapeReader::read);
    match read {
        Ok(shapes) => Some(shapes.into_iter().enumerate().map(|(i, s)| one(job, s, i as u64 + 1)).collect()),
        Err(e) => {
            let what = format!("The .shp cannot be read: {e}.");
            job.note(Problem::error("I-122", what, "It may be cut off; export the layer again."));
            None
        }
    }
}

fn one(job: &mut Job<'_>, shape: shapefile::Shape, row: u64) -> Option<Shape> {
    use shapefile::Shape as S;
    let point = |p: &dyn HasXY| Some(Shape { geometry: Geometry::Point(Point::new(p.x(), p.y())), unclosed: 0 });
    match shape {
        S::NullShape => None,
        S::Point(p) => point(&p),
        S::PointM(p) => point(&p),
        S::PointZ(p) => point(&p),
        S::Polygon(p) => Some(polygons(p.rings())),
        S::PolygonM(p) => Some(polygons(p.rings())),
        S::PolygonZ(p) => Some(polygons(p.rings())),
        S::Polyline(l) => lines(l.parts()),
        S::PolylineM(l) => lines(l.parts()),
        S::PolylineZ(l) => lines(l.parts()),
        _ => {
            let what = "The shape is neither a point, a line nor a polygon.";
            job.note(Problem::error("I-401", what, "Give a layer of points or polygons.").row(row));
            None
        }
    }
}

fn lines<P: HasXY>(parts: &[Vec<P>]) -> Option<Shape> {
    let line = |part: &Vec<P>| LineString(part.iter().map(|p| Coord { x: p.x(), y: p.y() }).collect());
    let geometry = Geometry::MultiLineString(MultiLineString(parts.iter().map(line).collect()));
    Some(Shape { geometry, unclosed: 0 })
}

/// Rings to polygons: clockwise rings are outlines, the others holes of the outline before them.
/// A file whose rings all run the other way has no outline; then every ring is taken as one.
fn polygons<P: HasXY>(rings: &[PolygonRing<P>]) -> Shape {
    let mut unclosed = 0;
    let mut parts: Vec<(LineString<f64>, Vec<LineString<f64>>)> = Vec::new();
    let outlined = rings.iter().any(|r| matches!(r, PolygonRing::Outer(_)));
    for ring in rings {
        let points: Vec<Coord<f64>> = ring.points().iter().map(|p| Coord { x: p.x(), y: p.y() }).collect();
        unclosed += usize::from(points.first() != points.last());
        let line = LineString(points);
        match parts.last_mut().filter(|_| outlined && matches!(ring, PolygonRing::Inner(_))) {
            Some((_, holes)) => holes.push(line),
            None => parts.push((line, Vec::new())),
        }
    }
    let mut shape = MultiPolygon(parts.into_iter().map(|(outer, holes)| Polygon::new(outer, holes)).collect());
    for polygon in &mut shape.0 {
        // Outlines of a shapefile run clockwise by its own rule; that is no fault to report.
        polygon.exterior_mut(LineString::make_ccw_winding);
        polygon.interiors_mut(|holes| holes.iter_mut().for_each(LineString::make_cw_winding));
    }
    Shape { geometry: Geometry::MultiPolygon(shape), unclosed }
}

fn read_attributes(
    job: &mut Job<'_>,
    bytes: &[u8],
    encoding: &'static encoding_rs::Encoding,
    shapes: &[Option<Shape>],
) -> Option<Table> {
    let read = dbase::ReaderBuilder::new()
        .with_encoding(dbase::encoding::EncodingRs::from(encoding))
        .build(Cursor::new(bytes))
        .and_then(|mut r| Ok((r.fields().iter().map(|f| f.name().to_owned()).collect::<Vec<_>>(), r.read()?)));
    let (columns, records) = match read {
        Ok(read) => read,
        Err(e) => {
            let what = format!("The .dbf cannot be read: {e}.");
            job.note(Problem::error("I-123", what, "It may be cut off; export the layer again."));
            return None;
        }
    };
    if records.len() != shapes.len() {
        let what = format!("The .shp has {} shapes and the .dbf {} rows.", shapes.len(), records.len());
        job.note(Problem::error("I-124", what, "They do not belong together; export the layer again."));
        return None;
    }
    let mut table = Table::new(columns.clone(), true);
    for (i, (record, shape)) in records.iter().zip(shapes).enumerate() {
        let cells: Vec<String> = columns.iter().map(|c| record.get(c).map_or(String::new(), cell)).collect();
        table.push(i as u64 + 1, cells.iter().map(String::as_str), shape.clone());
    }
    Some(table)
}

fn cell(value: &FieldValue) -> String {
    match value {
        FieldValue::Character(text) => text.clone().unwrap_or_default(),
        FieldValue::Numeric(number) => number.map_or(String::new(), |n| n.to_string()),
        FieldValue::Float(number) => number.map_or(String::new(), |n| n.to_string()),
        FieldValue::Logical(yes) => yes.map_or(String::new(), |y| if y { "yes" } else { "no" }.to_owned()),
        FieldValue::Date(date) => {
            date.map_or(String::new(), |d| format!("{:04}-{:02}-{:02}", d.year(), d.month(), d.day()))
        }
        FieldValue::Integer(number) => number.to_string(),
        FieldValue::Currency(number) | FieldValue::Double(number) => number.to_string(),
        FieldValue::DateTime(at) => {
            format!("{:04}-{:02}-{:02}", at.date().year(), at.date().month(), at.date().day())
        }
        FieldValue::Memo(text) => text.clone(),
    }
}
