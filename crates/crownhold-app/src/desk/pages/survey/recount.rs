//! What share of the masses is found, measured on the spot.

use askama::Template;
use axum::extract::Form;
use axum::http::StatusCode;
use crownhold::types::{Parameters, Problem};
use serde::Deserialize;

use crate::actions::By;
use crate::actions::recount::{Recount, set};
use crate::clock;
use crate::desk::shell::{Answer, Place, ProblemLine, Shell, Visit, lines, page_with};
use crate::desk::state::off;
use crate::trouble::Trouble;

/// A measurement as typed.
#[derive(Deserialize, Clone, Default)]
#[serde(default)]
pub struct Typed {
    /// "marked" or "whole".
    what: String,
    /// Masses in all.
    of: String,
    /// Masses with a mark, or on trees.
    hits: String,
    note: String,
}

#[derive(Template)]
#[template(path = "survey_recount.html")]
struct RecountPage {
    shell: Shell,
    detection: Now,
    on_trees: Now,
    typed: Typed,
    problems: Vec<ProblemLine>,
}

/// The value in use.
struct Now {
    value: String,
    source: String,
}

fn now(parameters: &Parameters, name: &str) -> Now {
    let Some(p) = parameters.get(name) else { return Now { value: String::new(), source: String::new() } };
    let per_cent = |v: f64| format!("{:.0} %", 100.0 * v);
    let ends = p.value.ends();
    let value = match ends.as_slice() {
        [low, middle, high] if low < high => {
            format!("{} ({} to {})", per_cent(*middle), per_cent(*low), per_cent(*high))
        }
        _ => per_cent(p.value.centre()),
    };
    Now { value, source: format!("{}: {}", p.known, p.source) }
}

pub async fn show(visit: Visit) -> Answer {
    render(&visit, Typed::default(), &[], StatusCode::OK)
}

fn render(visit: &Visit, typed: Typed, problems: &[Problem], status: StatusCode) -> Answer {
    let parameters = &visit.season.records.parameters;
    page_with(
        status,
        &RecountPage {
            shell: visit.shell(Place::Survey, "What share of the masses is found"),
            detection: now(parameters, "survey.detection"),
            on_trees: now(parameters, "survey.tree_only_multiplier"),
            typed,
            problems: lines(problems),
        },
    )
}

/// Reads the two numbers; both are told when both are wrong.
fn read(typed: &Typed) -> Result<Recount, Trouble> {
    let mut wrong = Vec::new();
    let mut number = |text: &str, name: &str| {
        text.trim().parse::<u32>().unwrap_or_else(|_| {
            let problem = Problem::error("A-241", format!("{name}: \"{text}\"."), "Correct it.");
            wrong.push(problem.expected("a whole number of masses"));
            0
        })
    };
    let marked = typed.what != "whole";
    let names = if marked {
        ["Found by the second person", "Of these, with a mark"]
    } else {
        ["Masses in all", "Of these, on trees"]
    };
    let (of, hits) = (number(&typed.of, names[0]), number(&typed.hits, names[1]));
    if !wrong.is_empty() {
        return Err(Trouble::from(wrong));
    }
    Ok(if marked { Recount::Marked { found: of, marked: hits } } else { Recount::Whole { all: of, on_trees: hits } })
}

pub async fn write(visit: Visit, Form(typed): Form<Typed>) -> Answer {
    let (path, author, asked) = (visit.desk.path().to_owned(), visit.author().to_owned(), typed.clone());
    let done = off(move || set(&path, read(&asked)?, &asked.note, By::new(&author, &clock::now()))).await;
    match done {
        Ok(done) => Ok(visit.done_with(done, "/survey/recount").await),
        Err(trouble) => render(&visit, typed, &trouble.problems, StatusCode::UNPROCESSABLE_ENTITY),
    }
}
