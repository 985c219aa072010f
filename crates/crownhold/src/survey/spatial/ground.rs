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

/// Middles of the squares of a grid over the whole plane that lie inside the shape; one place inside it where no square
/// does, so that no shape is left out.
pub fn cells_in(shape: &MultiPolygon<f64>, side: f64) -> Vec<[f64; 2]> {
    let Some(bounds) = shape.bounding_rect().filter(|_| side > 0.0) else { return Vec::new() };
    let along =
        |from: f64, to: f64| (libm::floor(from / side) as i64..=libm::floor(to / side) as i64).map(middle(side));
    let inside: Vec<[f64; 2]> = along(bounds.min().x, bounds.max().x)
        .flat_map(|x| along(bounds.min().y, bounds.max().y).map(move |y| [x, y]))
        .filter(|[x, y]| shape.contains(&Point::new(*x, *y)))
        .collect();
    if inside.is_empty() { shape.interior_point().map(|p| [p.x(), p.y()]).into_iter().collect() } else { inside }
}

fn middle(side: f64) -> impl Fn(i64) -> f64 {
    move |n| (n as f64 + 0.5) * side
}

#[cfg(test)]
mod tests {
    use super::*;
    use geo::{MultiPolygon, polygon};

    #[test]
    fn cells_of_neighbours_make_one_grid() {
        let strip = |from: f64, to: f64| {
            MultiPolygon::new(vec![polygon![(x: from, y: 0.0), (x: to, y: 0.0), (x: to, y: 60.0), (x: from, y: 60.0)]])
        };
        assert_eq!(cells_in(&strip(0.0, 130.0), 60.0), [[30.0, 30.0], [90.0, 30.0]]);
        assert_eq!(cells_in(&strip(130.0, 240.0), 60.0), [[150.0, 30.0], [210.0, 30.0]]);
        // Too narrow for the grid's middles.
        assert_eq!(cells_in(&strip(100.0, 110.0), 60.0).len(), 1);
    }

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
