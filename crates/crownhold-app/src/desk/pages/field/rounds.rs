//! Rounds: which trees are due on a day, who goes to them in which order, and the teams that go.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use askama::Template;
use axum::extract::{Form, Path, Query};
use axum::http::StatusCode;
use axum::http::header::{CONTENT_DISPOSITION, CONTENT_TYPE};
use axum::response::{IntoResponse, Redirect};
use crownhold::Setting;
use crownhold::field::rounds::{BlockDue, due};
use crownhold::types::{Block, BlockId, Round, RoundWork, Team, Tree, TreeId, Workforce};
use crownhold_print::cautions;
use crownhold_print::maps::{RoundGround, RoundWay, rounds_map};
use crownhold_print::papers::ways_said;
use crownhold_print::wording::count;
use jiff::civil::{Date, Time};
use serde::Deserialize;

use super::form::Typed;
use super::planned;
use crate::actions::papers::round_sheets_pdf;
use crate::actions::rounds::{Wanted, gpx, keep, kept, make, tactic_of};
use crate::actions::{By, teams};
use crate::clock;
use crate::desk::pages::papers::inline;
use crate::desk::pages::picture::Picture;
use crate::desk::shell::{Answer, Place, Refused, Shell, Visit, page_with};
use crate::desk::state::{SEED, Season, off};

#[derive(Template)]
#[template(path = "field_rounds.html")]
struct RoundsPage {
    shell: Shell,
    caution: &'static str,
    day: String,
    day_words: String,
    work: &'static str,
    works: Vec<&'static str>,
    lead: String,
    rounds: Vec<RoundRow>,
    picture: Option<Picture>,
    ways: String,
    /// Trees that are due and on no round.
    left: String,
    due: Vec<DueRow>,
    teams: Vec<TeamRow>,
    shown: Option<RoundView>,
    form: Typed,
    whose: Vec<&'static str>,
}

struct RoundRow {
    number: usize,
    team: String,
    trees: usize,
    first: String,
    back: String,
    travel: String,
    way: String,
}

struct DueRow {
    block: String,
    trees: usize,
    because: String,
    not_asked: usize,
}

struct TeamRow {
    name: String,
    who: &'static str,
    people: u32,
    where_: String,
    hours: String,
    more: String,
}

/// One round, tree by tree.
struct RoundView {
    team: String,
    picture: Option<Picture>,
    stops: Vec<StopRow>,
}

struct StopRow {
    at: String,
    tree: String,
    block: String,
    species: String,
    trunk: String,
}

/// Which day, work and team.
#[derive(Deserialize, Default)]
pub struct Asked {
    #[serde(default)]
    day: String,
    #[serde(default)]
    work: String,
    #[serde(default)]
    team: String,
}

impl Asked {
    fn day(&self, season: &Season) -> Date {
        self.day.parse().unwrap_or(season.today)
    }
    fn work(&self) -> RoundWork {
        RoundWork::from_word(&self.work).unwrap_or(RoundWork::Serve)
    }
}

/// The address of a day's rounds.
fn href(day: Date, work: RoundWork) -> String {
    format!("/field/rounds?day={day}&work={}", work.word().replace(' ', "+"))
}

pub async fn show(visit: Visit, Query(asked): Query<Asked>) -> Answer {
    let form = Typed::filled([
        ("people", "2".to_owned()),
        ("from", "16:00".to_owned()),
        ("to", "20:00".to_owned()),
        ("who", Workforce::Volunteers.word().to_owned()),
    ]);
    render(&visit, StatusCode::OK, &asked, form)
}

fn render(visit: &Visit, status: StatusCode, asked: &Asked, form: Typed) -> Answer {
    let season = &visit.season;
    let (day, work) = (asked.day(season), asked.work());
    let rounds = kept(&season.records, day, work);
    let numbered: Vec<(usize, &Round)> = rounds.iter().enumerate().map(|(i, r)| (i + 1, *r)).collect();
    let due = due_on(season, day, work);
    let w = season.wording();
    page_with(
        status,
        &RoundsPage {
            caution: cautions::of(tactic_of(work)),
            day: day.to_string(),
            day_words: w.date(day),
            work: work.word(),
            works: RoundWork::ALL.iter().map(|w| w.word()).collect(),
            lead: lead(&rounds, &due, season),
            rounds: numbered.iter().map(|(i, r)| row(*i, r, season)).collect(),
            picture: picture("rounds", &numbered, season),
            ways: ways_said(&season.records),
            left: left(&rounds, &due),
            due: due.iter().map(due_row).collect(),
            teams: season.records.teams.iter().map(team_row).collect(),
            shown: numbered.iter().find(|(_, r)| r.team == asked.team).map(|one| view(*one, season)),
            form,
            whose: Workforce::ALL.iter().map(|w| w.word()).collect(),
            shell: visit.shell(Place::Field, "Rounds"),
        },
    )
}

fn due_on(season: &Season, day: Date, work: RoundWork) -> Vec<BlockDue> {
    let blocks = planned(season, tactic_of(work));
    let setting = Setting { today: day, seed: SEED, draws: 1 };
    due(&season.records, &blocks, work, season.timing(), &setting)
}

fn lead(rounds: &[&Round], due: &[BlockDue], season: &Season) -> String {
    let trees: usize = due.iter().map(|b| b.trees.len()).sum();
    let blocks = due.iter().filter(|b| !b.trees.is_empty()).count();
    let to_do = match (trees, due.is_empty()) {
        (0, true) => "The plan has no block for this work.".to_owned(),
        (0, false) => "No tree is due; the table says why.".to_owned(),
        _ => format!("{} due in {}.", count(trees, "tree is", "trees are"), count(blocks, "block", "blocks")),
    };
    if rounds.is_empty() {
        return format!("{to_do} No rounds are made yet.");
    }
    let going: usize = rounds.iter().map(|r| r.stops.len()).sum();
    let back = rounds.iter().map(|r| r.back).max().map_or(String::new(), clock_words);
    let idle = season.records.teams.len().saturating_sub(rounds.len());
    let rest = if idle > 0 {
        format!(" {} not needed or not there.", count(idle, "team is", "teams are"))
    } else {
        String::new()
    };
    format!(
        "{to_do} {} to {}; the last is back about {back}.{rest}",
        count(rounds.len(), "team goes", "teams go"),
        count(going, "tree", "trees"),
    )
}

fn clock_words(time: Time) -> String {
    time.strftime("%H:%M").to_string()
}

fn row(number: usize, r: &Round, season: &Season) -> RoundRow {
    RoundRow {
        number,
        team: r.team.clone(),
        trees: r.stops.len(),
        first: r.stops.first().map_or(String::new(), |s| clock_words(s.at)),
        back: clock_words(r.back),
        travel: format!("{:.0} min", r.travel.as_minutes()),
        way: season.wording().way(r.way),
    }
}

fn trees(season: &Season) -> BTreeMap<&TreeId, &Tree> {
    season.records.trees.iter().map(|t| (&t.id, t)).collect()
}

/// Of more than one round over the whole city, of one by itself.
fn picture(id: &str, rounds: &[(usize, &Round)], season: &Season) -> Option<Picture> {
    if rounds.is_empty() {
        return None;
    }
    let places = trees(season);
    let on: Vec<Vec<&Tree>> =
        rounds.iter().map(|(_, r)| r.stops.iter().filter_map(|s| places.get(&s.tree).copied()).collect()).collect();
    let held: BTreeSet<&BlockId> = on.iter().flatten().filter_map(|t| t.block.as_ref()).collect();
    let blocks: Vec<&Block> = season.records.blocks.iter().filter(|b| held.contains(&b.id)).collect();
    let way = |((number, _), trees): (&(usize, &Round), &Vec<&Tree>)| RoundWay {
        number: *number,
        trees: trees.iter().map(|t| t.place).collect(),
    };
    let ways: Vec<RoundWay> = rounds.iter().zip(&on).map(way).collect();
    let around: Vec<&Block> = if rounds.len() > 1 { season.records.blocks.iter().collect() } else { Vec::new() };
    // Over the whole city streets are only noise.
    let streets = if around.is_empty() { season.records.streets.as_slice() } else { &[] };
    let ground = RoundGround { held: &blocks, around: &around, streets };
    Some(Picture::of(season, id, |sheet| rounds_map(ground, &ways, "Rounds from tree to tree", sheet)))
}

/// Trees that are due and on no round, once rounds are made.
fn left(rounds: &[&Round], due: &[BlockDue]) -> String {
    if rounds.is_empty() {
        return String::new();
    }
    let on: BTreeSet<&TreeId> = rounds.iter().flat_map(|r| r.stops.iter().map(|s| &s.tree)).collect();
    let missing = |b: &BlockDue| b.trees.iter().filter(|t| !on.contains(&t.tree)).count();
    let by_block: Vec<(usize, String)> =
        due.iter().map(|b| (missing(b), b.block.to_string())).filter(|m| m.0 > 0).collect();
    let all: usize = by_block.iter().map(|m| m.0).sum();
    if all == 0 {
        return String::new();
    }
    let where_: Vec<String> = by_block.iter().map(|(n, block)| format!("{n} in {block}")).collect();
    format!(
        "{} on no round: {}. Nobody who is there may work there, or the time is up. Send another team, or take them first next time.",
        count(all, "tree that is due is", "trees that are due are"),
        where_.join(", ")
    )
}

fn due_row(b: &BlockDue) -> DueRow {
    DueRow { block: b.block.to_string(), trees: b.trees.len(), because: b.because.clone(), not_asked: b.not_asked }
}

fn team_row(t: &Team) -> TeamRow {
    let place = |id: &Option<BlockId>| id.as_ref().map(ToString::to_string);
    let from_to = match (place(&t.starts), place(&t.ends)) {
        (Some(a), Some(b)) if a == b => format!("from and back to {a}"),
        (Some(a), Some(b)) => format!("from {a} to {b}"),
        (Some(a), None) => format!("from {a}"),
        (None, Some(b)) => format!("to {b}"),
        (None, None) => String::new(),
    };
    let mut more = Vec::new();
    if t.ladder {
        more.push("ladders".to_owned());
    }
    more.extend(t.most.map(|m| format!("at most {m} trees")));
    if !t.note.is_empty() {
        more.push(t.note.clone());
    }
    let stays = t.neighbourhood.clone().unwrap_or_else(|| "anywhere".to_owned());
    TeamRow {
        name: t.name.clone(),
        who: t.who.word(),
        people: t.people,
        where_: if from_to.is_empty() { stays } else { format!("{stays}, {from_to}") },
        hours: format!("{} to {}", clock_words(t.from), clock_words(t.to)),
        more: more.join(", "),
    }
}

fn view((number, r): (usize, &Round), season: &Season) -> RoundView {
    let places = trees(season);
    let w = season.wording();
    let stop = |s: &crownhold::types::RoundStop| {
        let tree = places.get(&s.tree);
        StopRow {
            at: clock_words(s.at),
            tree: s.tree.to_string(),
            block: tree.and_then(|t| t.block.as_ref()).map(ToString::to_string).unwrap_or_default(),
            species: tree.map(|t| t.species.clone()).unwrap_or_default(),
            trunk: tree.and_then(|t| t.dbh).map_or("?".to_owned(), |l| w.trunk(l)),
        }
    };
    RoundView {
        team: r.team.clone(),
        picture: picture("round-map", &[(number, r)], season),
        stops: r.stops.iter().map(stop).collect(),
    }
}

/// Makes the rounds of a day and keeps them; the page of the job shows how far it is.
pub async fn start(visit: Visit, Form(typed): Form<BTreeMap<String, String>>) -> Answer {
    let typed_word = |name: &str| typed.get(name).cloned().unwrap_or_default();
    let asked = Asked { day: typed_word("day"), work: typed_word("work"), team: String::new() };
    let (day, work) = (asked.day(&visit.season), asked.work());
    let without: Vec<String> =
        typed.iter().filter(|(name, _)| name.starts_with("away-")).map(|(_, team)| team.clone()).collect();
    let (season, desk, author) = (Arc::clone(&visit.season), Arc::clone(&visit.desk), visit.author().to_owned());
    let (id, _) = visit.desk.jobs.start(move |job| {
        let blocks = planned(&season, tactic_of(work));
        let wanted = Wanted { date: day, work, without, seed: SEED };
        let made = make(&season.records, &blocks, season.timing(), &wanted, &mut |share| {
            job.at("Making the rounds", share);
            !job.is_to_stop()
        })?;
        keep(desk.path(), &made, By::new(&author, &clock::now()))?;
        Ok(href(day, work))
    });
    Ok(Redirect::to(&format!("/jobs/{id}")).into_response())
}

/// The sheets of a day's rounds.
pub async fn sheets(visit: Visit, Query(asked): Query<Asked>) -> Answer {
    let season = Arc::clone(&visit.season);
    let (day, work) = (asked.day(&season), asked.work());
    let pdf = off(move || {
        let rounds = kept(&season.records, day, work);
        round_sheets_pdf(&rounds, &season.records, season.today)
    })
    .await?;
    Ok(inline(pdf, &format!("rounds-{day}")).into_response())
}

/// A team's trees as GPX.
pub async fn file(visit: Visit, Path(team): Path<String>, Query(asked): Query<Asked>) -> Answer {
    let season = &visit.season;
    let rounds = kept(&season.records, asked.day(season), asked.work());
    let own: Vec<&Round> = rounds.into_iter().filter(|r| r.team == team).collect();
    let (name, bytes) = gpx(&own, &season.records)?.pop().ok_or_else(|| Refused::missing("There is no such round."))?;
    let headers = [
        (CONTENT_TYPE, "application/gpx+xml".to_owned()),
        (CONTENT_DISPOSITION, format!("attachment; filename=\"{name}\"")),
    ];
    Ok((headers, bytes).into_response())
}

/// Adds a team, or puts other values in the place of the one of that name.
pub async fn put_team(visit: Visit, Form(typed): Form<BTreeMap<String, String>>) -> Answer {
    let mut form = Typed::of(typed);
    let (people, most) = (form.count("people"), form.count("most"));
    let [from, to] = ["from", "to"].map(|name| form.time_of_day(name));
    let optional = |text: String| (!text.is_empty()).then_some(text);
    let (Some(from), Some(to), false) = (from, to, form.is_wrong()) else {
        return render(&visit, StatusCode::UNPROCESSABLE_ENTITY, &Asked::default(), form);
    };
    let team = Team {
        name: form.text("name"),
        who: Workforce::from_word(form.value("who")).unwrap_or(Workforce::Volunteers),
        people,
        neighbourhood: optional(form.text("neighbourhood")),
        starts: optional(form.text("starts")).map(BlockId::new),
        ends: optional(form.text("ends")).map(BlockId::new),
        from,
        to,
        ladder: !form.value("ladder").is_empty(),
        most: (most > 0).then_some(most),
        note: form.text("note"),
    };
    match super::run(&visit, move |path, by| teams::put(path, &team, by)).await {
        Ok(done) => Ok(visit.done_with(done, "/field/rounds").await),
        Err(trouble) if form.take(&trouble.problems) => {
            render(&visit, StatusCode::UNPROCESSABLE_ENTITY, &Asked::default(), form)
        }
        Err(trouble) => Err(trouble.into()),
    }
}

pub async fn remove_team(visit: Visit, Path(name): Path<String>) -> Answer {
    let done = super::run(&visit, move |path, by| teams::remove(path, &name, by)).await?;
    Ok(visit.done_with(done, "/field/rounds").await)
}
