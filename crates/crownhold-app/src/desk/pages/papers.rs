//! Papers: what can be printed, and of which plan.

use std::sync::Arc;

use askama::Template;
use axum::extract::{Path, Query, State};
use axum::http::header::{CONTENT_DISPOSITION, CONTENT_TYPE};
use axum::response::IntoResponse;
use crownhold::types::{BlockId, Problem, Tactic};
use crownhold_print::wording::count;
use serde::Deserialize;

use crate::actions::aerial::aerial;
use crate::actions::papers::{
    application_pdf, crew_sheets_pdf, flight_packet_pdf, ground_sheets_pdf, letter_pdf, season_dates_pdf,
    season_plan_pdf,
};
use crate::actions::plans::stale;
use crate::actions::survey_work::to_count;
use crate::clock;
use crate::desk::shell::{Answer, Place, Refused, Shell, Visit, page};
use crate::desk::state::{Desk, Season, off};
use crate::trouble::Trouble;

#[derive(Template)]
#[template(path = "papers.html")]
struct PapersPage {
    shell: Shell,
    plans: Vec<PaperLine>,
    dates: bool,
    /// Is there a density to sum up, and plots that wait?
    counted: bool,
    waiting: bool,
    /// Does the current plan spray from the ground?
    ground: bool,
}

/// One plan that can be printed.
struct PaperLine {
    id: i64,
    name: String,
    made: String,
    stale: usize,
}

pub async fn show(visit: Visit) -> Answer {
    let season = &visit.season;
    let line = |k: &crate::actions::plans::Kept| PaperLine {
        id: k.id,
        name: k.name.clone(),
        made: clock::local(&k.made_at),
        stale: stale(&season.history, k),
    };
    page(&PapersPage {
        shell: visit.shell(Place::Papers, "Papers"),
        plans: season.plans.iter().rev().map(line).collect(),
        dates: season.dates().is_ok(),
        counted: season.stages.is_ok(),
        waiting: !to_count(&season.records).is_empty(),
        ground: !sprayed_from_the_ground(season).is_empty(),
    })
}

/// The dates of the season, as a PDF.
pub async fn season_dates(visit: Visit) -> Answer {
    let season = Arc::clone(&visit.season);
    let pdf = off(move || {
        let timing = season.dates().map_err(|problems| Trouble::from(problems.to_vec()))?;
        season_dates_pdf(timing, &season.records)
    })
    .await?;
    Ok(inline(pdf, "season-dates").into_response())
}

/// Crew sheets of the current plan.
pub async fn bands(visit: Visit) -> Answer {
    crews(visit, Tactic::Bands, "band-sheets").await
}

/// The same for scraping.
pub async fn scraping(visit: Visit) -> Answer {
    crews(visit, Tactic::Scraping, "scraping-sheets").await
}

/// Crew sheets of ground sprays, of the current plan.
pub async fn ground(visit: Visit) -> Answer {
    let season = Arc::clone(&visit.season);
    let blocks = sprayed_from_the_ground(&season);
    if blocks.is_empty() {
        return Err(Refused::missing("The plan sprays nothing from the ground, so there are no sheets to print."));
    }
    let pdf = off(move || ground_sheets_pdf(&blocks, &season.records, season.timing(), season.today)).await?;
    Ok(inline(pdf, "ground-sheets").into_response())
}

fn sprayed_from_the_ground(season: &Season) -> Vec<BlockId> {
    let orders = season.current().map(|(_, work)| work.orders.as_slice()).unwrap_or_default();
    orders.iter().filter(|o| o.tactic == Tactic::GroundBtk).map(|o| o.block.clone()).collect()
}

async fn crews(visit: Visit, tactic: Tactic, name: &str) -> Answer {
    let season = Arc::clone(&visit.season);
    let orders = season.current().map(|(_, work)| work.orders.as_slice()).unwrap_or_default();
    let work: Vec<_> = orders.iter().filter(|o| o.tactic == tactic).map(|o| (o.block.clone(), o.hours)).collect();
    if work.is_empty() {
        return Err(Refused::missing(format!("The plan has no {tactic}, so there are no sheets to print.")));
    }
    let pdf = off(move || crew_sheets_pdf(tactic, &work, &season.records, season.timing(), season.today)).await?;
    Ok(inline(pdf, name).into_response())
}

/// One version of an application record.
pub async fn application(visit: Visit, Path((id, version)): Path<(String, u32)>) -> Answer {
    let season = Arc::clone(&visit.season);
    let mut all = season.records.log.applications.iter();
    let record = all.find(|a| a.id.as_str() == id && a.version == version).cloned();
    let record = record.ok_or_else(|| Refused::missing("There is no such version of an application record."))?;
    let pdf = off(move || application_pdf(&record, &season.records, season.today)).await?;
    Ok(inline(pdf, &format!("application-record-{version}")).into_response())
}

/// The packet for the aerial contractor.
pub async fn flights(visit: Visit) -> Answer {
    let season = Arc::clone(&visit.season);
    let pdf = off(move || {
        let (made, _) = season
            .current()
            .ok_or_else(|| Trouble::one(Problem::error("A-232", "There is no plan yet.", "Make one first.")))?;
        let job = aerial(&made.plan, &season.records, season.timing())?;
        flight_packet_pdf(&job, &season.records, season.today)
    })
    .await?;
    Ok(inline(pdf, "aerial-job").into_response())
}

/// A language to print in.
#[derive(Deserialize)]
pub struct Tongue {
    #[serde(default)]
    lang: String,
}

/// Letter and door card of the flights.
pub async fn letters(visit: Visit, Query(tongue): Query<Tongue>) -> Answer {
    let season = Arc::clone(&visit.season);
    let flown = super::field::flown(&season);
    if flown.is_empty() {
        return Err(Refused::missing("The plan flies no block, so there is nothing to tell."));
    }
    let pdf = off(move || letter_pdf(&tongue.lang, &flown, &season.records, season.timing(), season.today)).await?;
    Ok(inline(pdf, "notice").into_response())
}

/// A PDF to be shown in the browser.
pub(super) fn inline(pdf: Vec<u8>, name: &str) -> impl IntoResponse + use<> {
    let name = format!("inline; filename=\"{name}.pdf\"");
    ([(CONTENT_TYPE, "application/pdf".to_owned()), (CONTENT_DISPOSITION, name)], pdf)
}

/// The season plan of one kept plan, as a PDF.
pub async fn season_plan(State(desk): State<Arc<Desk>>, Path(id): Path<i64>) -> Answer {
    let season = desk.season().await?;
    let kept = season.kept(Some(id)).ok_or_else(|| Refused::missing("There is no plan of that number."))?.clone();
    let later = stale(&season.history, &kept);
    if later > 0 {
        // Its densities and dates would be today's and its choices yesterday's.
        let what = format!(
            "The programme was changed after the plan \"{}\" was made ({}); a paper of it would mix old and new figures.",
            kept.name,
            count(later, "change", "changes")
        );
        let problem = Problem::error("A-148", what, "Make the plan again and print that one, or undo the changes.");
        return Err(Trouble::one(problem).into());
    }
    let pdf = off(move || season_plan_pdf(&season.made(&kept)?, &season.records, season.fresh.get())).await?;
    Ok(inline(pdf, &format!("season-plan-{id}")).into_response())
}
