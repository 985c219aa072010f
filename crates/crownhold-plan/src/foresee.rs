//! February's plan with spring in view: a program of two stages (Dantzig 1955, Management Science 1:197-206; Birge and
//! Louveaux 2011, Introduction to Stochastic Programming, chapter 2).
//!
//! | column | meaning |
//! |---|---|
//! | part (block, what cannot wait), 0 or 1 | decided in February: flights, scraping, whatever `waits` does not name |
//! | y (spring, block, option), 0 to 1 | what is done in that spring; sums to the part it goes with |
//! | hours of each spring, flown, first, together, ring | as in `model` and `flown` |
//!
//! Money and hours hold in every spring. The decisions of spring may be split here, which makes every spring a little better than it
//! can be; February's are whole. Harm is the mean over the springs.

use crownhold::plan::standing::host_beyond_accepted;
use crownhold::plan::{Limits, Plan, Status};
use crownhold::tactics::{BlockOptions, Bundle, Options};
use crownhold::types::Tactic;

use crate::flown::Flown;
use crate::milp::{Answer, Effort, Milp, NoAnswer};
use crate::model::{Model, worth_a_column};
use crate::{Aim, SolveError, SolveSetting, solve, trouble};

/// Hectares of host area that a hectare flown, and a thousand dollars, weigh: they decide between plans that are alike otherwise.
const SPRAYED_WEIGHT: f64 = 1e-4;
const COST_WEIGHT: f64 = 1e-6;
/// Searches begun anew for rows of spray blocks that were missing.
const MOST_RETRIES: usize = 30;
/// A part this close to one is taken.
const TAKEN: f64 = 0.5;

/// What is decided in February for each block: its tactics that do not wait, with the column, and an option that has them.
type Parts = Vec<Vec<Part>>;

struct Part {
    bundle: Bundle,
    option: usize,
    column: usize,
}

/// February's plan, and the mean harm beyond the accepted chances that it lets spring reach, hectares, with its bound.
#[derive(Clone, Debug, PartialEq)]
pub struct Foreseen {
    /// The plan: what cannot wait as foreseen, the rest as it would be if nothing were learned. Its gap is that of the two stages.
    pub plan: Plan,
    /// Mean over the springs.
    pub harm: f64,
    /// No plan's harm, with the little that area and money weigh, can be below this.
    pub bound: f64,
}

/// Plans February for springs that are equally likely. Each has the same blocks and options as `options`, with the chances that
/// are known then; `waits` names the tactics that are decided in spring.
///
/// # Errors
/// As [`solve`].
pub fn foresee(
    options: &Options,
    limits: &Limits,
    springs: &[Options],
    waits: fn(Tactic) -> bool,
    setting: &SolveSetting<'_>,
) -> Result<Foreseen, SolveError> {
    let problems = trouble::unusable(options, limits, setting);
    if !problems.is_empty() {
        return Err(SolveError::Unusable(problems));
    }
    let mut two_stages = TwoStages::new(options, limits, springs, waits);
    let (answer, harm) = two_stages.search(setting).map_err(|no| match no {
        NoAnswer::Infeasible => trouble::impossible(options, limits),
        NoAnswer::Stopped => SolveError::Stopped,
        NoAnswer::Solver(what) => SolveError::Solver(what),
    })?;
    let mut left = options.clone();
    for (block, parts) in left.blocks.iter_mut().zip(&two_stages.parts) {
        let taken = parts.iter().find(|p| answer.values[p.column] > TAKEN).map(|p| p.bundle.clone());
        let others = block.options.iter_mut().filter(|o| taken.as_ref() != Some(&now(&o.bundle, waits)));
        others.for_each(|o| o.barred.push("February decides otherwise with spring in view.".to_owned()));
    }
    let mut plan = solve(&left, limits, setting)?;
    // Solved again it is the best of what is left only; what is proven of it is proven of the two stages.
    plan.gap = plan.gap.max((answer.value - answer.bound.max(0.0)) / answer.value.max(f64::MIN_POSITIVE));
    if !answer.proven {
        plan.status = Status::Feasible;
    }
    Ok(Foreseen { plan, harm, bound: answer.bound })
}

/// What of a bundle cannot wait.
fn now(bundle: &Bundle, waits: fn(Tactic) -> bool) -> Bundle {
    Bundle::new(bundle.tactics().iter().copied().filter(|&t| !waits(t)).collect())
}

/// The parts of a block's allowed options, each once.
fn parts_of(block: &BlockOptions, waits: fn(Tactic) -> bool, milp: &mut Milp) -> Vec<Part> {
    let mut parts: Vec<Part> = Vec::new();
    for (option, taken) in block.options.iter().enumerate().filter(|(_, o)| o.allowed()) {
        let bundle = now(&taken.bundle, waits);
        if parts.iter().all(|p| p.bundle != bundle) {
            parts.push(Part { bundle, option, column: milp.yes_no() });
        }
    }
    milp.row(1.0, 1.0, parts.iter().map(|p| (p.column, 1.0)).collect());
    parts
}

struct TwoStages<'a> {
    parts: Parts,
    flown: Flown<'a>,
    springs: Vec<Model<'a>>,
    milp: Milp,
    waits: fn(Tactic) -> bool,
}

impl<'a> TwoStages<'a> {
    fn new(options: &'a Options, limits: &'a Limits, springs: &'a [Options], waits: fn(Tactic) -> bool) -> Self {
        let mut milp = Milp::default();
        let parts: Parts = options.blocks.iter().map(|b| parts_of(b, waits, &mut milp)).collect();
        let taken: Vec<Vec<(usize, usize)>> =
            parts.iter().map(|all| all.iter().map(|p| (p.option, p.column)).collect()).collect();
        let flown = Flown::new(&options.blocks, &options.flying, &taken, &mut milp);
        let mut two_stages = Self { parts, flown, springs: Vec::new(), milp, waits };
        for spring in springs {
            two_stages.add(spring, limits);
        }
        two_stages
    }

    fn add(&mut self, spring: &'a Options, limits: &'a Limits) {
        let waits = self.waits;
        let mut taken = Vec::new();
        for (block, parts) in spring.blocks.iter().zip(&self.parts) {
            let worth = worth_a_column(block, &|a, b| now(a, waits) == now(b, waits));
            let columns: Vec<(usize, usize)> =
                worth.into_iter().map(|o| (o, self.milp.column(0.0, 1.0, false))).collect();
            for part in parts {
                let with = columns.iter().filter(|&&(o, _)| now(&block.options[o].bundle, waits) == part.bundle);
                let mut terms: Vec<(usize, f64)> = with.map(|&(_, y)| (y, 1.0)).collect();
                terms.push((part.column, -1.0));
                self.milp.row(0.0, 0.0, terms);
            }
            taken.push(columns);
        }
        let mut model = Model::upon(std::mem::take(&mut self.milp), spring, limits, taken, self.flown.clone());
        self.milp = std::mem::take(&mut model.milp);
        self.springs.push(model);
    }

    /// Mean harm, with a little of area and money.
    fn terms(&self) -> Vec<(usize, f64)> {
        let share = 1.0 / self.springs.len().max(1) as f64;
        let weighed = |spring: &Model<'a>, aim, weight: f64| {
            spring.terms(aim).into_iter().map(move |(c, f)| (c, f * share * weight)).collect::<Vec<_>>()
        };
        let all = |spring: &Model<'a>| {
            let mut terms = self.harm(spring, share);
            terms.extend(weighed(spring, Aim::Sprayed, SPRAYED_WEIGHT));
            terms.extend(weighed(spring, Aim::Cost, COST_WEIGHT));
            terms
        };
        self.springs.iter().flat_map(all).collect()
    }

    fn harm(&self, spring: &Model<'a>, share: f64) -> Vec<(usize, f64)> {
        spring.per_option(|b, o| host_beyond_accepted(b, o).as_hectares() * share)
    }

    /// The solver's answer, and the mean harm in it.
    fn search(&mut self, setting: &SolveSetting<'_>) -> Result<(Answer, f64), NoAnswer> {
        let terms = self.terms();
        let (mut rounds, mut found) = (0, Vec::new());
        self.milp.relaxed(&terms, |values| {
            rounds += 1;
            let broken = if rounds > MOST_RETRIES { Vec::new() } else { self.flown.broken(values) };
            let rows = self.flown.rows(&broken);
            found.extend(rows.iter().cloned());
            rows
        })?;
        self.milp.rows.extend(found);
        let start = setting.start.and_then(|plan| self.values(plan));
        for _ in 0..MOST_RETRIES {
            let effort = Effort {
                gap: setting.gap,
                nodes: setting.node_limit,
                seconds: setting.time_limit,
                stop: setting.stop,
                start: start.as_deref(),
                ..Effort::EXACT
            };
            let answer = self.milp.minimise(&terms, &effort)?;
            let broken = self.flown.broken(&answer.values);
            if broken.is_empty() {
                let share = 1.0 / self.springs.len().max(1) as f64;
                let harm = self.springs.iter().flat_map(|s| self.harm(s, share));
                let harm = harm.map(|(c, f)| f * answer.values[c]).sum();
                return Ok((answer, harm));
            }
            self.milp.rows.extend(self.flown.rows(&broken));
        }
        Err(NoAnswer::Stopped)
    }

    /// Values of all columns where every spring does as planned.
    fn values(&self, plan: &Plan) -> Option<Vec<f64>> {
        let mut values = vec![0.0; self.milp.columns.len()];
        let choice: Vec<usize> = plan.blocks.iter().map(|b| b.option).collect();
        for spring in &self.springs {
            let alike = |a: &Bundle, b: &Bundle| now(a, self.waits) == now(b, self.waits);
            spring.fill(&spring.with_columns(choice.clone(), &alike), &mut values)?;
        }
        let first = self.springs.first()?;
        for ((parts, &option), block) in self.parts.iter().zip(&choice).zip(&first.options.blocks) {
            let planned = now(&block.options[option].bundle, self.waits);
            values[parts.iter().find(|p| p.bundle == planned)?.column] = 1.0;
        }
        Some(values)
    }
}
