//! The three solves, one after the other.

use crownhold::plan::standing::{MONEY_TOLERANCE, Standing};
use crownhold::plan::{Limits, Plan, Status, assemble};
use crownhold::tactics::Options;

use crate::milp::{Answer, Effort, NoAnswer};
use crate::model::{Aim, GRID, Model};
use crate::{SolveError, SolveSetting, trouble};

/// Half a step of the grid: an aim kept to this is kept exactly.
const HALF_STEP: f64 = 0.5 * GRID;

/// The least-harm, least-spray, least-cost plan within the limits.
///
/// Aims are compared on a grid of whole square metres (each block's area rounded) and to the cent.
/// With gap 0 the plan is the exact lexicographic optimum on that grid; with a larger gap each aim is
/// proven to that gap, given what the aims before it reached. No later aim makes an earlier one worse
/// by even one step. At the end single changes that are a gain are made until none is left, so each
/// option that would have been better is refused by something the plan names.
///
/// # Errors
/// [`SolveError`]: unusable input, limits that fixed decisions overrun, stopped before any plan, solver failure.
pub fn solve(options: &Options, limits: &Limits, setting: &SolveSetting<'_>) -> Result<Plan, SolveError> {
    let problems = trouble::unusable(options, limits, setting);
    if !problems.is_empty() {
        return Err(SolveError::Unusable(problems));
    }
    let mut search = Search::new(options, limits, setting);
    if !options.blocks.is_empty() {
        for aim in [Aim::Host, Aim::Sprayed, Aim::Cost] {
            search.next(aim)?;
        }
    }
    let status = if search.proven { Status::Optimal } else { Status::Feasible };
    Ok(assemble(options, limits, search.choice.unwrap_or_default(), status, search.gap, setting.units))
}

struct Search<'a> {
    options: &'a Options,
    limits: &'a Limits,
    setting: &'a SolveSetting<'a>,
    model: Model<'a>,
    /// Best choice so far; it keeps every limit.
    choice: Option<Vec<usize>>,
    proven: bool,
    gap: f64,
}

impl<'a> Search<'a> {
    fn new(options: &'a Options, limits: &'a Limits, setting: &'a SolveSetting<'a>) -> Self {
        // Watching everywhere, where it is allowed and fits, is a plan to begin with and to fall back on.
        let watch = vec![0; options.blocks.len()];
        let choice = Standing::new(options, limits, watch.clone()).fits().then_some(watch);
        Self { options, limits, setting, model: Model::new(options, limits), choice, proven: true, gap: 0.0 }
    }

    /// Minimises one aim and keeps it for those that follow.
    fn next(&mut self, aim: Aim) -> Result<(), SolveError> {
        let start = self.choice.as_ref().and_then(|c| self.model.values(c));
        let effort = Effort {
            gap: self.setting.gap,
            absolute_gap: absolute_gap(aim),
            nodes: self.setting.node_limit,
            seconds: self.setting.time_limit.map(|s| s / 3.0),
            stop: self.setting.stop,
            start: start.as_deref(),
        };
        let bound = match self.model.milp.minimise(&self.model.terms(aim), &effort) {
            Ok(answer) => self.take_over(&answer)?,
            Err(NoAnswer::Stopped) if self.choice.is_some() => 0.0,
            Err(NoAnswer::Stopped) => return Err(SolveError::Stopped),
            Err(NoAnswer::Infeasible) => return Err(trouble::impossible(self.options, self.limits)),
            Err(NoAnswer::Solver(what)) => return Err(SolveError::Solver(what)),
        };
        let value = self.value(aim);
        let gap = relative_gap(value, bound, absolute_gap(aim));
        self.gap = self.gap.max(gap);
        self.proven &= gap <= self.setting.gap + 1e-9;
        if aim != Aim::Cost {
            self.model.keep(aim, value + HALF_STEP);
        }
        Ok(())
    }

    /// Takes the solver's choice over, polished, if it is no worse than what is there; gives its bound.
    fn take_over(&mut self, answer: &Answer) -> Result<f64, SolveError> {
        let found = Standing::new(self.options, self.limits, self.model.choice(&answer.values));
        let before = self.choice.clone().map(|c| Standing::new(self.options, self.limits, c));
        let mut best = match before {
            Some(before) if !found.fits() || is_better(&before, &found) => before,
            _ => found,
        };
        if !best.fits() {
            return Err(SolveError::Solver("a solution that breaks a limit when worked out again".to_owned()));
        }
        best.polish();
        self.choice = Some(best.choice);
        Ok(answer.bound)
    }

    /// What the choice reaches, in the model's unit.
    fn value(&self, aim: Aim) -> f64 {
        let graded = Standing::new(self.options, self.limits, self.choice.clone().unwrap_or_default()).graded();
        match aim {
            Aim::Host => graded.host as f64 * GRID,
            Aim::Sprayed => graded.sprayed as f64 * GRID,
            Aim::Cost => graded.cost / 1_000.0,
        }
    }
}

/// Half a step of the grid, or a cent: below it two values of an aim are the same.
fn absolute_gap(aim: Aim) -> f64 {
    match aim {
        Aim::Host | Aim::Sprayed => HALF_STEP,
        Aim::Cost => MONEY_TOLERANCE / 1_000.0,
    }
}

/// Is the first better than the second by the aims in their order?
fn is_better(a: &Standing<'_>, b: &Standing<'_>) -> bool {
    let (a, b) = (a.graded(), b.graded());
    (a.host, a.sprayed).cmp(&(b.host, b.sprayed)).then(a.cost.total_cmp(&b.cost)).is_lt()
}

/// (value - bound) / value; nothing when they differ by less than what counts.
fn relative_gap(value: f64, bound: f64, counts: f64) -> f64 {
    let bound = bound.max(0.0);
    if value - bound <= counts * (1.0 + 1e-6) { 0.0 } else { ((value - bound) / value).min(1.0) }
}
