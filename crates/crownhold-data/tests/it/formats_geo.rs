//! Geodesy by outside numbers: pyproj 3.7.2 (PROJ 9.5.1) positions, shapely 2.2.0 areas.
#![allow(clippy::unwrap_used)]

use crownhold_data::formats::crs::Crs;
use geo::{Area as _, BooleanOps as _, Centroid as _, LineString, MultiPolygon, Polygon, Rect, coord};

use crate::formats::sample;

/// Two centimetres: what projections of two independent programs may differ by.
const TOLERANCE: f64 = 0.02;

fn near(crs: &Crs, lon: f64, lat: f64, expected: (f64, f64), label: &str) {
    let (x, y) = Crs::epsg(4326).unwrap().to(crs, lon, lat).unwrap();
    // Numbers in feet are held to the same two centimetres.
    let by = crs.metres_per_unit();
    assert!(
        (x - expected.0).abs() * by < TOLERANCE && (y - expected.1).abs() * by < TOLERANCE,
        "{label}: {x}, {y} for {expected:?}"
    );
    let (back_lon, back_lat) = crs.lon_lat(x, y).unwrap();
    assert!((back_lon - lon).abs() < 1e-7 && (back_lat - lat).abs() < 1e-7, "{label}: back at {back_lon}, {back_lat}");
}

/// Longitude, latitude of the test position.
const SPOT: (f64, f64) = (-83.7430, 42.2808);
/// Where it lies, by EPSG number: pyproj 3.7.2; proj4 (npm) 2.22.0 gives the same for UTM.
const SPOT_IN: [(u32, (f64, f64)); 7] = [
    (32617, (273824.3962, 4684597.7138)),
    (32616, (768561.7997, 4686092.1899)),
    (3078, (685978.1441, 194805.0195)),
    (2253, (13292129.4189, 285171.9827)),
    (5070, (1001504.7643, 2206992.7511)),
    (3175, (959227.8734, 634324.5051)),
    (3857, (-9322228.1175, 5203135.1716)),
];

#[test]
fn projections_of_the_region() {
    for (code, expected) in SPOT_IN {
        near(&Crs::epsg(code).unwrap(), SPOT.0, SPOT.1, expected, &format!("EPSG:{code}"));
    }
    // pyproj 3.7.2, UTM zones 15 to 17.
    let more = [
        (32616, -87.3956, 46.5436, (469669.1505, 5154524.0742)),
        (32617, -78.8784, 42.8864, (673249.3407, 4750383.2896)),
        (32616, -89.4012, 43.0731, (304510.3816, 4771730.8701)),
        (32615, -92.1005, 46.7867, (568656.5093, 5181854.0896)),
    ];
    for (code, lon, lat, expected) in more {
        near(&Crs::epsg(code).unwrap(), lon, lat, expected, &format!("EPSG:{code}"));
    }
}

/// The same positions through the texts that .prj files hold. The texts were written by GDAL 3.6.2
/// (gdalsrsinfo) in three dialects, without authority numbers so that their parameters are what is read.
#[test]
fn projections_by_text() {
    for (code, expected) in SPOT_IN.into_iter().filter(|(c, _)| *c != 32616) {
        for dialect in ["esri", "wkt1", "wkt2"] {
            let name = format!("wkt/{code}.{dialect}.wkt");
            let text = String::from_utf8(sample(&name)).unwrap();
            let crs = Crs::parse(&text).unwrap_or_else(|e| panic!("{name}: {e}"));
            assert!(!crs.name().starts_with("EPSG"), "{name} was read by its number");
            near(&crs, SPOT.0, SPOT.1, expected, &name);
        }
    }
    for dialect in ["esri", "wkt1", "wkt2"] {
        let text = String::from_utf8(sample(&format!("wkt/4269.{dialect}.wkt"))).unwrap();
        assert!(Crs::parse(&text).unwrap().is_geographic(), "{dialect}");
    }
}

#[test]
fn systems_by_name() {
    for text in ["EPSG:26917", "26917", "urn:ogc:def:crs:EPSG::26917", "http://www.opengis.net/def/crs/EPSG/0/26917"] {
        assert_eq!(Crs::parse(text).unwrap().name(), "EPSG:26917", "{text}");
    }
    assert!(Crs::parse("urn:ogc:def:crs:OGC:1.3:CRS84").unwrap().is_geographic());
    assert!(Crs::epsg(2253).unwrap().metres_per_unit() < 0.31);
    for refused in ["EPSG:4267", "EPSG:26717", "EPSG:1", "", "my map", "+proj=nothing"] {
        assert!(Crs::parse(refused).is_err(), "{refused}");
    }
    // NAD 27 with a shift of the user's own is the user's to answer for.
    assert!(Crs::parse("+proj=longlat +ellps=clrk66 +towgs84=-8,160,176 +no_defs").is_ok());
}

/// pyproj 3.7.2: a box of 0.03 by 0.02 degrees measures 5,500,034.559585016 m2 in the plane of UTM 17.
#[test]
fn planar_area() {
    let crs = Crs::epsg(32617).unwrap();
    let corners = [(-83.76, 42.27), (-83.73, 42.27), (-83.73, 42.29), (-83.76, 42.29)];
    let ring: Vec<(f64, f64)> =
        corners.iter().map(|(x, y)| Crs::epsg(4326).unwrap().to(&crs, *x, *y).unwrap()).collect();
    let area = Polygon::new(LineString::from(ring), vec![]).unsigned_area();
    assert!((area - 5500034.559585016).abs() < 1.0, "{area}");
}

fn box_of(x0: f64, y0: f64, x1: f64, y1: f64) -> Polygon<f64> {
    Rect::new(coord! { x: x0, y: y0 }, coord! { x: x1, y: y1 }).to_polygon()
}

/// A box of 200 x 100 with a hole of 50 x 50 placed so that its centroid is shapely's (103.5714285714, 50).
fn holed() -> Polygon<f64> {
    Polygon::new(
        box_of(0.0, 0.0, 200.0, 100.0).exterior().clone(),
        vec![box_of(50.0, 25.0, 100.0, 75.0).exterior().clone()],
    )
}

/// shapely 2.2.0 (GEOS 3.14.1): overlays that blocks, water and no-spray areas rest on.
#[test]
fn overlays() {
    let shape = holed();
    assert_eq!(shape.unsigned_area(), 17500.0);
    let centre = shape.centroid().unwrap();
    assert!((centre.x() - 103.5714285714).abs() < 1e-9 && (centre.y() - 50.0).abs() < 1e-9, "{centre:?}");
    let near = |shape: MultiPolygon<f64>, expected: f64| {
        let area = shape.unsigned_area();
        assert!((area - expected).abs() < 0.01, "{area} for {expected}");
    };
    near(shape.intersection(&box_of(75.0, -10.0, 250.0, 60.0)), 6625.0);
    near(shape.union(&box_of(150.0, 50.0, 260.0, 150.0)), 26000.0);
}
