//! Flown blocks put together to spray blocks: which lie in one, and what a change on one block does to them.
//!
//! A spray block is as large as can be: blocks that touch and are flown equally often are always one.

use super::standing::SPRAY_TOLERANCE;
use crate::tactics::{BlockOption, Flying, Options};

/// What a change on one block does to the spray blocks.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub(super) struct Regrouped {
    /// Change of the money for setting up and turns, dollars.
    pub money: f64,
    /// The smallest spray block it makes or leaves that is too small, square metres.
    pub too_small: Option<f64>,
}

/// The spray blocks of a choice.
#[derive(Clone, Debug)]
pub struct Groups<'a> {
    flying: &'a Flying,
    flights: Vec<u32>,
    /// What one flight sprays of each block, square metres.
    area: Vec<f64>,
    /// Position of each block's group in `members`.
    group: Vec<usize>,
    members: Vec<Vec<usize>>,
}

impl<'a> Groups<'a> {
    /// From a choice of options, by position.
    pub fn new(options: &'a Options, choice: &[usize]) -> Self {
        let chosen = || options.blocks.iter().zip(choice).map(|(b, &o)| &b.options[o]);
        let mut groups = Self {
            flying: &options.flying,
            flights: chosen().map(|o| o.bundle.flights()).collect(),
            area: chosen().map(|o| o.sprayed_once().as_square_metres()).collect(),
            group: vec![usize::MAX; choice.len()],
            members: Vec::new(),
        };
        for b in 0..choice.len() {
            if groups.flights[b] > 0 && groups.group[b] == usize::MAX {
                let mut members = groups.reached(b, None);
                members.sort_unstable();
                members.iter().for_each(|&m| groups.group[m] = groups.members.len());
                groups.members.push(members);
            }
        }
        groups
    }

    /// Blocks joined with a block, itself first, as if `without` were not flown.
    fn reached(&self, from: usize, without: Option<usize>) -> Vec<usize> {
        let mut all = vec![from];
        let mut next = 0;
        while let Some(&b) = all.get(next) {
            next += 1;
            for &n in self.flying.around(b) {
                if self.flights[n] == self.flights[from] && Some(n) != without && !all.contains(&n) {
                    all.push(n);
                }
            }
        }
        all
    }

    /// Blocks of each spray block, by position.
    pub fn members(&self) -> &[Vec<usize>] {
        &self.members
    }

    fn area_of(&self, members: &[usize]) -> f64 {
        members.iter().map(|&m| self.area[m]).sum()
    }

    fn is_small(&self, area: f64) -> bool {
        area < self.flying.least.as_square_metres() - SPRAY_TOLERANCE
    }

    /// Spray blocks below the least area.
    pub fn small(&self) -> impl Iterator<Item = &Vec<usize>> {
        self.members.iter().filter(|m| self.is_small(self.area_of(m)))
    }

    /// Dollars for setting up all spray blocks and for their turns.
    pub(super) fn money(&self) -> f64 {
        (0..self.members.len()).map(|group| self.money_of(group)).sum()
    }

    /// Dollars for setting up the spray block at this position of [`Self::members`], and for its turns.
    pub fn money_of(&self, group: usize) -> f64 {
        let members = &self.members[group];
        let turns: f64 = members.iter().map(|&b| self.own_turns(b)).sum();
        let each = self.flying.set_up.as_dollars() + turns * self.flying.turns.price.as_dollars();
        f64::from(self.flights[members[0]]) * each
    }

    /// Turns of one flight over a block in its spray block; what a pair saves is halved.
    fn own_turns(&self, block: usize) -> f64 {
        self.flying.turns.alone(block) - 0.5 * self.saved(block, self.flights[block])
    }

    /// Turns that neighbours flown so often save a block.
    fn saved(&self, block: usize, flights: u32) -> f64 {
        let around = self.flying.around(block).iter().enumerate();
        around.filter(|(_, n)| self.flights[**n] == flights).map(|(i, _)| self.flying.turns.saved(block, i)).sum()
    }

    /// A block's share of the setting up of its spray block, by area, and its own turns; dollars.
    pub(super) fn share(&self, block: usize) -> f64 {
        let Some(members) = self.members.get(self.group[block]) else { return 0.0 };
        let whole = self.area_of(members);
        let share = if whole > 0.0 { self.area[block] / whole } else { 1.0 / members.len() as f64 };
        let turns = self.own_turns(block) * self.flying.turns.price.as_dollars();
        f64::from(self.flights[block]) * (share * self.flying.set_up.as_dollars() + turns)
    }

    /// What taking another option on a block would do.
    pub(super) fn change(&self, block: usize, to: &BlockOption) -> Regrouped {
        let flights = to.bundle.flights();
        if flights == self.flights[block] {
            return Regrouped::default();
        }
        let (mut times, mut turns, mut small) = (0.0, 0.0, Vec::new());
        let by_itself = |often: u32| f64::from(often) * (self.flying.turns.alone(block) - self.saved(block, often));
        if self.flights[block] > 0 {
            let left = self.left_without(block);
            times += f64::from(self.flights[block]) * (left.len() as f64 - 1.0);
            turns -= by_itself(self.flights[block]);
            small.extend(left);
        }
        if flights > 0 {
            let (joined, area) = self.joined_with(block, flights);
            times += f64::from(flights) * (1.0 - joined as f64);
            turns += by_itself(flights);
            small.push(area + to.sprayed_once().as_square_metres());
        }
        small.retain(|&a| self.is_small(a));
        let money = times * self.flying.set_up.as_dollars() + turns * self.flying.turns.price.as_dollars();
        Regrouped { money, too_small: small.into_iter().reduce(f64::min) }
    }

    /// Areas of the pieces that are left of a block's spray block without it.
    fn left_without(&self, block: usize) -> Vec<f64> {
        let mut seen: Vec<usize> = Vec::new();
        let mut areas = Vec::new();
        for &n in self.flying.around(block) {
            if self.group[n] == self.group[block] && !seen.contains(&n) {
                let piece = self.reached(n, Some(block));
                areas.push(self.area_of(&piece));
                seen.extend(piece);
            }
        }
        areas
    }

    /// Spray blocks of so many flights that touch a block, other than its own: how many, and their area.
    fn joined_with(&self, block: usize, flights: u32) -> (usize, f64) {
        let mut groups: Vec<usize> =
            self.flying.around(block).iter().filter(|&&n| self.flights[n] == flights).map(|&n| self.group[n]).collect();
        groups.sort_unstable();
        groups.dedup();
        (groups.len(), groups.iter().map(|&g| self.area_of(&self.members[g])).sum())
    }
}
