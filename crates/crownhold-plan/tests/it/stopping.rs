//! Stopping early keeps a plan that holds.

use std::sync::Mutex;
use std::sync::atomic::AtomicBool;

use crownhold::plan::{Status, check};
use crownhold_plan::{Aim, Progress, SolveSetting, Watch, solve};

use crate::city;

#[test]
fn a_stop_before_the_start_leaves_a_plan_that_keeps_the_limits() {
    let (options, limits) = city::realistic(11, 120);
    let stop = AtomicBool::new(true);
    let setting = SolveSetting { gap: 0.0, stop: Some(&stop), ..SolveSetting::default() };
    let plan = solve(&options, &limits, &setting).unwrap();
    assert_eq!(plan.status, Status::Feasible);
    assert!(plan.gap > 0.0);
    assert_eq!(check(&plan, &options, &limits), Vec::<String>::new());
}

#[test]
fn a_flag_that_is_never_raised_changes_nothing() {
    let (options, limits) = city::realistic(12, 20);
    let stop = AtomicBool::new(false);
    let watched = solve(&options, &limits, &SolveSetting { stop: Some(&stop), ..SolveSetting::default() }).unwrap();
    assert_eq!(watched, solve(&options, &limits, &SolveSetting::default()).unwrap());
}

#[test]
fn one_node_is_enough_for_some_plan() {
    let (options, limits) = city::realistic(13, 60);
    let plan = solve(&options, &limits, &SolveSetting { gap: 0.0, node_limit: 1, ..SolveSetting::default() }).unwrap();
    assert_eq!(check(&plan, &options, &limits), Vec::<String>::new());
}

/// Each aim is told at its start, in order; what is told of one never gets worse, and ends where the plan ends.
#[test]
fn the_search_tells_how_far_it_is() {
    let (options, limits) = city::realistic(14, 60);
    let told = Mutex::new(Vec::new());
    let note = |p: Progress| told.lock().unwrap().push(p);
    let setting = SolveSetting { watch: Some(Watch(&note)), ..SolveSetting::default() };
    let plan = solve(&options, &limits, &setting).unwrap();
    let told = told.into_inner().unwrap();
    let mut order: Vec<Aim> = told.iter().map(|p| p.aim).collect();
    order.dedup();
    assert_eq!(order, Aim::ALL);
    // More than the three beginnings: the solver itself was heard.
    assert!(told.iter().any(|p| p.bound.is_some()) && told.iter().any(|p| p.gap().is_some()));
    let host: Vec<f64> = told.iter().filter(|p| p.aim == Aim::Host).filter_map(|p| p.best).collect();
    assert!(host.windows(2).all(|w| w[1] <= w[0] + 1.0), "{host:?}");
    let reached = plan.aims.host_beyond_accepted.as_square_metres();
    assert!(host.last().unwrap() + 60.0 >= reached && told.iter().all(|p| p.best.is_none_or(|v| v >= 0.0)));
    // Watching changes nothing.
    assert_eq!(plan, solve(&options, &limits, &SolveSetting::default()).unwrap());
}

/// Stopped by whoever is told, as a person does who has seen enough.
#[test]
fn a_stop_in_the_middle_keeps_the_best_plan_so_far() {
    let (options, limits) = city::realistic(15, 120);
    let stop = AtomicBool::new(false);
    let note = |p: Progress| stop.store(p.aim == Aim::Sprayed, std::sync::atomic::Ordering::Relaxed);
    let setting = SolveSetting { gap: 0.0, stop: Some(&stop), watch: Some(Watch(&note)), ..SolveSetting::default() };
    let plan = solve(&options, &limits, &setting).unwrap();
    assert_eq!((plan.status, check(&plan, &options, &limits)), (Status::Feasible, Vec::new()));
    let whole = solve(&options, &limits, &SolveSetting { gap: 0.0, ..SolveSetting::default() }).unwrap();
    let host = |p: &crownhold::plan::Plan| p.aims.host_beyond_accepted.as_square_metres();
    assert!((host(&plan) - host(&whole)).abs() < 120.0, "the first aim was done");
}

/// A plan begun from an earlier one is as good, also when the earlier one no longer fits everywhere.
#[test]
fn a_start_gives_the_same_optimum() {
    let (mut options, limits) = city::realistic(16, 40);
    let exact = SolveSetting { gap: 0.0, ..SolveSetting::default() };
    let before = solve(&options, &limits, &exact).unwrap();
    assert_eq!(solve(&options, &limits, &SolveSetting { start: Some(&before), ..exact }).unwrap().aims, before.aims);
    let flown = before.blocks.iter().position(|b| b.bundle.flies()).unwrap();
    for option in options.blocks[flown].options.iter_mut().filter(|o| o.bundle.flies()) {
        option.barred.push("Decided: never fly here.".to_owned());
    }
    let cold = solve(&options, &limits, &exact).unwrap();
    let warm = solve(&options, &limits, &SolveSetting { start: Some(&before), ..exact }).unwrap();
    assert_eq!(check(&warm, &options, &limits), Vec::<String>::new());
    let close = |a: f64, b: f64| (a - b).abs() <= 40.0;
    assert!(close(
        warm.aims.host_beyond_accepted.as_square_metres(),
        cold.aims.host_beyond_accepted.as_square_metres()
    ));
    assert!(close(warm.aims.sprayed.as_square_metres(), cold.aims.sprayed.as_square_metres()));
    assert!((warm.aims.cost.as_dollars() - cold.aims.cost.as_dollars()).abs() <= 1.0);
}
