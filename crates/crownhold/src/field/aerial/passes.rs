//! Passes over a spray block: parallel lines a swath apart, at the heading that takes least time.
//!
//! A pass sprays where its middle line lies on the block and nowhere its swath would touch ground that must not be
//! sprayed. In between the aircraft flies on with the booms shut, so a pass lasts from its first to its last point.

use std::f64::consts::PI;

use geo::{BooleanOps, BoundingRect, Coord, LinesIter, MultiPolygon, Rect, coord};

/// One line flown.
#[derive(Clone, Debug, PartialEq)]
pub struct Pass {
    /// Stretches with open booms, in the direction of flight; each from one point to another.
    pub sprayed: Vec<(Coord<f64>, Coord<f64>)>,
    /// From the first opening to the last shutting, metres.
    pub length: f64,
}

impl Pass {
    /// Metres flown with open booms.
    pub fn sprayed_length(&self) -> f64 {
        self.sprayed.iter().map(|(a, b)| (b.x - a.x).hypot(b.y - a.y)).sum()
    }
}

/// Headings tried, besides those of the edges.
const STEPS: usize = 36;
/// Stretches shorter than this are not opened for, metres.
const LEAST_STRETCH: f64 = 1.0;

/// A heading (degrees clockwise from grid north, 0 to below 180) and its passes in flying order, to and fro.
///
/// `swath` metres apart; `cost(passes, metres flown on them)` is what is made least. The heading is the best of every
/// fifth degree and of the directions of the block's edges, equal ones by the smaller angle. The lines lie evenly on
/// the block, so that what the last swath is too wide hangs over on both sides. Empty for a shape without area.
pub fn lay_passes(
    shape: &MultiPolygon<f64>,
    kept_off: &MultiPolygon<f64>,
    swath: f64,
    cost: impl Fn(usize, f64) -> f64,
) -> (f64, Vec<Pass>) {
    let mut best: Option<(f64, f64)> = None;
    for angle in candidates(shape) {
        let lines = lines(&turned(shape, angle), swath);
        let flown: f64 = lines.iter().map(|(_, spans)| spans[spans.len() - 1].1 - spans[0].0).sum();
        let here = cost(lines.len(), flown);
        if best.is_none_or(|(least, _)| here < least - 1e-9) {
            best = Some((here, angle));
        }
    }
    let Some((_, angle)) = best else { return (0.0, Vec::new()) };
    let heading = (90.0 - angle.to_degrees()).rem_euclid(180.0);
    (heading, passes_at(shape, kept_off, swath, angle))
}

/// Angles of flight, radians anticlockwise from east, 0 to below pi.
fn candidates(shape: &MultiPolygon<f64>) -> Vec<f64> {
    let mut all: Vec<f64> = (0..STEPS).map(|i| PI * i as f64 / STEPS as f64).collect();
    all.extend(shape.lines_iter().map(|l| {
        // To a tenth of a degree, so that edges that mean the same direction count once.
        let degrees = (l.end.y - l.start.y).atan2(l.end.x - l.start.x).to_degrees().rem_euclid(180.0);
        ((degrees * 10.0).round() / 10.0 % 180.0).to_radians()
    }));
    all.sort_by(f64::total_cmp);
    all.dedup();
    all
}

fn turn(c: Coord<f64>, angle: f64) -> Coord<f64> {
    let (sin, cos) = (libm::sin(angle), libm::cos(angle));
    coord! { x: c.x * cos - c.y * sin, y: c.x * sin + c.y * cos }
}

/// The shape with the angle of flight laid along the x axis.
fn turned(shape: &MultiPolygon<f64>, angle: f64) -> MultiPolygon<f64> {
    use geo::MapCoords as _;
    shape.map_coords(|c| turn(c, -angle))
}

/// Lines along x: their y, and the stretches of x on the shape, rising; lines without one are left out.
fn lines(shape: &MultiPolygon<f64>, swath: f64) -> Vec<(f64, Vec<(f64, f64)>)> {
    let Some(bounds) = shape.bounding_rect() else { return Vec::new() };
    // A width that is a whole number of swaths but for rounding takes no further line.
    let count = ((bounds.height() / swath - 1e-6).ceil() as usize).max(1);
    let first = bounds.min().y - 0.5 * (count as f64 * swath - bounds.height()) + 0.5 * swath;
    let mut crossings: Vec<Vec<f64>> = vec![Vec::new(); count];
    for edge in shape.lines_iter() {
        let (low, high) = if edge.start.y < edge.end.y { (edge.start, edge.end) } else { (edge.end, edge.start) };
        let from = ((low.y - first) / swath).ceil().max(0.0) as usize;
        for (i, of_line) in crossings.iter_mut().enumerate().skip(from) {
            let y = first + i as f64 * swath;
            if y >= high.y {
                break;
            }
            of_line.push(low.x + (y - low.y) / (high.y - low.y) * (high.x - low.x));
        }
    }
    let spans = |mut xs: Vec<f64>| {
        xs.sort_by(f64::total_cmp);
        xs.as_chunks::<2>().0.iter().map(|[a, b]| (*a, *b)).filter(|(a, b)| b - a >= LEAST_STRETCH).collect::<Vec<_>>()
    };
    let all = crossings.into_iter().enumerate().map(|(i, xs)| (first + i as f64 * swath, spans(xs)));
    all.filter(|(_, spans)| !spans.is_empty()).collect()
}

fn passes_at(shape: &MultiPolygon<f64>, kept_off: &MultiPolygon<f64>, swath: f64, angle: f64) -> Vec<Pass> {
    let off = turned(kept_off, angle);
    let mut out: Vec<Pass> = Vec::new();
    for (y, spans) in lines(&turned(shape, angle), swath) {
        let open = without(spans, &shut(&off, y, swath));
        let (Some(first), Some(last)) = (open.first(), open.last()) else { continue };
        let length = last.1 - first.0;
        let point = |x: f64| turn(coord! { x: x, y: y }, angle);
        let mut sprayed: Vec<_> = open.iter().map(|(a, b)| (point(*a), point(*b))).collect();
        if out.len() % 2 == 1 {
            sprayed = sprayed.into_iter().rev().map(|(a, b)| (b, a)).collect();
        }
        out.push(Pass { sprayed, length });
    }
    out
}

/// The stretches of x over which a swath around y touches what must not be sprayed.
fn shut(off: &MultiPolygon<f64>, y: f64, swath: f64) -> Vec<(f64, f64)> {
    let Some(bounds) = off.bounding_rect() else { return Vec::new() };
    if bounds.max().y <= y - 0.5 * swath || bounds.min().y >= y + 0.5 * swath {
        return Vec::new();
    }
    let (low, high) = (
        coord! { x: bounds.min().x - 1.0, y: y - 0.5 * swath },
        coord! { x: bounds.max().x + 1.0, y: y + 0.5 * swath },
    );
    let touched = off.intersection(&MultiPolygon(vec![Rect::new(low, high).to_polygon()]));
    touched.0.iter().filter_map(BoundingRect::bounding_rect).map(|r: Rect<f64>| (r.min().x, r.max().x)).collect()
}

fn without(mut spans: Vec<(f64, f64)>, shut: &[(f64, f64)]) -> Vec<(f64, f64)> {
    for (from, to) in shut {
        let cut = |(a, b): (f64, f64)| [(a, b.min(*from)), (a.max(*to), b)];
        spans = spans.into_iter().flat_map(cut).filter(|(a, b)| b - a >= LEAST_STRETCH).collect();
    }
    spans
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn rectangle(x: f64, y: f64, width: f64, height: f64) -> MultiPolygon<f64> {
        MultiPolygon(vec![Rect::new(coord! { x: x, y: y }, coord! { x: x + width, y: y + height }).to_polygon()])
    }

    fn turns(passes: usize, metres: f64) -> f64 {
        metres / 53.6 + 45.0 * passes as f64
    }

    /// Along the long side, and back again.
    #[test]
    fn to_and_fro() {
        let (heading, passes) = lay_passes(&rectangle(0.0, 0.0, 1_000.0, 100.0), &MultiPolygon(vec![]), 25.0, turns);
        assert_eq!((heading, passes.len()), (90.0, 4));
        assert!(passes.iter().all(|p| (p.length - 1_000.0).abs() < 1e-6));
        let east = |p: &Pass| p.sprayed[0].1.x > p.sprayed[0].0.x;
        assert_eq!(passes.iter().map(east).collect::<Vec<_>>(), [true, false, true, false]);
    }

    /// The booms are shut before the swath's edge touches a pond that the middle line misses.
    #[test]
    fn shut_for_the_whole_swath() {
        let pond = rectangle(400.0, 20.0, 100.0, 10.0);
        let field = rectangle(0.0, 0.0, 1_000.0, 100.0).difference(&pond);
        let (_, passes) = lay_passes(&field, &pond, 25.0, turns);
        let stretches: Vec<usize> = passes.iter().map(|p| p.sprayed.len()).collect();
        assert_eq!(stretches, [2, 2, 1, 1]);
        assert!((passes[0].sprayed_length() - 900.0).abs() < 1e-6 && (passes[0].length - 1_000.0).abs() < 1e-6);
    }

    proptest! {
        /// However a rectangle is turned, its passes are as many and as long, to what a rounded heading costs.
        #[test]
        fn turning_changes_nothing(angle in 0.0..PI, width in 300.0..1_500.0_f64) {
            use geo::MapCoords as _;
            let straight = rectangle(0.0, 0.0, width, 260.0);
            let (_, as_it_is) = lay_passes(&straight, &MultiPolygon(vec![]), 25.0, turns);
            let (_, again) = lay_passes(&straight.map_coords(|c| turn(c, angle)), &MultiPolygon(vec![]), 25.0, turns);
            let flown = |p: &[Pass]| p.iter().map(|p| p.length).sum::<f64>();
            prop_assert!(again.len().abs_diff(as_it_is.len()) <= 1);
            prop_assert!((turns(again.len(), flown(&again)) / turns(as_it_is.len(), flown(&as_it_is)) - 1.0).abs() < 0.12);
        }
    }
}
