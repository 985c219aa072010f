//! From ground metres to drawing units, with north arrow and scale bar.

use std::fmt::Write as _;

use crownhold::types::UnitSystem;
use crownhold::types::quantity::METRES_PER_FOOT;
use geo::{BoundingRect, LineString, MultiPolygon};

use crate::palette::Inks;
use crate::svg::{Anchor, Svg, TextStyle, num};
use crate::wording::grouped;

/// Width of every map, drawing units.
pub const WIDTH: f64 = 1000.0;
/// Tallest and flattest map.
const HEIGHTS: (f64, f64) = (420.0, 980.0);
/// Space between the outermost shape and the edge.
const MARGIN: f64 = 16.0;
/// Room under the shapes for scale bar and north arrow.
const FOOT: f64 = 56.0;
/// Corners nearer to the last one than this are not drawn.
const FINE: f64 = 0.4;

/// Where the ground lies on the drawing.
#[derive(Clone, Copy, Debug)]
pub struct Frame {
    west: f64,
    north: f64,
    /// Drawing units per metre.
    scale: f64,
    shift: (f64, f64),
    height: f64,
}

impl Frame {
    /// Around all shapes; `None` when there is no shape with an extent.
    pub fn around<'a>(shapes: impl Iterator<Item = &'a MultiPolygon<f64>>) -> Option<Self> {
        let boxes: Vec<_> = shapes.filter_map(BoundingRect::bounding_rect).collect();
        let least = |of: fn(&geo::Rect<f64>) -> f64| boxes.iter().map(of).min_by(f64::total_cmp);
        let most = |of: fn(&geo::Rect<f64>) -> f64| boxes.iter().map(of).max_by(f64::total_cmp);
        let (west, south) = (least(|b| b.min().x)?, least(|b| b.min().y)?);
        let (east, north) = (most(|b| b.max().x)?, most(|b| b.max().y)?);
        let (wide, tall) = ((east - west).max(1.0), (north - south).max(1.0));
        let inner = WIDTH - 2.0 * MARGIN;
        let drawn = (inner * tall / wide).clamp(HEIGHTS.0, HEIGHTS.1);
        let scale = (inner / wide).min(drawn / tall);
        let shift = (MARGIN + (inner - wide * scale) / 2.0, MARGIN + (drawn - tall * scale) / 2.0);
        Some(Self { west, north, scale, shift, height: drawn + 2.0 * MARGIN + FOOT })
    }
    /// Height of the map with its foot.
    pub fn height(&self) -> f64 {
        self.height
    }
    /// A point of the ground.
    pub fn point(&self, x: f64, y: f64) -> (f64, f64) {
        (self.shift.0 + (x - self.west) * self.scale, self.shift.1 + (self.north - y) * self.scale)
    }
    /// Drawing units in metres.
    pub fn ground(&self, units: f64) -> f64 {
        units / self.scale
    }
    /// A shape as path data; corners closer than the eye sees are left out.
    pub fn path(&self, shape: &MultiPolygon<f64>) -> String {
        let mut d = String::new();
        for polygon in shape {
            self.ring(&mut d, polygon.exterior());
            polygon.interiors().iter().for_each(|ring| self.ring(&mut d, ring));
        }
        d
    }

    fn ring(&self, d: &mut String, ring: &LineString<f64>) {
        let mut last: Option<(f64, f64)> = None;
        for corner in &ring.0 {
            let at = self.point(corner.x, corner.y);
            if last.is_some_and(|l| (l.0 - at.0).hypot(l.1 - at.1) < FINE) {
                continue;
            }
            let _ = write!(d, "{}{} {}", if last.is_none() { "M" } else { "L" }, num(at.0), num(at.1));
            last = Some(at);
        }
        if last.is_some() {
            d.push('Z');
        }
    }

    /// An arrow to grid north.
    pub fn north(&self, svg: &mut Svg, inks: &Inks) {
        let (x, base) = (WIDTH - MARGIN - 60.0, self.height - 10.0);
        svg.path(
            &format!(
                "M{} {}L{} {}L{} {}L{} {}Z",
                num(x),
                num(base),
                num(x + 9.0),
                num(base - 34.0),
                num(x + 18.0),
                num(base),
                num(x + 9.0),
                num(base - 8.0)
            ),
            &format!("fill=\"{}\"", inks.ink),
        );
        svg.text((x + 26.0, base - 18.0), TextStyle::new(15.0, inks.ink), "grid");
        svg.text((x + 26.0, base - 2.0), TextStyle::new(15.0, inks.ink), "north");
    }

    /// A scale bar of a round length, about a quarter of the width.
    pub fn scale_bar(&self, svg: &mut Svg, inks: &Inks, units: UnitSystem) {
        let (metres, label) = round_length(self.ground(WIDTH / 4.0), units);
        let (length, y) = (metres * self.scale, self.height - 18.0);
        let half = length / 2.0;
        svg.rect((MARGIN, y), (half, 7.0), &format!("fill=\"{}\"", inks.ink));
        svg.rect((MARGIN, y), (length, 7.0), &format!("fill=\"none\" stroke=\"{}\" stroke-width=\"1\"", inks.ink));
        let style = TextStyle::new(15.0, inks.ink);
        svg.text((MARGIN, y - 6.0), style, "0");
        svg.text((MARGIN + length, y - 6.0), style.anchor(Anchor::Middle), &label);
    }
}

/// The largest of 1, 2 or 5 times a power of ten, in a unit fit for it, that is no longer than `most` metres.
fn round_length(most: f64, units: UnitSystem) -> (f64, String) {
    let (small, big) = match units {
        UnitSystem::Us => ((METRES_PER_FOOT, "ft"), (5_280.0 * METRES_PER_FOOT, "mi")),
        UnitSystem::Metric => ((1.0, "m"), (1_000.0, "km")),
    };
    // Half a mile reads better than 2,500 ft, but half a kilometre reads as 500 m.
    let least_big = if units == UnitSystem::Us { 0.5 } else { 1.0 };
    let (unit, name) = if most >= least_big * big.0 { big } else { small };
    let decade = 10f64.powf((most / unit).log10().floor());
    let value = [5.0, 2.0, 1.0].into_iter().map(|m| m * decade).find(|v| v * unit <= most).unwrap_or(decade);
    let figure = if value < 1.0 { value.to_string() } else { grouped(value) };
    (value * unit, format!("{figure} {name}"))
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn scale_bars_are_round() {
        let text = |m, u| round_length(m, u).1;
        assert_eq!(text(730.0, UnitSystem::Metric), "500 m");
        assert_eq!(text(2_100.0, UnitSystem::Metric), "2 km");
        assert_eq!(text(900.0, UnitSystem::Us), "0.5 mi");
        assert_eq!(text(300.0, UnitSystem::Us), "500 ft");
    }

    #[test]
    fn scale_is_the_same_both_ways() {
        let shape = MultiPolygon::new(vec![geo::Rect::new((0.0, 0.0), (3_000.0, 500.0)).to_polygon()]);
        let frame = Frame::around(std::iter::once(&shape)).unwrap();
        let (a, b, c) = (frame.point(0.0, 0.0), frame.point(100.0, 0.0), frame.point(0.0, 100.0));
        assert!((b.0 - a.0 - (a.1 - c.1)).abs() < 1e-9);
        assert!(a.1 > c.1, "north is up");
    }
}
