//! The form that crews and volunteers carry: today's rounds, and visits sent back from the phone.
//!
//! The page itself (`kept`) holds no record and needs no door, so that a phone can keep it for places without a signal; what
//! it shows and what it sends goes through the door like anything else.

mod kept;

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use axum::body::Bytes;
use axum::extract::{Path, State};
use axum::http::header::{CONTENT_TYPE, HeaderName};
use axum::response::{IntoResponse as _, Response};
use axum::routing::{get, post};
use axum::{Extension, Json, Router};
use crownhold::field::crews::likeliest;
use crownhold::types::{Block, BlockId, LogId, Round, RoundStop, RoundWork, Tree, TreeId};
use crownhold_data::formats::ToLonLat;
use crownhold_print::cautions;
use serde::Deserialize;
use serde_json::{Value, json};

pub use self::kept::router as open_router;
use super::join::Who;
use super::shell::{Answer, Refused};
use super::state::{Desk, Season, off};
use crate::actions::rounds::tactic_of;
use crate::actions::sent::{Sent, Taken, done_on, take};
use crate::actions::{By, photos};
use crate::clock;

/// What goes through the door.
pub fn router() -> Router<Arc<Desk>> {
    Router::new()
        .route("/round/today.json", get(today))
        .route("/round/visits", post(visits))
        .route("/round/photos/{visit}", get(photo).post(take_photo))
}

/// Today's rounds with all that a phone needs to go round without a signal.
async fn today(State(desk): State<Arc<Desk>>, Extension(who): Extension<Who>) -> Response {
    match desk.season().await {
        Ok(season) => Json(off(move || for_phones(&season, &who.name)).await).into_response(),
        Err(trouble) => Refused::from(trouble).as_json(),
    }
}

fn for_phones(season: &Season, who: &str) -> Value {
    let records = &season.records;
    let day = season.today;
    let rounds: Vec<&Round> = records.rounds.iter().filter(|r| r.date == day).collect();
    let trees: BTreeMap<&TreeId, &Tree> = records.trees.iter().map(|t| (&t.id, t)).collect();
    let held: BTreeSet<&BlockId> =
        rounds.iter().flat_map(|r| &r.stops).filter_map(|s| trees.get(&s.tree)?.block.as_ref()).collect();
    let to = ToLonLat::new(records.programme.epsg).ok();
    let outline = |b: &Block| json!({ "id": b.id.as_str(), "shape": to.as_ref().map(|to| to.shape(&b.shape)) });
    let works: BTreeSet<RoundWork> = rounds.iter().map(|r| r.work).collect();
    let cautions: serde_json::Map<String, Value> =
        works.iter().map(|w| (w.word().to_owned(), cautions::of(tactic_of(*w)).into())).collect();
    let done: BTreeMap<String, Vec<&str>> = done_on(records, day)
        .into_iter()
        .map(|(tree, works)| (tree.to_string(), works.into_iter().map(RoundWork::word).collect()))
        .collect();
    json!({
        "day": day.to_string(),
        "dayWords": season.wording().date(day),
        "who": if who == "unknown" { "" } else { who },
        "rounds": rounds.iter().map(|r| round(r, &trees, to.as_ref(), season)).collect::<Vec<_>>(),
        "outlines": records.blocks.iter().filter(|b| held.contains(&b.id)).map(outline).collect::<Vec<_>>(),
        "blocks": records.blocks.iter().map(|b| b.id.as_str()).collect::<Vec<_>>(),
        "done": done,
        "cautions": cautions,
        "likely": season.timing().and_then(|t| t.stages.iter().find(|d| d.date == day)).map_or(1, likeliest),
    })
}

fn round(r: &Round, trees: &BTreeMap<&TreeId, &Tree>, to: Option<&ToLonLat>, season: &Season) -> Value {
    let stop = |s: &RoundStop| {
        let tree = trees.get(&s.tree);
        let place = tree.zip(to).and_then(|(tree, to)| to.place(tree.place));
        json!({
            "tree": s.tree.as_str(),
            "block": tree.and_then(|t| t.block.as_ref()).map(BlockId::as_str),
            "species": tree.map(|t| t.species.as_str()),
            "trunk": tree.and_then(|t| t.dbh).map(|l| season.wording().trunk(l)),
            "private": tree.is_some_and(|t| !t.public),
            "at": s.at.strftime("%H:%M").to_string(),
            "place": place,
        })
    };
    json!({
        "team": r.team,
        "work": r.work.word(),
        "back": r.back.strftime("%H:%M").to_string(),
        "stops": r.stops.iter().map(stop).collect::<Vec<_>>(),
    })
}

/// Visits as a phone sends them.
#[derive(Deserialize)]
struct Sending {
    visits: Vec<SentVisit>,
}

#[derive(Deserialize)]
struct SentVisit {
    id: String,
    day: jiff::civil::Date,
    work: String,
    tree: Option<String>,
    block: Option<String>,
    counts: Vec<u32>,
    minutes: Option<f64>,
    #[serde(default)]
    who: String,
    #[serde(default)]
    note: String,
    at: Option<(f64, f64)>,
}

impl SentVisit {
    fn read(self) -> Sent {
        let named = |text: Option<String>| text.map(|t| t.trim().to_owned()).filter(|t| !t.is_empty());
        let mut counts = [0; 6];
        counts.iter_mut().zip(&self.counts).for_each(|(to, from)| *to = *from);
        Sent {
            id: self.id,
            day: self.day,
            work: RoundWork::from_word(&self.work),
            tree: named(self.tree).map(TreeId::new),
            block: named(self.block).map(BlockId::new),
            counts,
            minutes: self.minutes.filter(|m| (0.0..=1440.0).contains(m)),
            who: self.who,
            note: self.note,
            at: self.at,
        }
    }
}

/// Takes visits in; every one sent has its answer, in order.
async fn visits(
    State(desk): State<Arc<Desk>>,
    Extension(who): Extension<Who>,
    Json(sending): Json<Sending>,
) -> Response {
    let ids: Vec<String> = sending.visits.iter().map(|v| v.id.clone()).collect();
    let taken = off(move || {
        let when = clock::now();
        let sent: Vec<Sent> = sending.visits.into_iter().map(SentVisit::read).collect();
        take(desk.path(), &sent, desk.today(), By::new(&who.name, &when))
    })
    .await;
    match taken {
        Ok(taken) => {
            let answers: Vec<Value> = ids.iter().zip(&taken).map(|(id, taken)| answer(id, taken)).collect();
            ([NO_STORE], Json(json!({ "answers": answers }))).into_response()
        }
        Err(trouble) => Refused::from(trouble).as_json(),
    }
}

/// The photo of a visit.
async fn photo(State(desk): State<Arc<Desk>>, Path(visit): Path<String>) -> Answer {
    let found = off(move || photos::of(desk.path(), &LogId::new(visit))).await?;
    let jpeg = found.ok_or_else(|| Refused::missing("There is no photo of this visit."))?;
    Ok(([(CONTENT_TYPE, "image/jpeg")], jpeg).into_response())
}

/// Keeps the photo of a visit.
async fn take_photo(
    State(desk): State<Arc<Desk>>,
    Extension(who): Extension<Who>,
    Path(visit): Path<String>,
    jpeg: Bytes,
) -> Response {
    let season = match desk.season().await {
        Ok(season) => season,
        Err(trouble) => return Refused::from(trouble).as_json(),
    };
    let kept = off(move || {
        let when = clock::now();
        photos::keep(desk.path(), &season.records, &LogId::new(visit), &jpeg, By::new(&who.name, &when))
    })
    .await;
    match kept {
        Ok(()) => ([NO_STORE], Json(json!({}))).into_response(),
        Err(trouble) => Refused::from(trouble).as_json(),
    }
}

const NO_STORE: (HeaderName, &str) = (axum::http::header::CACHE_CONTROL, "no-store");

fn answer(id: &str, taken: &Taken) -> Value {
    match taken {
        Taken::Kept => json!({ "id": id, "taken": "kept" }),
        Taken::Already => json!({ "id": id, "taken": "already" }),
        Taken::Refused(why) => json!({ "id": id, "taken": "refused", "why": format!("{} {}", why.what, why.remedy) }),
    }
}
