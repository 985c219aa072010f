//! Stopping early keeps a plan that holds.

use std::sync::atomic::AtomicBool;

use crownhold::plan::{Status, check};
use crownhold_plan::{SolveSetting, solve};

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
