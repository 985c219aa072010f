//! Oak leaves: the heat at which buds break and leaves reach a share of their final size.
//!
//! Worked out from public Harvard Forest records (daily temperatures HF001, leaf development HF003, 13 springs
//! 2002-2014): single sine above 50 F from 1 January. The spread is that between springs, and is taken as
//! wholly common to all marks of one spring, so that a mark never overtakes the one before it.
//! One site in central Massachusetts at 340 m: elsewhere, look at the trees.

use crate::types::Value;

/// A mark of leaf development, as an index into [`LeafMarks`].
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Leaf {
    RedBudbreak,
    RedThirty,
    RedForty,
    WhiteBudbreak,
    WhiteForty,
}

/// Heat at each mark, mean and spread between springs, degree-days C on the leaf axis.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct LeafMarks(pub(super) [Value; 5]);

impl LeafMarks {
    /// Heat at a mark in a spring that is `z` spreads late.
    pub(super) fn heat(&self, mark: Leaf, z: f64) -> f64 {
        match self.0[mark as usize] {
            Value::Normal(mean, spread) => mean + z * spread,
            other => other.centre(),
        }
    }
}
