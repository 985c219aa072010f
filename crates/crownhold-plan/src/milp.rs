//! The link to the solver: a small mixed-integer linear model, minimised by HiGHS.
//!
//! Solves repeat exactly: one thread (HiGHS takes only one value per process), a fixed seed, and
//! stops by gap and nodes. A time limit or a stop from outside gives a plan that depends on the machine.

use std::sync::atomic::AtomicBool;

use highs::{HighsModelStatus, HighsSolutionStatus, RowProblem, Sense};

use crate::interrupt;
pub use crate::interrupt::Note;

/// Seed of HiGHS's own choices.
const SOLVER_SEED: i32 = 0;

/// A column: a number to be found.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Column {
    /// Least value.
    pub low: f64,
    /// Greatest value; infinity is no limit.
    pub high: f64,
    /// Whole numbers only?
    pub whole: bool,
}

/// A row: `low <= sum of factor x column <= high`.
#[derive(Clone, Debug, PartialEq)]
pub struct Row {
    /// Least value.
    pub low: f64,
    /// Greatest value.
    pub high: f64,
    /// Columns with their factors, each column once.
    pub terms: Vec<(usize, f64)>,
}

/// A model without its aim.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Milp {
    /// Columns.
    pub columns: Vec<Column>,
    /// Rows.
    pub rows: Vec<Row>,
}

/// How to solve.
#[derive(Clone, Copy)]
pub struct Effort<'a> {
    /// Relative gap that is good enough.
    pub gap: f64,
    /// Absolute gap that is good enough, in the unit of the aim.
    pub absolute_gap: f64,
    /// Most nodes of the search tree.
    pub nodes: u32,
    /// Most seconds.
    pub seconds: Option<f64>,
    /// Set to true from elsewhere to stop.
    pub stop: Option<&'a AtomicBool>,
    /// A solution to begin with.
    pub start: Option<&'a [f64]>,
    /// Told best value and bound as they move.
    pub note: Option<Note<'a>>,
}

impl Effort<'_> {
    /// To the proven optimum, without limits.
    pub const EXACT: Self = Self {
        gap: 0.0,
        absolute_gap: 1e-6,
        nodes: i32::MAX as u32,
        seconds: None,
        stop: None,
        start: None,
        note: None,
    };
}

/// What the solver found.
#[derive(Clone, Debug, PartialEq)]
pub struct Answer {
    /// Value of each column.
    pub values: Vec<f64>,
    /// Value of the aim.
    pub value: f64,
    /// No solution can be below this.
    pub bound: f64,
    /// Proven within the gap asked for?
    pub proven: bool,
}

/// The optimum with fractions allowed.
#[derive(Clone, Debug, PartialEq)]
pub struct Relaxed {
    /// Value of the aim; no whole solution is below it.
    pub value: f64,
    /// By how much, at least, the aim rises above `value` per unit of a column that is zero in it.
    pub reduced_costs: Vec<f64>,
    /// Value of each column.
    pub values: Vec<f64>,
}

/// Why there is no answer.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum NoAnswer {
    /// Nothing satisfies the rows.
    #[error("no solution satisfies all rows")]
    Infeasible,
    /// Stopped before a solution was found.
    #[error("stopped before any solution was found")]
    Stopped,
    /// HiGHS failed.
    #[error("the solver ended with {0}")]
    Solver(String),
}

impl Milp {
    /// Adds a column and gives its position.
    pub fn column(&mut self, low: f64, high: f64, whole: bool) -> usize {
        self.columns.push(Column { low, high, whole });
        self.columns.len() - 1
    }

    /// Adds a yes/no column.
    pub fn yes_no(&mut self) -> usize {
        self.column(0.0, 1.0, true)
    }

    /// Adds a row.
    pub fn row(&mut self, low: f64, high: f64, terms: Vec<(usize, f64)>) {
        self.rows.push(Row { low, high, terms });
    }

    /// Minimises `aim`, given as columns with their factors.
    ///
    /// # Errors
    /// [`NoAnswer`] when nothing fits, it was stopped too early, or the solver failed.
    pub fn minimise(&self, aim: &[(usize, f64)], effort: &Effort<'_>) -> Result<Answer, NoAnswer> {
        let answer = self.minimise_once(aim, effort)?;
        // HiGHS can carry a start over into its presolved model as better than it is (seen with columns that may
        // stand for each other), and then ends against a value that no solution has. Without a start it does not.
        let worth: f64 = aim.iter().map(|&(column, factor)| factor * answer.values[column]).sum();
        let agrees = (worth - answer.value).abs() <= effort.absolute_gap.max(1e-6 * worth.abs());
        if agrees || effort.start.is_none() {
            return Ok(answer);
        }
        self.minimise_once(aim, &Effort { start: None, ..*effort })
    }

    fn minimise_once(&self, aim: &[(usize, f64)], effort: &Effort<'_>) -> Result<Answer, NoAnswer> {
        let failed = |what: &str| NoAnswer::Solver(what.to_owned());
        let mut model =
            self.problem(aim).0.try_optimise(Sense::Minimise).map_err(|_| failed("a refusal of the model"))?;
        let options = [("mip_rel_gap", effort.gap), ("mip_abs_gap", effort.absolute_gap)];
        for (name, value) in options.into_iter().chain(effort.seconds.map(|s| ("time_limit", s))) {
            model.try_set_option(name, value).map_err(|_| failed(name))?;
        }
        let nodes = i32::try_from(effort.nodes).unwrap_or(i32::MAX);
        for (name, value) in [("threads", 1), ("random_seed", SOLVER_SEED), ("mip_max_nodes", nodes)] {
            model.try_set_option(name, value).map_err(|_| failed(name))?;
        }
        // On plans of 180 blocks restarts and the RENS heuristic cost half the time and found nothing. (The RINS heuristic
        // costs a little after a lock, and the trade-off takes five times as long without it.)
        for name in ["mip_allow_restart", "mip_heuristic_run_rens"] {
            model.try_set_option(name, false).map_err(|_| failed(name))?;
        }
        if let Some(start) = effort.start {
            model.try_set_solution(Some(start), None, None, None).map_err(|_| failed("a refusal of the start"))?;
        }
        let solved = interrupt::run(model, effort.stop, effort.note).map_err(|_| failed("an error"))?;
        self.read(&solved)
    }

    /// Minimises `aim` with fractions allowed everywhere. Cheap, and a bound on every whole solution. `missing` is asked
    /// for rows that the values found break, and the search goes on from where it was, until there are none.
    ///
    /// # Errors
    /// As [`Self::minimise`].
    pub fn relaxed(
        &self,
        aim: &[(usize, f64)],
        mut missing: impl FnMut(&[f64]) -> Vec<Row>,
    ) -> Result<Relaxed, NoAnswer> {
        let mut loose = self.clone();
        loose.columns.iter_mut().for_each(|c| c.whole = false);
        let failed = |what: &str| NoAnswer::Solver(what.to_owned());
        let (problem, columns) = loose.problem(aim);
        let mut model = problem.try_optimise(Sense::Minimise).map_err(|_| failed("a refusal of the model"))?;
        model.try_set_option("threads", 1).map_err(|_| failed("threads"))?;
        loop {
            let solved = model.try_solve().map_err(|_| failed("an error"))?;
            let answer = loose.read(&solved)?;
            let rows = missing(&answer.values);
            if rows.is_empty() {
                let reduced_costs = solved.get_solution().dual_columns().to_vec();
                return Ok(Relaxed { value: answer.value, reduced_costs, values: answer.values });
            }
            model = solved.into();
            for row in &rows {
                let terms = row.terms.iter().map(|&(c, f)| (columns[c], f));
                model.try_add_row(row.low..=row.high, terms).map_err(|_| failed("a refusal of a row"))?;
            }
        }
    }

    fn problem(&self, aim: &[(usize, f64)]) -> (RowProblem, Vec<highs::Col>) {
        let mut factors = vec![0.0; self.columns.len()];
        for &(column, factor) in aim {
            factors[column] += factor;
        }
        let mut problem = RowProblem::default();
        let columns: Vec<highs::Col> = self
            .columns
            .iter()
            .zip(&factors)
            .map(|(c, &f)| match c.whole {
                true => problem.add_integer_column(f, c.low..=c.high),
                false => problem.add_column(f, c.low..=c.high),
            })
            .collect();
        for row in &self.rows {
            problem.add_row(row.low..=row.high, row.terms.iter().map(|&(c, f)| (columns[c], f)));
        }
        (problem, columns)
    }

    fn read(&self, solved: &highs::SolvedModel) -> Result<Answer, NoAnswer> {
        let status = solved.status();
        match status {
            HighsModelStatus::Infeasible | HighsModelStatus::UnboundedOrInfeasible => return Err(NoAnswer::Infeasible),
            HighsModelStatus::Optimal
            | HighsModelStatus::ReachedTimeLimit
            | HighsModelStatus::ReachedInterrupt
            | HighsModelStatus::ReachedSolutionLimit
            | HighsModelStatus::ReachedIterationLimit => {}
            other => return Err(NoAnswer::Solver(format!("status {other:?}"))),
        }
        if solved.primal_solution_status() != HighsSolutionStatus::Feasible {
            return Err(NoAnswer::Stopped);
        }
        let whole = self.columns.iter().any(|c| c.whole);
        let value = solved.objective_value();
        let bound = match whole {
            true => solved.double_info_value(c"mip_dual_bound").unwrap_or(f64::NEG_INFINITY),
            false => value,
        };
        let proven = status == HighsModelStatus::Optimal;
        Ok(Answer { values: solved.get_solution().columns().to_vec(), value, bound, proven })
    }
}
