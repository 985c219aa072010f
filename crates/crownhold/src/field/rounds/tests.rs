//! Rounds of random days, held to their rules by the checker.
#![allow(clippy::unwrap_used)]

use proptest::prelude::*;

use super::{Effort, Fault, Routes, Stop, Task, Travel, Worker, faults, search};

const SHORT: Effort = Effort { steps: 400, seed: 1 };

fn find(task: &Task, effort: Effort) -> Routes {
    search(task, None, effort, &mut |_| true)
}

/// Stops on a plane, workers who start and end at the first place.
fn plane(places: &[(f64, f64)], work: f64, workers: &[((f64, f64), f64)]) -> Task {
    let way = |a: usize, b: usize| (places[a].0 - places[b].0).hypot(places[a].1 - places[b].1);
    Task {
        travel: Travel::from_fn(places.len(), way).unwrap(),
        stops: (1..places.len())
            .map(|place| Stop { place, work, load: 1.0, open: (0.0, 1e6), group: 0, worth: None })
            .collect(),
        workers: workers
            .iter()
            .map(|(hours, load)| Worker { start: 0, end: 0, hours: *hours, load: *load, pace: 1.0 })
            .collect(),
        may: vec![vec![true; workers.len()]],
    }
}

prop_compose! {
    fn days()(
        places in prop::collection::vec((0.0..50.0, 0.0..50.0), 2..40),
        workers in prop::collection::vec(((0.0..60.0, 60.0..300.0), 1.0..15.0), 1..5),
        work in 0.0..20.0,
        opens in prop::collection::vec((0.0..200.0, 0.0..200.0, prop::option::of(0.0..40.0)), 40),
        bars in prop::collection::vec(any::<bool>(), 8),
    ) -> Task {
        let mut task = plane(&places, work, &workers);
        for (stop, (from, wide, worth)) in task.stops.iter_mut().zip(opens) {
            stop.open = (from, from + wide);
            stop.worth = worth;
            stop.group = stop.place % 2;
        }
        task.may = (0..2).map(|g| (0..workers.len()).map(|w| bars[4 * g + w % 4]).collect()).collect();
        for (i, worker) in task.workers.iter_mut().enumerate() {
            worker.pace = 1.0 / (1 + i % 2) as f64;
        }
        task
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(60))]

    /// Every stop is done once or left, in its hours, by somebody who may and can carry it; and the same again.
    #[test]
    fn rounds_keep_the_rules(task in days()) {
        let routes = find(&task, SHORT);
        prop_assert_eq!(faults(&task, &routes), vec![]);
        prop_assert_eq!(&routes, &find(&task, SHORT));
    }

    /// From rounds that are there already, nothing gets worse.
    #[test]
    fn a_start_is_never_made_worse(task in days()) {
        let first = find(&task, Effort { steps: 50, seed: 2 });
        let again = search(&task, Some(&first), SHORT, &mut |_| true);
        let left = |r: &Routes| r.left.iter().filter(|s| task.stops[**s].worth.is_none()).count();
        prop_assert!(left(&again) <= left(&first));
        if left(&again) == left(&first) {
            prop_assert!(again.cost(&task) <= first.cost(&task) + 1e-6);
        }
    }
}

/// All ways through eight stops by two workers of four: the search finds the shortest.
#[test]
fn as_short_as_every_way_tried() {
    let places =
        [(0.0, 0.0), (3.0, 9.0), (7.0, 1.0), (8.0, 8.0), (1.0, 4.0), (5.0, 5.0), (9.0, 3.0), (2.0, 8.0), (6.0, 2.0)];
    let task = plane(&places, 0.0, &[((0.0, 1e6), 4.0), ((0.0, 1e6), 4.0)]);
    let mut best = f64::INFINITY;
    let mut order: Vec<usize> = (0..8).collect();
    permute(&mut order, 0, &mut |order| {
        let routes = Routes { rounds: vec![order[..4].to_vec(), order[4..].to_vec()], left: Vec::new() };
        best = best.min(routes.all_travel(&task));
    });
    let found = find(&task, Effort { steps: 3_000, seed: 1 });
    assert!(
        found.left.is_empty() && (found.all_travel(&task) - best).abs() < 1e-4,
        "{} against {best}",
        found.cost(&task)
    );
}

fn permute(order: &mut Vec<usize>, at: usize, see: &mut dyn FnMut(&[usize])) {
    if at == order.len() {
        return see(order);
    }
    for i in at..order.len() {
        order.swap(at, i);
        permute(order, at + 1, see);
        order.swap(at, i);
    }
}

#[test]
fn what_is_not_worth_the_way_is_left() {
    let mut task = plane(&[(0.0, 0.0), (1.0, 0.0), (100.0, 0.0)], 0.0, &[((0.0, 1e6), 9.0)]);
    task.stops.iter_mut().for_each(|s| s.worth = Some(50.0));
    let routes = find(&task, SHORT);
    assert_eq!((routes.rounds, routes.left), (vec![vec![0]], vec![1]));
}

#[test]
fn a_search_that_is_stopped_still_answers() {
    let task = plane(&[(0.0, 0.0), (1.0, 0.0), (0.0, 2.0)], 1.0, &[((0.0, 1e6), 9.0)]);
    let routes = search(&task, None, SHORT, &mut |_| false);
    assert!(faults(&task, &routes).is_empty() && routes.left.is_empty());
}

/// The checker sees each kind of fault.
#[test]
fn faults_are_seen() {
    let mut task = plane(&[(0.0, 0.0), (10.0, 0.0), (20.0, 0.0)], 5.0, &[((0.0, 60.0), 2.0), ((0.0, 60.0), 1.0)]);
    task.stops[1].open = (0.0, 22.0);
    task.stops[0].group = 1;
    task.may = vec![vec![true, true], vec![true, false]];
    let of = |rounds: Vec<Vec<usize>>, left: Vec<usize>| faults(&task, &Routes { rounds, left });
    assert_eq!(of(vec![vec![0], vec![1]], vec![]), []);
    assert_eq!(of(vec![vec![0]], vec![1]), [Fault::Rounds]);
    assert_eq!(of(vec![vec![0, 0], vec![]], vec![]), [Fault::Stop(0), Fault::Stop(1)]);
    assert_eq!(of(vec![vec![], vec![0]], vec![1]), [Fault::NotAllowed { worker: 1, stop: 0 }]);
    assert_eq!(of(vec![vec![0, 1], vec![]], vec![]), [Fault::Late { worker: 0, stop: 1, begins: 25.0 }]);
    task.stops[1].open.1 = 99.0;
    task.workers[1].load = 0.5;
    task.workers[0].hours.1 = 49.0;
    let of = |rounds: Vec<Vec<usize>>, left: Vec<usize>| faults(&task, &Routes { rounds, left });
    assert_eq!(of(vec![vec![0, 1], vec![]], vec![]), [Fault::BackLate { worker: 0, back: 50.0 }]);
    assert_eq!(of(vec![vec![0], vec![1]], vec![]), [Fault::Load { worker: 1, load: 1.0 }]);
}
