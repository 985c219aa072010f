//! GeoJSON (RFC 7946, and the older form with a "crs" member) to a table.

use std::collections::BTreeSet;

use crownhold::types::Problem;
use geo::{Coord, Geometry, LineString, MultiLineString, MultiPoint, MultiPolygon, Point, Polygon};
use serde_json::{Map, Value};

use super::crs::Crs;
use super::job::Job;
use super::table::{Declared, Shape, Table};

/// Reads a feature collection or a single feature; `None` after an error was noted.
///
/// The JSON is walked by hand: the GeoJSON library refuses a whole file for one bad position, and closes
/// no ring that we could report.
pub(super) fn read(job: &mut Job<'_>, text: &str) -> Option<Table> {
    let root: Value = match serde_json::from_str(text) {
        Ok(root) => root,
        Err(e) => {
            let what = format!("This is not whole JSON: {e}.");
            job.note(Problem::error("I-108", what, "It may be cut off; export it again.").row(e.line() as u64));
            return None;
        }
    };
    let features: Vec<&Value> = match root.get("type").and_then(Value::as_str) {
        Some("FeatureCollection") => root.get("features").and_then(Value::as_array).map(|f| f.iter().collect())?,
        Some("Feature") => vec![&root],
        other => {
            let what = format!("This JSON is {}, not a GeoJSON feature collection.", other.unwrap_or("something else"));
            job.note(Problem::error("I-108", what, "Export the layer as GeoJSON."));
            return None;
        }
    };
    if features.is_empty() {
        job.note(Problem::error("I-103", "The layer has no features.", "Export it again with its features."));
        return None;
    }
    let mut table = collect(job, &features);
    table.declared = declared(job, &root);
    Some(table)
}

fn collect(job: &mut Job<'_>, features: &[&Value]) -> Table {
    let none = Map::new();
    let of = |f: &Value| f.get("properties").and_then(Value::as_object).cloned();
    let mut columns: Vec<String> = Vec::new();
    let mut known = BTreeSet::new();
    for feature in features {
        for key in feature.get("properties").and_then(Value::as_object).unwrap_or(&none).keys() {
            if known.insert(key.clone()) {
                columns.push(key.clone());
            }
        }
    }
    // The feature's own id stands last, so that a column called id goes before it.
    let own_ids = features.iter().any(|f| f.get("id").is_some_and(|v| !v.is_null()));
    if own_ids && !known.contains("id") {
        columns.push("id".to_owned());
    }
    let mut table = Table::new(columns.clone(), true);
    for (i, feature) in features.iter().enumerate() {
        let number = i as u64 + 1;
        let properties = of(feature).unwrap_or_default();
        let cells: Vec<String> = columns
            .iter()
            .map(|c| properties.get(c).or_else(|| feature.get("id").filter(|_| c == "id")).map_or(String::new(), cell))
            .collect();
        let shape = match feature.get("geometry") {
            None | Some(Value::Null) => None,
            Some(geometry) => match shape(geometry) {
                Ok(shape) => Some(shape),
                Err(why) => {
                    job.note(Problem::error("I-401", why, "Mend the shape in the map program.").row(number));
                    None
                }
            },
        };
        table.push(number, cells.iter().map(String::as_str), shape);
    }
    table
}

fn cell(value: &Value) -> String {
    match value {
        Value::Null => String::new(),
        Value::String(s) => s.clone(),
        other => other.to_string(),
    }
}

fn shape(value: &Value) -> Result<Shape, String> {
    let kind = value.get("type").and_then(Value::as_str).unwrap_or("nothing");
    let coordinates = value.get("coordinates").unwrap_or(&Value::Null);
    let mut unclosed = 0;
    let geometry = match kind {
        "Point" => Geometry::Point(Point(position(coordinates)?)),
        "MultiPoint" if coordinates.as_array().is_some_and(|a| a.len() == 1) => {
            Geometry::Point(Point(position(&coordinates[0])?))
        }
        "Polygon" => Geometry::MultiPolygon(MultiPolygon(vec![polygon(coordinates, &mut unclosed)?])),
        "MultiPolygon" => {
            let parts = list(coordinates)?.iter().map(|p| polygon(p, &mut unclosed)).collect::<Result<_, _>>()?;
            Geometry::MultiPolygon(MultiPolygon(parts))
        }
        "MultiPoint" => Geometry::MultiPoint(MultiPoint(line(coordinates)?.into_iter().map(Point).collect())),
        "LineString" => Geometry::LineString(LineString(line(coordinates)?)),
        "MultiLineString" => {
            let lines = list(coordinates)?.iter().map(|l| line(l).map(LineString)).collect::<Result<_, _>>()?;
            Geometry::MultiLineString(MultiLineString(lines))
        }
        other => return Err(format!("The shape is a {other}, which is not read.")),
    };
    Ok(Shape { geometry, unclosed })
}

fn list(value: &Value) -> Result<&Vec<Value>, String> {
    value.as_array().ok_or_else(|| "The coordinates are not a list.".to_owned())
}

fn line(value: &Value) -> Result<Vec<Coord<f64>>, String> {
    list(value)?.iter().map(position).collect()
}

fn polygon(value: &Value, unclosed: &mut usize) -> Result<Polygon<f64>, String> {
    let mut rings = Vec::new();
    for ring in list(value)? {
        let points = line(ring)?;
        *unclosed += usize::from(points.first() != points.last());
        rings.push(LineString(points));
    }
    let mut rings = rings.into_iter();
    Ok(Polygon::new(rings.next().unwrap_or(LineString(Vec::new())), rings.collect()))
}

fn position(value: &Value) -> Result<Coord<f64>, String> {
    let at = |i: usize| value.get(i).and_then(Value::as_f64);
    match (at(0), at(1)) {
        (Some(x), Some(y)) => Ok(Coord { x, y }),
        _ => Err(format!("{value} is not a position.")),
    }
}

/// GeoJSON is longitude, latitude on WGS 84, unless an older "crs" member says otherwise.
fn declared(job: &mut Job<'_>, root: &Value) -> Declared {
    let Some(crs) = root.get("crs").filter(|c| !c.is_null()) else {
        return Crs::epsg(4326).map_or(Declared::Missing, Declared::Known);
    };
    let name = crs.pointer("/properties/name").map(cell).unwrap_or_default();
    match Crs::parse(&name) {
        Ok(crs) => {
            if crs.name() != "EPSG:4326" {
                let what = format!("The file has an old-style \"crs\" member: {name}.");
                job.note(Problem::notice(
                    "I-304",
                    what,
                    "It was followed; today's GeoJSON is always longitude, latitude.",
                ));
            }
            Declared::Known(crs)
        }
        Err(why) => Declared::Unclear(why),
    }
}
