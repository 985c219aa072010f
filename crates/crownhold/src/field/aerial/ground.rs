//! Which ground is flown as one spray block.

use geo::{Area as _, BooleanOps, BoundingRect, Buffer, MultiPolygon, unary_union};

use crate::plan::Plan;
use crate::tactics::no_spray_ground;
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

/// Neighbours share at least so much of an edge, metres; a common corner is not enough.
const LEAST_EDGE: f64 = 10.0;
/// Parts smaller than this are left-overs of cutting, square metres.
const LEAST_PART: f64 = 1.0;
/// Gaps of drawing between neighbours that are bridged, metres.
const GAP: f64 = 1.0;

/// The flown blocks of a plan, put together where they share an edge, the earliest ground first:
/// warmest above the station, then in block order. Blocks whose ground must not be sprayed at all are left out.
pub fn spray_blocks(plan: &Plan, records: &Records) -> Vec<SprayBlock> {
    let flights = |b: &crate::plan::BlockPlan| b.bundle.tactics().iter().map(|t| t.flights()).max().unwrap_or(0);
    let ground = no_spray_ground(records);
    let station = records.weather.iter().find(|w| !w.days.is_empty()).and_then(|w| w.elevation);
    let offsets = Offsets::of(&records.parameters, station);
    let flown: Vec<(usize, u32)> = plan
        .blocks
        .iter()
        .filter(|b| flights(b) > 0)
        .filter_map(|b| Some((records.blocks.iter().position(|r| r.id == b.block)?, flights(b))))
        .collect();
    let shapes: Vec<&MultiPolygon<f64>> = flown.iter().map(|(b, _)| &records.blocks[*b].shape).collect();
    let groups = groups(&shapes, |i, j| flown[i].1 == flown[j].1);
    let mut out = Vec::new();
    for members in groups {
        let whole = unary_union(members.iter().map(|m| shapes[*m]));
        let kept_off = unary_union(members.iter().map(|m| &ground[flown[*m].0]));
        let mut shape = if kept_off.0.is_empty() { whole } else { whole.difference(&kept_off) };
        shape.0.retain(|part| part.unsigned_area() >= LEAST_PART);
        if shape.unsigned_area() > 0.0 {
            let blocks = members.iter().map(|m| records.blocks[flown[*m].0].id.clone()).collect();
            let warmth = warmth(members.iter().map(|m| &records.blocks[flown[*m].0]), &offsets);
            out.push(SprayBlock { id: String::new(), blocks, flights: flown[members[0]].1, warmth, shape, kept_off });
        }
    }
    // Stable: equally warm ones stay in block order.
    out.sort_by(|a, b| b.warmth.total_cmp(&a.warmth));
    out.iter_mut().enumerate().for_each(|(i, b)| b.id = format!("S{}", i + 1));
    out
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

/// Shapes that are joined by shared edges, each group and all groups in the order of their members.
fn groups(shapes: &[&MultiPolygon<f64>], may: impl Fn(usize, usize) -> bool) -> Vec<Vec<usize>> {
    let mut group: Vec<usize> = (0..shapes.len()).collect();
    for i in 0..shapes.len() {
        for j in 0..i {
            if may(i, j) && group[i] != group[j] && share_an_edge(shapes[i], shapes[j]) {
                let (from, to) = (group[i].max(group[j]), group[i].min(group[j]));
                group.iter_mut().filter(|g| **g == from).for_each(|g| *g = to);
            }
        }
    }
    let of = |head: usize| (0..shapes.len()).filter(|i| group[*i] == head).collect::<Vec<_>>();
    (0..shapes.len()).filter(|i| group[*i] == *i).map(of).collect()
}

fn share_an_edge(a: &MultiPolygon<f64>, b: &MultiPolygon<f64>) -> bool {
    let (Some(ra), Some(rb)) = (a.bounding_rect(), b.bounding_rect()) else { return false };
    let apart = ra.min().x > rb.max().x + GAP
        || rb.min().x > ra.max().x + GAP
        || ra.min().y > rb.max().y + GAP
        || rb.min().y > ra.max().y + GAP;
    !apart && a.buffer(GAP).intersection(b).unsigned_area() >= LEAST_EDGE * GAP
}

#[cfg(test)]
mod tests {
    use super::*;
    use geo::{Rect, coord};

    fn square(x: f64, y: f64) -> MultiPolygon<f64> {
        MultiPolygon(vec![Rect::new(coord! { x: x, y: y }, coord! { x: x + 100.0, y: y + 100.0 }).to_polygon()])
    }

    /// An edge joins, a corner does not, other numbers of flights do not.
    #[test]
    fn neighbours() {
        let all = [square(0.0, 0.0), square(500.0, 0.0), square(100.0, 0.0), square(200.0, 100.0), square(0.0, 100.0)];
        let shapes: Vec<_> = all.iter().collect();
        assert_eq!(groups(&shapes, |_, _| true), vec![vec![0, 2, 4], vec![1], vec![3]]);
        assert_eq!(groups(&shapes, |i, j| i != 4 && j != 4), vec![vec![0, 2], vec![1], vec![3], vec![4]]);
    }
}
