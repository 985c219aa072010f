//! The geometry library we lean on, against numbers from outside: shapely 2.2.0 (GEOS 3.14.1) for buffers and
//! overlays, pyproj 3.7.2 (= geographiclib 2.1) for geodesics. Round corners are cut differently by each library, so
//! buffers agree to half a percent.

use geo::{
    Area, BooleanOps, Buffer, Destination, Distance, Geodesic, GeodesicArea, LineString, MultiPolygon, Point, Polygon,
    polygon,
};

fn close(got: f64, want: f64, share: f64) {
    assert!((got / want - 1.0).abs() <= share, "{got} is not {want}");
}

fn holed() -> Polygon<f64> {
    polygon!(
        exterior: [(x: 0.0, y: 0.0), (x: 200.0, y: 0.0), (x: 200.0, y: 100.0), (x: 0.0, y: 100.0)],
        interiors: [[(x: 50.0, y: 25.0), (x: 100.0, y: 25.0), (x: 100.0, y: 75.0), (x: 50.0, y: 75.0)]],
    )
}

#[test]
fn buffers() {
    close(holed().unsigned_area(), 17_500.0, 1e-12);
    close(holed().buffer(30.0).unsigned_area(), 40_809.3, 5e-3);
    close(holed().buffer(-10.0).unsigned_area(), 9_587.86, 5e-3);
    close(Point::new(0.0, 0.0).buffer(100.0).unsigned_area(), 31_365.5, 5e-3);
}

#[test]
fn overlays() {
    let frame = |a: f64, b: f64, c: f64, d: f64| {
        MultiPolygon(vec![polygon![(x: a, y: b), (x: c, y: b), (x: c, y: d), (x: a, y: d)]])
    };
    let shape = MultiPolygon(vec![holed()]);
    close(shape.intersection(&frame(75.0, -10.0, 250.0, 60.0)).unsigned_area(), 6_625.0, 1e-9);
    close(shape.union(&frame(150.0, 50.0, 260.0, 150.0)).unsigned_area(), 26_000.0, 1e-9);
}

#[test]
fn geodesics() {
    let corner = polygon![(x: -83.76, y: 42.27), (x: -83.73, y: 42.27), (x: -83.73, y: 42.29), (x: -83.76, y: 42.29)];
    close(corner.geodesic_area_unsigned(), 5_497_501.007_951_736, 1e-9);
    let (here, there) = (Point::new(-83.743, 42.2808), Point::new(-87.3956, 46.5436));
    close(Geodesic.distance(here, there), 555_740.875_271_776, 1e-11);
    let moved = Geodesic.destination(here, 45.0, 10_000.0);
    assert!((moved.x() + 83.657_188_656).abs() < 1e-8 && (moved.y() - 42.344_425_719).abs() < 1e-8);
    // Counter-clockwise, as the area expects.
    let ring = |i: i32| Geodesic.destination(here, f64::from(i), 300.0).0;
    let circle = Polygon::new(LineString((0..360).rev().map(ring).collect()), vec![]);
    close(circle.geodesic_area_unsigned(), 282_728.983_989_543_7, 1e-7);
}
