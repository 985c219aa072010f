//! A layer of outlines with a table behind it, as files for anybody's map: GeoJSON and KML in longitude and latitude
//! (WGS 84), a shapefile and a GeoPackage in the programme's own system. The same layer gives the same bytes.

use crownhold::types::Problem;
use geo::MultiPolygon;
use geo::orient::{Direction, Orient as _};
use serde_json::{Map, Value, json};

use crate::formats::to_fly::{kml_file, shape_files};
use crate::formats::{NamedFile, ToLonLat};
use crate::store::geopackage_of;

/// A value of the table.
#[derive(Clone, Debug, PartialEq)]
pub enum Field {
    /// Words.
    Text(String),
    /// A number.
    Number(f64),
}

/// Outlines with their values.
#[derive(Clone, Debug, PartialEq)]
pub struct Layer {
    /// Name, for files and tables: small letters, digits and low lines.
    pub name: String,
    /// What it is, in a sentence.
    pub about: String,
    /// Names of the columns, at most ten letters (a limit of shapefiles); the first is the outline's own name.
    pub columns: Vec<&'static str>,
    /// A row for each outline: its values in the order of the columns, and its shape in the programme's system.
    pub rows: Vec<(Vec<Field>, MultiPolygon<f64>)>,
}

/// The layer as files. `when` is the day and time in UTC that the GeoPackage names as its last change.
///
/// # Errors
/// When the programme's system is not known, or a text cannot stand in one of the formats.
pub fn layer_files(layer: &Layer, epsg: u32, when: &str) -> Result<Vec<NamedFile>, Vec<Problem>> {
    let to = ToLonLat::new(epsg)?;
    let fault = |what: String| vec![Problem::error("A-002", what, "")];
    let mut files = vec![
        (format!("{}.geojson", layer.name), geo_json(layer, &to)),
        (format!("{}.kml", layer.name), kml(layer, &to).map_err(fault)?),
        (format!("{}.gpkg", layer.name), geopackage_of(layer, epsg, when).map_err(|e| e.problems())?),
    ];
    files.extend(shape_files::of_layer(layer, epsg).map_err(fault)?);
    Ok(files)
}

impl Field {
    /// As it is read.
    pub(crate) fn words(&self) -> String {
        match self {
            Self::Text(text) => text.clone(),
            Self::Number(n) => n.to_string(),
        }
    }
}

fn geo_json(layer: &Layer, to: &ToLonLat) -> Vec<u8> {
    let value = |f: &Field| match f {
        Field::Text(text) => json!(text),
        Field::Number(n) => json!(n),
    };
    let feature = |(fields, shape): &(Vec<Field>, MultiPolygon<f64>)| {
        let pairs = layer.columns.iter().zip(fields).map(|(c, f)| ((*c).to_owned(), value(f)));
        json!({
            "type": "Feature",
            "properties": Value::Object(pairs.collect::<Map<_, _>>()),
            // Outer rings anticlockwise, holes clockwise (RFC 7946, 3.1.6).
            "geometry": { "type": "MultiPolygon", "coordinates": to.shape(&shape.orient(Direction::Default)) },
        })
    };
    let features: Vec<Value> = layer.rows.iter().map(feature).collect();
    json!({ "type": "FeatureCollection", "features": features }).to_string().into_bytes()
}

fn kml(layer: &Layer, to: &ToLonLat) -> Result<Vec<u8>, String> {
    let places = layer.rows.iter().map(|(fields, shape)| {
        let name = fields.first().map_or(String::new(), Field::words);
        let rest = layer.columns.iter().zip(fields).skip(1);
        let about: Vec<String> = rest.map(|(c, f)| format!("{c}: {}", f.words())).collect();
        kml_file::Outline { name, about: about.join("; "), parts: to.shape(shape) }
    });
    kml_file::outlines(&layer.about, places.collect())
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use geo::{Rect, coord};

    use super::*;

    /// Our own readers find the same rows again; the same layer gives the same bytes.
    #[test]
    fn every_file() {
        let shape = Rect::new(coord! { x: 600_000.0, y: 4_690_000.0 }, coord! { x: 600_400.0, y: 4_690_300.0 });
        let layer = Layer {
            name: "plan_blocks".to_owned(),
            about: "Blocks of a plan".to_owned(),
            columns: vec!["block", "what", "acres"],
            rows: vec![(
                vec![Field::Text("A<1> & Béla".to_owned()), Field::Text("watch".to_owned()), Field::Number(29.7)],
                MultiPolygon(vec![shape.to_polygon()]),
            )],
        };
        let made = layer_files(&layer, 32616, "2027-02-01T00:00:00.000Z").unwrap();
        assert_eq!(made, layer_files(&layer, 32616, "2027-02-01T00:00:00.000Z").unwrap());
        let names: Vec<&str> = made.iter().map(|(n, _)| n.rsplit('.').next().unwrap()).collect();
        assert_eq!(names, ["geojson", "kml", "gpkg", "shp", "shx", "dbf", "prj", "cpg"]);
        let text =
            |end: &str| String::from_utf8_lossy(&made.iter().find(|f| f.0.ends_with(end)).unwrap().1).into_owned();
        assert!(text("geojson").contains("\"acres\":29.7"));
        assert!(text("kml").contains("A&lt;1&gt; &amp; Béla"));
        assert!(text("gpkg").starts_with("SQLite format 3"));
    }
}
