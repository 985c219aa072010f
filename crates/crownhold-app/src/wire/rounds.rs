//! `rounds --json` and `teams --json`.

use crownhold::field::rounds::Why;
use crownhold::types::{BlockId, Round, Team};
use jiff::civil::Time;
use serde::Serialize;

use super::round as rounded;
use crate::actions::rounds::RoundsMade;

/// A team.
#[derive(Serialize, Debug)]
pub struct TeamJson {
    name: String,
    who: &'static str,
    people: u32,
    neighbourhood: Option<String>,
    starts: Option<String>,
    ends: Option<String>,
    from: String,
    to: String,
    ladder: bool,
    most: Option<u32>,
    note: String,
}

/// A day's rounds.
#[derive(Serialize, Debug)]
pub struct RoundsJson {
    date: String,
    work: &'static str,
    trees: usize,
    travel_minutes: f64,
    detour: f64,
    by_street: bool,
    changed_hands: Option<usize>,
    rounds: Vec<RoundJson>,
    left: Vec<LeftJson>,
    blocks: Vec<BlockJson>,
    caution: &'static str,
}

#[derive(Serialize, Debug)]
struct RoundJson {
    team: String,
    stops: Vec<StopJson>,
    back: String,
    travel_minutes: f64,
    way_m: f64,
}

#[derive(Serialize, Debug)]
struct StopJson {
    tree: String,
    at: String,
}

#[derive(Serialize, Debug)]
struct LeftJson {
    block: String,
    tree: String,
    why: &'static str,
}

#[derive(Serialize, Debug)]
struct BlockJson {
    block: String,
    trees: usize,
    not_asked: usize,
    because: String,
}

fn clock(time: Time) -> String {
    time.strftime("%H:%M").to_string()
}

impl From<&Team> for TeamJson {
    fn from(t: &Team) -> Self {
        Self {
            name: t.name.clone(),
            who: t.who.word(),
            people: t.people,
            neighbourhood: t.neighbourhood.clone(),
            starts: t.starts.as_ref().map(BlockId::to_string),
            ends: t.ends.as_ref().map(BlockId::to_string),
            from: clock(t.from),
            to: clock(t.to),
            ladder: t.ladder,
            most: t.most,
            note: t.note.clone(),
        }
    }
}

impl From<&Round> for RoundJson {
    fn from(r: &Round) -> Self {
        Self {
            team: r.team.clone(),
            stops: r.stops.iter().map(|s| StopJson { tree: s.tree.to_string(), at: clock(s.at) }).collect(),
            back: clock(r.back),
            travel_minutes: rounded(r.travel.as_minutes()),
            way_m: rounded(r.way.as_metres()),
        }
    }
}

impl RoundsJson {
    /// With the caution of the work and the detour that ways were reckoned with.
    pub fn new(made: &RoundsMade, caution: &'static str, detour: f64) -> Self {
        let why = |why| match why {
            Why::NobodyMay => "no team that is there may work there",
            Why::NoTime => "no time or material left",
        };
        Self {
            date: made.date.to_string(),
            work: made.work.word(),
            trees: made.trees(),
            travel_minutes: rounded(made.day.travel.as_minutes()),
            detour,
            by_street: made.day.by_street,
            changed_hands: made.changed_hands,
            rounds: made.day.rounds.iter().map(RoundJson::from).collect(),
            left: made
                .day
                .left
                .iter()
                .map(|l| LeftJson { block: l.block.to_string(), tree: l.tree.to_string(), why: why(l.why) })
                .collect(),
            blocks: made
                .due
                .iter()
                .map(|b| BlockJson {
                    block: b.block.to_string(),
                    trees: b.trees.len(),
                    not_asked: b.not_asked,
                    because: b.because.clone(),
                })
                .collect(),
            caution,
        }
    }
}
