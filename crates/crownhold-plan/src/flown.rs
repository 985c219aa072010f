//! Spray blocks in the model: large enough, joined, and paid for once each.
//!
//! | column | meaning |
//! |---|---|
//! | flown (block, flights), 0 to 1 | the block is flown so often: the sum of its options that do |
//! | first (block, flights) >= 0 | a spray block is counted here; its setting up is paid |
//! | together (neighbours, flights), 0 to 1 | both are flown so often, which saves turns: at most flown of either |
//! | ring (ring of neighbours, flights) >= 0 | all of a ring are flown so often: at least the sum of their flown less all but one |
//!
//! Take any set S of blocks, b one of them, N(S) the blocks outside that touch it. If b is flown, its spray block lies
//! inside S or crosses N(S). Inside a set that is smaller than the least spray block it cannot lie; inside any set it
//! must have been counted. So, for every S and b (node cuts of connected subgraphs: Carvajal, Constantino, Goycoolea,
//! Vielma and Weintraub 2013, Operations Research 61:824-836):
//!
//! `flown(b) <= sum over N(S) of flown + (0 if S is too small, else sum over S of first)`
//!
//! These rows are exact, and there are too many to write down: the model begins with those of single blocks and gets the
//! ones that a solution breaks. Alone they come to a full count of the spray blocks slowly, as a block more or less is
//! another set. So one row for each number of flights counts them all: blocks less pairs of neighbours plus rings of
//! neighbours is the number of joined pieces less their holes (Euler). With rings left out it is lower, never higher.
//!
//! `sum of first >= sum of flown - sum of together + sum of ring`

use crownhold::tactics::{BlockOptions, Flying};

use crate::milp::{Milp, Row};
use crate::rings::rings;

/// A cut is added when a solution breaks it by more than this.
const BROKEN: f64 = 0.02;
/// A set has at most so many blocks; what larger ones would tell is told when the plan is worked out again.
const LARGEST_SET: usize = 400;

/// A set of blocks and one of them: what a row says follows from the blocks alone.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct NodeSet {
    flights: u32,
    block: usize,
    members: Vec<usize>,
}

/// The columns of one number of flights.
#[derive(Clone, Debug)]
struct Kind {
    flights: u32,
    flown: Vec<Option<usize>>,
    first: Vec<Option<usize>>,
    /// What one flight sprays of each block, square metres.
    area: Vec<f64>,
    /// Neighbours with their column and the turns that flying both saves; none where neither turns nor setting up cost.
    together: Vec<(usize, usize, usize, f64)>,
    /// Rings of neighbours with their column; none where setting up costs nothing.
    rings: Vec<(Vec<usize>, usize)>,
}

/// The columns of all flights, or none where neither size nor setting up nor turning matters.
#[derive(Clone, Debug)]
pub(crate) struct Flown<'a> {
    flying: &'a Flying,
    kinds: Vec<Kind>,
}

impl<'a> Flown<'a> {
    /// Adds the columns, and the rows of single blocks. `taken` has each block's options with their columns.
    pub fn new(blocks: &[BlockOptions], flying: &'a Flying, taken: &[Vec<(usize, usize)>], milp: &mut Milp) -> Self {
        let mut all = Self { flying, kinds: Vec::new() };
        if !flying.matters() {
            return all;
        }
        for flights in 1..=2 {
            let kind = Kind::new(flights, blocks, flying, taken, milp);
            all.kinds.push(kind);
        }
        for kind in &all.kinds {
            for b in (0..blocks.len()).filter(|&b| kind.flown[b].is_some()) {
                milp.rows.extend(all.cut(kind, b, &[b]));
            }
        }
        all
    }

    /// Is there nothing to hold?
    pub fn is_empty(&self) -> bool {
        self.kinds.is_empty()
    }

    /// Setting up and turns as columns with dollars each.
    pub fn money(&self) -> impl Iterator<Item = (usize, f64)> + '_ {
        let (set_up, turn) = (self.flying.set_up.as_dollars(), self.flying.turns.price.as_dollars());
        self.kinds.iter().flat_map(move |k| {
            let times = f64::from(k.flights);
            let first = k.first.iter().flatten().map(move |&c| (c, times * set_up));
            let alone = k.flown.iter().enumerate().filter_map(|(b, c)| c.map(|c| (b, c)));
            let alone = alone.map(move |(b, c)| (c, times * turn * self.flying.turns.alone(b)));
            let together = k.together.iter().map(move |&(_, _, c, saved)| (c, -times * turn * saved));
            first.chain(alone).chain(together).filter(|&(_, dollars)| dollars != 0.0)
        })
    }

    /// The columns' values for spray blocks.
    pub fn values(&self, flights: &[u32], groups: &[Vec<usize>], values: &mut [f64]) {
        for kind in &self.kinds {
            for group in groups.iter().filter(|g| flights[g[0]] == kind.flights) {
                group.iter().filter_map(|&b| kind.flown[b]).for_each(|c| values[c] = 1.0);
                if let Some(first) = kind.first[group[0]] {
                    values[first] = 1.0;
                }
            }
            for &(i, j, column, _) in &kind.together {
                values[column] = f64::from(u8::from(flights[i] == kind.flights && flights[j] == kind.flights));
            }
            for (ring, column) in &kind.rings {
                values[*column] = f64::from(u8::from(ring.iter().all(|&b| flights[b] == kind.flights)));
            }
        }
    }

    /// Sets of blocks whose rows a solution breaks, the worst found for each block.
    pub fn broken(&self, values: &[f64]) -> Vec<NodeSet> {
        let of_kind = |kind| (0..values.len()).map_while(move |b| self.worst(kind, b, values)).flatten();
        self.kinds.iter().flat_map(of_kind).collect()
    }

    /// The rows of sets, as far as these blocks have any.
    pub fn rows(&self, sets: &[NodeSet]) -> Vec<Row> {
        let row = |set: &NodeSet| {
            let kind = self.kinds.iter().find(|k| k.flights == set.flights)?;
            let known = set.members.iter().all(|&m| m < kind.flown.len());
            known.then(|| self.cut(kind, set.block, &set.members)).flatten()
        };
        sets.iter().filter_map(row).collect()
    }

    /// `None` after the last block; the worst broken set found for a block, if there is one.
    fn worst(&self, kind: &Kind, b: usize, values: &[f64]) -> Option<Option<NodeSet>> {
        let column = (*kind.flown.get(b)?).filter(|&c| values[c] > BROKEN);
        let Some(column) = column else { return Some(None) };
        let at = |columns: &[Option<usize>], n: usize| columns[n].map_or(0.0, |c| values[c].max(0.0));
        let mut set = Set { members: vec![b], edge: self.beside(kind, b), area: kind.area[b] };
        let mut worst: Option<(f64, Vec<usize>)> = None;
        loop {
            let inside = match self.is_small(set.area) {
                true => 0.0,
                // Nothing keeps a spray block that is large enough from lying inside.
                false if kind.first[b].is_none() => break,
                false => set.members.iter().map(|&m| at(&kind.first, m)).sum(),
            };
            let across: f64 = set.edge.iter().map(|&n| at(&kind.flown, n)).sum();
            let by = values[column] - inside - across;
            if by > worst.as_ref().map_or(BROKEN, |(most, _)| most + 1e-9) {
                worst = Some((by, set.members.clone()));
            }
            // What crosses most is taken in.
            let most = set
                .edge
                .iter()
                .copied()
                .max_by(|&m, &n| at(&kind.flown, m).total_cmp(&at(&kind.flown, n)).then(n.cmp(&m)));
            match most.filter(|&n| set.members.len() < LARGEST_SET && at(&kind.flown, n) > 1e-6) {
                Some(n) => set.take(n, kind.area[n], &self.beside(kind, n)),
                None => break,
            }
        }
        Some(worst.map(|(_, members)| NodeSet { flights: kind.flights, block: b, members }))
    }

    fn is_small(&self, area: f64) -> bool {
        area < self.flying.least.as_square_metres() - 0.5
    }

    /// Blocks that touch a block and could be flown as often.
    fn beside(&self, kind: &Kind, b: usize) -> Vec<usize> {
        self.flying.around(b).iter().copied().filter(|&n| kind.flown[n].is_some()).collect()
    }

    /// The row of a set and one of its blocks; `None` where nothing follows.
    fn cut(&self, kind: &Kind, b: usize, set: &[usize]) -> Option<Row> {
        let small = self.is_small(set.iter().map(|&m| kind.area[m]).sum());
        if !small && kind.first[b].is_none() {
            return None;
        }
        let mut edge: Vec<usize> =
            set.iter().flat_map(|&m| self.beside(kind, m)).filter(|n| !set.contains(n)).collect();
        edge.sort_unstable();
        edge.dedup();
        let mut terms = vec![(kind.flown[b]?, 1.0)];
        terms.extend(edge.iter().filter_map(|&n| kind.flown[n]).map(|c| (c, -1.0)));
        if !small {
            terms.extend(set.iter().filter_map(|&m| kind.first[m]).map(|c| (c, -1.0)));
        }
        Some(Row { low: f64::NEG_INFINITY, high: 0.0, terms })
    }
}

impl Kind {
    fn new(
        flights: u32,
        blocks: &[BlockOptions],
        flying: &Flying,
        taken: &[Vec<(usize, usize)>],
        milp: &mut Milp,
    ) -> Self {
        let mut kind = Self {
            flights,
            flown: vec![None; blocks.len()],
            first: vec![None; blocks.len()],
            area: vec![0.0; blocks.len()],
            together: Vec::new(),
            rings: Vec::new(),
        };
        for (b, columns) in taken.iter().enumerate() {
            let of = |o: usize| &blocks[b].options[o];
            let ours: Vec<(usize, usize)> =
                columns.iter().copied().filter(|&(o, _)| of(o).bundle.flights() == flights).collect();
            let Some(&(o, _)) = ours.first() else { continue };
            let flown = milp.column(0.0, 1.0, false);
            let mut terms = vec![(flown, -1.0)];
            terms.extend(ours.iter().map(|&(_, x)| (x, 1.0)));
            milp.row(0.0, 0.0, terms);
            kind.flown[b] = Some(flown);
            kind.area[b] = of(o).sprayed_once().as_square_metres();
            if flying.set_up.as_dollars() > 0.0 {
                kind.first[b] = Some(milp.column(0.0, 1.0, false));
            }
        }
        let set_up = flying.set_up.as_dollars() > 0.0;
        if set_up || flying.turns.matter() {
            kind.join(flying, set_up, milp);
        }
        if set_up {
            kind.count(flying, milp);
        }
        kind
    }

    /// Adds the columns of neighbours that save turns together, or of all where spray blocks are counted.
    fn join(&mut self, flying: &Flying, counted: bool, milp: &mut Milp) {
        for (i, flown) in self.flown.iter().enumerate() {
            for (at, &j) in flying.around(i).iter().enumerate().filter(|&(_, &j)| j > i) {
                let (Some(one), Some(other), saved) = (*flown, self.flown[j], flying.turns.saved(i, at)) else {
                    continue;
                };
                if saved > 0.0 || counted {
                    let both = milp.column(0.0, 1.0, false);
                    [one, other].iter().for_each(|&c| milp.row(f64::NEG_INFINITY, 0.0, vec![(both, 1.0), (c, -1.0)]));
                    self.together.push((i, j, both, saved));
                }
            }
        }
    }

    /// Adds the rings and the row that counts the spray blocks.
    fn count(&mut self, flying: &Flying, milp: &mut Milp) {
        let beside = |b: usize| flying.around(b).iter().copied().filter(|&n| self.flown[n].is_some());
        let graph: Vec<Vec<usize>> = (0..self.flown.len())
            .map(|b| if self.flown[b].is_some() { beside(b).collect() } else { Vec::new() })
            .collect();
        let mut count: Vec<(usize, f64)> = self.flown.iter().flatten().map(|&c| (c, 1.0)).collect();
        count.extend(self.together.iter().map(|&(_, _, c, _)| (c, -1.0)));
        count.extend(self.first.iter().flatten().map(|&c| (c, -1.0)));
        for ring in rings(&graph) {
            let all = milp.column(0.0, 1.0, false);
            let mut terms = vec![(all, -1.0)];
            terms.extend(ring.iter().filter_map(|&b| self.flown[b]).map(|c| (c, 1.0)));
            milp.row(f64::NEG_INFINITY, ring.len() as f64 - 1.0, terms);
            count.push((all, 1.0));
            self.rings.push((ring, all));
        }
        milp.row(f64::NEG_INFINITY, 0.0, count);
    }
}

/// A joined set of blocks and what touches it.
struct Set {
    members: Vec<usize>,
    edge: Vec<usize>,
    area: f64,
}

impl Set {
    fn take(&mut self, n: usize, area: f64, beside: &[usize]) {
        self.edge.retain(|&e| e != n);
        self.members.push(n);
        self.area += area;
        for b in beside {
            if !self.members.contains(b) && !self.edge.contains(b) {
                self.edge.push(*b);
            }
        }
    }
}
