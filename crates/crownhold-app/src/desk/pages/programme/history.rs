//! History: every change, and the last one taken back.

use askama::Template;
use axum::extract::{Form, Query};
use axum::http::HeaderMap;
use axum::http::header::REFERER;
use crownhold_data::store::{JournalEntry, last_to_undo};
use crownhold_print::wording::count;
use serde::Deserialize;

use crate::actions::{By, history};
use crate::clock;
use crate::desk::shell::{Answer, Place, Shell, Visit, page};
use crate::desk::state::off;

#[derive(Template)]
#[template(path = "programme_history.html")]
struct HistoryPage {
    shell: Shell,
    last: Option<Line>,
    lines: Vec<Line>,
    /// The number before which the next page of older changes begins.
    older: Option<i64>,
}

/// A change as the page shows it.
struct Line {
    id: i64,
    when: String,
    who: String,
    what: String,
    rows: String,
    undone: bool,
    undoes: Option<i64>,
}

/// Changes on one page.
const PER_PAGE: usize = 100;

/// Which page of the history.
#[derive(Deserialize)]
pub struct From {
    before: Option<i64>,
}

pub async fn show(visit: Visit, Query(from): Query<From>) -> Answer {
    let all = &visit.season.history;
    let mut shown = all.iter().rev().filter(|e| from.before.is_none_or(|before| e.id < before));
    let lines: Vec<Line> = shown.by_ref().take(PER_PAGE).map(line).collect();
    page(&HistoryPage {
        shell: visit.shell(Place::Programme, "History"),
        last: last_to_undo(all).map(line),
        older: shown.next().and(lines.last().map(|l| l.id)),
        lines,
    })
}

fn line(entry: &JournalEntry) -> Line {
    Line {
        id: entry.id,
        when: clock::local(&entry.when),
        who: entry.who.clone(),
        what: entry.what.clone(),
        rows: entry.changes.iter().map(|(table, n)| rows(table, *n)).collect::<Vec<_>>().join(", "),
        undone: entry.undone,
        undoes: entry.undoes,
    }
}

/// How many rows of a table, in words of the trade.
fn rows(table: &str, n: usize) -> String {
    let (one, many) = match table {
        "programme" => ("fact of the programme", "facts of the programme"),
        "blocks" => ("block", "blocks"),
        "trees" => ("tree", "trees"),
        "plots" => ("plot", "plots"),
        "visits" => ("visit", "visits"),
        "counts" => ("count", "counts"),
        "no_spray" => ("no-spray area", "no-spray areas"),
        "streets" => ("stretch of street", "stretches of street"),
        "strata" => ("stratum", "strata"),
        "weather_station" => ("weather station", "weather stations"),
        "weather_day" => ("day of weather", "days of weather"),
        "weather_hours" => ("day of hours", "days of hours"),
        "hours_supply" => ("entry of hours", "entries of hours"),
        "resources" => ("entry of money and limits", "entries of money and limits"),
        "decisions" => ("decision", "decisions"),
        "past_seasons" => ("block of a past season", "blocks of past seasons"),
        "parameters" => ("constant", "constants"),
        "people" => ("person", "people"),
        "field_samples" => ("field sample", "field samples"),
        "band_visits" => ("band visit", "band visits"),
        "scraping" => ("entry of scraping", "entries of scraping"),
        "applications" => ("application record", "application records"),
        "notices" => ("entry of notices", "entries of notices"),
        "species" => ("species", "species"),
        other => return format!("{n} of {}", other.replace('_', " ")),
    };
    count(n, one, many)
}

/// Which change the page showed as the last one; a notice does not say.
#[derive(Deserialize)]
pub struct Which {
    entry: Option<i64>,
}

pub async fn undo(visit: Visit, headers: HeaderMap, Form(which): Form<Which>) -> Answer {
    let (path, author) = (visit.desk.path().to_owned(), visit.author().to_owned());
    let when = clock::now();
    let undone = off(move || history::undo(&path, which.entry, By::new(&author, &when))).await?;
    let referer = headers.get(REFERER).and_then(|r| r.to_str().ok());
    let back = referer.and_then(|r| own_path(r, &visit.desk.hosts())).unwrap_or("/programme/history");
    Ok(visit.say(format!("Taken back: {}.", undone.what), back).await)
}

/// The path of an address of this desk; none of any other.
fn own_path<'r>(address: &'r str, hosts: &[String]) -> Option<&'r str> {
    let rest = address.strip_prefix("http://")?;
    let path = hosts.iter().find_map(|host| rest.strip_prefix(host.as_str()))?;
    (path.starts_with('/') && !path.starts_with("//")).then_some(path)
}

#[cfg(test)]
mod tests {
    use super::{own_path, rows};

    #[test]
    fn only_pages_of_this_desk_are_gone_back_to() {
        let hosts = ["127.0.0.1:8080".to_owned(), "localhost:8080".to_owned()];
        let back = |address| own_path(address, &hosts);
        assert_eq!(back("http://127.0.0.1:8080/survey?block=A"), Some("/survey?block=A"));
        assert_eq!(back("http://localhost:8080/"), Some("/"));
        for foreign in [
            "http://127.0.0.1:80801/",
            "http://127.0.0.1:8080.example/",
            "http://127.0.0.1:8080//elsewhere/",
            "https://127.0.0.1:8080/",
            "http://elsewhere/",
            "/survey",
        ] {
            assert_eq!(back(foreign), None, "{foreign}");
        }
    }

    #[test]
    fn rows_are_counted_in_words_of_the_trade() {
        assert_eq!(rows("weather_day", 10_958), "10,958 days of weather");
        assert_eq!(rows("species", 1), "1 species");
        assert_eq!(rows("new_table", 3), "3 of new table");
    }
}
