//! What keeping something back for spring is worth.

use std::sync::Arc;

use askama::Template;
use axum::response::{IntoResponse as _, Redirect};
use crownhold_print::wording::Wording;

use crate::actions::reserve::{ReserveTest, reserve};
use crate::desk::shell::{Answer, Place, Shell, Visit, page};

#[derive(Template)]
#[template(path = "reserve.html")]
struct ReservePage {
    shell: Shell,
    test: Option<View>,
    can: bool,
}

struct View {
    verdict: String,
    springs: usize,
    error: String,
    unit: &'static str,
    rows: Vec<Row>,
}

struct Row {
    cells: [String; 6],
    /// Share of what promising everything leaves, for a bar, in per cent.
    width: f64,
    is_best: bool,
}

pub async fn show(visit: Visit) -> Answer {
    let season = &visit.season;
    let found = visit.desk.reserve.of(season);
    page(&ReservePage {
        test: found.as_ref().map(|t| view(t, season.wording())),
        can: season.stages.is_ok(),
        shell: visit.shell(Place::Plan, "Kept back for spring"),
    })
}

fn view(test: &ReserveTest, w: Wording) -> View {
    let whole = test.promised.mean.as_square_metres().max(1.0);
    let harms = std::iter::once(&test.promised).chain(test.tried.iter().map(|t| &t.harm));
    let best = test.best.map(|(at, ..)| at + 1);
    let rows = test.lines(w).into_iter().zip(harms).enumerate().map(|(at, (cells, harm))| Row {
        cells,
        width: (100.0 * harm.mean.as_square_metres() / whole).clamp(0.0, 100.0),
        is_best: best == Some(at),
    });
    View {
        verdict: test.verdict(w),
        springs: test.springs,
        error: format!("{:.1}", test.look_error.exp()),
        unit: w.area_unit(),
        rows: rows.collect(),
    }
}

/// Starts the work; the page of the job shows how far it is.
pub async fn start(visit: Visit) -> Answer {
    let (season, desk) = (Arc::clone(&visit.season), Arc::clone(&visit.desk));
    let (id, _) = visit.desk.jobs.start(move |job| {
        let stages = Arc::clone(season.stages.as_ref().map_err(Clone::clone)?);
        let told = |n: usize, of: usize| job.at(format!("{n} of {of} springs"), n as f64 / of.max(1) as f64);
        let test = reserve(&stages, &season.records, &season.setting(), &told)?;
        desk.reserve.keep(&season, test);
        Ok("/plan/reserve".to_owned())
    });
    Ok(Redirect::to(&format!("/jobs/{id}")).into_response())
}
