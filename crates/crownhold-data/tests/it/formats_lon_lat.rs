//! Shapes drawn on a map, and the way back to it.

use crownhold::types::{BlockId, Severity};
use crownhold_data::formats::{ToLonLat, block_at, place_from_lon_lat, shape_from_lon_lat, to_lon_lat};
use geo::{Area as _, Point};

use crate::sample;

/// GeoJSON of a ring given in longitude and latitude.
fn ring(corners: &[[f64; 2]]) -> String {
    serde_json::json!({ "type": "Polygon", "coordinates": [corners] }).to_string()
}

fn codes(problems: &[crownhold::types::Problem]) -> Vec<(&str, Severity)> {
    problems.iter().map(|p| (p.code, p.severity)).collect()
}

/// Out to the map and in again: the same ground, to a hundredth of a millimetre.
#[test]
fn a_shape_comes_back_from_the_map() {
    let records = sample::records();
    for block in &records.blocks {
        let text = serde_json::json!({
            "type": "MultiPolygon", "coordinates": to_lon_lat(&block.shape, records.programme.epsg).unwrap()
        });
        let (shape, problems) = shape_from_lon_lat(&text.to_string(), &records.programme, &records.blocks).unwrap();
        assert_eq!(problems, Vec::new());
        assert_eq!(shape.0.len(), block.shape.0.len());
        assert!((shape.unsigned_area() - block.shape.unsigned_area()).abs() < 0.01);
    }
}

/// UTM zone 17N has its middle at 81 W, where the easting is 500,000 m; the northing of 42 N there is 4,649,776 m
/// (the meridian arc of WGS 84 to 42 degrees, 4,651,637 m, times 0.9996).
#[test]
fn places_lie_where_they_should() {
    let place = place_from_lon_lat(-81.0, 42.0, 32617).unwrap();
    assert!((place.x() - 500_000.0).abs() < 0.01 && (place.y() - 4_649_776.0).abs() < 1.0, "{place:?}");
    let [lon, lat] = ToLonLat::new(32617).unwrap().place(place).unwrap();
    assert!((lon + 81.0).abs() < 1e-9 && (lat - 42.0).abs() < 1e-9);
    assert_eq!(place_from_lon_lat(42.0, -81.0, 32617).unwrap_err()[0].code, "I-307");
    assert_eq!(place_from_lon_lat(-81.0, 420.0, 32617).unwrap_err()[0].code, "I-307");
    assert_eq!(place_from_lon_lat(-81.0, 42.0, 99).unwrap_err()[0].code, "I-301");
    let records = sample::records();
    assert_eq!(block_at(&records.blocks, Point::new(400_300.0, 4_700_100.0)), Some(BlockId::new("B-001")));
    assert_eq!(block_at(&records.blocks, Point::new(0.0, 0.0)), None);
}

/// What an import puts right is put right here too, and told.
#[test]
fn drawings_are_mended() {
    let records = sample::records();
    let take = |text: &str| shape_from_lon_lat(text, &records.programme, &records.blocks);
    let (x, y) = (-82.215, 42.445);
    let open = ring(&[[x, y], [x + 0.001, y], [x + 0.001, y + 0.001], [x, y + 0.001]]);
    let (square, problems) = take(&open).unwrap();
    assert_eq!(codes(&problems), [("I-402", Severity::Repaired)]);
    // At 42.4 N a thousandth of a degree is 82.3 m by 111.1 m.
    assert!((square.unsigned_area() / (82.3 * 111.1) - 1.0).abs() < 0.01, "{}", square.unsigned_area());
    let bow = ring(&[[x, y], [x + 0.001, y + 0.001], [x + 0.001, y], [x, y + 0.001], [x, y]]);
    assert_eq!(codes(&take(&bow).unwrap().1), [("I-403", Severity::Repaired)]);
    let swapped = ring(&[[y, x], [y, x + 0.001], [y + 0.001, x + 0.001], [y, x]]);
    assert_eq!(codes(&take(&swapped).unwrap().1), [("I-307", Severity::Repaired)]);
}

/// And what cannot be used is refused, without talk of files and rows.
#[test]
fn what_is_no_outline_here_is_refused() {
    let records = sample::records();
    let refused = |text: &str| shape_from_lon_lat(text, &records.programme, &records.blocks).unwrap_err();
    let flat = ring(&[[-82.2, 42.4], [-82.2, 42.5], [-82.2, 42.4]]);
    let away = ring(&[[-79.0, 46.0], [-78.9, 46.0], [-78.9, 46.1], [-79.0, 46.0]]);
    let abroad = ring(&[[10.0, 50.0], [10.1, 50.0], [10.1, 50.1], [10.0, 50.0]]);
    let corner = ring(&[[-82.2, 42.4], [-82.1, 42.4], [-72.1, 42.5], [-82.2, 42.4]]);
    let line = r#"{"type": "LineString", "coordinates": [[-82.2, 42.4], [-82.1, 42.4]]}"#;
    let all = ["{", r#"{"type": "FeatureCollection", "features": []}"#, line, &flat, &away, &abroad, &corner];
    let mut told = String::new();
    for text in all {
        let problems = refused(text);
        assert!(problems.iter().all(|p| p.place.file.is_none() && p.place.row.is_none()));
        problems.iter().for_each(|p| told += &format!("{p}\n"));
    }
    insta::assert_snapshot!(told);
}
