//! A day's rounds: which trees are due, who goes where; kept so that crews can go by them.

use std::collections::BTreeMap;
use std::path::Path;

use crownhold::Setting;
use crownhold::field::rounds::{BlockDue, DayRounds, Effort, MOST_TREES, Why, day_task, due, faults, search};
use crownhold::timing::Timing;
use crownhold::types::{BlockId, Problem, Records, Round, RoundStop, RoundWork, Tactic, Team, Tree, TreeId};
use crownhold_data::formats::{PlaceToGo, ToLonLat, places_to_gpx};
use jiff::civil::Date;

use super::{By, Done, act, teams};
use crate::trouble::Trouble;

/// What is asked.
#[derive(Clone, Debug, PartialEq)]
pub struct Wanted {
    /// Day.
    pub date: Date,
    /// What is done.
    pub work: RoundWork,
    /// Teams that are not there.
    pub without: Vec<String>,
    /// Seed of the search.
    pub seed: u64,
}

/// Rounds made.
#[derive(Clone, Debug)]
pub struct RoundsMade {
    /// Day.
    pub date: Date,
    /// What is done.
    pub work: RoundWork,
    /// Blocks of the plan, due or not.
    pub due: Vec<BlockDue>,
    /// The rounds.
    pub day: DayRounds,
    /// Trees that another team had in the rounds kept before; `None` where none were.
    pub changed_hands: Option<usize>,
}

impl RoundsMade {
    /// Trees on rounds.
    pub fn trees(&self) -> usize {
        self.day.rounds.iter().map(|r| r.stops.len()).sum()
    }
    /// What should be known about them.
    pub fn notices(&self) -> Vec<Problem> {
        let left = |why| self.day.left.iter().filter(|l| l.why == why).count();
        let waiting: usize = self.due.iter().filter(|b| !b.trees.is_empty()).map(|b| b.not_asked).sum();
        let told = |n: usize, what: &str, remedy: &str| {
            (n > 0).then(|| Problem::notice("R-010", format!("{n} {what}"), remedy))
        };
        let all = [
            told(left(Why::NobodyMay), "trees stand where no team that is there may work.", "Send a team that may."),
            told(
                left(Why::NoTime),
                "trees are left: the teams have no time or material for more.",
                "Take them first tomorrow, or find another team.",
            ),
            told(
                self.day.cut_off,
                "places (trees, starts, ends) are not joined to most of the streets.",
                "Their ways are straight lines times the detour. Look at the layer: streets meet where they share a corner.",
            ),
            told(waiting, "private trees are left out: their owners were not asked or have not answered.", "Ask them."),
        ];
        all.into_iter().flatten().collect()
    }
}

/// The tactic whose blocks a kind of work goes to.
pub fn tactic_of(work: RoundWork) -> Tactic {
    if work.is_scraping() { Tactic::Scraping } else { Tactic::Bands }
}

/// Rounds for the blocks of a plan. Rounds kept for the day before are what the search starts from.
///
/// # Errors
/// When there is no team, a team named is not there, nothing is due, or there are too many trees.
pub fn make(
    records: &Records,
    blocks: &[BlockId],
    timing: Option<&Timing>,
    wanted: &Wanted,
    go_on: &mut dyn FnMut(f64) -> bool,
) -> Result<RoundsMade, Trouble> {
    let away = wanted.without.iter().map(|n| teams::named(records, n)).collect::<Result<Vec<_>, _>>()?;
    let there: Vec<Team> = records.teams.iter().filter(|t| !away.contains(&t.name)).cloned().collect();
    if there.is_empty() {
        let what = "There is no team to go round.";
        return Err(Trouble::one(Problem::error("R-003", what, "Add a team, or bring a table of teams in.")));
    }
    let setting = Setting { today: wanted.date, seed: wanted.seed, draws: 1 };
    let due = due(records, blocks, wanted.work, timing, &setting);
    if due.iter().all(|b| b.trees.is_empty()) {
        return Err(nothing_due(&due, wanted));
    }
    let day = day_task(records, &due, &there, wanted.work, wanted.date).map_err(too_many)?;
    let before: Vec<Round> = kept(records, wanted.date, wanted.work).into_iter().cloned().collect();
    let start = (!before.is_empty()).then(|| day.routes_of(&before));
    let effort = Effort::for_stops(day.trees(), wanted.seed);
    let routes = search(&day.task, start.as_ref(), effort, go_on);
    // Whatever the search did, nothing leaves here that breaks an hour or a rule.
    if !faults(&day.task, &routes).is_empty() {
        let what = "The rounds found break a rule of their day: a fault of the program.";
        return Err(Trouble::one(Problem::error("A-142", what, "Report it with the programme file.")));
    }
    let day = day.rounds(&routes);
    let hands = |rounds: &[Round]| -> BTreeMap<TreeId, String> {
        rounds.iter().flat_map(|r| r.stops.iter().map(|s| (s.tree.clone(), r.team.clone()))).collect()
    };
    let (old, new) = (hands(&before), hands(&day.rounds));
    let changed = new.iter().filter(|(tree, team)| old.get(*tree).is_some_and(|t| t != *team)).count();
    Ok(RoundsMade {
        date: wanted.date,
        work: wanted.work,
        due,
        day,
        changed_hands: (!before.is_empty()).then_some(changed),
    })
}

fn nothing_due(due: &[BlockDue], wanted: &Wanted) -> Trouble {
    let what = format!("Nothing is due on {} for \"{}\".", wanted.date, wanted.work);
    let mut reasons: Vec<String> = due.iter().map(|b| b.because.clone()).collect();
    reasons.sort();
    reasons.dedup();
    let remedy = match reasons.as_slice() {
        [] => "The plan has no block for it.".to_owned(),
        reasons => reasons.join(" "),
    };
    Trouble::one(Problem::error("R-004", what, remedy))
}

fn too_many(trees: usize) -> Trouble {
    let what = format!("{trees} trees are due: too many to be shared out at once.");
    Trouble::one(
        Problem::error("R-005", what, "Serve fewer blocks, or on fewer days.")
            .expected(format!("at most {MOST_TREES}")),
    )
}

/// Keeps rounds: those kept before for the same day and work give way.
///
/// # Errors
/// When the file cannot be changed.
pub fn keep(path: &Path, made: &RoundsMade, by: By<'_>) -> Result<Done, Trouble> {
    act(path, by, |records| {
        records.rounds.retain(|r| r.date != made.date || r.work != made.work);
        records.rounds.extend(made.day.rounds.iter().cloned());
        records.rounds.sort_by(|a, b| (a.date, a.work, &a.team).cmp(&(b.date, b.work, &b.team)));
        let what = format!(
            "rounds of {} kept, {}: {} trees, {} teams",
            made.date,
            made.work,
            made.trees(),
            made.day.rounds.len()
        );
        Ok(Done::new(what, made.date.to_string()).with(made.notices()))
    })
}

/// Rounds kept for a day and work.
pub fn kept(records: &Records, date: Date, work: RoundWork) -> Vec<&Round> {
    records.rounds.iter().filter(|r| r.date == date && r.work == work).collect()
}

/// Each team's trees in order as GPX, by file name.
///
/// # Errors
/// When places cannot be written in longitude and latitude.
pub fn gpx(rounds: &[&Round], records: &Records) -> Result<Vec<(String, Vec<u8>)>, Trouble> {
    let to = ToLonLat::new(records.programme.epsg)?;
    let places: BTreeMap<&TreeId, &Tree> = records.trees.iter().map(|t| (&t.id, t)).collect();
    let stop = |work: RoundWork, (i, stop): (usize, &RoundStop)| {
        let tree = places.get(&stop.tree)?;
        Some(PlaceToGo {
            name: format!("{:03} {}", i + 1, stop.tree),
            note: format!("{}, about {}", tree.species, stop.at.strftime("%H:%M")),
            kind: work.word().to_owned(),
            place: to.place(tree.place)?,
        })
    };
    let file = |round: &&Round| {
        let stops: Vec<PlaceToGo> = round.stops.iter().enumerate().filter_map(|s| stop(round.work, s)).collect();
        let plain: String = round.team.chars().map(|c| if c.is_alphanumeric() { c } else { '-' }).collect();
        let text = places_to_gpx(&stops).map_err(|e| Trouble::one(Problem::error("A-002", e, "")))?;
        Ok((format!("round-{}-{plain}.gpx", round.date), text))
    };
    rounds.iter().map(file).collect()
}
