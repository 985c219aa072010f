//! What could be done in each block: bundles of tactics, whether they are allowed and why not,
//! what they cost in money and hours, and what they change.
//!
//! A tactic removes a share of a block's larvae; the share is a distribution that depends on density,
//! reach, coverage and timing ([`effect`]). Tactics of a bundle are combined on survival, the survivors go
//! through the defoliation curve with the block's own residual, and what counts is the chance of losing
//! more than the block's tolerance ([`options`](fn@options)). An option that may not be taken stays in the
//! list with its reasons. What is absent on purpose: a promise. Bands and scraping are worth little at
//! outbreak density, and the figures say so.

mod bars;
mod cost;
mod defaults;
pub mod effect;
mod flying;
mod larvae;
mod no_spray;
mod options;
mod stakes;
pub(crate) mod stress;
mod turns;

pub use flying::{Flying, neighbours};
pub use larvae::{Chances, host_over_tolerance};
pub use no_spray::{default_buffer, no_spray_buffer, no_spray_ground, no_spray_shares};
pub use options::{options, threshold_rule};
pub use stakes::stakes;
pub use stress::{Stress, worst_options};
pub use turns::Turns;

pub(crate) use defaults::DEFAULTS;

use crate::types::{Area, BlockId, Hours, Money, Period, Share, Tactic};

/// A set of tactics used together on one block; empty is "watch".
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Bundle(Vec<Tactic>);

impl Bundle {
    /// Do nothing but watch.
    pub const WATCH: Self = Self(Vec::new());

    /// From tactics, in any order.
    pub fn new(mut tactics: Vec<Tactic>) -> Self {
        tactics.sort();
        tactics.dedup();
        Self(tactics)
    }
    /// The tactics in order.
    pub fn tactics(&self) -> &[Tactic] {
        &self.0
    }
    /// Is this tactic in it?
    pub fn has(&self, tactic: Tactic) -> bool {
        self.0.contains(&tactic)
    }
    /// Does anything fly?
    pub fn flies(&self) -> bool {
        self.flights() > 0
    }
    /// How often it is flown.
    pub fn flights(&self) -> u32 {
        self.0.iter().map(|t| t.flights()).max().unwrap_or(0)
    }
    /// Its key in files: "watch" or the words joined by " + ".
    pub fn key(&self) -> String {
        if self.0.is_empty() {
            return "watch".to_owned();
        }
        self.0.iter().map(|t| t.word()).collect::<Vec<_>>().join(" + ")
    }
    /// From its key.
    pub fn from_key(key: &str) -> Option<Self> {
        if key.trim() == "watch" {
            return Some(Self::WATCH);
        }
        key.split('+').map(|part| Tactic::from_word(part.trim())).collect::<Option<Vec<_>>>().map(Self::new)
    }
}

impl std::fmt::Display for Bundle {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&self.key())
    }
}

/// Work an option asks for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Labour {
    /// When.
    pub period: Period,
    /// How much.
    pub hours: Hours,
    /// May volunteers do it? (Pesticides and ladders: no.)
    pub volunteers_may: bool,
}

/// One option of one block.
#[derive(Clone, Debug, PartialEq)]
pub struct BlockOption {
    /// What is done.
    pub bundle: Bundle,
    /// Why it may not be taken, each a sentence; empty when it may.
    pub barred: Vec<String>,
    /// Money without crew wages, and without the setting up and turns of spray blocks.
    pub cost: Money,
    /// Work.
    pub labour: Vec<Labour>,
    /// Area sprayed from the air, repeats counted.
    pub sprayed: Area,
    /// Chance that the block loses more favoured foliage than its tolerance.
    pub chance_over: f64,
    /// Expected share of favoured foliage lost.
    pub expected_defoliation: f64,
    /// Expected share of the block's larvae that the bundle removes.
    pub larvae_removed: f64,
}

impl BlockOption {
    /// May it be taken?
    pub fn allowed(&self) -> bool {
        self.barred.is_empty()
    }
    /// What one flight sprays; nothing when it does not fly.
    pub fn sprayed_once(&self) -> Area {
        self.sprayed * (1.0 / f64::from(self.bundle.flights().max(1)))
    }
    /// All hours.
    pub fn hours(&self) -> Hours {
        self.labour.iter().map(|l| l.hours).sum()
    }
}

/// The options of one block. The first is always "watch".
#[derive(Clone, Debug, PartialEq)]
pub struct BlockOptions {
    /// Block.
    pub block: BlockId,
    /// Where its volunteers come from.
    pub neighbourhood: Option<String>,
    /// Ground under susceptible crowns.
    pub host_area: Area,
    /// Foliage loss held to be acceptable.
    pub tolerance: Share,
    /// Chance of losing more that is accepted for its land use.
    pub accepted_chance: f64,
    /// Share of the block that no aircraft may spray.
    pub no_spray_share: f64,
    /// Options.
    pub options: Vec<BlockOption>,
}

/// Options of all blocks, in block order.
#[derive(Clone, Debug, PartialEq)]
pub struct Options {
    /// Blocks.
    pub blocks: Vec<BlockOptions>,
    /// How flown blocks go together.
    pub flying: Flying,
    /// Draws behind the chances.
    pub draws: usize,
    /// Seed behind the draws.
    pub seed: u64,
}

/// What flying by the action threshold alone would take, and what it would leave.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RuleOfThumb {
    /// Area flown, once over.
    pub flown: Area,
    /// Expected host area over tolerance, on the draws of the options.
    pub over_tolerance: Area,
}
