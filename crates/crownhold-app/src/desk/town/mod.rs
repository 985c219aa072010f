//! The public page: what residents do this week, what is planned on their street, and a way to tell what they saw.
//!
//! Open to everybody where the manager shows it, in the language of the reader; it sets no cookie and runs no script.
//! It shows the plan that the manager chose for it, never a draft.

mod throttle;
mod words;

use std::collections::BTreeMap;
use std::net::SocketAddr;
use std::sync::{Arc, LazyLock};
use std::time::Instant;

use askama::Template;
use axum::Router;
use axum::extract::{ConnectInfo, Form, Path, Query, Request, State};
use axum::http::header::ACCEPT_LANGUAGE;
use axum::http::{HeaderMap, StatusCode};
use axum::response::{Html, IntoResponse as _, Redirect, Response};
use axum::routing::get;
use crownhold::field::{Advice, advice, window_of};
use crownhold::tactics::Bundle;
use crownhold::types::{Block, BlockId, Tactic};
use crownhold_data::town::{Sighting, Street, TownSettings};
use crownhold_print::maps::place_map;
use crownhold_print::{Sheet, Size};
use percent_encoding::{NON_ALPHANUMERIC, utf8_percent_encode};
use serde::Deserialize;

use self::throttle::Throttle;
use self::words::{Language, best, language};
use super::assets;
use super::state::{Desk, Season, off};
use crate::actions::town::{self, Found, SIGHTS};

/// Places shown of a search.
const MOST_FOUND: usize = 30;

static THROTTLE: LazyLock<Throttle> = LazyLock::new(Throttle::default);

/// The public addresses.
pub fn router() -> Router<Arc<Desk>> {
    Router::new()
        .route("/town", get(choose))
        .route("/town/{language}", get(home))
        .route("/town/{language}/blocks/{id}", get(place))
        .route("/town/{language}/report", get(report).post(send))
}

/// The key of a choice's words: "egg masses" of "sight" is "sight-egg-masses".
pub(super) fn key_of(start: &str, word: &str) -> String {
    let plain = word.to_lowercase().replace(' ', "-");
    if start.is_empty() { plain } else { format!("{start}-{plain}") }
}

/// A block's id as part of an address.
fn encoded(id: &str) -> String {
    utf8_percent_encode(id, NON_ALPHANUMERIC).to_string()
}

/// What every page stands in.
struct Frame {
    t: &'static Language,
    city: String,
    invented: bool,
    today: String,
    contact: String,
    /// Address of this page after the language, for the other languages.
    rest: String,
    title: String,
}

impl Frame {
    fn asset(&self, name: &str) -> String {
        assets::url(name)
    }
}

/// One visit by somebody from the town.
struct Town {
    t: &'static Language,
    season: Arc<Season>,
    settings: TownSettings,
    streets: Vec<Street>,
}

impl Town {
    /// The town as it is now, or why there is nothing to see.
    async fn enter(desk: &Arc<Desk>, code: &str) -> Result<Self, Response> {
        let Some(t) = language(code) else { return Err(Redirect::to("/town").into_response()) };
        let file = desk.path().to_owned();
        let found = off(move || town::town(&file)).await;
        let (settings, streets) = found.unwrap_or_default();
        let Some(season) = desk.season().await.ok().filter(|_| settings.shown) else {
            return Err(empty(t, StatusCode::NOT_FOUND, "hidden"));
        };
        Ok(Self { t, season, settings, streets })
    }
    fn frame(&self, title: String, rest: &str) -> Frame {
        let programme = &self.season.records.programme;
        Frame {
            t: self.t,
            city: programme.name.trim_end_matches(" (invented)").to_owned(),
            invented: programme.invented,
            today: self.t.day(self.season.today),
            contact: self.settings.contact.clone(),
            rest: rest.to_owned(),
            title,
        }
    }
    fn city(&self) -> String {
        self.t.say_with("title", "city", self.season.records.programme.name.trim_end_matches(" (invented)"))
    }
    fn map(&self, here: Option<&BlockId>) -> String {
        let sheet = Sheet::screen("town-map", self.season.units(), Size::Wide);
        let href = |b: &Block| self.href(&b.id);
        place_map(&self.season.records.blocks, here, href, &self.t.say("map-title"), &sheet)
    }
    fn href(&self, block: &BlockId) -> String {
        format!("/town/{}/blocks/{}", self.t.code, encoded(block.as_str()))
    }
    /// A found place as a link that keeps its street.
    fn found(&self, f: &Found) -> (String, String) {
        let place = if f.neighbourhood.is_empty() { String::new() } else { format!(", {}", f.neighbourhood) };
        (format!("{}{place}", f.name), format!("{}?at={}", self.href(&f.block), encoded(&f.name)))
    }
    fn line(&self, a: Advice) -> (String, String) {
        let key = key_of("", a.word());
        (self.t.say(&key), self.t.say(&format!("{key}-how")))
    }
    fn street_of(&self, block: &Block) -> Vec<String> {
        let of_it = self.streets.iter().filter(|s| s.block == block.id);
        of_it.map(Street::written).collect()
    }
}

/// A page that only says something.
#[derive(Template)]
#[template(path = "town_empty.html")]
struct EmptyPage {
    frame: Frame,
    how: String,
}

fn empty(t: &'static Language, status: StatusCode, key: &str) -> Response {
    let frame = Frame {
        t,
        city: String::new(),
        invented: false,
        today: String::new(),
        contact: String::new(),
        rest: String::new(),
        title: t.say(key),
    };
    let how = if key == "hidden" { String::new() } else { t.say("not-here-how") };
    shown(status, &EmptyPage { frame, how })
}

fn shown(status: StatusCode, page: &impl Template) -> Response {
    match page.render() {
        Ok(html) => (status, Html(html)).into_response(),
        Err(_) => super::shell::broken(),
    }
}

async fn choose(headers: HeaderMap) -> Response {
    let accepts = headers.get(ACCEPT_LANGUAGE).and_then(|a| a.to_str().ok()).unwrap_or_default();
    Redirect::to(&format!("/town/{}", best(accepts).code)).into_response()
}

#[derive(Template)]
#[template(path = "town_home.html")]
struct HomePage {
    frame: Frame,
    typed: String,
    said: String,
    found: Vec<(String, String)>,
    advice: Vec<(String, String)>,
    places: Vec<(String, Vec<(String, String)>)>,
    map: String,
}

/// What is looked for.
#[derive(Deserialize)]
struct Looked {
    #[serde(default)]
    q: String,
}

async fn home(State(desk): State<Arc<Desk>>, Path(code): Path<String>, Query(looked): Query<Looked>) -> Response {
    let town = match Town::enter(&desk, &code).await {
        Ok(town) => town,
        Err(answer) => return answer,
    };
    let typed: String = looked.q.trim().chars().take(120).collect();
    let found = if typed.is_empty() { Vec::new() } else { town::find(&town.season.records, &town.streets, &typed) };
    let page = HomePage {
        frame: town.frame(town.city(), ""),
        said: said(town.t, &typed, found.len()),
        typed,
        found: found.iter().take(MOST_FOUND).map(|f| town.found(f)).collect(),
        advice: general(&town),
        places: places(&town),
        map: town.map(None),
    };
    shown(StatusCode::OK, &page)
}

fn said(t: &Language, typed: &str, found: usize) -> String {
    match (typed.is_empty(), found) {
        (true, _) => String::new(),
        (_, 0) => t.say_with("find-none", "text", typed.to_owned()),
        (_, n) if n > MOST_FOUND => t.say_with("find-first", "count", MOST_FOUND),
        (_, n) => t.say_with("find-many", "count", n),
    }
}

/// Advice for the whole town; where it differs from block to block, to find one's own first.
fn general(town: &Town) -> Vec<(String, String)> {
    let all = advice(None, town.season.timing(), town.season.today);
    let own = || (town.t.say("find-yours-first"), town.t.say("find-yours-first-how"));
    all.into_iter().map(|a| if a == Advice::Scrape { own() } else { town.line(a) }).collect()
}

/// Neighbourhoods with their blocks as links.
fn places(town: &Town) -> Vec<(String, Vec<(String, String)>)> {
    let mut all: BTreeMap<String, Vec<(String, String)>> = BTreeMap::new();
    for b in &town.season.records.blocks {
        let place = b.neighbourhood.clone().unwrap_or_else(|| town.t.say("elsewhere"));
        let streets = town.street_of(b);
        let label = if streets.is_empty() { b.name.clone() } else { format!("{}: {}", b.name, streets.join(", ")) };
        all.entry(place).or_default().push((label, town.href(&b.id)));
    }
    all.into_iter().collect()
}

#[derive(Template)]
#[template(path = "town_place.html")]
struct PlacePage {
    frame: Frame,
    where_: String,
    advice: Vec<(String, String)>,
    planned: Vec<String>,
    dates: String,
    sprays: bool,
    report: String,
    map: String,
}

/// The street that somebody came by.
#[derive(Deserialize)]
struct CameBy {
    #[serde(default)]
    at: String,
}

async fn place(
    State(desk): State<Arc<Desk>>,
    Path((code, id)): Path<(String, String)>,
    Query(came): Query<CameBy>,
) -> Response {
    let town = match Town::enter(&desk, &code).await {
        Ok(town) => town,
        Err(answer) => return answer,
    };
    let Some(at) = town.season.records.block_index(&BlockId::new(&id)) else {
        return empty(town.t, StatusCode::NOT_FOUND, "not-here");
    };
    let block = &town.season.records.blocks[at];
    let streets = town.street_of(block);
    let street = streets.iter().find(|s| **s == came.at).cloned();
    let title = match &street {
        Some(street) => street.clone(),
        None if streets.is_empty() => block.name.clone(),
        None => streets.join(" · "),
    };
    let (planned, tactics) = planned(&town, block);
    let page = PlacePage {
        frame: town.frame(title, &format!("/blocks/{}", encoded(block.id.as_str()))),
        where_: block.neighbourhood.clone().unwrap_or_default(),
        advice: advice(Some(block), town.season.timing(), town.season.today)
            .into_iter()
            .map(|a| town.line(a))
            .collect(),
        dates: if tactics.is_empty() { String::new() } else { town.t.say("planned-change") },
        sprays: tactics.iter().any(|t| t.is_aerial() || *t == Tactic::GroundBtk),
        planned,
        report: format!(
            "/town/{code}/report?block={}&where={}",
            encoded(block.id.as_str()),
            encoded(&street.unwrap_or_default())
        ),
        map: town.map(Some(&block.id)),
    };
    shown(StatusCode::OK, &page)
}

/// What the published plan says of a block, in sentences, and its tactics.
fn planned(town: &Town, block: &Block) -> (Vec<String>, Vec<Tactic>) {
    let t = town.t;
    let Some(kept) = town.settings.plan.and_then(|id| town.season.kept(Some(id))) else {
        return (vec![t.say("planned-undecided")], Vec::new());
    };
    let of_it = kept.plan.blocks.iter().find(|b| b.id == block.id.as_str());
    let Some(bundle) = of_it.and_then(|b| Bundle::from_key(&b.option)) else {
        return (vec![t.say("planned-undecided")], Vec::new());
    };
    if bundle.tactics().is_empty() {
        return (vec![t.say("planned-none")], Vec::new());
    }
    let line = |tactic: &Tactic| format!("{} {}", t.say(&key_of("tactic", tactic.word())), when(town, *tactic));
    (bundle.tactics().iter().map(line).collect(), bundle.tactics().to_vec())
}

/// The likely days of a tactic.
fn when(town: &Town, tactic: Tactic) -> String {
    let window = town.season.timing().and_then(|t| t.window(window_of(tactic)));
    let edges = window.and_then(|w| {
        let early = w.opens_among_those_that_do(0.1)?;
        Some((early, w.opens_among_those_that_do(0.5)?, w.closes_among_those_that_do(0.5)?))
    });
    let Some((early, from, to)) = edges else { return town.t.say("planned-undated") };
    let [early, from, to] = [early, from, to].map(|d| town.t.day(d));
    town.t.say_all("planned-dates", &[("early", &early), ("from", &from), ("to", &to)])
}

#[derive(Template)]
#[template(path = "town_report.html")]
struct ReportPage {
    frame: Frame,
    typed: Typed,
    sights: Vec<(&'static str, String, bool)>,
    latest: String,
    kept: String,
    wrong: BTreeMap<&'static str, String>,
    failed: String,
    sent: bool,
}

impl ReportPage {
    fn wrong(&self, name: &str) -> &str {
        self.wrong.get(name).map_or("", String::as_str)
    }
}

/// The form as typed.
#[derive(Clone, Default, Deserialize)]
struct Typed {
    #[serde(default)]
    what: String,
    #[serde(default, rename = "where")]
    place: String,
    #[serde(default)]
    when: String,
    #[serde(default)]
    note: String,
    #[serde(default)]
    block: String,
}

impl ReportPage {
    fn new(town: &Town, typed: Typed) -> Self {
        let t = town.t;
        let sights = SIGHTS.iter().map(|s| (*s, t.say(&key_of("sight", s)), *s == typed.what)).collect();
        Self {
            frame: town.frame(t.say("report-head"), "/report"),
            sights,
            latest: town.season.today.to_string(),
            kept: t.say_with("report-kept", "days", u32::from(town.settings.keep_days)),
            typed,
            wrong: BTreeMap::new(),
            failed: String::new(),
            sent: false,
        }
    }
}

async fn report(State(desk): State<Arc<Desk>>, Path(code): Path<String>, Query(asked): Query<Typed>) -> Response {
    let town = match Town::enter(&desk, &code).await {
        Ok(town) => town,
        Err(answer) => return answer,
    };
    let known = town.season.records.block_index(&BlockId::new(&asked.block)).is_some();
    let block = if known { asked.block } else { String::new() };
    let typed = Typed { when: town.season.today.to_string(), place: asked.place, block, ..Typed::default() };
    shown(StatusCode::OK, &ReportPage::new(&town, typed))
}

async fn send(State(desk): State<Arc<Desk>>, Path(code): Path<String>, request: Request) -> Response {
    let town = match Town::enter(&desk, &code).await {
        Ok(town) => town,
        Err(answer) => return answer,
    };
    let from = request.extensions().get::<ConnectInfo<SocketAddr>>().map(|c| c.0.ip());
    let Ok(Form(typed)) = axum::RequestExt::extract::<Form<Typed>, _>(request).await else {
        return empty(town.t, StatusCode::BAD_REQUEST, "not-here");
    };
    let mut page = ReportPage::new(&town, typed.clone());
    let today = town.season.today;
    let sighting = Sighting {
        id: 0,
        sent: today,
        // A day that cannot be read is as wrong as one to come.
        seen: typed.when.parse().unwrap_or(jiff::civil::Date::MAX),
        what: typed.what,
        block: town.season.records.block_index(&BlockId::new(&typed.block)).map(|_| BlockId::new(&typed.block)),
        place: typed.place,
        note: typed.note,
    };
    page.wrong = town::faults(&sighting).into_iter().map(|f| (f, town.t.say(&format!("wrong-{f}")))).collect();
    if !page.wrong.is_empty() {
        return shown(StatusCode::UNPROCESSABLE_ENTITY, &page);
    }
    if !THROTTLE.lets_in(from, Instant::now()) {
        page.failed = town.t.say("too-many");
        return shown(StatusCode::TOO_MANY_REQUESTS, &page);
    }
    let file = desk.path().to_owned();
    if off(move || town::keep(&file, &sighting)).await.is_err() {
        page.failed = town.t.say("not-kept");
        return shown(StatusCode::SERVICE_UNAVAILABLE, &page);
    }
    page.sent = true;
    shown(StatusCode::OK, &page)
}
