//! What keeping something back for spring is worth.

use std::sync::Arc;

use askama::Template;
use axum::extract::Path;
use axum::response::{IntoResponse as _, Redirect};
use crownhold_print::wording::Wording;

use super::frontier::keep_as;
use crate::actions::plan::Wishes;
use crate::actions::reserve::{ReserveTest, policy_words, reserve};
use crate::desk::shell::{Answer, Place, Refused, Shell, Visit, page};

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
    /// Its number among the ways tried, to keep its plan by.
    number: Option<usize>,
    /// What is saved, for a bar to the left or right of none; nothing in the first line.
    bar: Option<Bar>,
    is_best: bool,
}

/// A bar on a line from -50 to 50.
struct Bar {
    from: f64,
    width: f64,
    /// Ends of the error.
    error: (f64, f64),
    is_less: bool,
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
    // Saved and its error, square metres.
    let saved: Vec<(f64, f64)> = test.tried.iter().map(|t| (-t.harm.more.0, t.harm.more.1)).collect();
    let most = saved.iter().map(|(s, e)| s.abs() + 2.0 * e).fold(1.0, f64::max);
    let place = |m2: f64| (50.0 * m2 / most * 10.0).round() / 10.0;
    let bar = |(s, e): (f64, f64)| Bar {
        from: place(s.min(0.0)),
        width: place(s.abs()),
        error: (place(s - 2.0 * e), place(s + 2.0 * e)),
        is_less: s < 0.0,
    };
    let bars = std::iter::once(None).chain(saved.into_iter().map(|s| Some(bar(s))));
    let best = test.best.map(|(at, ..)| at + 1);
    let rows = test.lines(w).into_iter().zip(bars).enumerate();
    let rows =
        rows.map(|(at, (cells, bar))| Row { cells, number: (at > 0).then_some(at), bar, is_best: best == Some(at) });
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

/// Keeps February's plan of one of the ways.
pub async fn pick(visit: Visit, Path(number): Path<usize>) -> Answer {
    let gone = || Refused::missing("This was tried for an earlier state of the programme. Try it again.");
    let test = visit.desk.reserve.of(&visit.season).ok_or_else(gone)?;
    let way = number.checked_sub(1).and_then(|at| test.tried.get(at)).ok_or_else(gone)?;
    keep_as(visit, policy_words(way.policy), way.plan.clone(), Wishes::default()).await
}
