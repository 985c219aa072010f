//! What a plan is: one option per block, its cost, hours and risk, and the reasons.
//!
//! Finding the plan is the work of the crate `crownhold-plan`, which links a solver; this room has
//! the plain types and whatever can be said of a plan without one: where a choice stands against
//! the limits ([`standing`]), who does the work ([`hours`]), what binds, the reasons block by block
//! ([`reasons`]), and a checker that shares no code with any of it ([`check`]).
//!
//! Absent on purpose: any constant of the trade (they all sit in the options).

mod assemble;
mod binding;
mod check;
mod groups;
mod harm;
pub mod hours;
mod parts;
pub mod reasons;
pub mod reserve;
pub mod standing;
mod words;

pub use assemble::{assemble, with_fresh_risk};
pub use check::check;
pub use groups::Groups;
pub use harm::{Harm, only_less};
pub use parts::parts_of;
pub use reserve::Policy;

use crate::tactics::Bundle;
use crate::types::parameters::Default;
use crate::types::{Area, BlockId, Hours, HoursSupply, Money, Period, Workforce};

pub(crate) const DEFAULTS: &[Default] = &[];

/// What a plan must keep to.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Limits {
    /// Money; `None` is no limit.
    pub budget: Option<Money>,
    /// Area sprayed from the air, repeat applications counted; `None` is no limit.
    pub most_sprayed: Option<Area>,
    /// Hours that can be worked. A workforce, period and place without an entry has none.
    pub hours: Vec<HoursSupply>,
    /// Wage paid from the budget for a crew hour; volunteers are not paid.
    pub crew_wage: Money,
}

/// How far the plan is proven.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Status {
    /// All three aims proven within the gap asked for.
    Optimal,
    /// Stopped by limit or by hand with a feasible plan.
    Feasible,
}

/// Another option of a block, and why it was not taken.
#[derive(Clone, Debug, PartialEq)]
pub struct RunnerUp {
    /// The option.
    pub bundle: Bundle,
    /// Why it lost, in one sentence.
    pub why_not: String,
}

/// The decision for one block.
#[derive(Clone, Debug, PartialEq)]
pub struct BlockPlan {
    /// Block.
    pub block: BlockId,
    /// Position of the chosen option among the block's options.
    pub option: usize,
    /// Its bundle.
    pub bundle: Bundle,
    /// Area sprayed from the air, repeats counted.
    pub sprayed: Area,
    /// Money: crew wages included, and its share by area of setting up the spray block it lies in, and its turns there.
    pub cost: Money,
    /// Crew hours.
    pub crew_hours: Hours,
    /// Volunteer hours.
    pub volunteer_hours: Hours,
    /// Chance that it loses more foliage than its tolerance, on the draws the plan was made on.
    pub chance_over: f64,
    /// The same if nothing is done.
    pub chance_over_untreated: f64,
    /// Why this option, in one or two sentences.
    pub why: String,
    /// The next best option.
    pub runner_up: Option<RunnerUp>,
}

/// The three aims in order.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Aims {
    /// Sum over blocks of host area x (chance over tolerance, as far as it exceeds the chance accepted).
    pub host_beyond_accepted: Area,
    /// Area sprayed from the air, repeats counted.
    pub sprayed: Area,
    /// Money.
    pub cost: Money,
}

/// Expected host area over tolerance: sum over blocks of host area x chance over tolerance.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Risk {
    /// On the draws the plan was made on.
    pub in_sample: Area,
    /// On fresh draws.
    pub out_of_sample: Option<Area>,
    /// Standard error of the fresh value from the finite number of draws.
    pub standard_error: Option<Area>,
    /// Range that holds nine seasons of ten on the fresh draws (5 and 95 %).
    pub range: Option<(Area, Area)>,
    /// Mean of the worst tenth of the fresh draws.
    pub worst_tenth: Option<Area>,
    /// How many fresh draws.
    pub fresh_draws: usize,
    /// The same if nothing is done, on the plan's draws.
    pub untreated: Area,
}

/// Something that keeps the plan from being better.
#[derive(Clone, Debug, PartialEq)]
pub struct Binding {
    /// What: "money", "volunteer hours, summer, Northside" ...
    pub limit: String,
    /// How much there is, in the unit named.
    pub available: f64,
    /// How much is used.
    pub used: f64,
    /// Unit.
    pub unit: &'static str,
}

/// Hours used of one supply.
#[derive(Clone, Debug, PartialEq)]
pub struct HoursUsed {
    /// Whose.
    pub who: Workforce,
    /// When.
    pub period: Period,
    /// Where; `None` anywhere.
    pub neighbourhood: Option<String>,
    /// Used.
    pub used: Hours,
    /// Available.
    pub available: Hours,
}

/// A season plan.
#[derive(Clone, Debug, PartialEq)]
pub struct Plan {
    /// How far proven.
    pub status: Status,
    /// Largest relative gap of the three solves.
    pub gap: f64,
    /// The aims reached.
    pub aims: Aims,
    /// Blocks, in the order of the options.
    pub blocks: Vec<BlockPlan>,
    /// Risk.
    pub risk: Risk,
    /// What binds.
    pub binding: Vec<Binding>,
    /// Hours used of each supply.
    pub hours: Vec<HoursUsed>,
    /// Seed and draws it was made with.
    pub seed: u64,
    /// Draws.
    pub draws: usize,
}

impl Plan {
    /// Money of all blocks.
    pub fn cost(&self) -> Money {
        self.blocks.iter().map(|b| b.cost).sum()
    }
    /// Area sprayed from the air, repeats counted.
    pub fn sprayed(&self) -> Area {
        self.blocks.iter().map(|b| b.sprayed).sum()
    }
}
