//! Ways from place to place: along the streets where they were brought in, else straight lines times a factor.
//!
//! Streets are a graph of their corners. Every place is put into it at the nearest point of the nearest street, so that a
//! shortest path from it is the way. Streets that end within a step of another one are joined to it; that two cross without
//! a common corner joins them nowhere, as a bridge crosses a road. One-way streets are walked and driven both ways.

use std::collections::BTreeMap;

use geo::{Distance as _, Euclidean, Line, Point};
use petgraph::algo::dijkstra;
use petgraph::graph::{NodeIndex, UnGraph};
use rayon::prelude::*;
use rstar::RTree;
use rstar::primitives::{GeomWithData, Line as Stretch};

use crate::types::{Parameters, Street};

/// Corners closer than this are one, in metres: what projecting does to the same corner twice.
const SAME: f64 = 0.01;
/// A street that ends this close to another one meets it, in metres.
const MEETS: f64 = 1.0;

/// How ways are found.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Manner {
    /// Way per straight line, where there is no street.
    pub detour: f64,
    /// Straight lines up to this many metres are walked across, with streets too.
    pub across: f64,
}

impl Manner {
    pub(super) fn of(p: &Parameters) -> Self {
        const FOOT: f64 = 0.3048;
        Self { detour: p.number("rounds.detour").max(1.0), across: p.number("rounds.across").max(0.0) * FOOT }
    }
}

/// Metres of way between the places of a day.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Ways {
    places: usize,
    metres: Vec<f32>,
    /// Do they go along streets?
    pub by_street: bool,
    /// Places from which the streets lead to fewer than half of the others.
    pub cut_off: usize,
}

impl Ways {
    /// Between places; a place that is nowhere in particular has no way to or from it.
    pub(super) fn between(places: &[Option<Point<f64>>], streets: &[Street], manner: Manner) -> Self {
        let straight = |a: usize, b: usize| match (places[a], places[b]) {
            (Some(a), Some(b)) => Euclidean.distance(a, b),
            _ => 0.0,
        };
        let n = places.len();
        let net = Net::of(streets, places);
        let row = |a: usize| -> (Vec<f32>, bool) {
            let along = net.as_ref().and_then(|net| net.from(a));
            let way = |b: usize| {
                let plain = straight(a, b) * manner.detour;
                let streets = along.as_ref().and_then(|all| all.to(b, manner));
                if straight(a, b) <= manner.across { plain } else { streets.map_or(plain, |s| s.max(straight(a, b))) }
            };
            let reached = along.as_ref().map_or(0, |all| all.metres.iter().flatten().count());
            ((0..n).map(|b| way(b) as f32).collect(), places[a].is_some() && 2 * reached < n)
        };
        let rows: Vec<(Vec<f32>, bool)> = (0..n).into_par_iter().map(row).collect();
        let cut_off = if net.is_some() { rows.iter().filter(|(_, off)| *off).count() } else { 0 };
        let metres = rows.into_iter().flat_map(|(row, _)| row).collect();
        Self { places: n, metres, by_street: net.is_some(), cut_off }
    }

    /// From one place to another, in metres.
    pub(super) fn metres(&self, from: usize, to: usize) -> f64 {
        f64::from(self.metres[from * self.places + to])
    }
}

/// Streets with the places put into them.
struct Net {
    graph: UnGraph<(), f64>,
    /// Where each place stands in it, and how far off the street.
    spots: Vec<Option<(NodeIndex, f64)>>,
}

/// A straight stretch of street between two corners.
type Piece = GeomWithData<Stretch<[f64; 2]>, usize>;

impl Net {
    /// `None` without a street.
    fn of(streets: &[Street], places: &[Option<Point<f64>>]) -> Option<Self> {
        let lines: Vec<Line<f64>> = streets.iter().flat_map(|s| &s.lines.0).flat_map(|l| l.lines()).collect();
        if lines.is_empty() {
            return None;
        }
        let piece = |(i, l): (usize, &Line<f64>)| {
            GeomWithData::new(Stretch::new([l.start.x, l.start.y], [l.end.x, l.end.y]), i)
        };
        let tree: RTree<Piece> = RTree::bulk_load(lines.iter().enumerate().map(piece).collect());
        let mut corners = Corners::default();
        // What lies on each piece: its two ends, street ends that meet it, and places, by how far along.
        let mut on: Vec<Vec<(f64, NodeIndex)>> = vec![Vec::new(); lines.len()];
        for (i, line) in lines.iter().enumerate() {
            let ends = [line.start_point(), line.end_point()].map(|p| corners.node(p));
            on[i].extend([(0.0, ends[0]), (length(line), ends[1])]);
        }
        for street in streets.iter().flat_map(|s| &s.lines.0) {
            for end in street.points().take(1).chain(street.points().next_back()) {
                let node = corners.node(end);
                let near = tree.locate_within_distance([end.x(), end.y()], MEETS * MEETS);
                let others = near.filter(|p| on[p.data].iter().take(2).all(|(_, own)| *own != node));
                let found: Vec<usize> = others.map(|p| p.data).collect();
                found.into_iter().for_each(|i| on[i].push((along(&lines[i], end).0, node)));
            }
        }
        let spot = |place: &Option<Point<f64>>, corners: &mut Corners, on: &mut Vec<Vec<(f64, NodeIndex)>>| {
            let place = (*place)?;
            let piece = tree.nearest_neighbor(&[place.x(), place.y()])?.data;
            let (at, off) = along(&lines[piece], place);
            let node = corners.graph.add_node(());
            on[piece].push((at, node));
            Some((node, off))
        };
        let spots = places.iter().map(|place| spot(place, &mut corners, &mut on)).collect();
        let mut graph = corners.graph;
        for mut all in on {
            all.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
            all.windows(2).for_each(|two| _ = graph.add_edge(two[0].1, two[1].1, two[1].0 - two[0].0));
        }
        Some(Self { graph, spots })
    }

    /// Ways from a place.
    fn from(&self, place: usize) -> Option<Along<'_>> {
        let (node, off) = self.spots[place]?;
        let reached = dijkstra(&self.graph, node, None, |edge| *edge.weight());
        let metres = self.spots.iter().map(|spot| spot.and_then(|(to, _)| reached.get(&to).copied())).collect();
        Some(Along { net: self, off, metres })
    }
}

/// Ways along the streets from one place.
struct Along<'n> {
    net: &'n Net,
    off: f64,
    metres: Vec<Option<f64>>,
}

impl Along<'_> {
    /// To a place: to the street, along it, and off it; `None` where no street leads there, or where both lie in open
    /// ground, off every street.
    fn to(&self, place: usize, manner: Manner) -> Option<f64> {
        let (_, off) = self.net.spots[place]?;
        if self.off.min(off) > manner.across {
            return None;
        }
        self.metres[place].map(|along| along + manner.detour * (self.off + off))
    }
}

/// Corners of streets, each once.
#[derive(Default)]
struct Corners {
    graph: UnGraph<(), f64>,
    at: BTreeMap<(i64, i64), NodeIndex>,
}

impl Corners {
    fn node(&mut self, at: Point<f64>) -> NodeIndex {
        let cell = |v: f64| (v / SAME).round() as i64;
        *self.at.entry((cell(at.x()), cell(at.y()))).or_insert_with(|| self.graph.add_node(()))
    }
}

fn length(line: &Line<f64>) -> f64 {
    Euclidean.distance(line.start_point(), line.end_point())
}

/// How far along a line its nearest point to a place is, and how far off it the place.
fn along(line: &Line<f64>, place: Point<f64>) -> (f64, f64) {
    let (d, whole) = (line.delta(), length(line));
    if whole == 0.0 {
        return (0.0, Euclidean.distance(line.start_point(), place));
    }
    let share = ((place.x() - line.start.x) * d.x + (place.y() - line.start.y) * d.y) / (whole * whole);
    let share = share.clamp(0.0, 1.0);
    let nearest = Point::new(line.start.x + share * d.x, line.start.y + share * d.y);
    (share * whole, Euclidean.distance(nearest, place))
}

#[cfg(test)]
mod tests {
    use geo::{LineString, MultiLineString};

    use super::*;

    const MANNER: Manner = Manner { detour: 1.3, across: 30.0 };

    fn street(id: &str, corners: &[(f64, f64)]) -> Street {
        let line = LineString::from(corners.to_vec());
        Street { id: id.into(), name: String::new(), lines: MultiLineString(vec![line]) }
    }

    fn ways(places: &[(f64, f64)], streets: &[Street]) -> Ways {
        let places: Vec<_> = places.iter().map(|p| Some(Point::from(*p))).collect();
        Ways::between(&places, streets, MANNER)
    }

    #[test]
    fn without_streets_straight_lines_times_the_factor() {
        let ways = ways(&[(0.0, 0.0), (300.0, 400.0)], &[]);
        assert_eq!((ways.metres(0, 1), ways.by_street, ways.cut_off), (650.0, false, 0));
    }

    /// A river with one bridge: the way goes over it.
    #[test]
    fn the_way_goes_over_the_bridge() {
        let city = [
            street("south", &[(0.0, 0.0), (500.0, 0.0), (1000.0, 0.0)]),
            street("north", &[(0.0, 100.0), (1000.0, 100.0)]),
            // It ends beside the north street, in the middle of a stretch: they meet.
            street("bridge", &[(1000.0, 0.0), (990.0, 99.5)]),
        ];
        let ways = ways(&[(10.0, 0.0), (10.0, 100.0), (20.0, 5.0)], &city);
        let bridge = 100.0_f64.hypot(99.5_f64.hypot(10.0) - 100.0);
        assert!(
            (ways.metres(0, 1) - (990.0 + 99.5_f64.hypot(10.0) + 980.0)).abs() < 0.01,
            "{} {bridge}",
            ways.metres(0, 1)
        );
        assert_eq!(ways.metres(0, 1), ways.metres(1, 0));
        // Near by, one walks across: straight times the factor.
        assert!((ways.metres(0, 2) - 1.3 * 10.0_f64.hypot(5.0)).abs() < 1e-3);
        assert!(ways.by_street);
    }

    #[test]
    fn streets_that_cross_without_a_corner_do_not_join() {
        let city = [street("under", &[(0.0, 0.0), (1000.0, 0.0)]), street("over", &[(500.0, -400.0), (500.0, 400.0)])];
        let ways = ways(&[(0.0, 0.0), (1000.0, 0.0), (500.0, 400.0)], &city);
        assert_eq!(ways.metres(0, 1), 1000.0);
        assert!((ways.metres(0, 2) - 1.3 * 500.0_f64.hypot(400.0)).abs() < 1e-3, "no way: the straight line stands in");
        assert_eq!(ways.cut_off, 1);
    }

    #[test]
    fn a_way_off_the_street_counts_and_open_ground_is_crossed() {
        let city = [street("one", &[(0.0, 0.0), (1000.0, 0.0)])];
        let ways = ways(&[(0.0, 10.0), (500.0, -20.0), (200.0, 300.0), (400.0, 300.0)], &city);
        assert!((ways.metres(0, 1) - (500.0 + 1.3 * 30.0)).abs() < 1e-3);
        assert!((ways.metres(2, 3) - 1.3 * 200.0).abs() < 1e-3);
        assert!((ways.metres(0, 2) - (200.0 + 1.3 * 310.0)).abs() < 1e-3);
    }
}
