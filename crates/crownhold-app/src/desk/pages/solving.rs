//! Making a plan, with progress and a stop.

use std::sync::Arc;

use askama::Template;
use axum::Json;
use axum::extract::{Form, Path, State};
use axum::http::HeaderMap;
use axum::response::{IntoResponse as _, Redirect, Response};
use crownhold::plan::Aims;
use crownhold::types::{Area, Problem};
use crownhold_plan::Aim;
use crownhold_print::wording::{Wording, grouped};
use serde::Deserialize;

use crate::actions::plan::{Request, Wishes, make_from};
use crate::actions::plans::keep;
use crate::actions::progress::{Phase, Watcher};
use crate::clock;
use crate::desk::jobs::{self, Job};
use crate::desk::shell::{Answer, Place, Refused, Shell, Visit, page};
use crate::desk::state::{Desk, Season};
use crate::trouble::Trouble;
use crate::wire::PlanJson;

/// What the form asks for; empty fields take the programme's own.
#[derive(Deserialize, Default)]
pub struct Ask {
    #[serde(default)]
    name: String,
    #[serde(default)]
    budget: String,
    #[serde(default)]
    volunteer_hours: String,
    #[serde(default)]
    most_sprayed: String,
    #[serde(default)]
    accepted: String,
    /// "yes" when ticked.
    #[serde(default)]
    robust: String,
}

impl Ask {
    /// Wishes from what was typed; areas in the programme's unit, chances in percent.
    fn wishes(&self, season: &Season) -> Result<Wishes, Trouble> {
        let mut wrong = Vec::new();
        let mut number = |label: &str, text: &str| {
            let plain = text.trim().replace([',', ' ', '$', '%'], "");
            if plain.is_empty() {
                return None;
            }
            let value = plain.parse::<f64>().ok().filter(|v| v.is_finite() && *v >= 0.0);
            if value.is_none() {
                let what = format!("{label}: \"{text}\" is not a number from 0 up.");
                wrong.push(Problem::error("A-020", what, "Leave it empty to take the programme's own."));
            }
            value
        };
        let area = |v: f64| if season.wording().is_us() { v } else { Area::hectares(v).as_acres() };
        let wishes = Wishes {
            budget: number("Money", &self.budget),
            volunteer_hours: number("Volunteer hours", &self.volunteer_hours),
            max_sprayed_acres: number("Most area flown", &self.most_sprayed).map(area),
            accepted_chance: number("Accepted chance", &self.accepted).map(|p| p / 100.0),
            gap: None,
            robust: !self.robust.is_empty(),
        };
        wrong.extend(wishes.problems());
        if wrong.is_empty() { Ok(wishes) } else { Err(wrong.into()) }
    }
    /// The name to keep it under; without one, its place in the row.
    fn name(&self, season: &Season) -> String {
        let typed = self.name.trim();
        if typed.is_empty() { format!("plan {}", season.plans.len() + 1) } else { typed.to_owned() }
    }
}

/// Starts the work. A page with scripts watches it in place; one without goes to the page of the job.
pub async fn start(visit: Visit, headers: HeaderMap, Form(ask): Form<Ask>) -> Answer {
    let by_script = headers.contains_key("x-requested-with");
    let wishes = match ask.wishes(&visit.season).map_err(Refused::from) {
        Ok(wishes) => wishes,
        Err(refused) if by_script => return Ok(refused.as_json()),
        Err(refused) => return Err(refused),
    };
    let id = begin(&visit, wishes, ask.name(&visit.season));
    if by_script {
        let at = |end: &str| format!("/jobs/{id}/{end}");
        return Ok(Json(serde_json::json!({ "progress": at("events"), "stop": at("stop") })).into_response());
    }
    Ok(Redirect::to(&format!("/jobs/{id}")).into_response())
}

/// Begins to make a plan from the season at hand; gives the job's id.
pub fn begin(visit: &Visit, wishes: Wishes, name: String) -> String {
    let (season, desk) = (Arc::clone(&visit.season), Arc::clone(&visit.desk));
    let author = visit.author().to_owned();
    visit.desk.jobs.start(move |job| solve(&desk, &season, wishes, &name, &author, job)).0
}

fn solve(desk: &Desk, season: &Season, wishes: Wishes, name: &str, author: &str, job: &Job) -> Result<String, Trouble> {
    let stages = Arc::clone(season.stages.as_ref().map_err(Clone::clone)?);
    let tell = |phase: Phase| {
        let (words, share) = said(phase, season.wording());
        job.at(words, share);
    };
    let request = Request {
        wishes,
        start: season.current().map(|(made, _)| &made.plan),
        watcher: Watcher { tell: Some(&tell), stop: Some(&job.stop) },
        fresh: Some(&season.fresh),
        learned: Some(&season.learned),
    };
    job.at("Looking at the options", 0.05);
    let made = make_from(stages, &season.records, &season.setting(), &request)?;
    let json = PlanJson::new(&made, &season.records);
    let last_entry = season.history.last().map(|e| e.id);
    let id = keep(desk.path(), name, &json, last_entry, author, &clock::now())?;
    let before = season.plans.last().map(|k| k.id);
    Ok(before.map_or(format!("/plan?plan={id}"), |before| format!("/plan/compare?before={before}&now={id}")))
}

fn said(phase: Phase, w: Wording) -> (String, f64) {
    match phase {
        Phase::Counts => ("Reading the counts".to_owned(), 0.1),
        Phase::OutlookAndOptions => ("Working out the options".to_owned(), 0.2),
        Phase::Search(progress) => {
            let (aim, begun) = match progress.aim {
                Aim::Host => ("Saving crowns", 0.3),
                Aim::Sprayed => ("Spraying less", 0.55),
                Aim::Cost => ("Spending less", 0.75),
            };
            let gap = progress.gap().map(|g| format!(", proven to {:.2} %", 100.0 * g)).unwrap_or_default();
            (format!("{aim}{gap}.{}", progress.so_far.map(|s| so_far(&s, w)).unwrap_or_default()), begun)
        }
        Phase::MeasuringAgain => ("Measuring the risk again on fresh draws".to_owned(), 0.9),
    }
}

/// The plan that a stop would give.
fn so_far(reached: &Aims, w: Wording) -> String {
    let beyond = w.area(reached.host_beyond_accepted);
    let (flown, money) = (w.area(reached.sprayed), grouped(reached.cost.as_dollars()));
    format!(" Best plan so far: {beyond} of canopy beyond the accepted chances, {flown} flown, ${money}.")
}

#[derive(Template)]
#[template(path = "job.html")]
struct JobPage {
    shell: Shell,
    id: String,
    phase: String,
    percent: u32,
    problems: Vec<String>,
}

/// How far it is, for a browser without scripts.
pub async fn show(visit: Visit, Path(id): Path<String>) -> Answer {
    let job = visit.desk.jobs.get(&id).ok_or_else(gone)?;
    let state = job.state();
    if state.problems.is_empty() {
        visit.pass_on().await;
    }
    if let Some(href) = state.href {
        return Ok(Redirect::to(&href).into_response());
    }
    page(&JobPage {
        shell: visit.shell(Place::Plan, "Making the plan"),
        id,
        phase: state.phase,
        percent: (100.0 * state.share) as u32,
        problems: state.problems,
    })
}

/// How far it is, as events.
pub async fn events(State(desk): State<Arc<Desk>>, Path(id): Path<String>) -> Result<Response, Refused> {
    let job = desk.jobs.get(&id).ok_or_else(gone)?;
    Ok(jobs::watched(&job).into_response())
}

/// Stops it; the best plan so far is kept.
pub async fn stop(State(desk): State<Arc<Desk>>, Path(id): Path<String>) -> Result<Response, Refused> {
    desk.jobs.get(&id).ok_or_else(gone)?;
    desk.jobs.stop(&id);
    Ok(Redirect::to(&format!("/jobs/{id}")).into_response())
}

fn gone() -> Refused {
    Refused::missing("That work is not going on any more.")
}
