//! How far a search is.

use std::fmt;

use crownhold::plan::Aims;

/// The three aims, in the order in which they are minimised.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Aim {
    /// Host area beyond the accepted chance, square metres.
    Host,
    /// Area sprayed from the air, repeats counted, square metres.
    Sprayed,
    /// Money, dollars.
    Cost,
}

impl Aim {
    /// Every aim, in order.
    pub const ALL: [Self; 3] = [Self::Host, Self::Sprayed, Self::Cost];

    /// How much of the aim's own unit (see [`Aim`]) one unit of the model is: hectares and thousands.
    pub(crate) fn per_model_unit(self) -> f64 {
        match self {
            Self::Host | Self::Sprayed => 1e4,
            Self::Cost => 1e3,
        }
    }
}

/// How far the search for one aim is. It is told at the start of each aim and whenever best or bound move.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Progress {
    /// The aim at work.
    pub aim: Aim,
    /// Its value in the best plan known so far, in the aim's unit.
    pub best: Option<f64>,
    /// What no plan can go below, as far as is known, in the aim's unit.
    pub bound: Option<f64>,
    /// What the best plan known so far reaches of all three aims: a stop now would give that plan.
    pub so_far: Option<Aims>,
}

impl Progress {
    /// (best - bound) / best, from 0 to 1; `None` while one of them is not known.
    pub fn gap(&self) -> Option<f64> {
        let (best, bound) = (self.best?, self.bound?);
        Some(if best <= bound || best <= 0.0 { 0.0 } else { ((best - bound.max(0.0)) / best).min(1.0) })
    }
}

/// Somebody who is told how far the search is. Called from the thread that solves; it should be quick, and a panic
/// in it ends the search as a stop does.
#[derive(Clone, Copy)]
pub struct Watch<'a>(pub &'a (dyn Fn(Progress) + Sync));

impl fmt::Debug for Watch<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("Watch")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn gap_is_a_share_of_the_best() {
        let at = |best, bound| Progress { aim: Aim::Cost, best, bound, so_far: None }.gap();
        assert_eq!(at(Some(200.0), Some(150.0)), Some(0.25));
        assert_eq!(at(Some(0.0), Some(0.0)), Some(0.0));
        // A bound below nothing says no more than nothing.
        assert_eq!(at(Some(10.0), Some(-5.0)), Some(1.0));
        assert_eq!(at(None, Some(1.0)), None);
    }
}
