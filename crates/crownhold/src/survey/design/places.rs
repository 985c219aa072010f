//! Balanced random places for plots, by the local pivotal method.
//!
//! A fine random grid of places that are allowed is the population, each with the same inclusion probability. The local
//! pivotal method (Grafström, Lundström & Schelin 2012, Biometrics 68:514-520, their second variant) lets a random
//! place and its nearest neighbour compete for their probabilities until each is 0 or 1, so that chosen places are
//! seldom close together and every place keeps its probability. Places are kept off what is not allowed by the
//! outlines given; the population is drawn inside them only.

use geo::{Area as _, BooleanOps, BoundingRect, Buffer, Contains, MultiPolygon, Point};
use rand::RngExt;

use crate::types::chance::{Stream, stream, uniform};

/// Where plots may lie.
#[derive(Clone, Debug, PartialEq)]
pub struct Ground {
    /// Outline, metres.
    pub shape: MultiPolygon<f64>,
}

impl Ground {
    /// A block less a margin along its edge (so that a plot lies inside it) and less what is not allowed, the latter
    /// widened by the margin too.
    pub fn of(block: &MultiPolygon<f64>, not_allowed: &[MultiPolygon<f64>], margin: f64) -> Self {
        let mut shape = if margin > 0.0 { block.buffer(-margin) } else { block.clone() };
        for off in not_allowed {
            let off = if margin > 0.0 { off.buffer(margin) } else { off.clone() };
            shape = shape.difference(&off);
        }
        Self { shape }
    }
    /// Square metres.
    pub fn area(&self) -> f64 {
        self.shape.unsigned_area()
    }
}

/// Places chosen, in the order in which to take them, and replacements for those that turn out impossible.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Places {
    /// Chosen.
    pub chosen: Vec<Point<f64>>,
    /// Replacements, first come first.
    pub replacements: Vec<Point<f64>>,
}

/// Places of the population for each place wished for: enough that the grid does not show, few enough to be quick.
const CANDIDATES: usize = 40;

/// Draws `wished` balanced random places and up to `spare` replacements on the ground, no two of all of them, nor any of them
/// and one of `there`, closer than `apart` metres. Fewer are given where the ground does not hold them.
pub fn draw(ground: &Ground, wished: usize, spare: usize, apart: f64, there: &[Point<f64>], seed: u64) -> Places {
    let mut rng = stream(seed, "survey.places", 0);
    if wished == 0 || ground.area() <= 0.0 {
        return Places::default();
    }
    let population = population(ground, wished * CANDIDATES, &mut rng);
    let chance = wished as f64 / population.len().max(1) as f64;
    let taken = local_pivotal(&population, chance.min(1.0), &mut rng);
    let mut places = Places::default();
    let clear = |places: &Places, p: &Point<f64>| {
        there.iter().chain(&places.chosen).chain(&places.replacements).all(|q| distance(*p, *q) >= apart)
    };
    for p in taken.into_iter().map(|i| population[i]) {
        if clear(&places, &p) {
            places.chosen.push(p);
        }
    }
    // What fell out for being too close is made up for, and replacements found, in random order.
    for p in shuffled(population, &mut rng) {
        let missing = places.chosen.len() < wished;
        if (missing || places.replacements.len() < spare) && clear(&places, &p) {
            if missing { places.chosen.push(p) } else { places.replacements.push(p) }
        }
    }
    places.chosen.truncate(wished);
    places
}

fn distance(a: Point<f64>, b: Point<f64>) -> f64 {
    libm::hypot(a.x() - b.x(), a.y() - b.y())
}

fn shuffled(mut all: Vec<Point<f64>>, rng: &mut Stream) -> Vec<Point<f64>> {
    for i in (1..all.len()).rev() {
        all.swap(i, rng.random_range(0..=i));
    }
    all
}

/// About `size` places: a square grid with a random origin over the ground, so that each spot is as likely as any other.
fn population(ground: &Ground, size: usize, rng: &mut Stream) -> Vec<Point<f64>> {
    let Some(frame) = ground.shape.bounding_rect() else { return Vec::new() };
    let step = (ground.area() / size as f64).sqrt();
    let (x0, y0) = (frame.min().x - step * uniform(rng), frame.min().y - step * uniform(rng));
    let columns = ((frame.max().x - x0) / step) as usize + 1;
    let rows = ((frame.max().y - y0) / step) as usize + 1;
    (0..rows)
        .flat_map(|r| (0..columns).map(move |c| Point::new(x0 + step * c as f64, y0 + step * r as f64)))
        .filter(|p| ground.shape.contains(p))
        .collect()
}

/// The local pivotal method with equal inclusion probabilities: positions of the places chosen.
pub fn local_pivotal(places: &[Point<f64>], chance: f64, rng: &mut Stream) -> Vec<usize> {
    let mut left: Vec<(usize, f64)> = (0..places.len()).map(|i| (i, chance)).collect();
    let mut chosen = Vec::new();
    while left.len() > 1 {
        let a = rng.random_range(0..left.len());
        let b = nearest(places, &left, a, rng);
        let (pa, pb) = fight(left[a].1, left[b].1, uniform(rng));
        (left[a].1, left[b].1) = (pa, pb);
        for at in [a.max(b), a.min(b)] {
            settle(&mut left, at, &mut chosen);
        }
    }
    if let Some((i, p)) = left.first()
        && uniform(rng) < *p
    {
        chosen.push(*i);
    }
    chosen.sort_unstable();
    chosen
}

/// The nearest other place still open; of several equally near a random one, as the method asks.
fn nearest(places: &[Point<f64>], left: &[(usize, f64)], of: usize, rng: &mut Stream) -> usize {
    let from = places[left[of].0];
    let (mut best, mut ties) = (f64::INFINITY, Vec::new());
    for (at, (i, _)) in left.iter().enumerate().filter(|(at, _)| *at != of) {
        let d = distance(from, places[*i]);
        if d < best - 1e-6 {
            (best, ties) = (d, vec![at]);
        } else if d <= best + 1e-6 {
            ties.push(at);
        }
    }
    ties[rng.random_range(0..ties.len())]
}

/// New probabilities of a pair: one of them becomes 0 or 1, the sum and both expectations stay.
fn fight(a: f64, b: f64, luck: f64) -> (f64, f64) {
    let sum = a + b;
    if sum < 1.0 {
        if luck < b / sum { (0.0, sum) } else { (sum, 0.0) }
    } else if luck < (1.0 - b) / (2.0 - sum) {
        (1.0, sum - 1.0)
    } else {
        (sum - 1.0, 1.0)
    }
}

/// Takes a place out of those open once it is decided.
fn settle(left: &mut Vec<(usize, f64)>, at: usize, chosen: &mut Vec<usize>) {
    let (i, p) = left[at];
    if p <= 1e-9 || p >= 1.0 - 1e-9 {
        left.swap_remove(at);
        if p > 0.5 {
            chosen.push(i);
        }
    }
}

/// How unevenly chosen places are spread: the variance of the number of population places (weighted by their inclusion
/// probability) that are nearest to each chosen one. 0 is perfect; simple random samples lie near 0.3
/// (Stevens & Olsen 2004, JASA 99:262-278).
pub fn voronoi_variance(places: &[Point<f64>], chosen: &[usize]) -> f64 {
    let mut weight = vec![0.0; chosen.len()];
    let chance = chosen.len() as f64 / places.len() as f64;
    for p in places {
        let d = |i: &usize| distance(*p, places[*i]);
        if let Some(at) = (0..chosen.len()).min_by(|a, b| d(&chosen[*a]).total_cmp(&d(&chosen[*b]))) {
            weight[at] += chance;
        }
    }
    weight.iter().map(|w| (w - 1.0) * (w - 1.0)).sum::<f64>() / chosen.len().max(1) as f64
}

#[cfg(test)]
mod tests {
    use geo::{Rect, coord};

    use super::*;

    fn square(x: f64, y: f64, side: f64) -> MultiPolygon<f64> {
        MultiPolygon(vec![Rect::new(coord! { x: x, y: y }, coord! { x: x + side, y: y + side }).to_polygon()])
    }

    fn grid(side: usize) -> Vec<Point<f64>> {
        (0..side * side).map(|i| Point::new((i % side) as f64, (i / side) as f64)).collect()
    }

    /// 4,000 samples of 20 of 100: every place is chosen in about a fifth of them, and always 20 are. Five standard errors
    /// of a share of 4,000 are 0.032.
    #[test]
    fn every_place_has_the_same_chance() {
        let places = grid(10);
        let mut times = vec![0_u32; places.len()];
        for i in 0..4_000 {
            let chosen = local_pivotal(&places, 0.2, &mut stream(7, "test", i));
            assert_eq!(chosen.len(), 20);
            chosen.iter().for_each(|c| times[*c] += 1);
        }
        let worst = times.iter().map(|t| (f64::from(*t) / 4_000.0 - 0.2).abs()).fold(0.0, f64::max);
        assert!(worst < 0.032, "{worst}");
    }

    /// Spread over 300 samples of 16 of 400: the variance of Voronoi shares is less than half that of simple random samples.
    #[test]
    fn better_spread_than_simple_random() {
        let places = grid(20);
        let (mut balanced, mut simple) = (0.0, 0.0);
        for i in 0..300 {
            let rng = &mut stream(3, "test", i);
            balanced += voronoi_variance(&places, &local_pivotal(&places, 0.04, rng)) / 300.0;
            let mut order: Vec<usize> = (0..places.len()).collect();
            (1..order.len()).rev().for_each(|j| order.swap(j, rng.random_range(0..=j)));
            simple += voronoi_variance(&places, &order[..16]) / 300.0;
        }
        assert!(balanced < 0.5 * simple, "{balanced} {simple}");
    }

    /// Inside the block by the margin, off the pond by the margin, apart, and the same for the same seed.
    #[test]
    fn places_keep_their_rules() {
        let (block, pond) = (square(0.0, 0.0, 300.0), square(100.0, 100.0, 80.0));
        let ground = Ground::of(&block, std::slice::from_ref(&pond), 6.0);
        let got = draw(&ground, 12, 4, 25.0, &[], 1);
        assert_eq!((got.chosen.len(), got.replacements.len()), (12, 4));
        let all: Vec<Point<f64>> = got.chosen.iter().chain(&got.replacements).copied().collect();
        for (i, p) in all.iter().enumerate() {
            assert!((6.0..=294.0).contains(&p.x()) && (6.0..=294.0).contains(&p.y()), "{p:?}");
            let (x, y) = (p.x() - 140.0, p.y() - 140.0);
            assert!(x.abs() > 40.0 || y.abs() > 40.0, "in the pond: {p:?}");
            assert!(all[..i].iter().all(|q| distance(*p, *q) >= 25.0));
        }
        assert_eq!(got, draw(&ground, 12, 4, 25.0, &[], 1));
        assert_ne!(got, draw(&ground, 12, 4, 25.0, &[], 2));
        // Ground that cannot hold them gives what it can.
        assert!(draw(&Ground { shape: square(0.0, 0.0, 40.0) }, 12, 4, 25.0, &[], 1).chosen.len() < 6);
        assert_eq!(draw(&Ground::of(&square(0.0, 0.0, 8.0), &[], 6.0), 3, 1, 5.0, &[], 1), Places::default());
    }
}
