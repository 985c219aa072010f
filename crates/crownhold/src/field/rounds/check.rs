//! Holds rounds to the rules of their task, from the two alone: nothing of the search is used.

use super::task::{Routes, Task};

/// What is wrong with rounds.
#[derive(Clone, Debug, PartialEq)]
pub enum Fault {
    /// As many rounds as workers are needed.
    Rounds,
    /// A stop is there twice, or neither done nor left.
    Stop(usize),
    /// A worker does what they may not.
    NotAllowed {
        /// Worker.
        worker: usize,
        /// Stop.
        stop: usize,
    },
    /// More load than a worker has.
    Load {
        /// Worker.
        worker: usize,
        /// Load of the round.
        load: f64,
    },
    /// Work at a stop would begin after it may.
    Late {
        /// Worker.
        worker: usize,
        /// Stop.
        stop: usize,
        /// Minute of the day on which it would begin.
        begins: f64,
    },
    /// Back too late.
    BackLate {
        /// Worker.
        worker: usize,
        /// Minute of the day.
        back: f64,
    },
}

/// A round walked through.
#[derive(Clone, Debug, PartialEq)]
pub struct Walked {
    /// Minute of the day on which work begins at each stop.
    pub begins: Vec<f64>,
    /// Minute of the day on which the worker is back; of an empty round that on which it could begin.
    pub back: f64,
}

/// Times of one worker's round: on to the next stop at once, waiting there where it is too early.
pub fn walk(task: &Task, worker: usize, round: &[usize]) -> Walked {
    let who = &task.workers[worker];
    let (mut clock, mut here) = (who.hours.0, who.start);
    let mut begins = Vec::with_capacity(round.len());
    for stop in round.iter().map(|s| &task.stops[*s]) {
        clock += task.travel.minutes(here, stop.place);
        clock = clock.max(stop.open.0);
        begins.push(clock);
        clock += stop.work * who.pace;
        here = stop.place;
    }
    if !round.is_empty() {
        clock += task.travel.minutes(here, who.end);
    }
    Walked { begins, back: clock }
}

/// Every fault of the rounds; none where they keep all rules.
pub fn faults(task: &Task, routes: &Routes) -> Vec<Fault> {
    /// Of minutes and loads that are added in another order than the search adds them.
    const HAIR: f64 = 1e-6;
    if routes.rounds.len() != task.workers.len() {
        return vec![Fault::Rounds];
    }
    let mut faults = Vec::new();
    let mut seen = vec![0_u32; task.stops.len()];
    for stop in routes.rounds.iter().flatten().chain(&routes.left) {
        match seen.get_mut(*stop) {
            Some(times) => *times += 1,
            None => faults.push(Fault::Stop(*stop)),
        }
    }
    faults.extend((0..seen.len()).filter(|stop| seen[*stop] != 1).map(Fault::Stop));
    if !faults.is_empty() {
        return faults;
    }
    for (worker, round) in routes.rounds.iter().enumerate() {
        let who = &task.workers[worker];
        let not_allowed = round.iter().filter(|stop| !task.may(**stop, worker));
        faults.extend(not_allowed.map(|stop| Fault::NotAllowed { worker, stop: *stop }));
        let load: f64 = round.iter().map(|stop| task.stops[*stop].load).sum();
        if load > who.load + HAIR {
            faults.push(Fault::Load { worker, load });
        }
        let walked = walk(task, worker, round);
        for (stop, begins) in round.iter().zip(&walked.begins) {
            if *begins > task.stops[*stop].open.1 + HAIR {
                faults.push(Fault::Late { worker, stop: *stop, begins: *begins });
            }
        }
        if !round.is_empty() && walked.back > who.hours.1 + HAIR {
            faults.push(Fault::BackLate { worker, back: walked.back });
        }
    }
    faults
}
