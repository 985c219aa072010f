//! Tree names and their host class: those that are not known first.

use askama::Template;
use axum::extract::{Form, Query};
use axum::http::StatusCode;
use crownhold::types::{HostClass, SpeciesRule};
use serde::Deserialize;

use crate::actions::{By, species};
use crate::clock;
use crate::desk::shell::{Answer, Place, Shell, Visit, page_with};
use crate::desk::state::off;
use crate::trouble::Trouble;

#[derive(Template)]
#[template(path = "programme_species.html")]
struct SpeciesPage {
    shell: Shell,
    unknown: Vec<(String, usize)>,
    rules: Vec<SpeciesRule>,
    typed: Typed,
    classes: &'static [HostClass],
    wrong: Vec<String>,
}

/// The form as typed.
#[derive(Clone, Default, Deserialize)]
pub struct Typed {
    #[serde(default)]
    name: String,
    #[serde(default)]
    class: String,
    #[serde(default)]
    source: String,
}

/// The name that a link fills in.
#[derive(Deserialize)]
pub struct Asked {
    #[serde(default)]
    name: String,
}

pub async fn show(visit: Visit, Query(asked): Query<Asked>) -> Answer {
    render(&visit, Typed { name: asked.name, ..Typed::default() }, None)
}

fn render(visit: &Visit, typed: Typed, trouble: Option<Trouble>) -> Answer {
    let status = if trouble.is_none() { StatusCode::OK } else { StatusCode::UNPROCESSABLE_ENTITY };
    let records = &visit.season.records;
    let wrong = trouble.iter().flat_map(|t| &t.problems).map(|p| format!("{} {}", p.what, p.remedy)).collect();
    let page = SpeciesPage {
        shell: visit.shell(Place::Programme, "Tree names"),
        unknown: species::unknown(records),
        rules: records.species.clone(),
        typed,
        classes: HostClass::ALL,
        wrong,
    };
    page_with(status, &page)
}

pub async fn set(visit: Visit, Form(typed): Form<Typed>) -> Answer {
    let class = species::class(&typed.class)?;
    let (path, author, form) = (visit.desk.path().to_owned(), visit.author().to_owned(), typed.clone());
    let done = off(move || species::set(&path, &form.name, class, &form.source, By::new(&author, &clock::now())));
    match done.await {
        Ok(done) => Ok(visit.done_with(done, "/programme/species").await),
        Err(trouble) if trouble.problems.iter().all(|p| p.code == "A-090") => render(&visit, typed, Some(trouble)),
        Err(trouble) => Err(trouble.into()),
    }
}
