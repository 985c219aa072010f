//! Backup: the programme as one whole file.

use askama::Template;
use axum::http::header::{CONTENT_DISPOSITION, CONTENT_TYPE};
use axum::response::IntoResponse as _;
use crownhold_print::wording::count;

use crate::actions::backup;
use crate::clock;
use crate::desk::shell::{Answer, Place, Shell, Visit, page};
use crate::desk::state::off;

#[derive(Template)]
#[template(path = "programme_backup.html")]
struct BackupPage {
    shell: Shell,
    name: String,
    holds: Vec<String>,
    last: Option<(String, String, String)>,
    has_people: bool,
}

pub async fn show(visit: Visit) -> Answer {
    let season = &visit.season;
    let records = &season.records;
    let parts = [
        (records.blocks.len(), "block", "blocks"),
        (records.trees.len(), "tree", "trees"),
        (records.plots.len(), "plot", "plots"),
        (records.visits.len(), "visit", "visits"),
        (records.weather.iter().map(|w| w.days.len()).sum(), "day of weather", "days of weather"),
        (records.no_spray.len(), "no-spray area", "no-spray areas"),
        (records.people.len(), "person", "people"),
        (season.plans.len(), "kept plan", "kept plans"),
        (season.history.len(), "change in the history", "changes in the history"),
    ];
    page(&BackupPage {
        shell: visit.shell(Place::Programme, "Backup"),
        name: name(&records.programme.name, &clock::today().to_string()),
        holds: parts.into_iter().filter(|(n, ..)| *n > 0).map(|(n, one, many)| count(n, one, many)).collect(),
        last: season.history.last().map(|e| (e.what.clone(), e.who.clone(), clock::local(&e.when))),
        has_people: !records.people.is_empty(),
    })
}

/// The copy itself.
pub async fn file(visit: Visit) -> Answer {
    let path = visit.desk.path().to_owned();
    let bytes = off(move || backup::bytes(&path)).await?;
    let name = name(&visit.season.records.programme.name, &clock::today().to_string());
    let headers = [
        (CONTENT_TYPE, "application/geopackage+sqlite3".to_owned()),
        (CONTENT_DISPOSITION, format!("attachment; filename=\"{name}\"")),
    ];
    Ok((headers, bytes).into_response())
}

/// A name that any computer takes: the city's in small letters, and the day.
fn name(city: &str, day: &str) -> String {
    let plain = |c: char| if c.is_ascii_alphanumeric() { c.to_ascii_lowercase() } else { ' ' };
    let words: String = city.trim_end_matches(" (invented)").chars().map(plain).collect();
    let city = words.split_whitespace().collect::<Vec<_>>().join("-");
    let city = if city.is_empty() { "programme" } else { &city };
    format!("{city}-{day}.gpkg")
}

#[cfg(test)]
mod tests {
    use super::name;

    #[test]
    fn any_computer_takes_the_name() {
        assert_eq!(name("Pellwood (invented)", "2027-05-10"), "pellwood-2027-05-10.gpkg");
        assert_eq!(name("St. \"Old\" Town/North", "2027-05-10"), "st-old-town-north-2027-05-10.gpkg");
        assert_eq!(name("森", "2027-05-10"), "programme-2027-05-10.gpkg");
    }
}
