//! Where a choice of options stands against the limits, and what one change would do.
//!
//! The aims are compared on a grid of whole square metres per block, so that equal means equal and
//! no aim is sold for the last bit of a float; money is compared to the cent.

use super::groups::Groups;
use super::hours::{HOURS_TOLERANCE, Roster, Work, work_of};
use super::{Aims, Limits};
use crate::tactics::{BlockOption, BlockOptions, Options};
use crate::types::{Area, Money, Period};

/// Money by which two plans may differ and still count as equally dear, in dollars.
pub const MONEY_TOLERANCE: f64 = 0.01;
/// Area by which the spray limit may be overrun before it counts, in square metres: half the grid.
pub const SPRAY_TOLERANCE: f64 = 0.5;

/// First aim of one option: host area x chance over tolerance, as far as that exceeds the accepted chance.
pub fn host_beyond_accepted(block: &BlockOptions, option: &BlockOption) -> Area {
    block.host_area * (option.chance_over - block.accepted_chance).max(0.0)
}

/// An area on the grid of whole square metres on which plans are compared.
pub fn whole_square_metres(area: Area) -> i64 {
    // Cities are far below 2^53 square metres, so the rounded value is exact.
    area.as_square_metres().round() as i64
}

/// Aims on the grid: (whole square metres beyond the accepted chance, whole square metres sprayed, dollars).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Graded {
    /// First aim, square metres.
    pub host: i64,
    /// Second aim, square metres.
    pub sprayed: i64,
    /// Third aim, dollars.
    pub cost: f64,
}

impl Graded {
    /// As a change: is it for the better, in the order of the aims?
    pub fn is_gain(self) -> bool {
        self.host < 0 || self.host == 0 && (self.sprayed < 0 || self.sprayed == 0 && self.cost < -MONEY_TOLERANCE)
    }
}

/// Why a change does not fit.
#[derive(Clone, Debug, PartialEq)]
pub enum Refusal {
    /// The option is barred.
    Barred,
    /// So many dollars are missing.
    Money(f64),
    /// So many square metres over the most that may be sprayed.
    Sprayed(f64),
    /// It would make or leave a spray block of so many square metres, fewer than the least.
    SmallSprayBlock(f64),
    /// So many hours are missing in this period.
    Hours {
        /// Hours missing.
        short: f64,
        /// Period.
        period: Period,
        /// Could volunteers do some of it?
        open: bool,
    },
}

/// What one change would do.
#[derive(Clone, Debug, PartialEq)]
pub struct Swap {
    /// Change of the aims.
    pub change: Graded,
    /// Why it does not fit; empty when it does.
    pub refused: Vec<Refusal>,
}

/// A choice of one option per block, with what it uses.
#[derive(Clone, Debug)]
pub struct Standing<'a> {
    /// Options.
    pub options: &'a Options,
    /// Limits.
    pub limits: &'a Limits,
    /// Places and supplies.
    pub roster: Roster,
    /// Position of the chosen option of each block.
    pub choice: Vec<usize>,
    /// Spray blocks.
    pub groups: Groups<'a>,
    work: Vec<Vec<Work>>,
    paid: Vec<f64>,
    short: Vec<f64>,
    money: f64,
    sprayed: f64,
}

impl<'a> Standing<'a> {
    /// From a choice: for each block the position of an option.
    pub fn new(options: &'a Options, limits: &'a Limits, choice: Vec<usize>) -> Self {
        let roster = Roster::new(options, &limits.hours);
        let work: Vec<Vec<Work>> = Period::ALL.iter().map(|&p| roster.work(options, &choice, p)).collect();
        let groups = Groups::new(options, &choice);
        let mut standing = Self {
            options,
            limits,
            roster,
            groups,
            choice,
            work,
            paid: vec![0.0; 3],
            short: vec![0.0; 3],
            money: 0.0,
            sprayed: 0.0,
        };
        for &period in Period::ALL {
            standing.restaff(period);
        }
        standing.money = standing.chosen().map(|(_, o)| o.cost.as_dollars()).sum();
        standing.sprayed = standing.chosen().map(|(_, o)| o.sprayed.as_square_metres()).sum();
        standing
    }

    fn restaff(&mut self, period: Period) {
        (self.paid[period as usize], self.short[period as usize]) =
            self.paid_and_short(&self.work[period as usize], period);
    }

    fn paid_and_short(&self, work: &[Work], period: Period) -> (f64, f64) {
        let staffed = self.roster.staff(work, period);
        let volunteers: f64 = (0..work.len()).map(|p| staffed.volunteers_at(p)).sum();
        (work.iter().map(|w| w.crew_only + w.open).sum::<f64>() - volunteers, staffed.short)
    }

    /// Blocks with their chosen options.
    pub fn chosen(&self) -> impl Iterator<Item = (&'a BlockOptions, &'a BlockOption)> + '_ {
        self.options.blocks.iter().zip(&self.choice).map(|(b, &o)| (b, &b.options[o]))
    }

    /// Work of one period per place.
    pub fn work(&self, period: Period) -> &[Work] {
        &self.work[period as usize]
    }

    /// Money used, crew wages and the setting up and turns of spray blocks included, in dollars.
    pub fn cost(&self) -> f64 {
        self.money + self.groups.money() + self.paid.iter().sum::<f64>() * self.limits.crew_wage.as_dollars()
    }

    /// Area sprayed from the air, square metres.
    pub fn sprayed(&self) -> f64 {
        self.sprayed
    }

    /// The aims on the grid.
    pub fn graded(&self) -> Graded {
        Graded {
            host: self.chosen().map(|(b, o)| whole_square_metres(host_beyond_accepted(b, o))).sum(),
            sprayed: self.chosen().map(|(_, o)| whole_square_metres(o.sprayed)).sum(),
            cost: self.cost(),
        }
    }

    /// The aims as they are, not rounded to the grid.
    pub fn aims(&self) -> Aims {
        Aims {
            host_beyond_accepted: self.chosen().map(|(b, o)| host_beyond_accepted(b, o)).sum(),
            sprayed: Area::square_metres(self.sprayed),
            cost: Money::dollars(self.cost()),
        }
    }

    /// How often a block is flown.
    pub fn flights(&self, block: usize) -> u32 {
        self.options.blocks[block].options[self.choice[block]].bundle.flights()
    }

    /// Does the choice keep every limit?
    pub fn fits(&self) -> bool {
        self.keeps_the_rest() && self.groups.small().next().is_none()
    }

    /// Does it keep every limit but the least area of a spray block?
    pub fn keeps_the_rest(&self) -> bool {
        self.chosen().all(|(_, o)| o.allowed())
            && self.short.iter().all(|&s| s <= HOURS_TOLERANCE)
            && self.over_money(self.cost()) <= MONEY_TOLERANCE
            && self.over_sprayed(self.sprayed) <= SPRAY_TOLERANCE
    }

    fn over_money(&self, cost: f64) -> f64 {
        self.limits.budget.map_or(f64::NEG_INFINITY, |b| cost - b.as_dollars())
    }

    fn over_sprayed(&self, sprayed: f64) -> f64 {
        self.limits.most_sprayed.map_or(f64::NEG_INFINITY, |most| sprayed - most.as_square_metres())
    }

    /// What taking another option on one block would do, everything else left as it is.
    pub fn swap(&self, block: usize, option: usize) -> Swap {
        let b = &self.options.blocks[block];
        let (old, new) = (&b.options[self.choice[block]], &b.options[option]);
        let mut refused = Vec::new();
        if !new.allowed() {
            refused.push(Refusal::Barred);
        }
        let mut paid = 0.0;
        for &period in Period::ALL {
            paid += self.paid_after(block, old, new, period, &mut refused) - self.paid[period as usize];
        }
        let regrouped = self.groups.change(block, new);
        let wages = paid * self.limits.crew_wage.as_dollars();
        let cost = new.cost.as_dollars() - old.cost.as_dollars() + wages + regrouped.money;
        let over = self.over_money(self.cost() + cost);
        if over > MONEY_TOLERANCE && cost > 0.0 {
            refused.push(Refusal::Money(over));
        }
        let over = self.over_sprayed(self.sprayed + (new.sprayed - old.sprayed).as_square_metres());
        if over > SPRAY_TOLERANCE && new.sprayed > old.sprayed {
            refused.push(Refusal::Sprayed(over));
        }
        refused.extend(regrouped.too_small.map(Refusal::SmallSprayBlock));
        let host = |o| whole_square_metres(host_beyond_accepted(b, o));
        let change = Graded {
            host: host(new) - host(old),
            sprayed: whole_square_metres(new.sprayed) - whole_square_metres(old.sprayed),
            cost,
        };
        Swap { change, refused }
    }

    fn paid_after(
        &self,
        block: usize,
        old: &BlockOption,
        new: &BlockOption,
        period: Period,
        refused: &mut Vec<Refusal>,
    ) -> f64 {
        let (before, after) = (work_of(old, period), work_of(new, period));
        if before == after {
            return self.paid[period as usize];
        }
        let mut work = self.work[period as usize].clone();
        let at = &mut work[self.roster.place_of[block]];
        at.open += after.open - before.open;
        at.crew_only += after.crew_only - before.crew_only;
        let (paid, short) = self.paid_and_short(&work, period);
        if short > HOURS_TOLERANCE && short > self.short[period as usize] {
            refused.push(Refusal::Hours { short, period, open: after.open > 0.0 });
        }
        paid
    }

    /// Takes another option on one block.
    pub fn take(&mut self, block: usize, option: usize) {
        let b = &self.options.blocks[block];
        let (old, new) = (&b.options[self.choice[block]], &b.options[option]);
        self.money += new.cost.as_dollars() - old.cost.as_dollars();
        self.sprayed += (new.sprayed - old.sprayed).as_square_metres();
        self.choice[block] = option;
        if old.bundle.flights() != new.bundle.flights() {
            self.groups = Groups::new(self.options, &self.choice);
        }
        for &period in Period::ALL {
            // Anew rather than by difference, so that no rounding piles up.
            self.work[period as usize] = self.roster.work(self.options, &self.choice, period);
            self.restaff(period);
        }
    }

    /// Makes single changes that fit and are a gain, block by block, until there is none left.
    ///
    /// After it, every option that would have been better is refused by something that can be named.
    /// It ends: each change strictly lowers the aims in their order, by at least one grid step.
    pub fn polish(&mut self) {
        let mut again = true;
        while again {
            again = false;
            for block in 0..self.options.blocks.len() {
                let gain = |option: &usize| {
                    let swap = self.swap(block, *option);
                    swap.refused.is_empty() && swap.change.is_gain()
                };
                if let Some(option) = (0..self.options.blocks[block].options.len()).find(gain) {
                    self.take(block, option);
                    again = true;
                }
            }
        }
        *self = Self::new(self.options, self.limits, std::mem::take(&mut self.choice));
    }
}
