//! What a little more would buy.

use std::sync::Arc;

use askama::Template;
use axum::response::{IntoResponse as _, Redirect};
use crownhold_print::wording::grouped;

use crate::actions::worth::{MORE_HOURS, MORE_MONEY, Worths, worth};
use crate::desk::shell::{Answer, Place, Shell, Visit, page};
use crate::desk::state::Season;

#[derive(Template)]
#[template(path = "worth.html")]
struct WorthPage {
    shell: Shell,
    lead: String,
    money: String,
    hours: String,
    rows: Vec<(String, String)>,
    nothing: Vec<String>,
    can: bool,
}

pub async fn show(visit: Visit) -> Answer {
    let season = &visit.season;
    let found = visit.desk.worth.of(season);
    let bought = found.as_ref().map(|all| split(season, all)).unwrap_or_default();
    page(&WorthPage {
        lead: found.as_ref().map(|all| lead(season, all)).unwrap_or_default(),
        money: format!("${}", grouped(MORE_MONEY)),
        hours: grouped(MORE_HOURS),
        rows: bought.0,
        nothing: bought.1,
        can: season.stages.is_ok(),
        shell: visit.shell(Place::Plan, "What more would buy"),
    })
}

fn lead(season: &Season, all: &Worths) -> String {
    let w = season.wording();
    format!(
        "The plan as it is leaves {} of favoured-tree canopy beyond the accepted chances, flies {} and spends ${}.",
        w.area(all.now.aims.host_beyond_accepted),
        w.area(all.now.sprayed()),
        grouped(all.now.cost().as_dollars())
    )
}

/// What helps, with what it buys; and what does not.
fn split(season: &Season, all: &Worths) -> (Vec<(String, String)>, Vec<String>) {
    let w = season.wording();
    let (mut helps, mut nothing) = (Vec::new(), Vec::new());
    for worth in &all.all {
        match worth.buys(w) {
            Some(buys) => helps.push((worth.more.words(w), buys)),
            None => nothing.push(worth.more.words(w)),
        }
    }
    (helps, nothing)
}

/// Starts the work; the page of the job shows how far it is.
pub async fn start(visit: Visit) -> Answer {
    let (season, desk) = (Arc::clone(&visit.season), Arc::clone(&visit.desk));
    let (id, _) = visit.desk.jobs.start(move |job| {
        let stages = Arc::clone(season.stages.as_ref().map_err(Clone::clone)?);
        let told = |n: usize, of: usize| job.at(format!("{n} of {of} plans"), n as f64 / of.max(1) as f64);
        let all = worth(&stages, &season.records, &season.setting(), &told)?;
        desk.worth.keep(&season, all);
        Ok("/plan/worth".to_owned())
    });
    Ok(Redirect::to(&format!("/jobs/{id}")).into_response())
}
