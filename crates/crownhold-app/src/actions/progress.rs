//! How far a long piece of work is, and a way to stop it.

use std::sync::atomic::{AtomicBool, Ordering};

use crownhold::types::Problem;
use crownhold_plan::{Progress, SolveError};

use crate::trouble::Trouble;

/// What a plan in the making is at, in this order.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Phase {
    /// Densities from the counts, dates from the weather.
    Counts,
    /// The untreated season, and the options of every block.
    OutlookAndOptions,
    /// The search, aim by aim.
    Search(Progress),
    /// The plan's risk, measured again on fresh draws.
    MeasuringAgain,
}

/// Who is told how far it is, and who may stop it; nobody by default. Carries no clock: whoever is told has one.
#[derive(Clone, Copy, Default)]
pub struct Watcher<'a> {
    /// Told at the start of each phase and while the search goes on. Called from several threads.
    pub tell: Option<&'a (dyn Fn(Phase) + Sync)>,
    /// Set to true from elsewhere to stop.
    pub stop: Option<&'a AtomicBool>,
}

impl Watcher<'_> {
    /// Passes a phase on.
    pub(crate) fn tell(&self, phase: Phase) {
        if let Some(tell) = self.tell {
            tell(phase);
        }
    }

    /// Begins a phase.
    ///
    /// # Errors
    /// When it was stopped.
    pub(crate) fn begin(&self, phase: Phase) -> Result<(), Trouble> {
        if self.stop.is_some_and(|s| s.load(Ordering::Relaxed)) {
            return Err(stopped());
        }
        self.tell(phase);
        Ok(())
    }
}

/// Stopped with nothing to show for it.
pub(crate) fn stopped() -> Trouble {
    Trouble::one(Problem::error("A-023", SolveError::Stopped.to_string(), "Nothing was changed."))
}
