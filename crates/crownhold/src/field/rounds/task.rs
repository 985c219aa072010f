//! What is to be visited, by whom, in which hours: the question that a search answers and a checker holds it to.

/// Minutes from place to place. It need not be the same both ways.
#[derive(Clone, Debug, PartialEq)]
pub struct Travel {
    places: usize,
    minutes: Vec<f32>,
}

impl Travel {
    /// Of so many places, row by row; `None` unless there are as many rows as columns, of times that are finite and not
    /// below 0.
    pub fn new(places: usize, minutes: Vec<f32>) -> Option<Self> {
        let fits = minutes.len() == places * places && minutes.iter().all(|m| m.is_finite() && *m >= 0.0);
        fits.then_some(Self { places, minutes })
    }
    /// From a function of two places.
    pub fn from_fn(places: usize, minutes: impl Fn(usize, usize) -> f64) -> Option<Self> {
        let all = (0..places).flat_map(|a| (0..places).map(move |b| (a, b)));
        Self::new(places, all.map(|(a, b)| minutes(a, b) as f32).collect())
    }
    /// How many places.
    pub fn places(&self) -> usize {
        self.places
    }
    /// Minutes on the way.
    pub fn minutes(&self, from: usize, to: usize) -> f64 {
        f64::from(self.minutes[from * self.places + to])
    }
}

/// Something to do at a place.
#[derive(Clone, Debug, PartialEq)]
pub struct Stop {
    /// Where, in [`Travel`].
    pub place: usize,
    /// Minutes of work.
    pub work: f64,
    /// What it takes of a worker's load.
    pub load: f64,
    /// Minutes of the day between which work may begin.
    pub open: (f64, f64),
    /// Which row of [`Task::may`] says who may do it.
    pub group: usize,
    /// Minutes of travel that it is worth; `None`: it is left out only where nobody can do it.
    pub worth: Option<f64>,
}

/// Somebody who goes round, or a team that goes together.
#[derive(Clone, Debug, PartialEq)]
pub struct Worker {
    /// Where the round begins.
    pub start: usize,
    /// Where it ends.
    pub end: usize,
    /// Minutes of the day: not before, and back by.
    pub hours: (f64, f64),
    /// Most load.
    pub load: f64,
    /// Share of a stop's minutes of work that it takes them: a half for two people.
    pub pace: f64,
}

/// Stops and workers of one day.
#[derive(Clone, Debug, PartialEq)]
pub struct Task {
    /// Ways.
    pub travel: Travel,
    /// What is to be done.
    pub stops: Vec<Stop>,
    /// Who is there.
    pub workers: Vec<Worker>,
    /// By group of stops, by worker: may they?
    pub may: Vec<Vec<bool>>,
}

/// Who goes where: the answer to a [`Task`].
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Routes {
    /// Stops by worker, in the order of the round.
    pub rounds: Vec<Vec<usize>>,
    /// Stops that nobody does, in order.
    pub left: Vec<usize>,
}

impl Routes {
    /// Nobody does anything.
    pub fn none(task: &Task) -> Self {
        Self { rounds: vec![Vec::new(); task.workers.len()], left: (0..task.stops.len()).collect() }
    }
    /// Minutes on the way of one worker.
    pub fn travel(&self, task: &Task, worker: usize) -> f64 {
        let (Some(round), Some(who)) = (self.rounds.get(worker), task.workers.get(worker)) else { return 0.0 };
        if round.is_empty() {
            return 0.0;
        }
        let places = round.iter().map(|s| task.stops[*s].place).chain([who.end]);
        let mut at = who.start;
        let leg = |to: usize| {
            let minutes = task.travel.minutes(at, to);
            at = to;
            minutes
        };
        places.map(leg).sum()
    }
    /// Minutes on the way of all workers.
    pub fn all_travel(&self, task: &Task) -> f64 {
        (0..self.rounds.len()).map(|worker| self.travel(task, worker)).sum()
    }
    /// What the search makes small: minutes on the way and the worth of what is left out.
    pub fn cost(&self, task: &Task) -> f64 {
        let lost: f64 = self.left.iter().filter_map(|s| task.stops[*s].worth).sum();
        self.all_travel(task) + lost
    }
}

impl Task {
    /// May a worker do a stop?
    pub fn may(&self, stop: usize, worker: usize) -> bool {
        self.may.get(self.stops[stop].group).and_then(|row| row.get(worker)).copied().unwrap_or(false)
    }
}
