//! Large outlines cut into compact parts, each across its longer side.

use geo::{
    Area as _, BooleanOps as _, BoundingRect as _, Centroid as _, MinimumRotatedRect as _, MultiPolygon, Point, Rect,
    Rotate as _, coord,
};

/// Steps of the search for the line that halves an outline: far finer than any drawing.
const STEPS: usize = 40;
/// A part smaller than this share of its half is a left-over of cutting, not worth a part of its own.
const CRUMB: f64 = 1e-6;

/// Parts of an outline of no more than `most` square metres each, of about the same size; the outline itself where it is no
/// larger. Together they are the outline.
pub fn parts_of(shape: &MultiPolygon<f64>, most: f64) -> Vec<MultiPolygon<f64>> {
    if shape.unsigned_area() <= most {
        return vec![shape.clone()];
    }
    match halves(shape) {
        Some(two) => two.iter().flat_map(|half| parts_of(half, most)).collect(),
        None => vec![shape.clone()],
    }
}

/// The outline cut across its longer side into two of the same area; `None` where it cannot be.
fn halves(shape: &MultiPolygon<f64>) -> Option<[MultiPolygon<f64>; 2]> {
    let (centre, lie) = (shape.centroid()?, lie(shape)?);
    let level = shape.rotate_around_point(-lie, centre);
    let bounds = level.bounding_rect()?;
    let side = |from: f64, to: f64| {
        let strip = Rect::new(coord! { x: from, y: bounds.min().y - 1.0 }, coord! { x: to, y: bounds.max().y + 1.0 });
        level.intersection(&MultiPolygon::from(strip.to_polygon()))
    };
    let half = 0.5 * level.unsigned_area();
    let (mut low, mut high) = (bounds.min().x, bounds.max().x);
    for _ in 0..STEPS {
        let middle = 0.5 * (low + high);
        if side(bounds.min().x - 1.0, middle).unsigned_area() < half { low = middle } else { high = middle }
    }
    let two = [side(bounds.min().x - 1.0, low), side(low, bounds.max().x + 1.0)];
    let sound = two.iter().all(|part| part.unsigned_area() > 0.9 * half);
    sound.then(|| two.map(|part| swept(part, CRUMB * half).rotate_around_point(lie, centre)))
}

/// Without crumbs.
fn swept(mut shape: MultiPolygon<f64>, least: f64) -> MultiPolygon<f64> {
    shape.0.retain(|polygon| polygon.unsigned_area() > least);
    shape
}

/// Degrees from east, counterclockwise, of the longer side of the smallest rectangle around an outline.
fn lie(shape: &MultiPolygon<f64>) -> Option<f64> {
    let around = shape.minimum_rotated_rect()?;
    let corners: Vec<Point<f64>> = around.exterior().points().collect();
    let sides = corners.windows(2).map(|w| (w[1].x() - w[0].x(), w[1].y() - w[0].y()));
    let (x, y) = sides.max_by(|a, b| libm::hypot(a.0, a.1).total_cmp(&libm::hypot(b.0, b.1)))?;
    Some(libm::atan2(y, x).to_degrees())
}

#[cfg(test)]
mod tests {
    use geo::{BooleanOps as _, polygon};
    use proptest::prelude::*;

    use super::*;

    #[test]
    fn a_strip_is_cut_across() {
        let strip = MultiPolygon::from(
            polygon![(x: 0.0, y: 0.0), (x: 90.0, y: 90.0), (x: 80.0, y: 100.0), (x: -10.0, y: 10.0)],
        );
        let parts = parts_of(&strip, strip.unsigned_area() / 3.5);
        assert_eq!(parts.len(), 4);
        for part in &parts {
            assert!((part.unsigned_area() / strip.unsigned_area() - 0.25).abs() < 1e-6);
            // Each is about square: its rectangle is no longer than a quarter of the strip is.
            let long = part.minimum_rotated_rect().unwrap();
            let length = long.exterior().lines().map(|l| libm::hypot(l.dx(), l.dy())).fold(0.0, f64::max);
            assert!(length < 40.0, "{length}");
        }
        assert_eq!(parts_of(&strip, 1e9), [strip]);
    }

    proptest! {
        /// Parts do not overlap, are together the whole, and are no larger than asked for.
        #[test]
        fn parts_make_the_whole(xs in prop::collection::vec((0.0..1_000.0, 0.0..1_000.0), 5..9), share in 2.0..9.0_f64) {
            use geo::ConvexHull as _;
            let hull = geo::MultiPoint::from(xs).convex_hull();
            let shape = MultiPolygon::from(hull);
            prop_assume!(shape.unsigned_area() > 5_000.0);
            let most = shape.unsigned_area() / share;
            let parts = parts_of(&shape, most);
            let sum: f64 = parts.iter().map(|p| p.unsigned_area()).sum();
            prop_assert!((sum / shape.unsigned_area() - 1.0).abs() < 1e-6);
            for (i, part) in parts.iter().enumerate() {
                prop_assert!(part.unsigned_area() <= most * 1.000_001);
                for other in &parts[i + 1..] {
                    prop_assert!(part.intersection(other).unsigned_area() < 1e-3);
                }
            }
        }
    }
}
