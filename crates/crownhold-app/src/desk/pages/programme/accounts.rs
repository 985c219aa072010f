//! Accounts: who may come in, and how far.

use askama::Template;
use axum::extract::{Form, Path};
use axum::http::StatusCode;
use jiff::ToSpan as _;
use jiff::civil::Date;
use serde::Deserialize;
use tower_sessions::session::Id;

use crate::actions::access::{self, Rank};
use crate::clock;
use crate::desk::shell::{Answer, Place, Shell, Visit, page_with};
use crate::desk::state::off;
use crate::trouble::Trouble;

#[derive(Template)]
#[template(path = "programme_accounts.html")]
struct AccountsPage {
    shell: Shell,
    accounts: Vec<Line>,
    passes: Vec<Line>,
    ranks: [Rank; 5],
    linked: Vec<Rank>,
    until: String,
    /// The address just made, and for whom.
    made: String,
    made_for: String,
    wrong: Vec<String>,
}

struct Line {
    name: String,
    kind: &'static str,
    rank: String,
    day: String,
}

/// What is asked.
#[derive(Deserialize)]
pub struct Typed {
    #[serde(default)]
    name: String,
    #[serde(default)]
    rank: String,
    #[serde(default)]
    until: String,
}

/// The address of this page.
const HERE: &str = "/programme/accounts";

pub async fn show(visit: Visit) -> Answer {
    render(&visit, StatusCode::OK, (String::new(), String::new()), Vec::new()).await
}

async fn render(visit: &Visit, status: StatusCode, made: (String, String), wrong: Vec<String>) -> Answer {
    let (programme, today) = (visit.desk.path().to_owned(), clock::today());
    let (accounts, passes) = off(move || access::list(&programme, today)).await?;
    let w = visit.season.wording();
    let page = AccountsPage {
        accounts: accounts
            .into_iter()
            .map(|a| Line { name: a.name, kind: "account", rank: a.rank, day: w.date(a.made) })
            .collect(),
        passes: passes
            .into_iter()
            .map(|p| Line { name: p.name, kind: p.kind.word(), rank: p.rank, day: w.date(p.until) })
            .collect(),
        ranks: Rank::ALL,
        linked: Rank::ALL.into_iter().filter(|r| *r != Rank::Manager).collect(),
        until: today.saturating_add(30.days()).to_string(),
        made_for: made.0,
        made: made.1,
        wrong,
        shell: visit.shell(Place::Programme, "Accounts"),
    };
    page_with(status, &page)
}

async fn answer(visit: &Visit, made: Result<String, Trouble>, told: String) -> Answer {
    match made {
        Ok(token) => {
            let address = format!("{}/join/{token}", visit.desk.address());
            render(visit, StatusCode::OK, (told, address), Vec::new()).await
        }
        Err(trouble) => {
            let wrong = trouble.problems.iter().map(ToString::to_string).collect();
            render(visit, StatusCode::UNPROCESSABLE_ENTITY, (String::new(), String::new()), wrong).await
        }
    }
}

pub async fn invite(visit: Visit, Form(typed): Form<Typed>) -> Answer {
    let (programme, today) = (visit.desk.path().to_owned(), clock::today());
    let (name, rank) = (typed.name.clone(), Rank::from_word(&typed.rank).unwrap_or(Rank::Reader));
    let made = off(move || {
        let token = Id::default().to_string();
        access::invite(&programme, &name, rank, &token, today).map(|()| token)
    });
    answer(&visit, made.await, format!("An invitation for {}, {}:", typed.name.trim(), rank.word())).await
}

pub async fn link(visit: Visit, Form(typed): Form<Typed>) -> Answer {
    let (programme, today) = (visit.desk.path().to_owned(), clock::today());
    let (name, rank) = (typed.name.clone(), Rank::from_word(&typed.rank).unwrap_or(Rank::Volunteer));
    let until = typed.until.parse().unwrap_or(Date::MIN);
    let made = off(move || {
        let token = Id::default().to_string();
        access::link(&programme, &name, rank, &token, until, today).map(|()| token)
    });
    answer(&visit, made.await, format!("A link for {}, {}, until {until}:", typed.name.trim(), rank.word())).await
}

pub async fn remove(visit: Visit, Path(name): Path<String>) -> Answer {
    let (programme, of) = (visit.desk.path().to_owned(), name.clone());
    off(move || access::remove(&programme, &of, clock::today())).await?;
    Ok(visit.say(format!("{name} can no longer come in."), HERE).await)
}
