//! What happens if nothing is done.

use crate::types::parameters::Default;
use crate::types::{BlockId, Draws};

pub(crate) const DEFAULTS: &[Default] = &[];

/// The untreated season, draws x blocks.
#[derive(Clone, Debug, PartialEq)]
pub struct Outlook {
    /// Blocks, in order.
    pub blocks: Vec<BlockId>,
    /// Share of favoured-host foliage lost.
    pub defoliation: Draws,
    /// Trees that will die of it over three years, per block.
    pub dead_trees: Draws,
    /// Loss in money: removals and nuisance.
    pub loss: Draws,
    /// Next autumn's density, egg masses per hectare.
    pub next_density: Draws,
}
