//! Turns of the aircraft at the ends of its passes, and what flying neighbours together saves of them.
//!
//! Passes lie side by side along one heading. Across it an outline is passed over once going in and once going out, so ground has
//! half its outline, measured across the heading, over the swath as passes, each with a turn. Of two neighbours
//! flown together the common edge, measured in the same way, falls away twice. So turns are a sum over blocks less a sum
//! over pairs, whatever shape comes of it. The heading is the one with the fewest turns over all ground; a spray block's own best
//! heading, which its job sheet takes, has no more.

use geo::{LineString, MultiPolygon};

use crate::types::Money;

/// Headings tried: every 15 degrees.
const HEADINGS: u32 = 12;

/// Turns of flights over blocks.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Turns {
    /// Direction of the passes, degrees from north.
    pub heading: f64,
    /// Of each block flown by itself.
    pub alone: Vec<f64>,
    /// Of each block, what flying it together with each of its neighbours saves; in their order.
    pub saved: Vec<Vec<f64>>,
    /// Price of one.
    pub price: Money,
}

impl Turns {
    /// Of blocks with this ground. `strips` are pieces a metre wide along the edges with each neighbour; `swath` in
    /// metres, none without one: it is refused where flights are laid out.
    pub(super) fn of(
        ground: &[MultiPolygon<f64>],
        strips: &[Vec<MultiPolygon<f64>>],
        swath: f64,
        price: Money,
    ) -> Self {
        if swath <= 0.0 {
            return Self::default();
        }
        let heading = (0..HEADINGS)
            .map(|i| 180.0 * f64::from(i) / f64::from(HEADINGS))
            .map(|heading| (ground.iter().map(|g| across(g, heading)).sum::<f64>(), heading))
            .min_by(|a, b| a.0.total_cmp(&b.0))
            .map_or(0.0, |(_, heading)| heading);
        let saved = |strip: &MultiPolygon<f64>| across(strip, heading) / swath;
        Self {
            heading,
            alone: ground.iter().map(|g| across(g, heading) / swath).collect(),
            saved: strips.iter().map(|of_block| of_block.iter().map(saved).collect()).collect(),
            price,
        }
    }

    /// Do they cost anything?
    pub fn matter(&self) -> bool {
        self.price.as_dollars() > 0.0 && !self.alone.is_empty()
    }

    /// Turns of a block by itself.
    pub fn alone(&self, block: usize) -> f64 {
        self.alone.get(block).copied().unwrap_or(0.0)
    }

    /// What the neighbour at this position saves it.
    pub fn saved(&self, block: usize, neighbour: usize) -> f64 {
        self.saved.get(block).and_then(|s| s.get(neighbour)).copied().unwrap_or(0.0)
    }
}

/// Half the outline, measured across a heading, metres. Ground kept off inside is flown over with the nozzles shut.
fn across(shape: &MultiPolygon<f64>, heading: f64) -> f64 {
    let (sin, cos) = libm::sincos(heading.to_radians());
    let of = |ring: &LineString<f64>| ring.lines().map(|l| (l.dx() * cos - l.dy() * sin).abs()).sum::<f64>();
    0.5 * shape.0.iter().map(|p| of(p.exterior())).sum::<f64>()
}

#[cfg(test)]
mod tests {
    use geo::{BooleanOps as _, Rect, coord};

    use super::*;

    fn field(x: f64, y: f64, wide: f64, high: f64) -> MultiPolygon<f64> {
        MultiPolygon(vec![Rect::new(coord! { x: x, y: y }, coord! { x: x + wide, y: y + high }).to_polygon()])
    }

    /// A field of 100 by 400 metres, swaths of 50: two passes along it, eight across it.
    #[test]
    fn along_a_field() {
        let long = field(0.0, 0.0, 100.0, 400.0);
        assert!((across(&long, 0.0) / 50.0 - 2.0).abs() < 1e-9);
        assert!((across(&long, 90.0) / 50.0 - 8.0).abs() < 1e-9);
        let turns = Turns::of(&[long], &[Vec::new()], 50.0, Money::dollars(10.0));
        assert!(turns.heading.abs() < 1e-9 && (turns.alone(0) - 2.0).abs() < 1e-9);
        assert!(!Turns::of(&[field(0.0, 0.0, 1.0, 1.0)], &[Vec::new()], 0.0, Money::dollars(10.0)).matter());
    }

    /// A sum less the pairs is what the joined shape has, at any heading.
    #[test]
    fn joined_shapes() {
        let parts = [field(0.0, 0.0, 100.0, 200.0), field(100.0, 50.0, 80.0, 90.0), field(0.0, 200.0, 60.0, 70.0)];
        let strips = [field(100.0, 50.0, 1e-6, 90.0), field(0.0, 200.0, 60.0, 1e-6)];
        let whole = parts[0].union(&parts[1]).union(&parts[2]);
        for heading in [0.0, 20.0, 90.0, 133.0] {
            let sum: f64 = parts.iter().map(|p| across(p, heading)).sum();
            let joined = sum - strips.iter().map(|s| across(s, heading)).sum::<f64>();
            assert!((joined - across(&whole, heading)).abs() < 1e-4, "{heading}: {joined}");
        }
    }
}
