//! The three solves, one after the other.

use std::collections::BTreeMap;
use std::sync::atomic::Ordering;

use crownhold::plan::standing::{MONEY_TOLERANCE, Standing};
use crownhold::plan::{Aims, Limits, Plan, Status, assemble};
use crownhold::tactics::{BlockOption, Options};

use crate::flown::NodeSet;
use crate::mend::mended;
use crate::milp::{Answer, Effort, Milp, NoAnswer, Note, Relaxed, Row};
use crate::model::{GRID, Model};
use crate::{Aim, Progress, SolveError, SolveSetting, trouble};

/// Half a step of the grid: an aim kept to this is kept exactly.
const HALF_STEP: f64 = 0.5 * GRID;

/// Times that a later aim is looked at again because the first one came out lower.
const MOST_REPEATS: usize = 3;
/// Rounds of rows for spray blocks that the relaxed problem gets: each raises its bound, later ones little.
const MOST_ROUNDS: usize = 12;
/// A column this close to one is whole.
const WHOLE: f64 = 0.999;
/// Searches for one aim that end with spray blocks not joined or too small before the best plan so far has to do.
const MOST_RETRIES: usize = 60;
/// Options within this share of the relaxed optimum are searched first for the first aim. Plans of 180
/// blocks end about 1 % above it; too small costs a second search, too large a longer first one.
const FIRST_REACH: f64 = 0.015;
/// Searches that a time limit is shared among: two for the first aim, one for each other.
const MOST_SEARCHES: f64 = 4.0;
/// The same with spray blocks: one more for each aim, each begun anew at most so often as [`TIMED_RETRIES`].
const MOST_SEARCHES_ON_GROUND: f64 = 7.0 * TIMED_RETRIES as f64;
/// Of more sets than this, piled up by many searches, none is taken over: too many rows cost more than they save.
const MOST_LEARNED: usize = 2_000;
/// Searches begun anew for rows that were missing, under a time limit.
const TIMED_RETRIES: usize = 3;

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
    solve_learning(options, limits, setting).map(|(plan, _)| plan)
}

/// The same, with what was learned of the spray blocks on the way, for a search after a small change.
///
/// # Errors
/// As [`solve`].
pub fn solve_learning(
    options: &Options,
    limits: &Limits,
    setting: &SolveSetting<'_>,
) -> Result<(Plan, Learned), SolveError> {
    let problems = trouble::unusable(options, limits, setting);
    if !problems.is_empty() {
        return Err(SolveError::Unusable(problems));
    }
    let mut search = Search::new(options, limits, setting);
    if !options.blocks.is_empty() {
        for &aim in setting.aims {
            search.next(aim)?;
        }
    }
    let status = if search.proven { Status::Optimal } else { Status::Feasible };
    let plan = assemble(options, limits, search.choice.unwrap_or_default(), status, search.gap, setting.units);
    search.learned.0.sort_unstable();
    search.learned.0.dedup();
    Ok((plan, search.learned))
}

/// Sets of blocks whose rows a search turned out to need. They hold for any options and limits of the same blocks.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Learned(Vec<NodeSet>);

struct Search<'a> {
    options: &'a Options,
    limits: &'a Limits,
    setting: &'a SolveSetting<'a>,
    model: Model<'a>,
    /// Best choice so far; it keeps every limit.
    choice: Option<Vec<usize>>,
    proven: bool,
    gap: f64,
    learned: Learned,
}

impl<'a> Search<'a> {
    fn new(options: &'a Options, limits: &'a Limits, setting: &'a SolveSetting<'a>) -> Self {
        // Watching everywhere, where it is allowed and fits, is a plan to begin with and to fall back on.
        let watch = Standing::new(options, limits, vec![0; options.blocks.len()]);
        let given = setting.start.map(|plan| earlier(options, limits, plan));
        let choice = [Some(watch), given].into_iter().flatten().filter(Standing::fits);
        let choice = choice.reduce(|a, b| if is_better(&a, &b) { a } else { b }).map(|s| s.choice);
        let (model, learned) = (Model::new(options, limits), Learned::default());
        let mut search = Self { options, limits, setting, model, choice, proven: true, gap: 0.0, learned };
        let known = setting.learned.filter(|known| known.0.len() <= MOST_LEARNED);
        search.learn(known.map_or_else(Vec::new, |known| known.0.clone()));
        search
    }

    /// Minimises one aim and keeps it for those that follow.
    ///
    /// Most options are far from the optimum: taking one of them costs more, by its reduced cost in
    /// the relaxed problem, than the relaxed optimum and a known plan lie apart. So the search runs over the
    /// options within `reach` of the relaxed optimum only. If what it finds lies within `reach`, that
    /// is a proof for all options; if not, its own value is a reach that is enough.
    ///
    /// A search for a later aim may find the first one lower still. The bound it gives is then one for plans that no
    /// longer count, so it is made again with the lower value held.
    fn next(&mut self, aim: Aim) -> Result<(), SolveError> {
        for _ in 0..MOST_REPEATS {
            let first = self.choice.as_ref().map(|_| self.value(Aim::Host));
            let (relaxed, bound) = self.look(aim)?;
            let lower = aim != Aim::Host && first.is_some_and(|v| self.value(Aim::Host) < v - HALF_STEP);
            let open = relative_gap(self.value(aim), bound, absolute_gap(aim)) > self.setting.gap;
            if !(lower && open) || self.is_stopped() {
                self.keep(aim, &relaxed, bound);
                return Ok(());
            }
            self.model.keep(Aim::Host, self.value(Aim::Host) + HALF_STEP);
        }
        let (relaxed, bound) = self.look(aim)?;
        self.keep(aim, &relaxed, bound);
        Ok(())
    }

    /// One look for an aim: the relaxed problem, and a bound for all plans that count.
    fn look(&mut self, aim: Aim) -> Result<(Relaxed, f64), SolveError> {
        self.tell(aim, None);
        let terms = self.model.terms(aim);
        let relaxed = self.relaxed(&terms).map_err(|no| self.error(&no))?;
        if !self.model.flown.is_empty() {
            match self.search(aim, &terms, self.beside_relaxed(&relaxed), relaxed.value) {
                Ok(_) | Err(NoAnswer::Infeasible | NoAnswer::Stopped) => {}
                Err(no) => return Err(self.error(&no)),
            }
            let known = self.choice.as_ref().map(|_| self.value(aim));
            self.tell(aim, Some(relaxed.value));
            if known.is_some_and(|v| relative_gap(v, relaxed.value, absolute_gap(aim)) <= self.setting.gap) {
                let bound = relaxed.value;
                return Ok((relaxed, bound));
            }
        }
        let mut reach = match aim {
            Aim::Host => FIRST_REACH * relaxed.value.abs() + HALF_STEP,
            Aim::Sprayed | Aim::Cost => f64::INFINITY,
        };
        let mut bound = None;
        loop {
            reach = reach.min(self.distance(aim, relaxed.value));
            let near = self.near(&relaxed, reach);
            let narrowed = near != self.model.milp;
            match self.search(aim, &terms, near, relaxed.value + reach) {
                Ok(found) => bound = Some(found),
                Err(NoAnswer::Infeasible) if narrowed => {}
                Err(NoAnswer::Stopped) if self.choice.is_some() => {}
                Err(no) => return Err(self.error(&no)),
            }
            let needed = self.distance(aim, relaxed.value);
            if needed <= reach || self.is_stopped() {
                break;
            }
            reach = f64::INFINITY;
        }
        let bound = bound.unwrap_or(relaxed.value).max(relaxed.value);
        Ok((relaxed, bound))
    }

    /// How far the best plan so far lies above the relaxed optimum, with room for rounding.
    fn distance(&self, aim: Aim, relaxed: f64) -> f64 {
        match &self.choice {
            Some(_) => (self.value(aim) - relaxed).max(0.0) + absolute_gap(aim) + 1e-6 * relaxed.abs(),
            None => f64::INFINITY,
        }
    }

    /// The model without the options beyond `reach`, but with those of the best plan so far.
    fn near(&self, relaxed: &Relaxed, reach: f64) -> Milp {
        let mut near = self.model.milp.clone();
        for (b, columns) in self.model.taken.iter().enumerate() {
            for &(option, x) in columns {
                let kept = self.choice.as_ref().is_some_and(|c| c[b] == option);
                if relaxed.reduced_costs[x] > reach && !kept {
                    near.columns[x].high = 0.0;
                }
            }
        }
        near
    }

    /// The relaxed optimum, with rows added for spray blocks that it breaks.
    fn relaxed(&mut self, terms: &[(usize, f64)]) -> Result<Relaxed, NoAnswer> {
        let (mut rounds, mut found) = (0, Vec::new());
        let relaxed = self.model.milp.relaxed(terms, |values| {
            rounds += 1;
            let broken = if rounds > MOST_ROUNDS { Vec::new() } else { self.model.flown.broken(values) };
            let rows = self.model.flown.rows(&broken);
            found.extend(broken);
            rows
        })?;
        self.learn(found);
        Ok(relaxed)
    }

    /// Adds the rows of sets to the model, and keeps the sets. Gives the rows.
    fn learn(&mut self, sets: Vec<NodeSet>) -> Vec<Row> {
        let rows = self.model.flown.rows(&sets);
        self.model.milp.rows.extend(rows.iter().cloned());
        self.learned.0.extend(sets);
        rows
    }

    /// The model with what is whole in the relaxed optimum held: small, and its best plan is mostly close to the best of
    /// all (relaxation enforced neighbourhood: Berthold 2014, Operations Research Letters 42:1-5).
    fn beside_relaxed(&self, relaxed: &Relaxed) -> Milp {
        let mut small = self.model.milp.clone();
        for columns in &self.model.taken {
            if columns.iter().any(|&(_, x)| relaxed.values[x] > WHOLE) {
                columns
                    .iter()
                    .filter(|&&(_, x)| relaxed.values[x] <= WHOLE)
                    .for_each(|&(_, x)| small.columns[x].high = 0.0);
            }
        }
        small
    }

    /// One search; takes its plan over and gives its bound. What it finds may have spray blocks that are too small or not
    /// paid for: then the rows that it breaks are added, the plan is mended, and the search goes on.
    /// Of plans that `milp` leaves out it says nothing: told to others, its bound is at most `outside`, theirs.
    fn search(&mut self, aim: Aim, terms: &[(usize, f64)], mut milp: Milp, outside: f64) -> Result<f64, NoAnswer> {
        let mut bound = f64::NEG_INFINITY;
        let retries = if self.setting.time_limit.is_some() { TIMED_RETRIES } else { MOST_RETRIES };
        for _ in 0..retries {
            let answer = self.one_search(aim, terms, &milp, outside)?;
            bound = bound.max(answer.bound);
            let broken = self.model.flown.broken(&answer.values);
            self.take_over(&answer, !broken.is_empty())?;
            self.tell(aim, Some(bound.min(outside)));
            let near_enough =
                self.choice.is_some() && relative_gap(self.value(aim), bound, absolute_gap(aim)) <= self.setting.gap;
            if near_enough || self.is_stopped() || broken.is_empty() {
                break;
            }
            milp.rows.extend(self.learn(broken));
            self.open_to_the_best(&mut milp);
        }
        if self.choice.is_none() { Err(NoAnswer::Stopped) } else { Ok(bound) }
    }

    /// The options of the best plan so far are open, so that a search can begin with it.
    fn open_to_the_best(&self, milp: &mut Milp) {
        for (columns, best) in self.model.taken.iter().zip(self.choice.iter().flatten()) {
            columns.iter().filter(|(option, _)| option == best).for_each(|&(_, x)| milp.columns[x].high = 1.0);
        }
    }

    fn one_search(&self, aim: Aim, terms: &[(usize, f64)], milp: &Milp, outside: f64) -> Result<Answer, NoAnswer> {
        let start = self.choice.as_ref().and_then(|c| self.model.values(c));
        let so_far = self.so_far();
        let note = |best, bound: Option<f64>| tell(self.setting, aim, best, bound.map(|b| b.min(outside)), so_far);
        let searches = if self.model.flown.is_empty() { MOST_SEARCHES } else { MOST_SEARCHES_ON_GROUND };
        let effort = Effort {
            gap: self.setting.gap,
            absolute_gap: absolute_gap(aim),
            nodes: self.setting.node_limit,
            seconds: self.setting.time_limit.map(|s| s / searches),
            stop: self.setting.stop,
            start: start.as_deref(),
            note: self.setting.watch.map(|_| &note as Note<'_>),
        };
        milp.minimise(terms, &effort)
    }

    fn is_stopped(&self) -> bool {
        self.setting.stop.is_some_and(|s| s.load(Ordering::Relaxed))
    }

    fn error(&self, no: &NoAnswer) -> SolveError {
        match no {
            NoAnswer::Infeasible => trouble::impossible(self.options, self.limits),
            NoAnswer::Stopped => SolveError::Stopped,
            NoAnswer::Solver(what) => SolveError::Solver(what.clone()),
        }
    }

    /// Notes the gap of an aim, and holds the aim and what follows from it for the next ones:
    /// options that would make it worse by themselves are out.
    fn keep(&mut self, aim: Aim, relaxed: &Relaxed, bound: f64) {
        let value = self.value(aim);
        let gap = relative_gap(value, bound, absolute_gap(aim));
        self.gap = self.gap.max(gap);
        self.proven &= gap <= self.setting.gap + 1e-9;
        if aim != Aim::Cost {
            self.model.milp = self.near(relaxed, self.distance(aim, relaxed.value));
            // The first aim may have come out lower still in the second search: hold that, or the bound
            // of the next search would be one for plans that no longer count.
            for held in [Aim::Host, aim] {
                self.model.keep(held, self.value(held) + HALF_STEP);
            }
        }
    }

    /// Takes the solver's choice over, polished, if it is no worse than what is there. A choice whose spray blocks are not
    /// right yet (`broken`) is mended first, and left where that does not do.
    fn take_over(&mut self, answer: &Answer, broken: bool) -> Result<(), NoAnswer> {
        let found = Standing::new(self.options, self.limits, self.model.choice(&answer.values));
        let found = mended(found);
        let before = self.choice.clone().map(|c| Standing::new(self.options, self.limits, c));
        let mut best = match before {
            Some(before) if !found.fits() || is_better(&before, &found) => before,
            None if broken && !found.fits() => return Ok(()),
            _ => found,
        };
        if !best.fits() {
            return Err(NoAnswer::Solver("a solution that breaks a limit when worked out again".to_owned()));
        }
        best.polish();
        self.choice = Some(best.choice);
        Ok(())
    }

    /// Tells how far the search is, if anybody is there to be told.
    fn tell(&self, aim: Aim, bound: Option<f64>) {
        if self.setting.watch.is_some() {
            tell(self.setting, aim, self.choice.as_ref().map(|_| self.value(aim)), bound, self.so_far());
        }
    }

    /// What the best plan so far reaches.
    fn so_far(&self) -> Option<Aims> {
        let choice = self.choice.clone().filter(|_| self.setting.watch.is_some())?;
        Some(Standing::new(self.options, self.limits, choice).aims())
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

/// Passes on how far an aim is; values in the model's unit.
fn tell(setting: &SolveSetting<'_>, aim: Aim, best: Option<f64>, bound: Option<f64>, so_far: Option<Aims>) {
    if let Some(watch) = setting.watch {
        let own = |v: f64| v * aim.per_model_unit();
        (watch.0)(Progress { aim, best: best.map(own), bound: bound.map(own), so_far });
    }
}

/// What still holds of an earlier plan: the same option on every block that has it and may take it, else watching or
/// the first allowed option; polished where it fits.
fn earlier<'a>(options: &'a Options, limits: &'a Limits, plan: &Plan) -> Standing<'a> {
    let taken: BTreeMap<_, _> = plan.blocks.iter().map(|b| (&b.block, &b.bundle)).collect();
    let choice = options.blocks.iter().map(|b| {
        let same = b.options.iter().position(|o| o.allowed() && taken.get(&b.block) == Some(&&o.bundle));
        same.or_else(|| b.options.iter().position(BlockOption::allowed)).unwrap_or(0)
    });
    let mut standing = Standing::new(options, limits, choice.collect());
    if standing.fits() {
        standing.polish();
    }
    standing
}

/// Half a step of the grid, or a cent: below it two values of an aim are the same.
fn absolute_gap(aim: Aim) -> f64 {
    match aim {
        Aim::Host | Aim::Sprayed => HALF_STEP,
        Aim::Cost => MONEY_TOLERANCE / 1_000.0,
    }
}

/// Is the first better than the second by the aims in their order?
pub(crate) fn is_better(a: &Standing<'_>, b: &Standing<'_>) -> bool {
    let (a, b) = (a.graded(), b.graded());
    (a.host, a.sprayed).cmp(&(b.host, b.sprayed)).then(a.cost.total_cmp(&b.cost)).is_lt()
}

/// (value - bound) / value; nothing when they differ by less than what counts.
fn relative_gap(value: f64, bound: f64, counts: f64) -> f64 {
    let bound = bound.max(0.0);
    if value - bound <= counts * (1.0 + 1e-6) { 0.0 } else { ((value - bound) / value).min(1.0) }
}
