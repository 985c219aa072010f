//! The public page, as the manager sets it, and what residents sent in.

use askama::Template;
use axum::extract::{Form, Multipart, Path};
use axum::http::StatusCode;
use crownhold_data::town::TownSettings;
use crownhold_print::wording::count;
use serde::Deserialize;

use crate::actions::town;
use crate::desk::shell::{Answer, Place, Shell, Visit, page_with};
use crate::desk::state::off;
use crate::trouble::Trouble;

/// The address of this page.
const HERE: &str = "/programme/public";

#[derive(Template)]
#[template(path = "programme_public.html")]
struct PublicPage {
    shell: Shell,
    typed: Typed,
    plans: Vec<(i64, String)>,
    streets: usize,
    without: usize,
    reports: Vec<Report>,
    wrong: Vec<String>,
}

impl PublicPage {
    fn is_chosen(&self, id: &i64) -> bool {
        self.typed.plan == id.to_string()
    }
}

/// A report as the page shows it.
struct Report {
    id: i64,
    seen: String,
    what: String,
    place: String,
    block: String,
    note: String,
}

/// The form as typed.
#[derive(Clone, Default, Deserialize)]
pub struct Typed {
    #[serde(default)]
    shown: String,
    #[serde(default)]
    plan: String,
    #[serde(default)]
    contact: String,
    #[serde(default)]
    keep_days: String,
}

impl From<&TownSettings> for Typed {
    fn from(s: &TownSettings) -> Self {
        Self {
            shown: if s.shown { "yes".to_owned() } else { String::new() },
            plan: s.plan.map(|p| p.to_string()).unwrap_or_default(),
            contact: s.contact.clone(),
            keep_days: s.keep_days.to_string(),
        }
    }
}

pub async fn show(visit: Visit) -> Answer {
    render(&visit, None, None).await
}

async fn render(visit: &Visit, typed: Option<Typed>, trouble: Option<Trouble>) -> Answer {
    let (file, today) = (visit.desk.path().to_owned(), visit.season.today);
    let found = off(move || Ok::<_, Trouble>((town::town(&file)?, town::sightings(&file, today)?)));
    let ((settings, streets), sightings) = found.await?;
    let w = visit.season.wording();
    let status = if trouble.is_none() { StatusCode::OK } else { StatusCode::UNPROCESSABLE_ENTITY };
    let blocks = &visit.season.records.blocks;
    let reports = sightings.into_iter().map(|s| Report {
        id: s.id,
        seen: w.date(s.seen),
        what: s.what,
        place: s.place,
        block: s.block.map(|b| b.to_string()).unwrap_or_default(),
        note: s.note,
    });
    let page = PublicPage {
        shell: visit.shell(Place::Programme, "Public page"),
        typed: typed.unwrap_or_else(|| (&settings).into()),
        plans: visit.season.plans.iter().rev().map(|k| (k.id, k.name.clone())).collect(),
        streets: streets.len(),
        without: blocks.iter().filter(|b| !streets.iter().any(|s| s.block == b.id)).count(),
        reports: reports.collect(),
        wrong: trouble.iter().flat_map(|t| &t.problems).map(ToString::to_string).collect(),
    };
    page_with(status, &page)
}

pub async fn set(visit: Visit, Form(typed): Form<Typed>) -> Answer {
    let settings = TownSettings {
        shown: !typed.shown.is_empty(),
        plan: typed.plan.parse().ok(),
        contact: typed.contact.trim().to_owned(),
        keep_days: typed.keep_days.trim().parse().unwrap_or(0),
    };
    let file = visit.desk.path().to_owned();
    let shown = settings.shown;
    match off(move || town::set(&file, &settings)).await {
        Ok(()) if shown => Ok(visit.say("The public page is open.", HERE).await),
        Ok(()) => Ok(visit.say("The public page is closed.", HERE).await),
        Err(trouble) => render(&visit, Some(typed), Some(trouble)).await,
    }
}

pub async fn streets(visit: Visit, mut sent: Multipart) -> Answer {
    let mut table = None;
    while let Ok(Some(part)) = sent.next_field().await {
        if part.name() == Some("file") {
            let name = part.file_name().unwrap_or("streets.csv").to_owned();
            table = part.bytes().await.ok().map(|bytes| (name, bytes));
        }
    }
    let (name, bytes) = table.unwrap_or_default();
    let (file, season) = (visit.desk.path().to_owned(), visit.season.clone());
    match off(move || town::take_streets(&file, &season.records, &name, &bytes)).await {
        Ok(n) => Ok(visit.say(format!("{} taken.", count(n, "stretch of street", "stretches of street")), HERE).await),
        Err(trouble) => render(&visit, None, Some(trouble)).await,
    }
}

pub async fn remove(visit: Visit, Path(id): Path<i64>) -> Answer {
    let file = visit.desk.path().to_owned();
    off(move || town::remove(&file, id)).await?;
    Ok(visit.say("The report is deleted.", HERE).await)
}
