//! Papers: what can be printed, and of which plan.

use std::sync::Arc;

use askama::Template;
use axum::extract::{Path, State};
use axum::http::header::{CONTENT_DISPOSITION, CONTENT_TYPE};
use axum::response::IntoResponse;
use crownhold::types::Problem;
use crownhold_print::wording::count;

use crate::actions::papers::{season_dates_pdf, season_plan_pdf};
use crate::actions::plans::stale;
use crate::clock;
use crate::desk::shell::{Answer, Place, Refused, Shell, Visit, page};
use crate::desk::state::{Desk, off};
use crate::trouble::Trouble;

#[derive(Template)]
#[template(path = "papers.html")]
struct PapersPage {
    shell: Shell,
    plans: Vec<PaperLine>,
    dates: bool,
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

/// A PDF to be shown in the browser.
fn inline(pdf: Vec<u8>, name: &str) -> impl IntoResponse + use<> {
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
    let pdf = off(move || season_plan_pdf(&season.made(&kept)?, &season.records)).await?;
    Ok(inline(pdf, &format!("season-plan-{id}")).into_response())
}
