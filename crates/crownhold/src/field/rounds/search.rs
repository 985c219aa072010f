//! The search for short rounds: strings of neighbouring stops are taken out of some rounds and put back where they lengthen
//! the way least, again and again; what is longer is kept with a chance that falls as the search goes on.
//!
//! Method: Christiaens & Vanden Berghe 2020, "Slack Induction by String Removals for Vehicle Routing Problems",
//! Transportation Science 54(2). It is bounded by steps, not by time, so that the same task and seed give the same rounds.
//! An existing library was tried first (see ARCHITECTURE.md, decisions).

use rand::RngExt as _;

use super::task::{Routes, Task};
use crate::types::chance::{Stream, stream, uniform};

/// Mean number of stops taken out in a step, longest string, chance of a string with a gap and of a longer gap, chance that
/// a place is passed over: values of the paper.
const TAKEN_OUT: f64 = 10.0;
const LONGEST: f64 = 10.0;
const GAP: f64 = 0.5;
const LONGER_GAP: f64 = 0.99;
const BLINK: f64 = 0.01;
/// Stops beside which a place is looked for first.
const NEAR: usize = 30;
/// Warmth at the beginning and the end, in mean legs; tried on 1,500 stops.
const WARM: f64 = 1.0;
const COLD: f64 = 0.03;

/// How long to search.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Effort {
    /// Steps.
    pub steps: u64,
    /// Seed.
    pub seed: u64,
}

impl Effort {
    /// Enough for so many stops: some seconds for hundreds, a quarter of a minute for 1,500.
    pub fn for_stops(stops: usize, seed: u64) -> Self {
        Self { steps: (200 * stops as u64).clamp(20_000, 300_000), seed }
    }
}

/// Rounds for a task, from `start` where there is one; at least as short as that, if it keeps the rules.
///
/// `go_on` hears the share that is done now and then; on `false` the best rounds so far are the answer.
pub fn search(task: &Task, start: Option<&Routes>, effort: Effort, go_on: &mut dyn FnMut(f64) -> bool) -> Routes {
    let mut rng = stream(effort.seed, "field.rounds", 0);
    let mut now = Rounds::new(task);
    now.take(start);
    now.begin(&mut rng);
    let mut best = now.routes();
    let mut best_cost = now.cost();
    let leg = (now.travel() / task.stops.len().max(1) as f64).max(1e-9);
    let cooling = (COLD / WARM).powf(1.0 / effort.steps.max(1) as f64);
    let mut warmth = WARM * leg;
    for step in 0..effort.steps {
        if step % 1024 == 0 && !go_on(step as f64 / effort.steps as f64) {
            break;
        }
        let before = now.cost();
        now.keep();
        now.ruin(&mut rng);
        now.fill(&mut rng);
        let after = now.cost();
        if after >= before - warmth * libm::log(uniform(&mut rng)) {
            now.put_back();
        } else if after < best_cost - 1e-9 {
            (best, best_cost) = (now.routes(), after);
        }
        warmth *= cooling;
    }
    best.left.sort_unstable();
    best
}

/// A round with the times that say what still fits in.
#[derive(Clone, Default)]
struct Round {
    stops: Vec<u32>,
    /// When each stop is left.
    done: Vec<f64>,
    /// When each stop must begin at the latest so that all after it are in time.
    latest: Vec<f64>,
    load: f64,
    travel: f64,
}

/// Where a stop is.
#[derive(Clone, Copy, PartialEq)]
struct At {
    worker: u32,
    index: u32,
}

const NOWHERE: At = At { worker: u32::MAX, index: 0 };

struct Rounds<'a> {
    task: &'a Task,
    rounds: Vec<Round>,
    at: Vec<At>,
    left: Vec<u32>,
    /// The nearest stops of each, itself first.
    near: Vec<Vec<u32>>,
    /// Worth of each stop; of one that must be done, more than any way.
    worth: Vec<f64>,
    /// Minutes from the nearest start, for the order in which stops are put back.
    far: Vec<f64>,
    /// Rounds as they were before this step, by worker, and what was left.
    kept: Vec<(usize, Round)>,
    kept_left: Vec<u32>,
    touched: Vec<bool>,
}

/// The best place for a stop.
struct Best {
    worker: usize,
    index: usize,
    more: f64,
}

impl<'a> Rounds<'a> {
    fn new(task: &'a Task) -> Self {
        let n = task.stops.len();
        let most = (0..task.travel.places()).flat_map(|a| (0..task.travel.places()).map(move |b| (a, b)));
        let longest = most.map(|(a, b)| task.travel.minutes(a, b)).fold(1.0, f64::max);
        let worth = |stop: &super::task::Stop| stop.worth.unwrap_or(10.0 * longest);
        let far = |place: usize| {
            task.workers.iter().map(|w| task.travel.minutes(w.start, place)).fold(f64::INFINITY, f64::min)
        };
        let mut rounds = Self {
            task,
            rounds: vec![Round::default(); task.workers.len()],
            at: vec![NOWHERE; n],
            left: (0..n as u32).collect(),
            near: near(task),
            worth: task.stops.iter().map(worth).collect(),
            far: task.stops.iter().map(|s| far(s.place)).collect(),
            kept: Vec::new(),
            kept_left: Vec::new(),
            touched: vec![false; task.workers.len()],
        };
        (0..task.workers.len()).for_each(|worker| rounds.refresh(worker));
        rounds
    }

    /// Stops of given rounds, as far as they keep the rules.
    fn take(&mut self, start: Option<&Routes>) {
        let Some(start) = start else { return };
        for (worker, round) in start.rounds.iter().enumerate().take(self.rounds.len()) {
            for stop in round {
                let end = self.rounds[worker].stops.len();
                if let Some(at) = self.left.iter().position(|s| *s as usize == *stop)
                    && self.fits(*stop, worker, end).is_some()
                {
                    self.left.swap_remove(at);
                    self.put(*stop, worker, end);
                }
            }
        }
    }

    fn routes(&self) -> Routes {
        let plain = |stops: &[u32]| stops.iter().map(|s| *s as usize).collect();
        Routes { rounds: self.rounds.iter().map(|r| plain(&r.stops)).collect(), left: plain(&self.left) }
    }
    fn travel(&self) -> f64 {
        self.rounds.iter().map(|r| r.travel).sum()
    }
    fn cost(&self) -> f64 {
        self.travel() + self.left.iter().map(|s| self.worth[*s as usize]).sum::<f64>()
    }

    /// Remembers how things stand before a step.
    fn keep(&mut self) {
        self.kept.clear();
        self.kept_left.clone_from(&self.left);
        self.touched.fill(false);
    }
    /// Remembers a round before it is changed.
    fn touch(&mut self, worker: usize) {
        if !self.touched[worker] {
            self.touched[worker] = true;
            self.kept.push((worker, self.rounds[worker].clone()));
        }
    }
    /// Undoes a step.
    fn put_back(&mut self) {
        self.left.clone_from(&self.kept_left);
        for (worker, round) in std::mem::take(&mut self.kept) {
            self.rounds[worker] = round;
            self.index(worker);
        }
        self.left.iter().for_each(|s| self.at[*s as usize] = NOWHERE);
    }

    fn index(&mut self, worker: usize) {
        for (index, stop) in self.rounds[worker].stops.iter().enumerate() {
            self.at[*stop as usize] = At { worker: worker as u32, index: index as u32 };
        }
    }

    fn place(&self, stop: u32) -> usize {
        self.task.stops[stop as usize].place
    }

    /// Works the times of a round out anew.
    fn refresh(&mut self, worker: usize) {
        self.index(worker);
        let (task, who) = (self.task, &self.task.workers[worker]);
        let round = &mut self.rounds[worker];
        let n = round.stops.len();
        round.done.resize(n, 0.0);
        round.latest.resize(n + 1, 0.0);
        (round.load, round.travel) = (0.0, 0.0);
        let (mut time, mut place) = (who.hours.0, who.start);
        for (stop, done) in round.stops.iter().zip(&mut round.done) {
            let stop = &task.stops[*stop as usize];
            let leg = task.travel.minutes(place, stop.place);
            time = (time + leg).max(stop.open.0) + stop.work * who.pace;
            place = stop.place;
            *done = time;
            round.load += stop.load;
            round.travel += leg;
        }
        if n > 0 {
            round.travel += task.travel.minutes(place, who.end);
        }
        round.latest[n] = who.hours.1;
        let mut next = who.end;
        for i in (0..n).rev() {
            let stop = &task.stops[round.stops[i] as usize];
            let by = round.latest[i + 1] - task.travel.minutes(stop.place, next) - stop.work * who.pace;
            round.latest[i] = by.min(stop.open.1);
            next = stop.place;
        }
    }

    /// How much longer the way gets with a stop at this place of a round; `None` where it does not fit.
    fn fits(&self, stop: usize, worker: usize, index: usize) -> Option<f64> {
        let (task, round, who) = (self.task, &self.rounds[worker], &self.task.workers[worker]);
        let new = &task.stops[stop];
        if round.load + new.load > who.load + 1e-9 || !task.may(stop, worker) {
            return None;
        }
        let (before, left_at) = match index {
            0 => (who.start, who.hours.0),
            i => (self.place(round.stops[i - 1]), round.done[i - 1]),
        };
        let after = round.stops.get(index).map_or(who.end, |s| self.place(*s));
        let (there, on) = (task.travel.minutes(before, new.place), task.travel.minutes(new.place, after));
        let begin = (left_at + there).max(new.open.0);
        if begin > new.open.1 + 1e-9 || begin + new.work * who.pace + on > round.latest[index] + 1e-9 {
            return None;
        }
        let saved = if round.stops.is_empty() { 0.0 } else { task.travel.minutes(before, after) };
        Some(there + on - saved)
    }

    fn put(&mut self, stop: usize, worker: usize, index: usize) {
        self.touch(worker);
        self.rounds[worker].stops.insert(index, stop as u32);
        self.refresh(worker);
    }

    /// Takes strings of stops near a random one out of some rounds.
    fn ruin(&mut self, rng: &mut Stream) {
        let n = self.task.stops.len();
        if n == 0 {
            return;
        }
        let (mut busy, mut stops) = (0_usize, 0_usize);
        for round in self.rounds.iter().filter(|r| !r.stops.is_empty()) {
            busy += 1;
            stops += round.stops.len();
        }
        let longest = LONGEST.min(stops as f64 / busy.max(1) as f64).max(1.0);
        let most = 4.0 * TAKEN_OUT / (1.0 + longest) - 1.0;
        let strings = (1.0 + uniform(rng) * most.max(0.0)) as usize;
        let seed = rng.random_range(0..n);
        let mut done: Vec<u32> = Vec::with_capacity(strings);
        for i in 0..self.near[seed].len() {
            if done.len() >= strings {
                break;
            }
            let stop = self.near[seed][i];
            let at = self.at[stop as usize];
            if at == NOWHERE || done.contains(&at.worker) {
                continue;
            }
            done.push(at.worker);
            self.take_string(at, longest, rng);
        }
    }

    fn take_string(&mut self, at: At, longest: f64, rng: &mut Stream) {
        let (worker, index) = (at.worker as usize, at.index as usize);
        self.touch(worker);
        let n = self.rounds[worker].stops.len();
        let length = (1.0 + uniform(rng) * longest.min(n as f64)) as usize;
        let length = length.min(n);
        let mut gap = 0;
        if length > 1 && length < n && uniform(rng) < GAP {
            gap = 1;
            while length + gap < n && uniform(rng) > LONGER_GAP {
                gap += 1;
            }
        }
        let all = length + gap;
        let first = rng.random_range(index.saturating_sub(all - 1)..=index.min(n - all));
        let gap_from = first + if gap > 0 { rng.random_range(1..length.max(2)) } else { 0 };
        let taken = |i: usize| (first..first + all).contains(&i) && !(gap_from..gap_from + gap).contains(&i);
        let round = &mut self.rounds[worker];
        let mut i = 0;
        let (left, places) = (&mut self.left, &mut self.at);
        round.stops.retain(|stop| {
            let out = taken(i);
            i += 1;
            if out {
                left.push(*stop);
                places[*stop as usize] = NOWHERE;
            }
            !out
        });
        self.refresh(worker);
    }

    /// Puts stops back where they lengthen the way least, in one of four orders.
    fn fill(&mut self, rng: &mut Stream) {
        let mut left = std::mem::take(&mut self.left);
        for i in (1..left.len()).rev() {
            left.swap(i, rng.random_range(0..=i));
        }
        let stops = &self.task.stops;
        let load = |s: &u32| stops[*s as usize].load;
        match rng.random_range(0..14) {
            0..4 => {}
            4..8 => left.sort_by(|a, b| load(b).total_cmp(&load(a))),
            8..10 => left.sort_by(|a, b| self.far[*b as usize].total_cmp(&self.far[*a as usize])),
            10 => left.sort_by(|a, b| self.far[*a as usize].total_cmp(&self.far[*b as usize])),
            _ => left.sort_by(|a, b| {
                let wide = |s: &u32| stops[*s as usize].open.1 - stops[*s as usize].open.0;
                wide(a).total_cmp(&wide(b))
            }),
        }
        self.put_all(left, NEAR, rng);
    }

    /// Puts in whatever is missing at the beginning: along a way from each stop to the nearest one not yet seen, so that
    /// neighbours come to the same round.
    fn begin(&mut self, rng: &mut Stream) {
        let mut waiting = std::mem::take(&mut self.left);
        let far = |s: u32| self.far[s as usize];
        let Some(first) = (0..waiting.len()).max_by(|a, b| far(waiting[*a]).total_cmp(&far(waiting[*b]))) else {
            return;
        };
        let mut order = vec![waiting.swap_remove(first)];
        while let Some(last) = order.last().map(|s| self.place(*s)) {
            let way = |s: u32| self.task.travel.minutes(last, self.place(s));
            let Some(next) = (0..waiting.len()).min_by(|a, b| way(waiting[*a]).total_cmp(&way(waiting[*b]))) else {
                break;
            };
            order.push(waiting.swap_remove(next));
        }
        self.put_all(order, usize::MAX, rng);
    }

    fn put_all(&mut self, stops: Vec<u32>, near: usize, rng: &mut Stream) {
        for stop in stops {
            let found = self.best(stop as usize, near, rng).filter(|best| best.more < self.worth[stop as usize]);
            match found {
                Some(best) => self.put(stop as usize, best.worker, best.index),
                None => self.left.push(stop),
            }
        }
    }

    fn best(&self, stop: usize, near: usize, rng: &mut Stream) -> Option<Best> {
        let mut best = None;
        for other in self.near[stop].iter().take(near) {
            let at = self.at[*other as usize];
            if at != NOWHERE {
                let (worker, index) = (at.worker as usize, at.index as usize);
                self.look(&mut best, stop, worker, index, rng);
                self.look(&mut best, stop, worker, index + 1, rng);
            }
        }
        for worker in 0..self.rounds.len() {
            self.look(&mut best, stop, worker, 0, rng);
            self.look(&mut best, stop, worker, self.rounds[worker].stops.len(), rng);
        }
        if best.is_none() || near == usize::MAX {
            for worker in 0..self.rounds.len() {
                (0..=self.rounds[worker].stops.len()).for_each(|i| self.look(&mut best, stop, worker, i, rng));
            }
        }
        best
    }

    fn look(&self, best: &mut Option<Best>, stop: usize, worker: usize, index: usize, rng: &mut Stream) {
        if let Some(more) = self.fits(stop, worker, index)
            && best.as_ref().is_none_or(|b| more < b.more)
            && uniform(rng) > BLINK
        {
            *best = Some(Best { worker, index, more });
        }
    }
}

/// The nearest stops of each stop, itself first: enough for the strings of a step.
fn near(task: &Task) -> Vec<Vec<u32>> {
    let ways = |a: usize, b: usize| {
        let (a, b) = (task.stops[a].place, task.stops[b].place);
        task.travel.minutes(a, b) + task.travel.minutes(b, a)
    };
    let of = |stop: usize| {
        let mut all: Vec<u32> = (0..task.stops.len() as u32).collect();
        let key = |s: &u32| (ways(stop, *s as usize), *s != stop as u32);
        let most = 400.min(all.len());
        let by = |a: &u32, b: &u32| {
            let ((a, x), (b, y)) = (key(a), key(b));
            a.total_cmp(&b).then(x.cmp(&y))
        };
        if most < all.len() {
            all.select_nth_unstable_by(most, by);
            all.truncate(most);
        }
        all.sort_by(by);
        all
    };
    (0..task.stops.len()).map(of).collect()
}
