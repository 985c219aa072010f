//! Finding the season plan: one option per block, proven.
//!
//! [`solve`] takes the options of all blocks and the limits and minimises three aims in their order:
//! host area beyond the accepted chance, then area sprayed from the air, then money. Each aim reached
//! is kept, to half a square metre, while the next is minimised. The model, the tolerances and what
//! the plan does not consider are described in `docs/models/plan.md`.
//!
//! This crate links the solver (HiGHS) and is otherwise pure: the same input gives the same plan, as
//! long as neither a time limit nor a stop cuts the search short. What can be said of a plan without
//! a solver (reasons, what binds, the checker) is in `crownhold::plan`.

mod flown;
mod foresee;
mod frontier;
mod interrupt;
mod mend;
pub mod milp;
mod model;
mod model_text;
mod progress;
mod rings;
mod season;
mod trouble;

use std::sync::atomic::AtomicBool;

use crownhold::plan::Plan;
use crownhold::types::{Problem, UnitSystem};

pub use foresee::{Foreseen, foresee};
pub use frontier::{Along, Found, frontier};
pub use model_text::model_text;
pub use progress::{Aim, Progress, Watch};
pub use season::{Learned, solve, solve_learning};

/// How to search, and the units of the sentences.
#[derive(Clone, Copy, Debug)]
pub struct SolveSetting<'a> {
    /// Relative gap that each aim is proven to; 0 is to the very optimum.
    pub gap: f64,
    /// The aims that are searched for, in this order; the rest is only polished.
    pub aims: &'a [Aim],
    /// Most nodes of the search tree for each aim.
    pub node_limit: u32,
    /// Most seconds for all three aims together; all searches there may be share it evenly. Makes the plan depend on the machine.
    pub time_limit: Option<f64>,
    /// Set to true from another thread to stop; the best plan so far is returned.
    pub stop: Option<&'a AtomicBool>,
    /// Units of the sentences.
    pub units: UnitSystem,
    /// A plan to begin with, such as the one before a small change. What still fits of it is taken as the first plan
    /// known; the search ends within the same gap, and mostly sooner.
    pub start: Option<&'a Plan>,
    /// What an earlier search for the same blocks learned of their spray blocks.
    pub learned: Option<&'a Learned>,
    /// Told how far the search is.
    pub watch: Option<Watch<'a>>,
}

impl Default for SolveSetting<'_> {
    /// Gap 0.1 %, 20,000 nodes an aim (several times what 180 blocks took on trial), US units.
    fn default() -> Self {
        Self {
            gap: 1e-3,
            aims: &Aim::ALL,
            node_limit: 20_000,
            time_limit: None,
            stop: None,
            units: UnitSystem::Us,
            start: None,
            learned: None,
            watch: None,
        }
    }
}

/// Why there is no plan.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum SolveError {
    /// Options or limits that cannot be used; every one is named.
    #[error("{}", sentences(.0))]
    Unusable(Vec<Problem>),
    /// Fixed decisions and bars leave no choice that keeps the limits; blocks and limits are named.
    #[error("{}", sentences(.0))]
    Impossible(Vec<Problem>),
    /// Stopped before there was any plan.
    #[error("The search was stopped before there was any plan. Give it more time, or do not stop it so soon.")]
    Stopped,
    /// The solver failed; its own words.
    #[error("The solver failed: {0}. Please report this with the programme file.")]
    Solver(String),
}

impl SolveError {
    /// The problems, if the input is at fault.
    pub fn problems(&self) -> &[Problem] {
        match self {
            Self::Unusable(all) | Self::Impossible(all) => all,
            Self::Stopped | Self::Solver(_) => &[],
        }
    }
}

fn sentences(problems: &[Problem]) -> String {
    problems.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n")
}
