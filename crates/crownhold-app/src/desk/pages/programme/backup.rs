//! Backup: the programme as one whole file.

use std::path::Path;

use askama::Template;
use axum::http::header::{CONTENT_DISPOSITION, CONTENT_TYPE};
use axum::response::IntoResponse as _;
use crownhold_print::wording::count;

use crate::actions::{backup, photos};
use crate::clock;
use crate::desk::shell::{Answer, Place, Refused, Shell, Visit, page};
use crate::desk::state::off;

#[derive(Template)]
#[template(path = "programme_backup.html")]
struct BackupPage {
    shell: Shell,
    name: String,
    /// Name of the copy of the photos, and how many there are.
    photos: Option<(String, String)>,
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
    let path = visit.desk.path().to_owned();
    let photos = off(move || photos::all(&path).len()).await;
    let name = name(&records.programme.name, &clock::today().to_string());
    page(&BackupPage {
        shell: visit.shell(Place::Programme, "Backup"),
        photos: (photos > 0).then(|| (of_photos(&name), count(photos, "photo", "photos"))),
        name,
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

/// A copy of the photos.
pub async fn photo_file(visit: Visit) -> Answer {
    let path = visit.desk.path().to_owned();
    let missing = || Refused::missing("No visit has a photo.");
    let bytes = off(move || backup::photo_bytes(&path)).await?.ok_or_else(missing)?;
    let name = of_photos(&name(&visit.season.records.programme.name, &clock::today().to_string()));
    let headers = [
        (CONTENT_TYPE, "application/vnd.sqlite3".to_owned()),
        (CONTENT_DISPOSITION, format!("attachment; filename=\"{name}\"")),
    ];
    Ok((headers, bytes).into_response())
}

/// The name under which the photos are found again beside a programme of this name.
fn of_photos(programme: &str) -> String {
    Path::new(programme).with_extension("photos.sqlite").display().to_string()
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
    use super::{name, of_photos};

    #[test]
    fn any_computer_takes_the_name() {
        assert_eq!(of_photos("pellwood-2027-05-10.gpkg"), "pellwood-2027-05-10.photos.sqlite");
        assert_eq!(name("Pellwood (invented)", "2027-05-10"), "pellwood-2027-05-10.gpkg");
        assert_eq!(name("St. \"Old\" Town/North", "2027-05-10"), "st-old-town-north-2027-05-10.gpkg");
        assert_eq!(name("森", "2027-05-10"), "programme-2027-05-10.gpkg");
    }
}
