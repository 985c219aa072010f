//! The plan tried on seasons that go wrong.

use std::sync::Arc;

use askama::Template;
use axum::response::{IntoResponse as _, Redirect};
use crownhold_print::wording::{Wording, grouped};

use crate::actions::stress::{StressTest, expected, stress};
use crate::desk::shell::{Answer, Place, Shell, Visit, page};

#[derive(Template)]
#[template(path = "stress.html")]
struct StressPage {
    shell: Shell,
    test: Option<View>,
    can: bool,
}

struct View {
    lead: String,
    unit: &'static str,
    rows: Vec<Row>,
}

struct Row {
    happens: String,
    mean: String,
    more: String,
    worst: String,
    /// Share of what doing nothing would leave, for a bar, in per cent.
    width: f64,
    undone: String,
}

pub async fn show(visit: Visit) -> Answer {
    let season = &visit.season;
    let found = visit.desk.stress.of(season);
    page(&StressPage {
        test: found.as_ref().map(|t| view(t, season.wording())),
        can: season.stages.is_ok(),
        shell: visit.shell(Place::Plan, "If the season goes wrong"),
    })
}

fn view(test: &StressTest, w: Wording) -> View {
    let whole = test.untreated.as_square_metres().max(1.0);
    let width = |a: crownhold::types::Area| (100.0 * a.as_square_metres() / whole).clamp(0.0, 100.0);
    let mut rows = vec![Row {
        happens: "as forecast".to_owned(),
        mean: expected(&test.forecast, w),
        more: String::new(),
        worst: w.bare_area(test.forecast.worst_tenth),
        width: width(test.forecast.mean),
        undone: String::new(),
    }];
    rows.extend(test.tried.iter().map(|t| {
        let cells = t.cells(w);
        let blocks: Vec<String> = t.undone.iter().map(ToString::to_string).collect();
        let undone = if blocks.is_empty() { String::new() } else { format!("{}: {}", cells.undone, blocks.join(", ")) };
        Row {
            happens: t.happens.clone(),
            mean: cells.mean,
            more: cells.more,
            worst: cells.worst_tenth,
            width: t.harm.as_ref().map_or(0.0, |h| width(h.mean)),
            undone,
        }
    }));
    rows.push(Row {
        happens: "nothing done".to_owned(),
        mean: w.bare_area(test.untreated),
        more: String::new(),
        worst: String::new(),
        width: 100.0,
        undone: String::new(),
    });
    let lead = format!(
        "Favoured-tree canopy that loses more leaf than tolerated, on {} draws the plan was not made on. Each season goes wrong in \
         one way only.",
        grouped(test.draws as f64)
    );
    View { lead, unit: w.area_unit(), rows }
}

/// Starts the work; the page of the job shows how far it is.
pub async fn start(visit: Visit) -> Answer {
    let (season, desk) = (Arc::clone(&visit.season), Arc::clone(&visit.desk));
    let (id, _) = visit.desk.jobs.start(move |job| {
        let stages = Arc::clone(season.stages.as_ref().map_err(Clone::clone)?);
        job.at("Making the plan and trying it".to_owned(), 0.1);
        let test = stress(&stages, &season.records, &season.setting())?;
        desk.stress.keep(&season, test);
        Ok("/plan/stress".to_owned())
    });
    Ok(Redirect::to(&format!("/jobs/{id}")).into_response())
}
