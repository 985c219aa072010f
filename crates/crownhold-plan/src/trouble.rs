//! Why there is no plan, in sentences that name the block and the limit.

use crownhold::plan::Limits;
use crownhold::plan::hours::work_of;
use crownhold::tactics::{BlockOption, BlockOptions, Options};
use crownhold::types::{Area, Hours, Money, Problem};

use crate::milp::{Effort, NoAnswer};
use crate::model::{LimitRow, Model};
use crate::{SolveError, SolveSetting};

/// Problems of the input that the search could not cope with, all at once.
pub(crate) fn unusable(options: &Options, limits: &Limits, setting: &SolveSetting<'_>) -> Vec<Problem> {
    let mut all: Vec<Problem> = options.blocks.iter().flat_map(unusable_block).collect();
    let mut bad = |holds: bool, what: &str| {
        if !holds {
            all.push(Problem::error("plan-limit-unusable", what, "Correct the limit."));
        }
    };
    bad(limits.budget.is_none_or(|b| b >= Money::ZERO), "The budget is negative.");
    bad(limits.most_sprayed.is_none_or(|m| m >= Area::ZERO), "The most that may be sprayed is negative.");
    bad(limits.crew_wage >= Money::ZERO, "The crew wage is negative.");
    bad(limits.hours.iter().all(|h| h.hours >= Hours::ZERO), "A supply of hours is negative.");
    bad((0.0..1.0).contains(&setting.gap), "The gap is not between 0 and 1.");
    bad(setting.time_limit.is_none_or(|s| s > 0.0), "The time limit is not above 0.");
    all
}

fn unusable_block(block: &BlockOptions) -> Vec<Problem> {
    let mut all = Vec::new();
    let mut push = |code, what: String, remedy: &str| {
        all.push(Problem::error(code, what, remedy).item(format!("block {}", block.block)));
    };
    let Some(first) = block.options.first() else {
        push("plan-block-without-option", "It has no options.".to_owned(), "Compute its options again.");
        return all;
    };
    if !first.bundle.tactics().is_empty() {
        push(
            "plan-options-unusable",
            format!("Its first option is {}, not watch.", first.bundle),
            "Compute its options again.",
        );
    }
    if !block.options.iter().any(BlockOption::allowed) {
        let bars: Vec<String> = block.options.iter().map(|o| format!("{}: {}", o.bundle, o.barred.join(" "))).collect();
        push(
            "plan-block-without-option",
            format!("Every option is barred. {}", bars.join(" ")),
            "Take back a decision on this block, or lift a bar.",
        );
    }
    let sound = |o: &BlockOption| {
        (0.0..=1.0).contains(&o.chance_over)
            && o.cost >= Money::ZERO
            && o.sprayed >= Area::ZERO
            && o.labour.iter().all(|l| l.hours >= Hours::ZERO)
    };
    if block.host_area < Area::ZERO || !(0.0..=1.0).contains(&block.accepted_chance) {
        push("plan-options-unusable", "Its host area or accepted chance is out of range.".to_owned(), "Correct it.");
    }
    for option in block.options.iter().filter(|o| !sound(o)) {
        let what = format!("{}: a chance outside 0 to 1, or a negative cost, area or hours.", option.bundle);
        push("plan-options-unusable", what, "Compute its options again.");
    }
    all
}

/// Which limits cannot be kept, by how much at least, and the blocks that leave no choice.
///
/// Solves the model once more with each limit allowed to give way, at the least relative excess.
pub(crate) fn impossible(options: &Options, limits: &Limits) -> SolveError {
    let mut model = Model::new(options, limits);
    let mut excess = Vec::new();
    for (limit, row) in model.limit_rows.clone() {
        let column = model.milp.column(0.0, f64::INFINITY, false);
        let row = &mut model.milp.rows[row];
        row.terms.push((column, -1.0));
        excess.push((limit, column, 1.0 / (1.0 + row.high.abs())));
    }
    let aim: Vec<(usize, f64)> = excess.iter().map(|&(_, column, weight)| (column, weight)).collect();
    let effort = Effort { nodes: 20_000, absolute_gap: 1e-9, ..Effort::EXACT };
    let answer = match model.milp.minimise(&aim, &effort) {
        Ok(answer) => answer,
        Err(NoAnswer::Solver(what)) => return SolveError::Solver(what),
        Err(none) => return SolveError::Solver(none.to_string()),
    };
    let problems: Vec<Problem> = excess
        .iter()
        .filter(|(_, column, _)| answer.values[*column] > 1e-6)
        .map(|(limit, column, _)| overrun(options, limits, limit, answer.values[*column]))
        .collect();
    SolveError::Impossible(problems)
}

fn overrun(options: &Options, limits: &Limits, limit: &LimitRow, by: f64) -> Problem {
    let dollars = |thousands: f64| format!("${:.0}", thousands * 1_000.0);
    let acres = |a: Area| format!("{:.1} acres ({:.1} ha)", a.as_acres(), a.as_hectares());
    let (what, remedy) = match limit {
        LimitRow::Money => {
            let budget = limits.budget.unwrap_or_default().as_dollars();
            (
                format!("What is already decided costs {} more than the ${budget:.0} there is.", dollars(by)),
                "Raise the budget or take a decision back.",
            )
        }
        LimitRow::Sprayed => {
            let most = limits.most_sprayed.unwrap_or_default();
            let over = acres(Area::hectares(by));
            (
                format!("What is already decided sprays {over} more than the {} allowed.", acres(most)),
                "Raise the limit or take a decision back.",
            )
        }
        LimitRow::Hours(period, place) => {
            let place = place.as_deref().unwrap_or("blocks without a neighbourhood");
            (
                format!("What is already decided needs {by:.1} more hours in {period} than reach {place}."),
                "Find more crew or volunteer hours or take a decision back.",
            )
        }
    };
    let blocks: Vec<String> =
        options.blocks.iter().filter(|b| must_use(b, limit, limits)).map(|b| b.block.to_string()).collect();
    Problem::error("plan-limits-too-tight", what, remedy).item(format!("blocks {}", blocks.join(", ")))
}

/// Does every allowed option of the block use this limit?
fn must_use(block: &BlockOptions, limit: &LimitRow, limits: &Limits) -> bool {
    let uses = |o: &BlockOption| match limit {
        LimitRow::Money => o.cost + limits.crew_wage * o.hours().as_hours() > Money::ZERO,
        LimitRow::Sprayed => o.sprayed > Area::ZERO,
        LimitRow::Hours(period, place) => {
            let work = work_of(o, *period);
            block.neighbourhood == *place && work.open + work.crew_only > 0.0
        }
    };
    block.options.iter().filter(|o| o.allowed()).all(uses)
}
