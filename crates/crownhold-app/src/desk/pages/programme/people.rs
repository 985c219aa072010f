//! People of the programme, and for whom changes in this browser are written down.

use askama::Template;
use axum::extract::{Form, Path, Query};
use axum::http::StatusCode;
use crownhold::types::{Person, Role};
use serde::Deserialize;

use crate::actions::{By, Done, people};
use crate::clock;
use crate::desk::shell::{Answer, Place, Refused, Shell, Visit, page_with};
use crate::desk::state::off;
use crate::trouble::Trouble;

#[derive(Template)]
#[template(path = "programme_people.html")]
struct PeoplePage {
    shell: Shell,
    /// Names to choose from for this browser; the present one first where it is none of the people.
    names: Vec<String>,
    author: String,
    wrong_author: String,
    people: Vec<Line>,
    add: PersonForm,
}

/// Somebody as the page shows them.
struct Line {
    person: Person,
    edit: Option<PersonForm>,
}

/// A form about somebody, with what was typed.
#[derive(Clone, Default)]
struct PersonForm {
    /// Before the ids of its fields, so that two forms can stand on a page.
    id: &'static str,
    typed: Typed,
    wrong_name: String,
}

/// Words about somebody as typed.
#[derive(Clone, Default, Deserialize)]
pub struct Typed {
    #[serde(default)]
    name: String,
    #[serde(default)]
    role: String,
    #[serde(default)]
    reach: String,
    #[serde(default)]
    note: String,
}

impl Typed {
    fn person(&self) -> Result<Person, Trouble> {
        let role = people::role(&self.role)?;
        Ok(Person { name: self.name.clone(), role, reach: self.reach.clone(), note: self.note.clone() })
    }
}

impl From<&Person> for Typed {
    fn from(p: &Person) -> Self {
        Self { name: p.name.clone(), role: p.role.word().to_owned(), reach: p.reach.clone(), note: p.note.clone() }
    }
}

impl PersonForm {
    /// The roles, with the typed one told.
    fn roles(&self) -> Vec<(&'static str, bool)> {
        Role::ALL.iter().map(|r| (r.word(), r.word() == self.typed.role)).collect()
    }
}

/// The form that is shown with something wrong in it.
enum Failed {
    None,
    Author(String),
    Add(PersonForm),
    Change(String, PersonForm),
}

/// Whose words are being changed.
#[derive(Deserialize)]
pub struct Asked {
    #[serde(default)]
    edit: String,
}

/// The address of this page.
const HERE: &str = "/programme/people";

pub async fn show(visit: Visit, Query(asked): Query<Asked>) -> Answer {
    render(&visit, &asked.edit, Failed::None)
}

fn render(visit: &Visit, edit: &str, failed: Failed) -> Answer {
    let status = if matches!(failed, Failed::None) { StatusCode::OK } else { StatusCode::UNPROCESSABLE_ENTITY };
    let people = &visit.season.records.people;
    let line = |p: &Person| {
        let edit = match &failed {
            Failed::Change(name, form) if *name == p.name => Some(form.clone()),
            Failed::None if edit == p.name => Some(PersonForm { id: "edit", typed: p.into(), ..PersonForm::default() }),
            _ => None,
        };
        Line { person: p.clone(), edit }
    };
    let mut names: Vec<String> = people.iter().map(|p| p.name.clone()).collect();
    let author = visit.author().to_owned();
    if !names.contains(&author) {
        names.insert(0, author.clone());
    }
    let page = PeoplePage {
        shell: visit.shell(Place::Programme, "People"),
        people: people.iter().map(line).collect(),
        names,
        author,
        wrong_author: if let Failed::Author(wrong) = &failed { wrong.clone() } else { String::new() },
        add: if let Failed::Add(form) = failed { form } else { PersonForm { id: "add", ..PersonForm::default() } },
    };
    page_with(status, &page)
}

/// What is wrong with a name; other trouble gets a page of its own.
fn wrong_name(trouble: Trouble) -> Result<String, Refused> {
    if trouble.problems.iter().any(|p| p.code != "A-131") {
        return Err(trouble.into());
    }
    Ok(trouble.problems.iter().map(|p| format!("{} {}", p.what, p.remedy)).collect::<Vec<_>>().join(" "))
}

pub async fn add(visit: Visit, Form(typed): Form<Typed>) -> Answer {
    let person = typed.person()?;
    match act(&visit, move |path, by| people::add(path, &person, by)).await {
        Ok(done) => Ok(visit.done_with(done, HERE).await),
        Err(trouble) => {
            let wrong_name = wrong_name(trouble)?;
            render(&visit, "", Failed::Add(PersonForm { id: "add", typed, wrong_name }))
        }
    }
}

pub async fn change(visit: Visit, Path(name): Path<String>, Form(typed): Form<Typed>) -> Answer {
    let (person, of) = (typed.person()?, name.clone());
    let now = person.name.trim().to_owned();
    match act(&visit, move |path, by| people::change(path, &of, &person, by)).await {
        Ok(done) => {
            // Whoever changes their own name goes by the new one.
            if visit.author() == name {
                visit.is_called(&now).await;
            }
            Ok(visit.done_with(done, HERE).await)
        }
        Err(trouble) => {
            let wrong_name = wrong_name(trouble)?;
            render(&visit, "", Failed::Change(name, PersonForm { id: "edit", typed, wrong_name }))
        }
    }
}

pub async fn remove(visit: Visit, Path(name): Path<String>) -> Answer {
    let done = act(&visit, move |path, by| people::remove(path, &name, by)).await?;
    Ok(visit.done_with(done, HERE).await)
}

async fn act(
    visit: &Visit,
    f: impl FnOnce(&std::path::Path, By<'_>) -> Result<Done, Trouble> + Send + 'static,
) -> Result<Done, Trouble> {
    let (path, author, when) = (visit.desk.path().to_owned(), visit.author().to_owned(), clock::now());
    off(move || f(&path, By::new(&author, &when))).await
}

/// For whom changes are written down.
#[derive(Deserialize)]
pub struct Called {
    #[serde(default)]
    name: String,
}

pub async fn called(visit: Visit, Form(called): Form<Called>) -> Answer {
    let name = called.name.trim();
    if name.is_empty() {
        return render(&visit, "", Failed::Author("Say a name: every change carries one.".to_owned()));
    }
    visit.is_called(name).await;
    Ok(visit.say(format!("Changes in this browser are written down for {name} from now on."), HERE).await)
}
