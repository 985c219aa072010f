//! `lock_one [SEED]` plans Pellwood, then forbids flying on one block after the other and plans again from the plan before;
//! prints the seconds until a plan is known to lie within one and within half a hundredth of the least harm, and until all three aims are
//! proven. The options are at hand: what else a decision takes is told by the desk's figures.
#![allow(clippy::print_stdout, clippy::disallowed_methods, reason = "it prints, and it measures")]

use std::sync::Mutex;
use std::time::Instant;

use crownhold::pellwood::pellwood;
use crownhold::plan::{Limits, Plan};
use crownhold::tactics::{Options, options};
use crownhold::types::Money;
use crownhold::{Setting, survey};
use crownhold_plan::{Aim, Learned, Progress, SolveSetting, Watch, solve_learning};
use jiff::civil::date;

/// Blocks that are locked, one at a time.
const TRIED: usize = 8;

fn main() {
    let seed = std::env::args().nth(1).and_then(|a| a.parse().ok()).unwrap_or(1);
    let records = pellwood(seed, 2027);
    let setting = Setting { today: date(2027, 3, 1), seed: 1, draws: 500 };
    let density = survey::estimate(&records, &setting).expect("Pellwood is counted");
    let all = options(&records, &density, None, &setting);
    let limits = Limits {
        budget: records.resources.budget,
        most_sprayed: records.resources.most_sprayed,
        hours: records.resources.hours.clone(),
        crew_wage: Money::dollars(records.parameters.number("wage.crew")),
    };
    let (whole, learned) = timed("the plan", &all, &limits, &SolveSetting::default());
    let flown = whole.blocks.iter().enumerate().filter(|(_, b)| b.bundle.flies());
    for (at, planned) in flown.take(TRIED) {
        let mut locked = all.clone();
        let forbidden = locked.blocks[at].options.iter_mut().filter(|o| o.bundle.flies());
        forbidden.for_each(|o| o.barred.push("Locked.".to_owned()));
        let setting = SolveSetting { start: Some(&whole), learned: Some(&learned), ..SolveSetting::default() };
        timed(&format!("without flying {}", planned.block), &locked, &limits, &setting);
    }
}

fn timed(what: &str, options: &Options, limits: &Limits, setting: &SolveSetting<'_>) -> (Plan, Learned) {
    let began = Instant::now();
    let within = Mutex::new([None; 2]);
    let tell = |p: Progress| {
        let reached = |gap: f64| p.aim != Aim::Host || p.so_far.is_some() && p.gap().is_some_and(|g| g <= gap);
        let mut within = within.lock().expect("no panic");
        for (at, _) in [0.01, 0.005].into_iter().enumerate().filter(|&(_, gap)| reached(gap)) {
            within[at].get_or_insert(began.elapsed().as_secs_f64());
        }
    };
    let setting = &SolveSetting { watch: Some(Watch(&tell)), ..*setting };
    let (plan, learned) = solve_learning(options, limits, setting).expect("watching everywhere fits");
    let [first, second] = within.into_inner().expect("no panic").map(Option::unwrap_or_default);
    let (seconds, gap) = (began.elapsed().as_secs_f64(), 100.0 * plan.gap);
    println!("{what}: 1 % {first:.2} s, 0.5 % {second:.2} s, whole {seconds:.2} s, gap {gap:.3} %, {:?}", plan.status);
    (plan, learned)
}
