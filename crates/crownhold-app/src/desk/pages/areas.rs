//! No-spray areas, block edges, consents.

use askama::Template;
use axum::Json;
use axum::extract::{Form, Path};
use axum::http::StatusCode;
use axum::response::IntoResponse as _;
use crownhold::tactics::default_buffer;
use crownhold::types::{Area, Consent, Length, NoSprayArea, NoSprayId, NoSprayKind, Problem};
use crownhold_print::wording::Wording;
use geo::Area as _;
use serde::Deserialize;

use crate::actions::areas::{
    BlockWords, NoSprayWords, add_no_spray, change_block, change_no_spray, delete_no_spray, reshape_block,
    reshape_no_spray,
};
use crate::actions::seen::Item;
use crate::actions::{By, Done};
use crate::clock;
use crate::desk::shell::{Answer, Place, Refused, Shell, Visit, page};
use crate::desk::state::{Season, off};
use crate::trouble::Trouble;

#[derive(Template)]
#[template(path = "areas.html")]
struct AreasPage {
    shell: Shell,
    units: &'static str,
    areas: Vec<AreaRow>,
    kinds: &'static [NoSprayKind],
    distance: &'static str,
    pending: Vec<(String, String, String)>,
    consents: &'static [Consent],
}

/// A no-spray area in the table.
struct AreaRow {
    id: String,
    kind: NoSprayKind,
    buffer: String,
    usual: String,
    size: String,
    note: String,
    seen: String,
}

pub async fn show(visit: Visit) -> Answer {
    let season = &visit.season;
    let w = season.wording();
    let waits = |b: &&crownhold::types::Block| matches!(b.consent, Consent::Pending | Consent::Refused);
    page(&AreasPage {
        shell: visit.shell(Place::Plan, "Areas"),
        units: if w.is_us() { "us" } else { "metric" },
        areas: season.records.no_spray.iter().map(|a| row(season, a, w)).collect(),
        kinds: NoSprayKind::ALL,
        distance: if w.is_us() { "ft" } else { "m" },
        pending: season
            .records
            .blocks
            .iter()
            .filter(waits)
            .map(|b| (b.id.to_string(), b.name.clone(), b.consent.to_string()))
            .collect(),
        consents: Consent::ALL,
    })
}

fn row(season: &Season, area: &NoSprayArea, w: Wording) -> AreaRow {
    let shown = |l: Length| number(if w.is_us() { l.as_feet() } else { l.as_metres() });
    AreaRow {
        id: area.id.to_string(),
        kind: area.kind,
        buffer: area.buffer.map(shown).unwrap_or_default(),
        usual: shown(default_buffer(area.kind, &season.records.parameters)),
        size: w.area(Area::square_metres(area.shape.unsigned_area())),
        note: area.note.clone(),
        seen: Item::NoSpray(area.id.to_string()).print(&season.records),
    }
}

fn number(v: f64) -> String {
    let text = format!("{v:.1}");
    text.strip_suffix(".0").map_or(text.clone(), str::to_owned)
}

/// What the map sends: a shape, and what it is.
#[derive(Deserialize)]
pub struct Drawn {
    what: String,
    id: Option<String>,
    kind: Option<String>,
    /// Metres.
    buffer: Option<f64>,
    #[serde(default)]
    note: Option<String>,
    geometry: serde_json::Value,
}

/// Saves a drawn or moved outline.
pub async fn save(visit: Visit, Json(drawn): Json<Drawn>) -> Answer {
    let (path, author) = (visit.desk.path().to_owned(), visit.author().to_owned());
    let before = drawn.id.as_ref().and_then(|id| kept(&visit, id));
    let done = off(move || save_shape(&path, &drawn, before, By::new(&author, &clock::now()))).await;
    match done {
        Ok(done) => {
            let message = done.what.clone();
            visit.done_with(done, "/plan/areas").await;
            let answer = serde_json::json!({ "message": message, "href": "/plan/areas" });
            Ok((StatusCode::OK, Json(answer)).into_response())
        }
        Err(trouble) => Ok(Refused::from(trouble).as_json()),
    }
}

fn kept(visit: &Visit, id: &str) -> Option<NoSprayWords> {
    let area = visit.season.records.no_spray.iter().find(|a| a.id == NoSprayId::new(id))?;
    Some(NoSprayWords { kind: area.kind, buffer: area.buffer, note: area.note.clone() })
}

fn save_shape(
    path: &std::path::Path,
    drawn: &Drawn,
    before: Option<NoSprayWords>,
    by: By<'_>,
) -> Result<Done, Trouble> {
    let geometry = drawn.geometry.to_string();
    match (drawn.what.as_str(), drawn.id.as_deref()) {
        ("block", Some(id)) => reshape_block(path, id, &geometry, by),
        ("no-spray", Some(id)) => {
            let done = reshape_no_spray(path, id, &geometry, by)?;
            let words = words(drawn, before.as_ref())?;
            if before.is_some_and(|b| b != words) {
                change_no_spray(path, id, &words, by)?;
            }
            Ok(done)
        }
        ("no-spray", None) => add_no_spray(path, &geometry, &words(drawn, None)?, by),
        (other, _) => {
            let what = format!("\"{other}\" is not something that can be drawn here.");
            Err(Trouble::one(Problem::error("A-143", what, "Draw a no-spray area, or move the edge of a block.")))
        }
    }
}

fn words(drawn: &Drawn, before: Option<&NoSprayWords>) -> Result<NoSprayWords, Trouble> {
    let kind = drawn.kind.as_deref().map(kind).transpose()?;
    Ok(NoSprayWords {
        kind: kind.or(before.map(|b| b.kind)).unwrap_or(NoSprayKind::Other),
        buffer: drawn.buffer.map(Length::metres),
        note: drawn.note.clone().or(before.map(|b| b.note.clone())).unwrap_or_default(),
    })
}

fn kind(word: &str) -> Result<NoSprayKind, Trouble> {
    NoSprayKind::from_word(word).ok_or_else(|| {
        let all = NoSprayKind::ALL.iter().map(|k| k.word()).collect::<Vec<_>>().join(", ");
        let what = format!("\"{word}\" is not a kind of no-spray area.");
        Trouble::one(Problem::error("A-144", what, "Choose one of the list.").expected(all))
    })
}

/// A row of the table as typed.
#[derive(Deserialize)]
pub struct Changed {
    kind: String,
    #[serde(default)]
    buffer: String,
    #[serde(default)]
    note: String,
    /// What the form was filled from.
    #[serde(default)]
    seen: String,
}

pub async fn change(visit: Visit, Path(id): Path<String>, Form(form): Form<Changed>) -> Answer {
    let us = visit.season.wording().is_us();
    let buffer = match form.buffer.trim() {
        "" => None,
        text => Some(text.parse::<f64>().ok().filter(|v| v.is_finite() && *v >= 0.0).ok_or_else(|| {
            let what = format!("The distance \"{text}\" is not a number from 0 up.");
            Trouble::one(Problem::error("A-145", what, "Leave it empty to keep the usual distance of the kind."))
        })?),
    };
    let length = |v: f64| if us { Length::feet(v) } else { Length::metres(v) };
    let words = NoSprayWords { kind: kind(&form.kind)?, buffer: buffer.map(length), note: form.note };
    let (path, author) = (visit.desk.path().to_owned(), visit.author().to_owned());
    let seen = Item::NoSpray(id.clone()).as_seen(&form.seen);
    let done = off(move || {
        let when = clock::now();
        change_no_spray(&path, &id, &words, By::new(&author, &when).having_seen(seen.as_ref()))
    })
    .await?;
    Ok(visit.done_with(done, "/plan/areas").await)
}

pub async fn delete(visit: Visit, Path(id): Path<String>) -> Answer {
    let (path, author) = (visit.desk.path().to_owned(), visit.author().to_owned());
    let done = off(move || delete_no_spray(&path, &id, By::new(&author, &clock::now()))).await?;
    Ok(visit.done_with(done, "/plan/areas").await)
}

/// An answer of an owner.
#[derive(Deserialize)]
pub struct Answered {
    block: String,
    consent: String,
}

pub async fn consent(visit: Visit, Form(form): Form<Answered>) -> Answer {
    let consent = Consent::from_word(&form.consent).ok_or_else(|| {
        let what = format!("\"{}\" is not an answer to a request for consent.", form.consent);
        Trouble::one(Problem::error("A-146", what, "Choose one of the list."))
    })?;
    let words = BlockWords { consent: Some(consent), ..BlockWords::default() };
    let (path, author) = (visit.desk.path().to_owned(), visit.author().to_owned());
    let done = off(move || change_block(&path, &form.block, &words, By::new(&author, &clock::now()))).await?;
    Ok(visit.done_with(done, "/plan/areas#consents").await)
}
