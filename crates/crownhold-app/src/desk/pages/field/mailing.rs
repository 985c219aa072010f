//! Whom to write to: the city's list of addresses, sent to be cut to what lies near, and kept only in memory.

use std::sync::Arc;

use askama::Template;
use axum::extract::{Multipart, Path};
use axum::http::header::{CONTENT_DISPOSITION, CONTENT_TYPE};
use axum::response::{IntoResponse as _, Redirect};
use crownhold::types::{Audience, Problem};
use crownhold_data::formats::Wishes;
use crownhold_print::wording::{capital, count};

use super::flown;
use crate::actions::mailing::{Mailing, mailing};
use crate::desk::sent_files::{SentFiles, input_of};
use crate::desk::shell::{Answer, Place, Refused, Shell, Visit, page};
use crate::desk::state::{Season, off};
use crate::trouble::Trouble;

#[derive(Template)]
#[template(path = "field_mailing.html")]
struct MailingPage {
    shell: Shell,
    lead: String,
    by: String,
    rows: Vec<(String, String)>,
    notes: Vec<String>,
    csv: String,
    name: String,
    /// For the form for what was sent: whom, how many, from which list.
    proof: (&'static str, usize, String),
}

/// Cuts a list and leads to what came of it.
pub async fn cut(visit: Visit, sent: Multipart) -> Answer {
    let mut sent = SentFiles::receive(sent).await?;
    let audience = sent.text("whom").and_then(|w| Audience::from_word(&w)).unwrap_or(Audience::Residents);
    if sent.parts.is_empty() {
        let problem = Problem::error("A-236", "No file was chosen.", "Choose the city's list of addresses or parcels.");
        return Err(Trouble::one(problem).into());
    }
    let wishes = Wishes { crs: sent.text("crs"), layer: sent.text("layer"), ..Wishes::default() };
    let list = input_of(std::mem::take(&mut sent.parts));
    let season = Arc::clone(&visit.season);
    let made = off(move || {
        let flown = flown(&season);
        mailing(&season.records, &flown, season.timing(), audience, &list, &wishes)
    })
    .await?;
    Ok(Redirect::to(&format!("/field/notices/lists/{}", visit.desk.mailings.keep(made))).into_response())
}

fn found(m: &Mailing) -> String {
    let rows = count(m.given, "row", "rows");
    format!("{} of {rows} of {} lie in or near flown blocks.", count(m.told.len(), "address", "addresses"), m.file)
}

fn list(visit: &Visit, id: &str) -> Result<Arc<Mailing>, Refused> {
    visit.desk.mailings.get(id).ok_or_else(|| {
        Refused::missing(
            "This list is no longer kept: lists name people's homes, so the desk forgets them. Make it again.",
        )
    })
}

pub async fn show(visit: Visit, Path(id): Path<String>) -> Answer {
    let made = list(&visit, &id)?;
    let season = &visit.season;
    page(&MailingPage {
        lead: found(&made),
        by: by(season, &made),
        rows: rows(season, &made),
        notes: made.notes.iter().map(|p| format!("{} {}", p.what, p.remedy)).collect(),
        csv: format!("/field/notices/lists/{id}/csv"),
        name: file_name(&made),
        proof: (made.audience.word(), made.told.len(), format!("list: {}", made.file)),
        shell: visit.shell(Place::Field, "Mailing list"),
    })
}

fn by(season: &Season, m: &Mailing) -> String {
    match m.by {
        Some(day) => format!("The notices must be out by {}.", season.wording().date(day)),
        None => "There are no dates yet to count back from.".to_owned(),
    }
}

fn rows(season: &Season, m: &Mailing) -> Vec<(String, String)> {
    let mut blocks: Vec<_> = m.told.iter().map(|t| &t.block).collect();
    blocks.sort();
    blocks.dedup();
    let reach = season.wording().distance(m.reach);
    vec![
        ("In flown blocks".to_owned(), count(m.inside(), "address", "addresses")),
        (format!("Outside, within {reach} of one"), count(m.told.len() - m.inside(), "address", "addresses")),
        ("Farther away or without a position, not on it".to_owned(), count(m.given - m.told.len(), "row", "rows")),
        ("Flown blocks with an address".to_owned(), count(blocks.len(), "block", "blocks")),
    ]
}

fn file_name(m: &Mailing) -> String {
    format!("mailing-{}.csv", m.audience.word().replace(' ', "-"))
}

pub async fn csv(visit: Visit, Path(id): Path<String>) -> Answer {
    let made = list(&visit, &id)?;
    let headers = [
        (CONTENT_TYPE, "text/csv; charset=utf-8".to_owned()),
        (CONTENT_DISPOSITION, format!("attachment; filename=\"{}\"", file_name(&made))),
    ];
    Ok((headers, made.csv.clone()).into_response())
}

/// What the form of the notices page says over its choices.
pub(super) fn audiences() -> Vec<(&'static str, String)> {
    Audience::ALL.iter().map(|a| (a.word(), capital(a.word()))).collect()
}
