//! The aerial job: spray blocks with their passes, loads and hours, and the files for the contractor.

use std::sync::Arc;

use askama::Template;
use axum::extract::{Path, Query};
use axum::http::header::{CONTENT_DISPOSITION, CONTENT_TYPE};
use axum::response::IntoResponse as _;
use crownhold::field::aerial::Sheet as JobSheet;
use crownhold::types::{Tactic, UnitSystem};
use crownhold_print::cautions;
use crownhold_print::charts::flight;
use crownhold_print::wording::{chance, count, grouped};
use serde::Deserialize;

use crate::actions::aerial::{Aerial, aerial, files};
use crate::desk::pages::picture::Picture;
use crate::desk::shell::{Answer, Place, ProblemLine, Refused, Shell, Visit, lines, page};
use crate::desk::state::{Season, off};
use crate::trouble::Trouble;

#[derive(Template)]
#[template(path = "field_flights.html")]
struct FlightsPage {
    shell: Shell,
    lead: String,
    caution: &'static str,
    rows: Vec<Row>,
    picture: Option<Picture>,
    shown: String,
    files: Vec<String>,
    notices: Vec<ProblemLine>,
}

struct Row {
    id: String,
    blocks: String,
    flights: u32,
    area: String,
    mix: String,
    heading: String,
    passes: usize,
    loads: u32,
    minutes: String,
}

/// The spray block drawn.
#[derive(Deserialize, Default)]
pub struct Asked {
    #[serde(default)]
    block: String,
}

fn made(season: &Season) -> Result<Aerial, Trouble> {
    let Some((made, _)) = season.current() else {
        let problem = crownhold::types::Problem::error("A-232", "There is no plan yet.", "Make one first.");
        return Err(Trouble::one(problem));
    };
    aerial(&made.plan, &season.records, season.timing())
}

pub async fn show(visit: Visit, Query(asked): Query<Asked>) -> Answer {
    let season = Arc::clone(&visit.season);
    let (job, files) = off(move || {
        let made = made(&season);
        let names = made.as_ref().ok().and_then(|m| files(m, &season.records).ok()).unwrap_or_default();
        (made, names.into_iter().map(|(name, _)| name).collect::<Vec<_>>())
    })
    .await;
    let season = &visit.season;
    let sheets = job.as_ref().map(|j| j.job.sheets.as_slice()).unwrap_or_default();
    let drawn = sheets.iter().find(|s| s.block.id == asked.block).or(sheets.first());
    page(&FlightsPage {
        lead: job.as_ref().map(lead).unwrap_or_default(),
        caution: cautions::of(Tactic::AerialOnce),
        rows: sheets.iter().map(|s| row(season, s)).collect(),
        picture: drawn.map(|s| Picture::of(season, "flight", |sheet| flight(s, sheet))),
        shown: drawn.map(|s| s.block.id.clone()).unwrap_or_default(),
        files,
        notices: match &job {
            Ok(job) => lines(&job.notices),
            Err(trouble) => lines(&trouble.problems),
        },
        shell: visit.shell(Place::Field, "Flights"),
    })
}

fn lead(made: &Aerial) -> String {
    let job = &made.job;
    let known = match made.chance() {
        Some(p) => format!("The chance of as many in the window is {}.", chance(p)),
        None => "The chance of as many in the window is not known.".to_owned(),
    };
    format!(
        "{}, {:.1} hours with turns, ferry and loading: {} needed. {known}",
        count(job.sheets.len(), "spray block", "spray blocks"),
        job.hours.as_hours(),
        count(job.mornings as usize, "suitable morning is", "suitable mornings are"),
    )
}

fn row(season: &Season, s: &JobSheet) -> Row {
    let mix = match season.units() {
        UnitSystem::Us => format!("{} gal", grouped(s.mix.as_gallons())),
        UnitSystem::Metric => format!("{} L", grouped(s.mix.as_litres())),
    };
    Row {
        id: s.block.id.clone(),
        blocks: s.block.blocks.iter().map(ToString::to_string).collect::<Vec<_>>().join(", "),
        flights: s.block.flights,
        area: season.wording().area(s.area),
        mix,
        heading: format!("{:.0}°", s.heading),
        passes: s.passes.len(),
        loads: s.loads,
        minutes: format!("{:.0}", s.total().as_minutes()),
    }
}

/// One of the files for the contractor.
pub async fn file(visit: Visit, Path(name): Path<String>) -> Answer {
    let season = Arc::clone(&visit.season);
    let all = off(move || files(&made(&season)?, &season.records)).await?;
    let found = all.into_iter().find(|(own, _)| *own == name);
    let (name, bytes) = found.ok_or_else(|| Refused::missing("There is no such file."))?;
    let headers = [
        (CONTENT_TYPE, "application/octet-stream".to_owned()),
        (CONTENT_DISPOSITION, format!("attachment; filename=\"{name}\"")),
    ];
    Ok((headers, bytes).into_response())
}
