//! A day's trees and teams as a task, and routes back to rounds.

use std::collections::BTreeSet;

use geo::{Centroid as _, Point};
use jiff::civil::{Date, Time};

use super::check::walk;
use super::due::BlockDue;
use super::network::{Manner, Ways};
use super::task::{Routes, Stop, Task, Travel, Worker};
use crate::types::{BlockId, Hours, Length, Parameters, Records, Round, RoundStop, RoundWork, Team, TreeId, Workforce};

/// More trees than this are not routed at once: the table of ways grows with the square.
pub const MOST_TREES: usize = 4_000;

/// A tree of the task.
#[derive(Clone, Debug, PartialEq)]
struct DayTree {
    block: BlockId,
    tree: TreeId,
    place: Point<f64>,
}

/// A day's work as a task.
#[derive(Clone, Debug)]
pub struct DayTask {
    /// Day.
    pub date: Date,
    /// What is done.
    pub work: RoundWork,
    /// Stops are its trees, workers its teams.
    pub task: Task,
    /// Who is there.
    pub teams: Vec<Team>,
    trees: Vec<DayTree>,
    ways: Ways,
}

/// Why nobody gets to a tree.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Why {
    /// No team that is there may work there.
    NobodyMay,
    /// Those that may have no time or material left.
    NoTime,
}

/// A tree that nobody gets to.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LeftTree {
    /// Block.
    pub block: BlockId,
    /// Tree.
    pub tree: TreeId,
    /// Why.
    pub why: Why,
}

/// Rounds of a day.
#[derive(Clone, Debug, PartialEq)]
pub struct DayRounds {
    /// Rounds with at least one tree, in the order of the teams.
    pub rounds: Vec<Round>,
    /// Trees that nobody gets to, in the order of their blocks.
    pub left: Vec<LeftTree>,
    /// Minutes on the way, all together.
    pub travel: Hours,
    /// Do the ways go along streets?
    pub by_street: bool,
    /// Trees, starts and ends to which no street leads; their ways are straight lines times the detour.
    pub cut_off: usize,
}

/// How ways become minutes.
struct Pace {
    walk: f64,
    walk_most: f64,
    drive: f64,
    park: f64,
}

impl Pace {
    fn of(p: &Parameters) -> Self {
        const MILE: f64 = 1_609.344;
        let metres_a_minute = |name: &str| (p.number(name) * MILE / 60.0).max(1e-6);
        Self {
            walk: metres_a_minute("rounds.walk"),
            walk_most: p.number("rounds.walk_most") * MILE,
            drive: metres_a_minute("rounds.drive"),
            park: p.number("rounds.park").max(0.0),
        }
    }
    fn minutes(&self, way: f64) -> f64 {
        let walked = way / self.walk;
        if way <= self.walk_most { walked } else { walked.min(self.park + way / self.drive) }
    }
}

/// The task of a day: the trees that are due, in the order given, and the teams that are there.
///
/// # Errors
/// With more than [`MOST_TREES`] trees: how many there are.
pub fn day_task(
    records: &Records,
    due: &[BlockDue],
    teams: &[Team],
    work: RoundWork,
    date: Date,
) -> Result<DayTask, usize> {
    let p = &records.parameters;
    let mut trees = Vec::new();
    for block in due {
        let wanted: BTreeSet<&TreeId> = block.trees.iter().map(|t| &t.tree).collect();
        let here = records.trees.iter().filter(|t| wanted.contains(&t.id));
        trees.extend(here.map(|t| DayTree { block: block.block.clone(), tree: t.id.clone(), place: t.place }));
    }
    if trees.len() > MOST_TREES {
        return Err(trees.len());
    }
    let middle = |id: &Option<BlockId>| {
        let block = records.blocks.iter().find(|b| Some(&b.id) == id.as_ref())?;
        block.shape.centroid()
    };
    let mut places: Vec<Option<Point<f64>>> = trees.iter().map(|t| Some(t.place)).collect();
    places.extend(teams.iter().flat_map(|t| [middle(&t.starts), middle(&t.ends)]));
    let pace = Pace::of(p);
    let ways = Ways::between(&places, &records.streets, Manner::of(p));
    let travel = Travel::from_fn(places.len(), |a, b| pace.minutes(ways.metres(a, b))).ok_or(trees.len())?;
    let neighbourhood =
        |id: &BlockId| records.blocks.iter().find(|b| b.id == *id).and_then(|b| b.neighbourhood.clone());
    let groups: Vec<Option<String>> =
        trees.iter().map(|t| neighbourhood(&t.block)).collect::<BTreeSet<_>>().into_iter().collect();
    let group = |block: &BlockId| groups.binary_search(&neighbourhood(block)).unwrap_or(0);
    let task = Task {
        travel,
        stops: trees
            .iter()
            .enumerate()
            .map(|(place, t)| Stop {
                place,
                work: minutes_of(work, p),
                load: 1.0,
                open: open(work, p),
                group: group(&t.block),
                worth: None,
            })
            .collect(),
        workers: teams.iter().enumerate().map(|(i, team)| worker(team, trees.len() + 2 * i)).collect(),
        may: groups.iter().map(|g| teams.iter().map(|team| may(team, g.as_deref(), work)).collect()).collect(),
    };
    Ok(DayTask { date, work, task, teams: teams.to_vec(), trees, ways })
}

fn worker(team: &Team, start: usize) -> Worker {
    Worker {
        start,
        end: start + 1,
        hours: (minute(team.from), minute(team.to)),
        load: team.most.map_or(f64::MAX, f64::from),
        pace: 1.0 / f64::from(team.people.max(1)),
    }
}

/// Volunteers never work on ladders; a team with a neighbourhood stays in it.
fn may(team: &Team, neighbourhood: Option<&str>, work: RoundWork) -> bool {
    let trained = !work.on_ladders() || (team.ladder && team.who == Workforce::Crew);
    trained && team.neighbourhood.as_deref().is_none_or(|own| Some(own) == neighbourhood)
}

fn minutes_of(work: RoundWork, p: &Parameters) -> f64 {
    p.number(match work {
        RoundWork::PutUp => "bands.install_minutes",
        RoundWork::Serve => "bands.service_minutes",
        RoundWork::TakeDown => "bands.remove_minutes",
        RoundWork::Scrape => "rounds.scrape_minutes",
        RoundWork::ScrapeHigh => "rounds.ladder_minutes",
    })
}

/// Minutes of the day between which work at a tree may begin.
fn open(work: RoundWork, p: &Parameters) -> (f64, f64) {
    match work {
        RoundWork::Serve => (60.0 * p.number("rounds.serve_from"), 60.0 * p.number("rounds.serve_to")),
        _ => (0.0, 24.0 * 60.0),
    }
}

fn minute(time: Time) -> f64 {
    60.0 * f64::from(time.hour()) + f64::from(time.minute())
}

/// The time of a minute of the day, down to whole minutes.
fn time(minute: f64) -> Time {
    let whole = (minute + 1e-6).clamp(0.0, 24.0 * 60.0 - 1.0) as i16;
    Time::new((whole / 60) as i8, (whole % 60) as i8, 0, 0).unwrap_or(Time::midnight())
}

impl DayTask {
    /// How many trees.
    pub fn trees(&self) -> usize {
        self.trees.len()
    }

    /// Rounds made before, as far as their trees and teams are here.
    pub fn routes_of(&self, rounds: &[Round]) -> Routes {
        let mut routes = Routes::none(&self.task);
        let mut waiting: BTreeSet<usize> = routes.left.iter().copied().collect();
        for round in rounds {
            let Some(team) = self.teams.iter().position(|t| t.name == round.team) else { continue };
            let stops = round.stops.iter().filter_map(|s| self.trees.iter().position(|t| t.tree == s.tree));
            routes.rounds[team].extend(stops.filter(|s| waiting.remove(s)));
        }
        routes.left = waiting.into_iter().collect();
        routes
    }

    /// Routes as rounds.
    pub fn rounds(&self, routes: &Routes) -> DayRounds {
        let with_trees = routes.rounds.iter().enumerate().filter(|(_, round)| !round.is_empty());
        let left = routes.left.iter().map(|stop| LeftTree {
            block: self.trees[*stop].block.clone(),
            tree: self.trees[*stop].tree.clone(),
            why: if (0..self.teams.len()).any(|team| self.task.may(*stop, team)) {
                Why::NoTime
            } else {
                Why::NobodyMay
            },
        });
        DayRounds {
            rounds: with_trees.map(|(team, round)| self.round(team, round, routes)).collect(),
            left: left.collect(),
            travel: Hours::minutes(routes.all_travel(&self.task)),
            by_street: self.ways.by_street,
            cut_off: self.ways.cut_off,
        }
    }

    fn round(&self, team: usize, round: &[usize], routes: &Routes) -> Round {
        let walked = walk(&self.task, team, round);
        let stops = round.iter().zip(&walked.begins);
        Round {
            date: self.date,
            work: self.work,
            team: self.teams[team].name.clone(),
            stops: stops.map(|(stop, at)| RoundStop { tree: self.trees[*stop].tree.clone(), at: time(*at) }).collect(),
            back: time(walked.back),
            travel: Hours::minutes(routes.travel(&self.task, team)),
            way: self.way(team, round),
        }
    }

    fn way(&self, team: usize, round: &[usize]) -> Length {
        let who = &self.task.workers[team];
        let stops = round.iter().map(|s| self.task.stops[*s].place);
        let places: Vec<usize> = [who.start].into_iter().chain(stops).chain([who.end]).collect();
        Length::metres(places.windows(2).map(|two| self.ways.metres(two[0], two[1])).sum())
    }
}
