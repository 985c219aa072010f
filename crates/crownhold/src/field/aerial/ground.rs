//! Which ground is flown as one spray block.

use geo::algorithm::buffer::{BufferStyle, LineJoin};
use geo::{Area as _, BooleanOps, Buffer as _, MultiPolygon, unary_union};

use crate::plan::Plan;
use crate::tactics::{neighbours, no_spray_ground};
use crate::timing::Offsets;
use crate::types::{Block, BlockId, Records};

/// Blocks that lie side by side and are flown equally often.
#[derive(Clone, Debug, PartialEq)]
pub struct SprayBlock {
    /// Its number on the job, such as S1.
    pub id: String,
    /// The blocks in it.
    pub blocks: Vec<BlockId>,
    /// Applications.
    pub flights: u32,
    /// Warmer than the station by this many degrees C, the blocks' mean by area; warmer ones hatch and are flown first.
    pub warmth: f64,
    /// What is sprayed: the blocks less the no-spray ground with its buffers.
    pub shape: MultiPolygon<f64>,
    /// What lies inside and must not be sprayed.
    pub kept_off: MultiPolygon<f64>,
}

/// Parts smaller than this are left-overs of cutting, square metres.
const LEAST_PART: f64 = 1.0;
/// So are parts narrower than this, metres.
const NEEDLE: f64 = 0.1;
/// Gaps between neighbours narrower than this are none, metres.
const SLIT: f64 = 1.0;
/// The outline is drawn in by this, metres: what hung together by a needle only must not touch itself afterwards.
const INSET: f64 = 0.01;
/// Corners sharper than this angle are cut off, radians.
const SHARPEST: f64 = 0.1;

/// The flown blocks of a plan, put together where they share an edge, the earliest ground first:
/// warmest above the station, then in block order. Blocks whose ground must not be sprayed at all are left out.
pub fn spray_blocks(plan: &Plan, records: &Records) -> Vec<SprayBlock> {
    let ground = no_spray_ground(records);
    let station = records.weather.iter().find(|w| !w.days.is_empty()).and_then(|w| w.elevation);
    let offsets = Offsets::of(&records.parameters, station);
    let flown: Vec<(usize, u32)> = plan
        .blocks
        .iter()
        .filter(|b| b.bundle.flies())
        .filter_map(|b| Some((records.blocks.iter().position(|r| r.id == b.block)?, b.bundle.flights())))
        .collect();
    let shapes: Vec<MultiPolygon<f64>> = flown.iter().map(|(b, _)| sprayed(&records.blocks[*b], &ground[*b])).collect();
    let flights: Vec<u32> = flown.iter().map(|(_, f)| *f).collect();
    let mut out = Vec::new();
    for members in groups(&shapes, &flights) {
        let kept_off = unary_union(members.iter().map(|m| &ground[flown[*m].0]));
        let whole = unary_union(members.iter().map(|m| &shapes[*m]));
        let mut shape = without_needles(&without_slits(&whole).difference(&kept_off));
        shape.0.retain(|part| part.unsigned_area() >= LEAST_PART);
        if shape.unsigned_area() > 0.0 {
            let blocks = members.iter().map(|m| records.blocks[flown[*m].0].id.clone()).collect();
            let warmth = warmth(members.iter().map(|m| &records.blocks[flown[*m].0]), &offsets);
            out.push(SprayBlock { id: String::new(), blocks, flights: flights[members[0]], warmth, shape, kept_off });
        }
    }
    // Stable: equally warm ones stay in block order.
    out.sort_by(|a, b| b.warmth.total_cmp(&a.warmth));
    out.iter_mut().enumerate().for_each(|(i, b)| b.id = format!("S{}", i + 1));
    out
}

/// Without slits between blocks that touch: neighbours need not be drawn with the very same edge.
fn without_slits(shape: &MultiPolygon<f64>) -> MultiPolygon<f64> {
    moved(&moved(shape, 0.5 * SLIT), -0.5 * SLIT)
}

/// Without what is narrower than a hand's breadth: needles left over by cutting, and waists that join nothing.
fn without_needles(shape: &MultiPolygon<f64>) -> MultiPolygon<f64> {
    moved(&moved(shape, -0.5 * NEEDLE), 0.5 * NEEDLE - INSET)
}

/// The outline moved outwards, metres.
fn moved(shape: &MultiPolygon<f64>, by: f64) -> MultiPolygon<f64> {
    shape.buffer_with_style(BufferStyle::new(by).line_join(LineJoin::Miter(SHARPEST)))
}

fn sprayed(block: &Block, off: &MultiPolygon<f64>) -> MultiPolygon<f64> {
    if off.0.is_empty() { block.shape.clone() } else { block.shape.difference(off) }
}

/// Mean by area, to a tenth of a degree.
fn warmth<'a>(blocks: impl Iterator<Item = &'a Block>, offsets: &Offsets) -> f64 {
    let (sum, area) = blocks.fold((0.0, 0.0), |(sum, area), b| {
        let of_it = b.shape.unsigned_area();
        (sum + of_it * offsets.block(b), area + of_it)
    });
    // No "-0.0".
    (10.0 * sum / area).round() / 10.0 + 0.0
}

/// Shapes that are joined by shared edges and flown equally often, each group and all groups in the order of their members.
fn groups(shapes: &[MultiPolygon<f64>], flights: &[u32]) -> Vec<Vec<usize>> {
    let around = neighbours(shapes);
    let mut group: Vec<usize> = (0..shapes.len()).collect();
    for i in 0..shapes.len() {
        for &j in around[i].iter().filter(|&&j| j < i && flights[i] == flights[j]) {
            let (from, to) = (group[i].max(group[j]), group[i].min(group[j]));
            group.iter_mut().filter(|g| **g == from).for_each(|g| *g = to);
        }
    }
    let of = |head: usize| (0..shapes.len()).filter(|i| group[*i] == head).collect::<Vec<_>>();
    (0..shapes.len()).filter(|i| group[*i] == *i).map(of).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use geo::{Rect, coord};

    fn square(x: f64, y: f64) -> MultiPolygon<f64> {
        MultiPolygon(vec![Rect::new(coord! { x: x, y: y }, coord! { x: x + 100.0, y: y + 100.0 }).to_polygon()])
    }

    /// A needle of no width goes, the corners and the area stay.
    #[test]
    fn needles_go() {
        use geo::{LineString, Polygon};
        let outline = vec![(0.0, 0.0), (100.0, 0.0), (100.0, 100.0), (100.0, 130.0), (100.0001, 100.0), (0.0, 100.0)];
        let clean = without_needles(&MultiPolygon(vec![Polygon::new(LineString::from(outline), vec![])]));
        assert!((clean.unsigned_area() - 9_996.0).abs() < 0.1, "{}", clean.unsigned_area());
        let top = clean.0[0].exterior().0.iter().map(|c| c.y).fold(0.0, f64::max);
        assert!((top - 99.99).abs() < 1e-3, "{top}");
    }

    /// A slit of drawing goes, a path of two metres stays.
    #[test]
    fn slits_close() {
        let beside = |x: f64| MultiPolygon(vec![square(0.0, 0.0).0[0].clone(), square(x, 0.0).0[0].clone()]);
        let closed = without_slits(&beside(100.01));
        assert_eq!(closed.0.len(), 1);
        assert!((closed.unsigned_area() - 20_001.0).abs() < 0.5, "{}", closed.unsigned_area());
        assert_eq!(without_slits(&beside(102.0)).0.len(), 2);
    }

    /// An edge joins, a corner does not, other numbers of flights do not.
    #[test]
    fn an_edge_and_the_same_flights_join() {
        let all = [square(0.0, 0.0), square(500.0, 0.0), square(100.0, 0.0), square(200.0, 100.0), square(0.0, 100.0)];
        assert_eq!(groups(&all, &[1; 5]), vec![vec![0, 2, 4], vec![1], vec![3]]);
        assert_eq!(groups(&all, &[1, 1, 1, 1, 2]), vec![vec![0, 2], vec![1], vec![3], vec![4]]);
    }
}
