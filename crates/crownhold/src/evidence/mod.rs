//! Did it work?
//!
//! Here the season is compared with what was forecast. Effects of single tactics, with intervals against
//! untreated blocks, are not worked out yet; [`pairs`] says what there would be to work them out from.

mod past;

pub use past::{Autumn, Change, Done, Pairs, autumns, changes, curve_pairs, done, pairs, untreated_ratings};

use crate::outlook::Outlook;
use crate::types::{BlockId, PastSeason};

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

/// Sets observed foliage loss beside the forecast, block by block.
pub fn compare(outlook: &Outlook, observed: &[PastSeason]) -> Evidence {
    let blocks = outlook
        .blocks
        .iter()
        .enumerate()
        .map(|(b, block)| {
            let at = |p| outlook.defoliation.quantile(b, p);
            let seen = observed.iter().find(|o| o.block == *block).and_then(|o| o.defoliation);
            BlockEvidence {
                block: block.clone(),
                predicted: (at(0.05), at(0.5), at(0.95)),
                observed: seen.map(|d| d.value()),
            }
        })
        .collect();
    Evidence { blocks }
}

impl Evidence {
    /// Of the blocks with an observation, the share inside the 5-95 % range of its forecast.
    pub fn coverage(&self) -> Option<f64> {
        let seen: Vec<(f64, f64, f64)> =
            self.blocks.iter().filter_map(|b| b.observed.map(|o| (b.predicted.0, o, b.predicted.2))).collect();
        if seen.is_empty() {
            return None;
        }
        Some(seen.iter().filter(|(low, o, high)| low <= o && o <= high).count() as f64 / seen.len() as f64)
    }
}
