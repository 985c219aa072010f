//! The independent checker: what is wrong with a plan, worked out again from the options and limits.
//!
//! It shares no code with the solver or with what assembles a plan; only the plain types are common.
//! Hours are judged by an exact argument instead of an assignment. In one period let a place `n` ask
//! for `C` crew-only and `O` open hours, have `V` volunteer and `K` crew hours of its own, and put
//! `r = max(0, O - V)`. Then the work can be done if and only if
//!
//! 1. sum over places of `max(0, C - K)` <= crew hours from anywhere, and
//! 2. sum over places of `max(0, C + r - K)` <= crew plus volunteer hours from anywhere.
//!
//! Both are plainly necessary. They suffice because hours from anywhere only have to fill what each
//! place lacks, and volunteers can fill all of it but the part counted in 1.
//!
//! Spray blocks are found by giving every flown block a number of its own and letting neighbours take the
//! lower one until nothing moves.

use std::collections::BTreeMap;

use super::{Limits, Plan};
use crate::tactics::{BlockOptions, Options};
use crate::types::{Period, Tactic, Workforce};

/// Dollars, hours, square metres and chances that may be lost to rounding.
const DOLLARS: f64 = 0.02;
const HOURS: f64 = 1e-3;
const SQUARE_METRES: f64 = 1.0;
const CHANCE: f64 = 1e-9;

/// What is wrong with the plan, each in one sentence; empty when nothing is.
pub fn check(plan: &Plan, options: &Options, limits: &Limits) -> Vec<String> {
    let mut wrong = Vec::new();
    if plan.blocks.len() != options.blocks.len() {
        wrong.push(format!("{} blocks were planned, there are {}.", plan.blocks.len(), options.blocks.len()));
        return wrong;
    }
    let set_up = check_spray_blocks(plan, options, &mut wrong);
    for ((row, block), set_up) in plan.blocks.iter().zip(&options.blocks).zip(set_up) {
        wrong
            .extend(check_block(row, block, limits, set_up).into_iter().map(|w| format!("Block {}: {w}", block.block)));
    }
    if wrong.is_empty() {
        check_totals(plan, options, &mut wrong);
        check_limits(plan, limits, &mut wrong);
        check_hours_possible(plan, options, limits, &mut wrong);
        check_hours_reported(plan, options, limits, &mut wrong);
    }
    wrong
}

/// Judges the size of every spray block; gives each block's share of setting them up and its turns, dollars.
fn check_spray_blocks(plan: &Plan, options: &Options, wrong: &mut Vec<String>) -> Vec<f64> {
    let times: Vec<usize> = plan
        .blocks
        .iter()
        .map(|b| match (b.bundle.has(Tactic::AerialTwice), b.bundle.has(Tactic::AerialOnce)) {
            (true, _) => 2,
            (false, true) => 1,
            (false, false) => 0,
        })
        .collect();
    let mut number: Vec<usize> = (0..times.len()).collect();
    let mut moved = true;
    while std::mem::take(&mut moved) {
        for (a, beside) in options.flying.neighbours.iter().enumerate() {
            for &b in beside {
                if times[a] > 0 && times[a] == times[b] && number[a] > number[b] {
                    number[a] = number[b];
                    moved = true;
                }
            }
        }
    }
    let mut area: BTreeMap<usize, f64> = BTreeMap::new();
    let once = |b: usize| plan.blocks[b].sprayed.as_square_metres() / times[b] as f64;
    for b in (0..times.len()).filter(|&b| times[b] > 0) {
        *area.entry(number[b]).or_default() += once(b);
    }
    let least = options.flying.least.as_square_metres();
    for (first, a) in area.iter().filter(|(_, a)| **a < least - SQUARE_METRES) {
        let block = &plan.blocks[*first].block;
        wrong.push(format!("The spray block of block {block} has {a:.1} square metres; the least is {least:.1}."));
    }
    let of = |b: usize| (0..times.len()).filter(|&c| times[c] > 0 && number[c] == number[b]).count() as f64;
    let turns = |b: usize| {
        let beside = options.flying.neighbours.get(b).map_or(&[][..], Vec::as_slice);
        let saved = beside.iter().zip(options.flying.turns.saved.get(b).map_or(&[][..], Vec::as_slice));
        let together: f64 = saved.filter(|(n, _)| times[**n] == times[b]).map(|(_, s)| s).sum();
        let alone = options.flying.turns.alone.get(b).copied().unwrap_or_default();
        times[b] as f64 * (alone - together / 2.0) * options.flying.turns.price.as_dollars()
    };
    let share = |b: usize| match times[b] {
        0 => 0.0,
        n if area[&number[b]] <= 0.0 => n as f64 * options.flying.set_up.as_dollars() / of(b),
        n => n as f64 * options.flying.set_up.as_dollars() * once(b) / area[&number[b]],
    };
    (0..times.len()).map(|b| share(b) + turns(b)).collect()
}

fn check_block(row: &super::BlockPlan, block: &BlockOptions, limits: &Limits, set_up: f64) -> Vec<String> {
    let mut wrong = Vec::new();
    if row.block != block.block {
        return vec![format!("the plan has block {} in its place.", row.block)];
    }
    let Some(option) = block.options.get(row.option) else {
        return vec![format!("it has no option {}.", row.option)];
    };
    let mut expect = |holds: bool, what: String| {
        if !holds {
            wrong.push(what);
        }
    };
    expect(row.bundle == option.bundle, format!("option {} is {}, not {}.", row.option, option.bundle, row.bundle));
    expect(option.barred.is_empty(), format!("{} is barred: {}", option.bundle, option.barred.join(" ")));
    let near = |a: f64, b: f64, by: f64| (a - b).abs() <= by;
    expect(near(row.sprayed.as_square_metres(), option.sprayed.as_square_metres(), 1e-6), "wrong sprayed area.".into());
    expect(near(row.chance_over, option.chance_over, CHANCE), "wrong chance.".into());
    expect(near(row.chance_over_untreated, block.options[0].chance_over, CHANCE), "wrong untreated chance.".into());
    let (crew, volunteers) = (row.crew_hours.as_hours(), row.volunteer_hours.as_hours());
    let asked: f64 = option.labour.iter().map(|l| l.hours.as_hours()).sum();
    let open: f64 = option.labour.iter().filter(|l| l.volunteers_may).map(|l| l.hours.as_hours()).sum();
    expect(near(crew + volunteers, asked, HOURS), format!("{:.3} hours planned, {asked:.3} asked.", crew + volunteers));
    expect(crew >= -HOURS && volunteers >= -HOURS, "negative hours.".into());
    expect(volunteers <= open + HOURS, format!("{volunteers:.3} volunteer hours, {open:.3} may be theirs."));
    let cost = option.cost.as_dollars() + limits.crew_wage.as_dollars() * crew + set_up;
    expect(near(row.cost.as_dollars(), cost, DOLLARS), format!("costs {cost:.2}, not {:.2}.", row.cost.as_dollars()));
    wrong
}

fn check_totals(plan: &Plan, options: &Options, wrong: &mut Vec<String>) {
    let rows = || plan.blocks.iter().zip(&options.blocks);
    let host = |b: &BlockOptions| b.host_area.as_square_metres();
    let excess = |chance: f64, accepted: f64| if chance > accepted { chance - accepted } else { 0.0 };
    let totals = [
        (
            "first aim",
            plan.aims.host_beyond_accepted.as_square_metres(),
            rows().map(|(r, b)| host(b) * excess(r.chance_over, b.accepted_chance)).sum(),
            SQUARE_METRES,
        ),
        (
            "sprayed area",
            plan.aims.sprayed.as_square_metres(),
            rows().map(|(r, _)| r.sprayed.as_square_metres()).sum(),
            SQUARE_METRES,
        ),
        ("cost", plan.aims.cost.as_dollars(), rows().map(|(r, _)| r.cost.as_dollars()).sum::<f64>(), DOLLARS),
        (
            "risk",
            plan.risk.in_sample.as_square_metres(),
            rows().map(|(r, b)| host(b) * r.chance_over).sum(),
            SQUARE_METRES,
        ),
        (
            "untreated risk",
            plan.risk.untreated.as_square_metres(),
            rows().map(|(r, b)| host(b) * r.chance_over_untreated).sum(),
            SQUARE_METRES,
        ),
    ];
    for (what, said, found, tolerance) in totals {
        if (said - found).abs() > tolerance {
            wrong.push(format!("The {what} is {found:.3} by the blocks, {said:.3} by the plan."));
        }
    }
}

fn check_limits(plan: &Plan, limits: &Limits, wrong: &mut Vec<String>) {
    let cost: f64 = plan.blocks.iter().map(|b| b.cost.as_dollars()).sum();
    if let Some(budget) = limits.budget.filter(|b| cost > b.as_dollars() + DOLLARS) {
        wrong.push(format!("It costs {cost:.2}; there are {:.2}.", budget.as_dollars()));
    }
    let sprayed: f64 = plan.blocks.iter().map(|b| b.sprayed.as_square_metres()).sum();
    if let Some(most) = limits.most_sprayed.filter(|m| sprayed > m.as_square_metres() + SQUARE_METRES) {
        wrong.push(format!("It sprays {sprayed:.1} square metres; at most {:.1} may be.", most.as_square_metres()));
    }
}

/// Crew-only and open hours asked in one period, by neighbourhood.
fn asked(plan: &Plan, options: &Options, period: Period) -> BTreeMap<Option<String>, (f64, f64)> {
    let mut sums: BTreeMap<Option<String>, (f64, f64)> = BTreeMap::new();
    for (row, block) in plan.blocks.iter().zip(&options.blocks) {
        let sum = sums.entry(block.neighbourhood.clone()).or_default();
        for labour in block.options[row.option].labour.iter().filter(|l| l.period == period) {
            if labour.volunteers_may {
                sum.1 += labour.hours.as_hours();
            } else {
                sum.0 += labour.hours.as_hours();
            }
        }
    }
    sums
}

fn supply(limits: &Limits, who: Workforce, period: Period, place: Option<&String>) -> f64 {
    let fits = |s: &&crate::types::HoursSupply| s.who == who && s.period == period && s.neighbourhood.as_ref() == place;
    limits.hours.iter().filter(fits).map(|s| s.hours.as_hours()).sum()
}

fn check_hours_possible(plan: &Plan, options: &Options, limits: &Limits, wrong: &mut Vec<String>) {
    for &period in Period::ALL {
        let (mut crews_must, mut anybody) = (0.0, 0.0);
        for (place, (crew_only, open)) in asked(plan, options, period) {
            let own = |who| if place.is_some() { supply(limits, who, period, place.as_ref()) } else { 0.0 };
            let beyond_volunteers = (open - own(Workforce::Volunteers)).max(0.0);
            crews_must += (crew_only - own(Workforce::Crew)).max(0.0);
            anybody += (crew_only + beyond_volunteers - own(Workforce::Crew)).max(0.0);
        }
        let crew = supply(limits, Workforce::Crew, period, None);
        let all = crew + supply(limits, Workforce::Volunteers, period, None);
        if crews_must > crew + HOURS {
            wrong
                .push(format!("In {period} {crews_must:.3} crew hours from anywhere are needed; there are {crew:.3}."));
        }
        if anybody > all + HOURS {
            wrong.push(format!("In {period} {anybody:.3} hours from anywhere are needed; there are {all:.3}."));
        }
    }
}

fn check_hours_reported(plan: &Plan, options: &Options, limits: &Limits, wrong: &mut Vec<String>) {
    for h in &plan.hours {
        let there = supply(limits, h.who, h.period, h.neighbourhood.as_ref());
        if (there - h.available.as_hours()).abs() > HOURS
            || h.used.as_hours() > there + HOURS
            || h.used.as_hours() < -HOURS
        {
            wrong.push(format!(
                "{} hours in {} ({:?}): {:?} used of {there}.",
                h.who, h.period, h.neighbourhood, h.used
            ));
        }
    }
    for &period in Period::ALL {
        let work: f64 = asked(plan, options, period).values().map(|(c, o)| c + o).sum();
        let used: f64 = plan.hours.iter().filter(|h| h.period == period).map(|h| h.used.as_hours()).sum();
        if (work - used).abs() > HOURS {
            wrong.push(format!("In {period} {work:.3} hours are asked, {used:.3} are reported as worked."));
        }
    }
    for &who in Workforce::ALL {
        let used: f64 = plan.hours.iter().filter(|h| h.who == who).map(|h| h.used.as_hours()).sum();
        let blocks: f64 = plan
            .blocks
            .iter()
            .map(|b| if who == Workforce::Crew { b.crew_hours } else { b.volunteer_hours }.as_hours())
            .sum();
        if (used - blocks).abs() > HOURS {
            wrong.push(format!("{who}: {used:.3} hours by supply, {blocks:.3} by block."));
        }
    }
}
