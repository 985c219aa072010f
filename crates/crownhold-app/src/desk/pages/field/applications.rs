//! Application records: written, closed, amended; never changed after closing.

use std::collections::BTreeMap;

use askama::Template;
use axum::extract::{Form, Path, Query};
use axum::http::StatusCode;
use axum::http::header::{CONTENT_DISPOSITION, CONTENT_TYPE};
use axum::response::IntoResponse as _;
use crownhold::types::{Application, Area, LogId, Share, Speed, SprayMethod, Tactic};
use crownhold_data::formats::applications_to_csv;
use crownhold_print::cautions;
use crownhold_print::wording::count;
use serde::Deserialize;

use super::form::Typed;
use crate::actions::seen::Item;
use crate::actions::{By, log};
use crate::desk::shell::{Answer, Place, Shell, Visit, page_with};
use crate::desk::state::Season;

#[derive(Template)]
#[template(path = "field_applications.html")]
struct ApplicationsPage {
    shell: Shell,
    lead: String,
    caution: &'static str,
    permit: String,
    records: Vec<Row>,
    editing: String,
    seen: String,
    form: Typed,
    methods: Vec<&'static str>,
    area_label: &'static str,
    wind_label: &'static str,
    temperature_label: &'static str,
}

struct Row {
    id: String,
    version: u32,
    day: String,
    place: String,
    product: String,
    area: String,
    state: String,
    closed: bool,
    last: bool,
}

/// The record to write on.
#[derive(Deserialize, Default)]
pub struct Asked {
    #[serde(default)]
    record: String,
}

pub async fn show(visit: Visit, Query(asked): Query<Asked>) -> Answer {
    let season = &visit.season;
    let open = last(season, &asked.record).filter(|a| a.closed.is_none());
    let form = match open {
        Some(record) => filled(season, record),
        None => Typed::filled([("date", season.today.to_string())]),
    };
    let editing = open.map(|a| a.id.to_string()).unwrap_or_default();
    render(&visit, StatusCode::OK, editing, form)
}

fn last<'s>(season: &'s Season, id: &str) -> Option<&'s Application> {
    season.records.log.applications.iter().rfind(|a| a.id.as_str() == id)
}

fn render(visit: &Visit, status: StatusCode, editing: String, form: Typed) -> Answer {
    let season = &visit.season;
    let all = &season.records.log.applications;
    let us = season.wording().is_us();
    let mut records: Vec<Row> = all
        .iter()
        .enumerate()
        .map(|(i, a)| row(season, a, all.get(i + 1).is_none_or(|next| next.id != a.id)))
        .collect();
    records.reverse();
    page_with(
        status,
        &ApplicationsPage {
            lead: lead(season),
            caution: cautions::of(Tactic::AerialOnce),
            permit: permit(season),
            records,
            seen: if editing.is_empty() {
                String::new()
            } else {
                Item::Application(editing.clone()).print(&season.records)
            },
            editing,
            form,
            methods: SprayMethod::ALL.iter().map(|m| m.word()).collect(),
            area_label: if us { "Area treated, acres" } else { "Area treated, ha" },
            wind_label: if us { "Wind, mph" } else { "Wind, m/s" },
            temperature_label: if us { "Temperature, F" } else { "Temperature, C" },
            shell: visit.shell(Place::Field, "Application records"),
        },
    )
}

fn lead(season: &Season) -> String {
    let (log, year) = (&season.records.log, season.records.programme.season);
    let all: Vec<&Application> = log.applications_of(year).collect();
    if all.is_empty() {
        return "Nothing is written down. A record is written the day it is flown or sprayed, and closed when it is whole."
            .to_owned();
    }
    let open = all.iter().filter(|a| a.closed.is_none()).count();
    let area = log.treated_in(year);
    let still = if open > 0 { format!(" {} still open.", count(open, "is", "are")) } else { String::new() };
    format!(
        "{} of {}, {} treated, repeats counted.{still}",
        count(all.len(), "record", "records"),
        season.records.programme.season,
        ground(season, area)
    )
}

/// Treated ground to a tenth, as records have it.
fn ground(season: &Season, area: Area) -> String {
    let w = season.wording();
    format!("{:.1} {}", if w.is_us() { area.as_acres() } else { area.as_hectares() }, w.area_unit())
}

/// The yearly total against the area from which a water permit asks for notice.
fn permit(season: &Season) -> String {
    let area = season.records.log.treated_in(season.records.programme.season);
    let limit = Area::acres(season.records.parameters.number("notices.permit_area"));
    let w = season.wording();
    if area.as_acres() <= 0.0 {
        return String::new();
    }
    let over = if area.as_acres() >= limit.as_acres() {
        "The year's total is over it: ask the agency before anything more is flown."
    } else {
        "The year's total is below it."
    };
    format!(
        "The programme's limit for the notice of intent of a water permit is {} a year, repeats counted (a parameter; ask your \
         state). {over}",
        w.area(limit)
    )
}

fn row(season: &Season, a: &Application, last: bool) -> Row {
    let blocks = a.blocks.iter().map(ToString::to_string).collect::<Vec<_>>().join(", ");
    let place = [blocks, a.place.clone()].into_iter().filter(|p| !p.is_empty()).collect::<Vec<_>>().join("; ");
    let product = [a.product.clone(), a.rate.clone()].into_iter().filter(|p| !p.is_empty()).collect::<Vec<_>>();
    let blanks = log::blanks(a).len();
    let state = match &a.closed {
        Some((day, who)) => format!("closed {} by {who}", season.wording().day(*day)),
        None if blanks > 0 => format!("open; {} to fill in", count(blanks, "field", "fields")),
        None => "open; whole, to be closed".to_owned(),
    };
    let reason = if a.reason.is_empty() { String::new() } else { format!("; amended: {}", a.reason) };
    Row {
        id: a.id.to_string(),
        version: a.version,
        day: season.wording().date(a.date),
        place,
        product: product.join(", "),
        area: a.area.map(|area| ground(season, area)).unwrap_or_default(),
        state: format!("{state}{reason}"),
        closed: a.closed.is_some(),
        last,
    }
}

/// The form of a record that is open.
fn filled(season: &Season, a: &Application) -> Typed {
    let us = season.wording().is_us();
    let plain = |v: Option<f64>| v.map(|v| format!("{}", (v * 100.0).round() / 100.0)).unwrap_or_default();
    let time = |t: Option<jiff::civil::Time>| t.map(|t| t.strftime("%H:%M").to_string()).unwrap_or_default();
    let area = a.area.map(|area| if us { area.as_acres() } else { area.as_hectares() });
    let wind = a.wind.map(|v| if us { v.as_miles_per_hour() } else { v.as_metres_per_second() });
    let temperature = a.temperature.map(|t| if us { t * 1.8 + 32.0 } else { t });
    Typed::filled([
        ("date", a.date.to_string()),
        ("from", time(a.from)),
        ("to", time(a.to)),
        ("method", a.method.word().to_owned()),
        ("blocks", a.blocks.iter().map(ToString::to_string).collect::<Vec<_>>().join(", ")),
        ("place", a.place.clone()),
        ("product", a.product.clone()),
        ("registration", a.registration.clone()),
        ("formulation", a.formulation.clone()),
        ("rate", a.rate.clone()),
        ("total", a.total.clone()),
        ("area", plain(area)),
        ("wind", plain(wind)),
        ("wind_from", plain(a.wind_from)),
        ("temperature", plain(temperature)),
        ("humidity", plain(a.humidity.map(|h| 100.0 * h.value()))),
        ("applicator", a.applicator.clone()),
        ("licence", a.licence.clone()),
        ("craft", a.craft.clone()),
        ("note", a.note.clone()),
    ])
}

/// The record that was typed; `None` where something cannot be read.
fn read(form: &mut Typed, season: &Season) -> Option<Application> {
    let date = form.date("date", season.today);
    let method = form.choice("method", SprayMethod::from_word);
    let (from, to) = (form.time("from"), form.time("to"));
    let area = form.area("area", season);
    let wind: Option<Speed> = form.wind("wind", season);
    let wind_from = form.number("wind_from", 0.0, 360.0);
    let temperature = form.temperature("temperature", season);
    let humidity = form.number("humidity", 0.0, 100.0).and_then(|p| Share::new(p / 100.0));
    let (Some(date), Some(method), false) = (date, method, form.is_wrong()) else { return None };
    Some(Application {
        id: LogId::new(form.text("id")),
        version: 1,
        reason: String::new(),
        closed: None,
        method,
        blocks: form.blocks("blocks"),
        place: form.text("place"),
        date,
        from,
        to,
        product: form.text("product"),
        registration: form.text("registration"),
        formulation: form.text("formulation"),
        rate: form.text("rate"),
        total: form.text("total"),
        area,
        wind,
        wind_from,
        temperature,
        humidity,
        applicator: form.text("applicator"),
        licence: form.text("licence"),
        craft: form.text("craft"),
        note: form.text("note"),
    })
}

pub async fn write(visit: Visit, Form(typed): Form<BTreeMap<String, String>>) -> Answer {
    let mut form = Typed::of(typed);
    let editing = form.text("id");
    let Some(record) = read(&mut form, &visit.season) else {
        return render(&visit, StatusCode::UNPROCESSABLE_ENTITY, editing, form);
    };
    let seen = Item::Application(editing.clone()).as_seen(form.value("seen"));
    let write =
        move |path: &std::path::Path, by: By<'_>| log::write_application(path, &record, by.having_seen(seen.as_ref()));
    match super::run(&visit, write).await {
        Ok(done) => Ok(visit.done_with(done, "/field/applications").await),
        Err(trouble) if form.take(&trouble.problems) => {
            // With what stands there by now, if somebody else was quicker.
            let visit = visit.anew().await?;
            render(&visit, StatusCode::UNPROCESSABLE_ENTITY, editing, form)
        }
        Err(trouble) => Err(trouble.into()),
    }
}

/// Closes a record; where something is blank its form comes back with the blanks marked.
pub async fn close(visit: Visit, Path(id): Path<String>) -> Answer {
    let (today, name) = (visit.season.today, LogId::new(&id));
    match super::run(&visit, move |path, by| log::close_application(path, &name, today, by)).await {
        Ok(done) => {
            let said = format!("Done: {}. It can be amended, and no longer changed or undone.", done.what);
            Ok(visit.say(said, "/field/applications").await)
        }
        Err(trouble) => {
            let Some(record) = last(&visit.season, &id).filter(|a| a.closed.is_none()) else {
                return Err(trouble.into());
            };
            let mut form = filled(&visit.season, record);
            if !form.take(&trouble.problems) {
                return Err(trouble.into());
            }
            render(&visit, StatusCode::UNPROCESSABLE_ENTITY, id, form)
        }
    }
}

pub async fn amend(visit: Visit, Path(id): Path<String>, Form(typed): Form<BTreeMap<String, String>>) -> Answer {
    let (name, reason) = (LogId::new(&id), Typed::of(typed).text("reason"));
    let done = super::run(&visit, move |path, by| log::amend_application(path, &name, &reason, by)).await?;
    Ok(visit.done_with(done, &format!("/field/applications?record={id}#entry")).await)
}

/// All records as a table, every version.
pub async fn table(visit: Visit) -> Answer {
    let csv = applications_to_csv(&visit.season.records.log.applications, visit.season.units());
    let headers = [
        (CONTENT_TYPE, "text/csv; charset=utf-8"),
        (CONTENT_DISPOSITION, "attachment; filename=\"application-records.csv\""),
    ];
    Ok((headers, csv).into_response())
}
