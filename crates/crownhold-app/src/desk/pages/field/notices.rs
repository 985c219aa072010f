//! Notices: who is told by when, and proof of what was sent.

use std::collections::BTreeMap;

use askama::Template;
use axum::extract::{Form, Path, Query};
use axum::http::StatusCode;
use crownhold::field::{NoticeDue, notice_reach, notices_due};
use crownhold::types::{Audience, BlockId, Length, LogId, Means, NoticeSent};
use crownhold_print::wording::{capital, count, grouped};
use jiff::civil::Date;

use super::form::Typed;
use super::{Entry, flown, kept};
use crate::actions::log;
use crate::desk::shell::{Answer, Place, Shell, Visit, page_with};
use crate::desk::state::Season;

const SHOWN: usize = 60;

#[derive(Template)]
#[template(path = "field_notices.html")]
struct NoticesPage {
    shell: Shell,
    lead: String,
    rows: Vec<Row>,
    near: String,
    /// How far from flown blocks addresses are written to.
    reach: String,
    whom: Vec<(&'static str, String)>,
    form: Typed,
    audiences: Vec<&'static str>,
    means: Vec<&'static str>,
    entries: Vec<Entry>,
    entries_note: String,
}

struct Row {
    whom: String,
    by: String,
    known: String,
    sent: String,
}

/// The form may be filled in by the address, as the page of a mailing list does.
pub async fn show(visit: Visit, Query(asked): Query<BTreeMap<String, String>>) -> Answer {
    let mut typed = BTreeMap::from([
        ("date".to_owned(), visit.season.today.to_string()),
        ("who".to_owned(), visit.author().to_owned()),
    ]);
    typed.extend(asked);
    let form = Typed::of(typed);
    render(&visit, StatusCode::OK, form)
}

fn render(visit: &Visit, status: StatusCode, form: Typed) -> Answer {
    let season = &visit.season;
    let flown = flown(season);
    let due = notices_due(&season.records, &flown, season.timing());
    let notices = &season.records.log.notices;
    page_with(
        status,
        &NoticesPage {
            lead: lead(season, &flown, &due),
            rows: due.iter().map(|d| row(season, d)).collect(),
            near: near(season),
            reach: season.wording().distance(notice_reach(Audience::Residents, &season.records.parameters)),
            whom: super::mailing::audiences(),
            form,
            audiences: Audience::ALL.iter().map(|a| a.word()).collect(),
            means: Means::ALL.iter().map(|m| m.word()).collect(),
            entries: entries(season),
            entries_note: kept(notices.len(), SHOWN),
            shell: visit.shell(Place::Field, "Notices"),
        },
    )
}

fn lead(season: &Season, flown: &[BlockId], due: &[NoticeDue]) -> String {
    if flown.is_empty() {
        return "The plan flies no block, so nobody has to be told of a flight.".to_owned();
    }
    let blocks = count(flown.len(), "block", "blocks");
    let waiting: Vec<&NoticeDue> = due.iter().filter(|d| d.sent == 0).collect();
    let first = waiting.iter().filter_map(|d| d.by).min();
    let next = match first {
        Some(day) if day < season.today => {
            format!("The first notices were due on {} and none is written down as sent.", season.wording().date(day))
        }
        Some(day) => format!("The next notices must be out by {}.", season.wording().date(day)),
        None if waiting.is_empty() => "Something went out to everybody on the list.".to_owned(),
        None => "There are no dates yet to count back from.".to_owned(),
    };
    format!("The plan flies {blocks}. {next}")
}

fn row(season: &Season, due: &NoticeDue) -> Row {
    let w = season.wording();
    let by = due.by.map_or("no dates yet".to_owned(), |day| format!("{} ({} days before)", w.date(day), due.days));
    Row { whom: capital(due.audience.word()), by, known: known(season, due), sent: sent(season, due) }
}

fn known(season: &Season, due: &NoticeDue) -> String {
    if let Some(dwellings) = due.dwellings {
        return format!("{} dwellings in the flown blocks", grouped(f64::from(dwellings)));
    }
    let place = |(name, distance): &(String, Length)| {
        if distance.as_metres() < 1.0 {
            format!("{name} (inside)")
        } else {
            format!("{name} ({})", season.wording().distance(*distance))
        }
    };
    match due.audience {
        Audience::School | Audience::Beekeeper | Audience::OrganicGrower if due.places.is_empty() => {
            "none on record near what is flown".to_owned()
        }
        Audience::School | Audience::Beekeeper | Audience::OrganicGrower => {
            due.places.iter().map(place).collect::<Vec<_>>().join("; ")
        }
        Audience::Residents => "dwellings are not on record".to_owned(),
        Audience::Hospital | Audience::Other => "not on record: give your own list below".to_owned(),
    }
}

fn sent(season: &Season, due: &NoticeDue) -> String {
    match due.last_sent {
        None => "nothing".to_owned(),
        Some(last) => {
            let late = due.by.is_some_and(|by| last > by);
            let note = if late { ", after the day" } else { "" };
            format!("{}, last on {}{note}", grouped(f64::from(due.sent)), season.wording().day(last))
        }
    }
}

fn near(season: &Season) -> String {
    let reach = notice_reach(Audience::School, &season.records.parameters);
    format!(
        "Schools, beekeepers and organic growers are the no-spray areas on record within {} of a flown block. Days and distance are \
         parameters of the programme.",
        season.wording().distance(reach)
    )
}

fn entries(season: &Season) -> Vec<Entry> {
    let mut newest: Vec<&NoticeSent> = season.records.log.notices.iter().collect();
    newest.sort_by(|a, b| (b.date, &b.id).cmp(&(a.date, &a.id)));
    let entry = |n: &&NoticeSent| Entry {
        id: n.id.to_string(),
        day: season.wording().date(n.date),
        place: n.blocks.iter().map(ToString::to_string).collect::<Vec<_>>().join(", "),
        number: grouped(f64::from(n.number)),
        what: if n.note.is_empty() {
            format!("{} by {}", capital(n.audience.word()), n.means)
        } else {
            format!("{} by {} ({})", capital(n.audience.word()), n.means, n.note)
        },
        who: n.who.clone(),
        photo: false,
    };
    newest.iter().take(SHOWN).map(entry).collect()
}

pub async fn add(visit: Visit, Form(typed): Form<BTreeMap<String, String>>) -> Answer {
    let mut form = Typed::of(typed);
    let date: Option<Date> = form.date("date", visit.season.today);
    let audience = form.choice("audience", Audience::from_word);
    let means = form.choice("means", Means::from_word);
    let number = form.count("number");
    let (Some(date), Some(audience), Some(means), false) = (date, audience, means, form.is_wrong()) else {
        return render(&visit, StatusCode::UNPROCESSABLE_ENTITY, form);
    };
    let named = form.blocks("blocks");
    let entry = NoticeSent {
        id: LogId::new(""),
        date,
        audience,
        means,
        blocks: if named.is_empty() { flown(&visit.season) } else { named },
        number,
        who: form.text("who"),
        note: form.text("note"),
    };
    match super::run(&visit, move |path, by| log::add_notice(path, &entry, by)).await {
        Ok(done) => Ok(visit.done_with(done, "/field/notices").await),
        Err(trouble) if form.take(&trouble.problems) => render(&visit, StatusCode::UNPROCESSABLE_ENTITY, form),
        Err(trouble) => Err(trouble.into()),
    }
}

pub async fn remove(visit: Visit, Path(id): Path<String>) -> Answer {
    let done = super::run(&visit, move |path, by| log::remove_notice(path, &LogId::new(id), by)).await?;
    Ok(visit.done_with(done, "/field/notices").await)
}
