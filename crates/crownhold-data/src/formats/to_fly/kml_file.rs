//! KML 2.2: a folder of spray blocks and one of passes.

use std::collections::HashMap;

use kml::types::{Coord, Folder, Geometry, KmlDocument, LineString, LinearRing, MultiGeometry, Placemark, Polygon};
use kml::{Kml, KmlVersion, KmlWriter};

use super::super::{LonLat, ToLonLat};
use super::{AreaToFly, LineToFly};

pub(super) fn write(areas: &[AreaToFly], lines: &[LineToFly], to: &ToLonLat) -> Result<Vec<u8>, String> {
    let areas = areas.iter().map(|a| {
        let about =
            format!("blocks {}; {:.1} ac; applications: {}; heading {:.0}", a.blocks, a.acres, a.flights, a.heading);
        placemark(
            a.id.clone(),
            about,
            to.shape(&a.shape).iter().map(|rings| Geometry::Polygon(polygon(rings))).collect(),
        )
    });
    let lines = lines.iter().map(|l| {
        let stretches = to.lines(&l.stretches);
        let geometry = stretches.iter().map(|c| Geometry::LineString(LineString::from(coords(c)))).collect();
        placemark(format!("{} pass {}", l.block, l.number), String::new(), geometry)
    });
    document(vec![folder("spray blocks", areas.collect()), folder("passes", lines.collect())])
}

/// An outline with its name and a sentence: parts, each of rings, the outer first.
pub(crate) struct Outline {
    pub name: String,
    pub about: String,
    pub parts: Vec<Vec<Vec<LonLat>>>,
}

/// One folder of outlines.
pub(crate) fn outlines(title: &str, places: Vec<Outline>) -> Result<Vec<u8>, String> {
    let mark = |o: Outline| {
        placemark(o.name, o.about, o.parts.iter().map(|rings| Geometry::Polygon(polygon(rings))).collect())
    };
    document(vec![folder(title, places.into_iter().map(mark).collect())])
}

fn document(folders: Vec<Kml>) -> Result<Vec<u8>, String> {
    let document = Kml::Document { attrs: HashMap::new(), elements: folders };
    let attrs = HashMap::from([("xmlns".to_owned(), "http://www.opengis.net/kml/2.2".to_owned())]);
    let whole = Kml::KmlDocument(KmlDocument { version: KmlVersion::V22, attrs, elements: vec![document] });
    let mut out = Vec::new();
    KmlWriter::from_writer(&mut out).write(&whole).map_err(|e| e.to_string())?;
    let text = String::from_utf8(out).map_err(|e| e.to_string())?;
    Ok(a_boundary_per_hole(&text).into_bytes())
}

/// KML 2.2 has one ring in an inner boundary; the writer puts all of them into one, and readers then see the first hole
/// only and take the others for ground to be sprayed. Rings follow each other nowhere else, and names are escaped.
fn a_boundary_per_hole(text: &str) -> String {
    text.replace("</LinearRing><LinearRing>", "</LinearRing></innerBoundaryIs><innerBoundaryIs><LinearRing>")
}

fn folder(name: &str, elements: Vec<Kml>) -> Kml {
    Kml::Folder(Folder { name: Some(name.to_owned()), elements, ..Folder::default() })
}

fn placemark(name: String, about: String, geometries: Vec<Geometry>) -> Kml {
    let geometry = Some(Geometry::MultiGeometry(MultiGeometry { geometries, attrs: HashMap::new() }));
    let description = (!about.is_empty()).then_some(about);
    Kml::Placemark(Placemark { name: Some(name), description, geometry, ..Placemark::default() })
}

fn coords(of: &[LonLat]) -> Vec<Coord> {
    of.iter().map(|c| Coord { x: c[0], y: c[1], z: None }).collect()
}

fn polygon(rings: &[Vec<LonLat>]) -> Polygon {
    let mut rings = rings.iter().map(|r| LinearRing::from(coords(r)));
    let outer = rings.next().unwrap_or_default();
    Polygon::new(outer, rings.collect())
}
