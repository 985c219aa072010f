//! RFC 7946.

use geo::orient::{Direction, Orient as _};
use serde_json::{Value, json};

use super::super::ToLonLat;
use super::{AreaToFly, LineToFly};

/// The spray blocks.
pub(super) fn areas(areas: &[AreaToFly], to: &ToLonLat) -> Vec<u8> {
    let features = areas.iter().map(|a| {
        json!({
            "type": "Feature",
            "properties": {
                "id": a.id, "blocks": a.blocks, "acres": tenth(a.acres), "flights": a.flights, "heading": tenth(a.heading),
            },
            // Outer rings anticlockwise, holes clockwise (RFC 7946, 3.1.6).
            "geometry": { "type": "MultiPolygon", "coordinates": to.shape(&a.shape.orient(Direction::Default)) },
        })
    });
    collection(features.collect())
}

/// The passes.
pub(super) fn lines(lines: &[LineToFly], to: &ToLonLat) -> Vec<u8> {
    let features = lines.iter().map(|l| {
        json!({
            "type": "Feature",
            "properties": { "block": l.block, "pass": l.number },
            "geometry": { "type": "MultiLineString", "coordinates": to.lines(&l.stretches) },
        })
    });
    collection(features.collect())
}

fn tenth(value: f64) -> f64 {
    (value * 10.0).round() / 10.0
}

fn collection(features: Vec<Value>) -> Vec<u8> {
    json!({ "type": "FeatureCollection", "features": features }).to_string().into_bytes()
}
