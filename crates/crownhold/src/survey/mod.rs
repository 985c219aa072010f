//! How many egg masses stand in each block, and how sure is that.

use crate::types::parameters::Default;
use crate::types::{BlockId, Draws, MassesPerArea, Problem, StratumId};

pub(crate) const DEFAULTS: &[Default] = &[];

/// How a block's figure was made.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DensityMethod {
    /// From the block's own plots.
    OwnPlots,
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
    /// Estimated from this many plots, or `None` for the default.
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
    /// New share over the whole survey; `None` when no mass was classed.
    pub new_share: Option<NewShare>,
    /// What should be known (index plots left out, unclosed counts ...).
    pub notes: Vec<Problem>,
}
