//! Short rings of neighbours.

use std::collections::BTreeSet;

/// Rings of three and of four blocks, none with two of its blocks joined across it. Each has a pair of neighbours that no ring
/// before it has; so no ring is made up of others, and of blocks that hold `n` whole rings the pairs are `n` more, at least,
/// than it takes to join them.
pub(crate) fn rings(graph: &[Vec<usize>]) -> Vec<Vec<usize>> {
    let touch = |a: usize, b: usize| graph[a].contains(&b);
    let mut all = Vec::new();
    for (i, beside) in graph.iter().enumerate() {
        for (at, &j) in beside.iter().enumerate() {
            for &l in &beside[at + 1..] {
                if touch(j, l) {
                    all.extend((i < j && i < l).then(|| vec![i, j, l]));
                } else {
                    let across = |k: &usize| *k != i && touch(*k, l) && !touch(*k, i);
                    all.extend(graph[j].iter().copied().filter(across).map(|k| vec![i, j, k, l]));
                }
            }
        }
    }
    // A ring of four was met from each of its blocks.
    all.retain(|ring| ring.iter().all(|b| *b >= ring[0]));
    all.sort_by_key(|ring| ring.len());
    let mut joined = BTreeSet::new();
    all.retain(|ring| {
        let pairs = (0..ring.len()).map(|n| (ring[n], ring[(n + 1) % ring.len()]));
        let new: Vec<_> = pairs.map(|(a, b)| (a.min(b), a.max(b))).filter(|pair| !joined.contains(pair)).collect();
        joined.extend(new.iter().copied());
        !new.is_empty()
    });
    all
}

#[cfg(test)]
mod tests {
    use super::*;

    fn grid(wide: usize, high: usize) -> Vec<Vec<usize>> {
        let at = |x: usize, y: usize| y * wide + x;
        let beside = |b: usize| {
            let (x, y) = (b % wide, b / wide);
            let mut all = Vec::new();
            all.extend((x > 0).then(|| at(x - 1, y)));
            all.extend((x + 1 < wide).then(|| at(x + 1, y)));
            all.extend((y > 0).then(|| at(x, y - 1)));
            all.extend((y + 1 < high).then(|| at(x, y + 1)));
            all
        };
        (0..wide * high).map(beside).collect()
    }

    #[test]
    fn a_grid_has_a_ring_for_every_corner_where_four_meet() {
        assert_eq!(rings(&grid(5, 4)).len(), 12);
    }

    #[test]
    fn of_four_blocks_that_all_touch_three_rings_are_free() {
        let all = (0..4).map(|b| (0..4).filter(|&n| n != b).collect()).collect::<Vec<_>>();
        assert_eq!(rings(&all).len(), 3, "six pairs, three of them join the four");
    }
}
