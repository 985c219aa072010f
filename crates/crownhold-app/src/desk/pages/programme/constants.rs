//! Constants: every parameter with its source, set to the programme's own value or restored.

use std::collections::BTreeMap;

use askama::Template;
use axum::extract::{Form, Path, Query};
use axum::http::StatusCode;
use crownhold::types::{Known, Parameter, Parameters};
use crownhold_print::wording::capital;
use serde::Deserialize;

use crate::actions::parameters::{form_words, restore, restore_all, set, typed};
use crate::actions::seen::{CHANGED_MEANWHILE, Item, print};
use crate::actions::{By, Done};
use crate::clock;
use crate::desk::shell::{Answer, Place, Refused, Shell, Visit, page_with};
use crate::desk::state::off;
use crate::trouble::Trouble;

#[derive(Template)]
#[template(path = "programme_parameters.html")]
struct ConstantsPage {
    shell: Shell,
    asked: Asked,
    known: Vec<(&'static str, bool)>,
    rooms: Vec<Room>,
    shown: usize,
    all: usize,
    changed: usize,
}

/// Which constants, and the one that is being changed.
#[derive(Deserialize, Default)]
pub struct Asked {
    #[serde(default)]
    find: String,
    #[serde(default)]
    show: String,
    #[serde(default)]
    edit: String,
}

impl Asked {
    /// Is this one asked for? Every word must stand in it.
    fn fits(&self, p: &Parameter, is_changed: bool) -> bool {
        let text = format!("{} {} {} {} {}", p.name, p.meaning, p.unit, p.known, p.source).to_lowercase();
        let kind = match self.show.as_str() {
            "" => true,
            CHANGED => is_changed,
            known => p.known.word() == known,
        };
        kind && self.find.to_lowercase().split_whitespace().all(|word| text.contains(word))
    }
}

/// The choice of constants that differ from their default.
const CHANGED: &str = "changed";

/// Constants of one room.
struct Room {
    title: &'static str,
    lines: Vec<Line>,
}

/// A constant as the page shows it.
struct Line {
    name: String,
    meaning: String,
    value: String,
    unit: String,
    known: String,
    source: String,
    /// Its default, where it differs.
    default: Option<String>,
    /// The form, where it is being changed.
    edit: Option<Editing>,
}

/// The form of the constant that is being changed, with what was typed.
#[derive(Clone)]
struct Editing {
    name: String,
    value: String,
    source: String,
    hint: String,
    /// Print of what it was filled from.
    seen: String,
    wrong_value: String,
    wrong_source: String,
}

/// The rooms by the first part of a name, in the order of a season.
const ROOMS: [(&str, &str); 15] = [
    ("survey", "Counting and densities"),
    ("timing", "Heat, stages and dates"),
    ("outlook", "If nothing is done"),
    ("threshold", "Action thresholds"),
    ("scraping", "Scraping egg masses"),
    ("bands", "Burlap bands"),
    ("rounds", "Rounds from tree to tree"),
    ("ground", "Btk from the ground"),
    ("aerial", "Btk from the air"),
    ("stress", "Seasons that go wrong"),
    ("reserve", "Kept back for spring"),
    ("aircraft", "The aircraft and its load"),
    ("notices", "Who is told, and by when"),
    ("buffer", "Distances kept from no-spray areas"),
    ("wage", "Wages"),
];

fn room(name: &str) -> &str {
    name.split('.').next().unwrap_or(name)
}

pub async fn show(visit: Visit, Query(asked): Query<Asked>) -> Answer {
    let editing = match asked.edit.as_str() {
        "" => None,
        name => Some(editing(&visit.season.records.parameters, name)?),
    };
    render(&visit, asked, editing, StatusCode::OK)
}

/// The form of a constant as it is now.
fn editing(parameters: &Parameters, name: &str) -> Result<Editing, Refused> {
    let none = || Refused::missing(format!("There is no constant \"{name}\"."));
    let own = parameters.get(name).ok_or_else(none)?;
    let default = Parameters::defaults().get(name).cloned().ok_or_else(none)?;
    Ok(Editing {
        name: name.to_owned(),
        value: typed(own.value),
        source: if own.known == Known::Local { own.source.clone() } else { String::new() },
        hint: capital(&format!("{}; {}.", form_words(default.value), default.expected())),
        seen: print(Some(own)),
        wrong_value: String::new(),
        wrong_source: String::new(),
    })
}

fn render(visit: &Visit, asked: Asked, editing: Option<Editing>, status: StatusCode) -> Answer {
    let parameters = &visit.season.records.parameters;
    let changed: BTreeMap<&str, Parameter> =
        parameters.changed().into_iter().map(|(own, default)| (own.name.as_str(), default)).collect();
    // The one that is being changed is in sight whatever is looked for.
    let edit = |p: &Parameter| editing.as_ref().filter(|e| e.name == p.name).cloned();
    let fits = |p: &&Parameter| edit(p).is_some() || asked.fits(p, changed.contains_key(p.name.as_str()));
    let of_room = |start: &str| -> Vec<Line> {
        let own = parameters.iter().filter(|p| room(&p.name) == start).filter(fits);
        own.map(|p| Line { edit: edit(p), ..line(p, changed.get(p.name.as_str())) }).collect()
    };
    let rooms: Vec<Room> = ROOMS.iter().map(|(start, title)| Room { title, lines: of_room(start) }).collect();
    let page = ConstantsPage {
        shell: visit.shell(Place::Programme, "Constants"),
        known: Known::ALL.iter().map(|k| (k.word(), k.word() == asked.show)).collect(),
        shown: rooms.iter().map(|r| r.lines.len()).sum(),
        all: parameters.iter().count(),
        changed: changed.len(),
        rooms: rooms.into_iter().filter(|r| !r.lines.is_empty()).collect(),
        asked,
    };
    page_with(status, &page)
}

fn line(p: &Parameter, default: Option<&Parameter>) -> Line {
    Line {
        name: p.name.clone(),
        meaning: capital(&p.meaning),
        value: p.value.to_string(),
        unit: p.unit.clone(),
        known: capital(p.known.word()),
        source: p.source.clone(),
        default: default.map(|d| d.value.to_string()),
        edit: None,
    }
}

/// A value as typed, with where it comes from.
#[derive(Deserialize)]
pub struct Given {
    #[serde(default)]
    value: String,
    #[serde(default)]
    source: String,
    /// What the form was filled from.
    #[serde(default)]
    seen: String,
}

pub async fn change(visit: Visit, Path(name): Path<String>, Form(given): Form<Given>) -> Answer {
    let (path, author, when) = (visit.desk.path().to_owned(), visit.author().to_owned(), clock::now());
    let (value, source) = (given.value.clone(), given.source.clone());
    let at = href(&name);
    let wanted = name.clone();
    let seen = Item::Parameter(name.clone()).as_seen(&given.seen);
    let by_now = move || set(&path, &wanted, &value, &source, By::new(&author, &when).having_seen(seen.as_ref()));
    let done = off(by_now).await;
    match done {
        Ok(done) => Ok(visit.done_with(done, &at).await),
        Err(trouble) => {
            // With what stands there by now, if somebody else was quicker.
            let visit = visit.anew().await?;
            let form = editing(&visit.season.records.parameters, &name)?;
            let form = Editing { value: given.value, source: given.source, ..form };
            in_place(&visit, form, trouble)
        }
    }
}

/// The address of a constant on the page.
fn href(name: &str) -> String {
    format!("/programme/parameters#{name}")
}

/// Shows the form again with what was typed and what is wrong; other trouble gets a page of its own.
fn in_place(visit: &Visit, mut form: Editing, trouble: Trouble) -> Answer {
    for problem in &trouble.problems {
        let expected =
            if problem.expected.is_empty() { String::new() } else { format!(" Expected: {}.", problem.expected) };
        let said = format!("{}{expected} {}", problem.what, problem.remedy);
        match problem.code {
            "A-050" | CHANGED_MEANWHILE => said.trim().clone_into(&mut form.wrong_value),
            "A-052" => said.trim().clone_into(&mut form.wrong_source),
            _ => return Err(trouble.into()),
        }
    }
    let asked = Asked { edit: form.name.clone(), ..Asked::default() };
    render(visit, asked, Some(form), StatusCode::UNPROCESSABLE_ENTITY)
}

pub async fn back(visit: Visit, Path(name): Path<String>) -> Answer {
    let wanted = name.clone();
    act(visit, &href(&name), move |path, by| restore(path, &wanted, by)).await
}

pub async fn back_all(visit: Visit) -> Answer {
    act(visit, "/programme/parameters", restore_all).await
}

async fn act(
    visit: Visit,
    href: &str,
    f: impl FnOnce(&std::path::Path, By<'_>) -> Result<Done, Trouble> + Send + 'static,
) -> Answer {
    let (path, author, when) = (visit.desk.path().to_owned(), visit.author().to_owned(), clock::now());
    let done = off(move || f(&path, By::new(&author, &when))).await?;
    Ok(visit.done_with(done, href).await)
}

#[cfg(test)]
mod tests {
    use crownhold::types::{Known, Parameters};

    use super::{Asked, CHANGED, ROOMS, room};

    #[test]
    fn every_constant_has_a_room() {
        for p in Parameters::defaults().iter() {
            assert!(ROOMS.iter().any(|(start, _)| *start == room(&p.name)), "{} is not shown", p.name);
        }
    }

    fn found(find: &str, show: &str) -> Vec<String> {
        let asked = Asked { find: find.into(), show: show.into(), edit: String::new() };
        let all = Parameters::defaults();
        all.iter().filter(|p| asked.fits(p, p.name == "wage.crew")).map(|p| p.name.clone()).collect()
    }

    #[test]
    fn constants_are_found_by_words_and_by_how_they_are_known() {
        assert_eq!(found("Beehives", ""), ["buffer.apiary"]);
        assert_eq!(found("", CHANGED), ["wage.crew"]);
        assert_eq!(found("", "").len(), Parameters::defaults().iter().count());
        let assumed = found("", Known::Assumption.word()).len();
        assert_eq!(assumed, Parameters::defaults().iter().filter(|p| p.known == Known::Assumption).count());
        assert!(found("threshold school", "").contains(&"threshold.school".to_owned()));
        assert!(found("no such word anywhere", "").is_empty());
    }
}
