//! How many egg masses stand in each block, and how sure is that.
//!
//! Counts on plots become new masses on a known area ([`counts`]), these become a design-based estimate
//! with an exact negative binomial interval ([`negative_binomial`]) and draws from a hierarchical model
//! ([`posterior`]). Plots store an area, never a factor. Walks, bands and traps are indices and give no
//! density by themselves. Where enough plots have a place, neighbours tell about each other ([`spatial`]), and the
//! density is known between the plots too ([`fine`]). What share of the masses is found is measured locally ([`found`]).

pub mod counts;
pub mod design;
pub mod double;
mod doubt;
mod estimate;
pub mod fine;
pub mod found;
pub mod intervals;
pub mod negative_binomial;
pub mod next;
pub mod posterior;
pub mod spatial;
pub mod stopping;

pub use estimate::estimate;

use crate::types::parameters::{Default, Known, Value};
use crate::types::{Area, BlockId, Draws, MassesPerArea, Problem, Records, StratumId};

pub(crate) const DEFAULTS: &[Default] = &[
    Default(
        "survey.level",
        Value::Number(0.9),
        "share",
        "confidence level of the intervals",
        Known::CommonPractice,
        "90 % is usual in forest survey reports",
    ),
    Default(
        "survey.k",
        Value::Lognormal(0.27, 1.0, 3.7),
        "per plot",
        "dispersion k of counts on a plot inside one block; learned from the counts when there are enough",
        Known::Assumption,
        "egg-mass counts on 4-tree points in Connecticut give 1.18 to 1.43 (computed from the published burlap-survey data of Pasquarella et al. 2021, doi 10.1002/rse2.211), single cork oaks 0.65; kept wide because masses can be far more clumped in the trough of a cycle",
    ),
    Default(
        "survey.k.least_plots",
        Value::Number(30.0),
        "repeats",
        "plots beyond the first of their block that are needed before k is estimated instead of taken from the default",
        Known::CommonPractice,
        "30 plots are a usual rule in insect sampling; only plots that share a block show k",
    ),
    Default(
        "survey.space.least_plots",
        Value::Number(30.0),
        "plots",
        "plots with a place that are needed before neighbouring plots tell about a block; with fewer only its stratum does",
        Known::CommonPractice,
        "30 is a usual least number for a variogram",
    ),
    Default(
        "survey.space.spread",
        Value::Lognormal(0.22, 0.7, 2.2),
        "log standard deviation",
        "how much density differs over the city in a smooth way; learned from the counts, this is where it starts",
        Known::Assumption,
        "about half of the spread between site means in Connecticut (1.08, computed from the data of Pasquarella et al. 2021)",
    ),
    Default(
        "survey.space.length",
        Value::Lognormal(120.0, 450.0, 1_680.0),
        "m",
        "length of that smooth part: places so far apart have a correlation of one half; learned from the counts",
        Known::Derived,
        "a range of about 1 km in each of three years in Fox Chapel Borough, Pennsylvania, 517 plots (Liebhold et al. 1991, Environ. Entomol. 20:1407); at 2.2 times this length the correlation is one tenth",
    ),
    Default(
        "survey.space.block",
        Value::Lognormal(0.14, 0.45, 1.42),
        "log standard deviation",
        "how much blocks differ beyond the smooth part; learned from the counts",
        Known::Assumption,
        "a nugget of about 40 % of the sill in Connecticut (computed from the data of Pasquarella et al. 2021)",
    ),
    Default(
        "survey.space.stratum",
        Value::Number(0.7),
        "log standard deviation",
        "how much strata are expected to differ",
        Known::Assumption,
        "a factor of two between strata is nothing unusual",
    ),
    Default(
        "survey.space.covariate",
        Value::Number(0.4),
        "log standard deviation",
        "how much one spread of canopy, favoured hosts, built ground, last year's density or spraying is expected to change density",
        Known::Assumption,
        "weak on purpose: in eastern New England density did not follow the share of favoured trees (Campbell, NE-191, 1974)",
    ),
    Default(
        "survey.space.cell",
        Value::Number(60.0),
        "m",
        "side of the squares of the map between the plots; wider where there would be more than 4,000 of them",
        Known::Assumption,
        "about a third of a city block; the counts tell nothing of smaller ground",
    ),
    Default(
        "survey.detection",
        Value::Lognormal(1.0, 1.0, 1.0),
        "share",
        "share of the masses on a plot that a counter finds; its range goes into the draws of every block",
        Known::Assumption,
        "no published figure was found; measure it with marked masses that somebody else looks for (crownhold recount). 1 makes no correction",
    ),
    Default(
        "survey.tree_only_multiplier",
        Value::Lognormal(1.0, 1.0, 1.0),
        "masses per mass on trees",
        "correction of counts between houses that looked at trees only (houses and objects carry the rest); 1 makes none",
        Known::Published,
        "1.353 where residential lots were not fully searched: 73.9 % of masses were on trees in Greenbelt, Maryland (Thorpe & Ridgway). Off by default",
    ),
    Default(
        "survey.plot",
        Value::Number(0.025),
        "acres",
        "area of a plot that is proposed or for which a stop rule is worked out",
        Known::Published,
        "1/40 acre, the circle of 18.6 ft radius of Pennsylvania, New Jersey and Michigan surveys (MSU Extension; 0.01 ha is within 1.2 % of it)",
    ),
    Default(
        "survey.stop.low",
        Value::Number(150.0),
        "masses per acre",
        "density at which \"below\" is the right answer of the stop rule",
        Known::Assumption,
        "below the 250 per acre that is the commonest action line, far enough for a rule that ends within 20 plots",
    ),
    Default(
        "survey.stop.high",
        Value::Number(350.0),
        "masses per acre",
        "density at which \"above\" is the right answer of the stop rule",
        Known::Assumption,
        "as far above 250 per acre",
    ),
    Default(
        "survey.stop.alpha",
        Value::Number(0.1),
        "chance",
        "nominal chance that the stop rule says \"above\" at the low density; what it really is stands beside it",
        Known::CommonPractice,
        "0.1 is usual in pest decisions",
    ),
    Default(
        "survey.stop.beta",
        Value::Number(0.1),
        "chance",
        "nominal chance that the stop rule says \"below\" at the high density; what it really is stands beside it",
        Known::CommonPractice,
        "0.1 is usual in pest decisions",
    ),
    Default(
        "survey.stop.least",
        Value::Number(5.0),
        "plots",
        "plots that are counted in a block before the stop rule is asked",
        Known::CommonPractice,
        "three or four plots a block do not resolve a threshold; five are a usual least number",
    ),
    Default(
        "survey.stop.most",
        Value::Number(20.0),
        "plots",
        "plots after which the mean decides",
        Known::CommonPractice,
        "what a crew can count in a block in about a day",
    ),
    Default(
        "survey.taylor.a",
        Value::Number(1.684),
        "per plot",
        "a of Taylor's law, variance = a m^b, between plots of a block",
        Known::Derived,
        "points of four trees within site and year, Connecticut 2017-18 (computed from the burlap-survey data of Pasquarella et al. 2021, doi 10.1002/rse2.211; r2 0.91); not 1/40 acre plots",
    ),
    Default(
        "survey.taylor.b",
        Value::Number(1.672),
        "exponent",
        "b of the same law",
        Known::Derived,
        "as survey.taylor.a",
    ),
    Default(
        "survey.prior.level",
        Value::Number(250.0),
        "masses per acre",
        "where a stratum's level is expected before any count",
        Known::Assumption,
        "the commonest action line of the trade; the width below makes it weak",
    ),
    Default(
        "survey.prior.level_width",
        Value::Number(2.0),
        "log standard deviation",
        "how weak that expectation is",
        Known::Assumption,
        "95 % of the expectation lies between one fiftieth and fifty times the level",
    ),
    Default(
        "survey.prior.spread",
        Value::Number(1.0),
        "log standard deviation",
        "scale of the spread between blocks of one stratum (half-normal)",
        Known::Assumption,
        "site means in Connecticut changed by a log standard deviation of 1.08 between years (computed from the data of Pasquarella et al. 2021); spread between places is taken to be of that order",
    ),
];

/// How many times as many masses as in the season before.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AgainstLast {
    /// Density of the season before.
    pub last: MassesPerArea,
    /// 5 %, middle and 95 % of this season's over it. The doubt of the last count is not on record and not in it.
    pub times: [f64; 3],
}

impl Density {
    /// A block against the season before; `None` where that is not on record or was zero.
    pub fn against_last(&self, records: &Records, block: usize) -> Option<AgainstLast> {
        let id = &records.blocks.get(block)?.id;
        let season = records.programme.season - 1;
        let before = records.past.iter().find(|p| p.season == season && p.block == *id)?.density?;
        let per_hectare = before.as_per_hectare();
        let times = [0.05, 0.5, 0.95].map(|p| self.draws.quantile(block, p) / per_hectare);
        (per_hectare > 0.0).then_some(AgainstLast { last: before, times })
    }

    /// Ground of some blocks together, and draws of their density as one, masses per hectare: weighted by ground.
    /// Blocks that are not there are left out.
    pub fn together(&self, records: &Records, blocks: &[BlockId]) -> (Area, Vec<f64>) {
        let at: Vec<usize> = blocks.iter().filter_map(|id| records.block_index(id)).collect();
        let ground: Vec<f64> = at.iter().map(|i| records.blocks[*i].area().as_square_metres()).collect();
        let whole: f64 = ground.iter().sum();
        if whole <= 0.0 {
            return (Area::ZERO, Vec::new());
        }
        let of_draw = |d: usize| at.iter().zip(&ground).map(|(i, m2)| self.draws.at(d, *i) * m2).sum::<f64>() / whole;
        (Area::square_metres(whole), (0..self.draws.draws()).map(of_draw).collect())
    }
}

/// How a block's figure was made.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DensityMethod {
    /// From the block's own plots.
    OwnPlots,
    /// No plot of its own: from plots around it, its stratum and what is known of it.
    Around,
    /// No plot of its own: borrowed from its stratum, wider.
    Stratum,
    /// Neither it nor its stratum has a plot: from all plots, wider still.
    AllPlots,
}

impl DensityMethod {
    /// In words.
    pub fn word(self) -> &'static str {
        match self {
            Self::OwnPlots => "own plots",
            Self::Around => "from plots around it",
            Self::Stratum => "borrowed from its stratum",
            Self::AllPlots => "borrowed from all plots",
        }
    }
}

/// The density of one block or stratum.
#[derive(Clone, Debug, PartialEq)]
pub struct DensityEstimate {
    /// Plots used.
    pub plots: usize,
    /// New masses counted (after the new/old correction) on `area_square_metres`.
    pub masses: f64,
    /// Counted area, square metres.
    pub area_square_metres: f64,
    /// Design-based estimate; of the stratum where the block has no plot.
    pub estimate: MassesPerArea,
    /// Lower end of the interval.
    pub low: MassesPerArea,
    /// Upper end; above zero even when nothing was found.
    pub high: MassesPerArea,
    /// Method.
    pub method: DensityMethod,
}

/// The dispersion used.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Dispersion {
    /// k of the negative binomial for the standard plot.
    pub k: f64,
    /// 5 % and 95 % points used in the draws.
    pub range: (f64, f64),
    /// Estimated from this many plots beyond the first of their block, or `None` for the default.
    pub plots: Option<usize>,
}

/// The share of masses that are new, with its interval.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct NewShare {
    /// New masses within reach.
    pub new: u32,
    /// Old masses within reach.
    pub old: u32,
    /// Estimate.
    pub share: f64,
    /// Lower end (Wilson).
    pub low: f64,
    /// Upper end.
    pub high: f64,
}

impl NewShare {
    /// The share applied to masses out of reach: the estimate, or where no new one was found among a few, the mean
    /// of Jeffreys' posterior, because a few old masses do not prove that all others are old.
    pub fn used(self) -> f64 {
        if self.new == 0 { 0.5 / (f64::from(self.old) + 1.0) } else { self.share }
    }

    /// The share at a quantile of Jeffreys' posterior, Beta(new + 1/2, old + 1/2).
    fn at(self, p: f64) -> f64 {
        statrs::function::beta::inv_beta_reg(f64::from(self.new) + 0.5, f64::from(self.old) + 0.5, p)
    }
}

/// Densities of all blocks: estimates, and draws for the rooms downstream.
#[derive(Clone, Debug, PartialEq)]
pub struct Density {
    /// Blocks, in the order of the records.
    pub blocks: Vec<(BlockId, DensityEstimate)>,
    /// Strata.
    pub strata: Vec<(StratumId, DensityEstimate)>,
    /// Draws x blocks, egg masses per hectare.
    pub draws: Draws,
    /// Confidence level of the intervals.
    pub level: f64,
    /// Dispersion.
    pub dispersion: Dispersion,
    /// How densities vary over space; `None` where too few plots have a place, and blocks lean on their stratum only.
    pub space: Option<spatial::Variation>,
    /// What timed walks tell; `None` where fewer than three blocks have walks and plots.
    pub walks: Option<double::Walked>,
    /// New share over the whole survey; `None` when no mass was classed.
    pub new_share: Option<NewShare>,
    /// What should be known (index plots left out, unclosed counts ...).
    pub notes: Vec<Problem>,
}
