//! Did it work?

use crate::types::BlockId;

/// Observed against predicted for one block.
#[derive(Clone, Debug, PartialEq)]
pub struct BlockEvidence {
    /// Block.
    pub block: BlockId,
    /// Predicted share of foliage lost: 5, 50 and 95 %.
    pub predicted: (f64, f64, f64),
    /// Observed share.
    pub observed: Option<f64>,
}

/// What the log and next survey say about the season.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Evidence {
    /// Blocks.
    pub blocks: Vec<BlockEvidence>,
}
