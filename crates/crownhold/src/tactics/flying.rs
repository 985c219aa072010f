//! Which blocks can be flown together: sprayable ground that meets along an edge, and the least a spray block may be.

use geo::{Area as _, BooleanOps, BoundingRect, Buffer, Distance as _, Euclidean, MultiPolygon, Polygon};
use rayon::prelude::*;

use super::turns::Turns;
use super::{BlockOption, BlockOptions};
use crate::types::{Area, Block, Length, Money, Parameters, Records, UnitSystem};

/// Neighbours share at least so much of an edge, metres; a common corner is not enough.
const LEAST_EDGE: f64 = 10.0;
/// Gaps of drawing between neighbours that are bridged, metres.
const GAP: f64 = 1.0;

/// What has to be known to fly blocks in one spray block: blocks that touch and get the same number of flights.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Flying {
    /// For each block the positions of those whose sprayable ground meets its own along an edge, rising. May be empty
    /// altogether: then every block is flown alone.
    pub neighbours: Vec<Vec<usize>>,
    /// Least area of a spray block, once over.
    pub least: Area,
    /// Setting up, per spray block and application.
    pub set_up: Money,
    /// Turns at the ends of passes.
    pub turns: Turns,
}

impl Flying {
    /// From the ground of each block that may be sprayed.
    pub(super) fn of(ground: &[MultiPolygon<f64>], p: &Parameters) -> Self {
        let (neighbours, strips) = edges(ground);
        let swath = Length::feet(p.number("aircraft.swath")).as_metres();
        Self {
            neighbours,
            least: Area::acres(p.number("aerial.least_area")),
            set_up: Money::dollars(p.number("aerial.mobilisation")),
            turns: Turns::of(ground, &strips, swath, Money::dollars(p.number("aerial.turn"))),
        }
    }

    /// Does size, setting up or turning matter, or is every block flown by itself at no extra cost?
    pub fn matters(&self) -> bool {
        self.least.as_square_metres() > 0.0 || self.set_up.as_dollars() > 0.0 || self.turns.matter()
    }

    /// Blocks that touch a block.
    pub fn around(&self, block: usize) -> &[usize] {
        self.neighbours.get(block).map_or(&[], Vec::as_slice)
    }
}

/// The ground of every block that may be sprayed.
pub(super) fn sprayable(records: &Records, no_spray: &[MultiPolygon<f64>]) -> Vec<MultiPolygon<f64>> {
    let cut = |(b, off): (&Block, &MultiPolygon<f64>)| {
        if off.0.is_empty() { b.shape.clone() } else { b.shape.difference(off) }
    };
    records.blocks.par_iter().zip(no_spray).map(cut).collect()
}

/// For each shape those that it shares an edge with, rising.
pub fn neighbours(shapes: &[MultiPolygon<f64>]) -> Vec<Vec<usize>> {
    edges(shapes).0
}

/// For each shape those that it shares an edge with, rising, and the strips [`GAP`] wide along these edges.
fn edges(shapes: &[MultiPolygon<f64>]) -> (Vec<Vec<usize>>, Vec<Vec<MultiPolygon<f64>>>) {
    let bounds: Vec<_> = shapes.iter().map(BoundingRect::bounding_rect).collect();
    let apart = |i: usize, j: usize| match (bounds[i], bounds[j]) {
        (Some(a), Some(b)) => {
            a.min().x > b.max().x + GAP
                || b.min().x > a.max().x + GAP
                || a.min().y > b.max().y + GAP
                || b.min().y > a.max().y + GAP
        }
        _ => true,
    };
    let later: Vec<Vec<(usize, MultiPolygon<f64>)>> = (0..shapes.len())
        .into_par_iter()
        .map(|i| {
            let near: Vec<usize> = (i + 1..shapes.len()).filter(|&j| !apart(i, j)).collect();
            let wide = if near.is_empty() { MultiPolygon(Vec::new()) } else { shapes[i].buffer(GAP) };
            let strip = |j: usize| (j, wide.intersection(&shapes[j]));
            near.into_iter().map(strip).filter(|(_, s)| s.unsigned_area() >= LEAST_EDGE * GAP).collect()
        })
        .collect();
    let mut all = later.clone();
    for (i, strips) in later.iter().enumerate() {
        strips.iter().for_each(|(j, strip)| all[*j].push((i, strip.clone())));
    }
    all.iter_mut().for_each(|strips| strips.sort_unstable_by_key(|(j, _)| *j));
    all.into_iter().map(|strips| strips.into_iter().unzip()).unzip()
}

/// Bars flights over ground that no pass fits into, not even with every neighbour that may be flown as often.
pub(super) fn bar_the_narrow(
    blocks: &mut [BlockOptions],
    ground: &[MultiPolygon<f64>],
    flying: &Flying,
    width: Length,
    units: UnitSystem,
) {
    let half = 0.5 * width.as_metres();
    if half <= 0.0 {
        return;
    }
    let narrow: Vec<bool> = ground.par_iter().map(|g| !g.0.is_empty() && is_empty(&g.buffer(-half))).collect();
    for flights in 1..=2 {
        let flown: Vec<bool> = blocks.iter().map(|b| once_over(b, flights).is_some()).collect();
        for b in (0..blocks.len()).filter(|&b| narrow[b] && flown[b]) {
            let around = flying.around(b).iter().filter(|&&n| flown[n]);
            let whole = around.fold(ground[b].buffer(0.5 * GAP), |all, &n| all.union(&ground[n].buffer(0.5 * GAP)));
            if is_empty(&whole.buffer(-half - 0.5 * GAP).intersection(&ground[b])) {
                let why = format!(
                    "The ground that may be sprayed is nowhere {} wide, that of neighbours included: no pass fits.",
                    units.length(width)
                );
                let flown = |o: &&mut BlockOption| o.allowed() && o.bundle.flights() == flights;
                blocks[b].options.iter_mut().filter(flown).for_each(|o| o.barred.push(why.clone()));
            }
        }
    }
}

/// Bars flights over ground that no-spray ground parts too widely: parts further than `most` from all others are no one spray
/// block. Parts that no pass fits into do not count.
pub(super) fn bar_the_parted(
    blocks: &mut [BlockOptions],
    ground: &[MultiPolygon<f64>],
    [width, most]: [Length; 2],
    units: UnitSystem,
) {
    let gaps: Vec<Option<f64>> = ground.par_iter().map(|g| widest_gap(g, width.as_metres())).collect();
    for (block, gap) in blocks.iter_mut().zip(gaps) {
        let Some(gap) = gap.filter(|&gap| gap > most.as_metres()) else { continue };
        let why = format!(
            "No-spray ground parts what may be sprayed by {}, more than the {} that are flown with valves shut. Cut the block \
             there.",
            units.length(Length::metres(gap)),
            units.length(most)
        );
        let flown = |o: &&mut BlockOption| o.allowed() && o.bundle.flies();
        block.options.iter_mut().filter(flown).for_each(|o| o.barred.push(why.clone()));
    }
}

/// The widest gap that has to be crossed to join all parts that a pass fits into, metres: the longest link of the shortest tree
/// (Prim 1957). `None` for ground in one part.
fn widest_gap(ground: &MultiPolygon<f64>, width: f64) -> Option<f64> {
    if ground.0.len() < 2 {
        return None;
    }
    let wide = |p: &&Polygon<f64>| !is_empty(&p.buffer(-0.5 * width));
    let mut apart: Vec<&Polygon<f64>> = ground.iter().filter(wide).collect();
    let mut joined = vec![apart.pop()?];
    let mut widest = None;
    while let Some((at, gap)) = apart
        .iter()
        .map(|p| joined.iter().map(|j| Euclidean.distance(*p, *j)).fold(f64::INFINITY, f64::min))
        .enumerate()
        .min_by(|a, b| a.1.total_cmp(&b.1))
    {
        joined.push(apart.swap_remove(at));
        widest = Some(gap.max(widest.unwrap_or(0.0)));
    }
    widest
}

/// Less than a square metre is drawing.
fn is_empty(shape: &MultiPolygon<f64>) -> bool {
    shape.unsigned_area() < 1.0
}

/// Bars flights over ground that stays below the least area even with every neighbour that may be flown as often.
pub(super) fn bar_the_small(blocks: &mut [BlockOptions], flying: &Flying, units: UnitSystem) {
    for flights in 1..=2 {
        let ground: Vec<Option<Area>> = blocks.iter().map(|b| once_over(b, flights)).collect();
        for region in regions(&ground, flying) {
            let area: Area = region.iter().filter_map(|&b| ground[b]).sum();
            if area < flying.least {
                let why = too_small(&units.area(area), region.len(), &units.area(flying.least));
                let flown = |o: &&mut BlockOption| o.allowed() && o.bundle.flights() == flights;
                for &b in &region {
                    blocks[b].options.iter_mut().filter(flown).for_each(|o| o.barred.push(why.clone()));
                }
            }
        }
    }
}

/// What one flight sprays of a block, if it may be flown so many times.
fn once_over(block: &BlockOptions, flights: u32) -> Option<Area> {
    let option = block.options.iter().find(|o| o.allowed() && o.bundle.flights() == flights)?;
    Some(option.sprayed_once())
}

fn too_small(area: &str, blocks: usize, least: &str) -> String {
    match blocks {
        1 => format!("{area} that may be sprayed are less than the least spray block of {least}."),
        n => format!(
            "Even with all {n} blocks side by side that may be flown there are {area}, less than the least spray block of {least}."
        ),
    }
}

/// Blocks with ground that are joined by neighbours, in the order of their first.
fn regions(ground: &[Option<Area>], flying: &Flying) -> Vec<Vec<usize>> {
    let mut seen = vec![false; ground.len()];
    let mut all = Vec::new();
    for first in 0..ground.len() {
        let mut region = Vec::new();
        let mut open = vec![first];
        while let Some(b) = open.pop() {
            if ground[b].is_some() && !std::mem::replace(&mut seen[b], true) {
                region.push(b);
                open.extend(flying.around(b));
            }
        }
        if !region.is_empty() {
            region.sort_unstable();
            all.push(region);
        }
    }
    all
}

#[cfg(test)]
mod tests {
    use geo::{Rect, coord};

    use super::*;

    fn square(x: f64, y: f64) -> MultiPolygon<f64> {
        MultiPolygon(vec![Rect::new(coord! { x: x, y: y }, coord! { x: x + 100.0, y: y + 100.0 }).to_polygon()])
    }

    /// An edge joins, a corner does not.
    #[test]
    fn edges_make_neighbours() {
        let all = [square(0.0, 0.0), square(500.0, 0.0), square(100.0, 0.0), square(200.0, 100.0), square(0.0, 100.0)];
        assert_eq!(neighbours(&all), [vec![2, 4], vec![], vec![0], vec![], vec![0]]);
    }

    /// A lane of 15 m by itself, and one beside a field: 20 m wide passes fit into the second only.
    #[test]
    fn lanes() {
        let lane = |x: f64| {
            MultiPolygon(vec![Rect::new(coord! { x: x, y: 0.0 }, coord! { x: x + 15.0, y: 100.0 }).to_polygon()])
        };
        let ground = [lane(-300.0), lane(-15.0), square(0.0, 0.0)];
        let block = |flown: bool| BlockOptions {
            block: "A".into(),
            neighbourhood: None,
            host_area: Area::acres(1.0),
            tolerance: crate::types::Share::clamped(0.3),
            accepted_chance: 0.0,
            no_spray_share: 0.0,
            options: vec![BlockOption {
                bundle: super::super::Bundle::new(vec![crate::types::Tactic::AerialOnce]),
                barred: if flown { Vec::new() } else { vec!["No.".to_owned()] },
                cost: Money::ZERO,
                labour: Vec::new(),
                sprayed: Area::acres(1.0),
                chance_over: 0.0,
                expected_defoliation: 0.0,
                larvae_removed: 0.0,
            }],
        };
        let flying = Flying { neighbours: neighbours(&ground), ..Flying::default() };
        let barred = |field: bool| {
            let mut blocks = vec![block(true), block(true), block(field)];
            bar_the_narrow(&mut blocks, &ground, &flying, Length::metres(20.0), UnitSystem::Metric);
            blocks.iter().map(|b| b.options[0].barred.len()).collect::<Vec<_>>()
        };
        assert_eq!(barred(true), [1, 0, 0]);
        assert_eq!(barred(false), [1, 1, 1]);
    }

    /// Fields 300, 900 and 905 m to the right of the first, and a lane between that no pass fits into.
    #[test]
    fn the_widest_gap_is_between_what_passes_fit_into() {
        let lane = Rect::new(coord! { x: 600.0, y: 0.0 }, coord! { x: 605.0, y: 100.0 }).to_polygon();
        let mut all = vec![lane];
        assert_eq!(widest_gap(&MultiPolygon(all.clone()), 20.0), None);
        all.extend([905.0, 0.0, 300.0, 900.0].map(|x| square(x, 0.0).0[0].clone()));
        assert_eq!(widest_gap(&MultiPolygon(all.clone()), 20.0), Some(500.0));
        assert_eq!(widest_gap(&MultiPolygon(all), 2.0), Some(295.0));
    }

    /// Two that touch count together; the third lies between them but may not be flown.
    #[test]
    fn regions_follow_what_may_be_flown() {
        let flying = Flying { neighbours: vec![vec![1], vec![0, 2], vec![1, 3], vec![2]], ..Flying::default() };
        let acre = Some(Area::acres(1.0));
        assert_eq!(regions(&[acre, acre, None, acre], &flying), [vec![0, 1], vec![3]]);
    }
}
