//! The places that a block is averaged over.

use geo::{Area as _, BoundingRect, Contains, InteriorPoint, MultiPolygon, Point};

/// Ground that one place stands for, square metres, and the most places of a block.
const GROUND: f64 = 30_000.0;
const MOST: f64 = 6.0;

/// Places on an even grid inside the shape; one inside it where the grid misses it.
pub fn places_in(shape: &MultiPolygon<f64>) -> Vec<[f64; 2]> {
    let area = shape.unsigned_area();
    let wanted = (area / GROUND).round().clamp(1.0, MOST);
    let spacing = (area / wanted).sqrt();
    let Some(bounds) = shape.bounding_rect().filter(|_| spacing > 0.0) else { return Vec::new() };
    let along = |from: f64, to: f64| {
        let number = ((to - from) / spacing).ceil().max(1.0);
        let first = from + 0.5 * (to - from - (number - 1.0) * spacing);
        (0..number as usize).map(move |i| first + i as f64 * spacing)
    };
    let inside: Vec<[f64; 2]> = along(bounds.min().x, bounds.max().x)
        .flat_map(|x| along(bounds.min().y, bounds.max().y).map(move |y| [x, y]))
        .filter(|[x, y]| shape.contains(&Point::new(*x, *y)))
        .collect();
    if inside.is_empty() { shape.interior_point().map(|p| [p.x(), p.y()]).into_iter().collect() } else { inside }
}

#[cfg(test)]
mod tests {
    use super::*;
    use geo::{MultiPolygon, polygon};

    #[test]
    fn places_lie_inside() {
        let square = |side: f64| {
            MultiPolygon::new(vec![
                polygon![(x: 0.0, y: 0.0), (x: side, y: 0.0), (x: side, y: side), (x: 0.0, y: side)],
            ])
        };
        assert_eq!(places_in(&square(100.0)), [[50.0, 50.0]]);
        let many = places_in(&square(400.0));
        assert!(
            (4..=9).contains(&many.len()) && many.iter().all(|[x, y]| *x > 0.0 && *x < 400.0 && *y > 0.0 && *y < 400.0)
        );
        // A thin ring around nothing: the grid may miss it.
        let ring = MultiPolygon::new(vec![geo::Polygon::new(
            vec![(0.0, 0.0), (90.0, 0.0), (90.0, 90.0), (0.0, 90.0)].into(),
            vec![vec![(2.0, 2.0), (88.0, 2.0), (88.0, 88.0), (2.0, 88.0)].into()],
        )]);
        assert!(!places_in(&ring).is_empty());
    }
}
