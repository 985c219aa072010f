//! How good the dates would have been in past years.

use std::sync::Arc;

use askama::Template;
use axum::extract::{Multipart, Query};
use crownhold::Setting;
use crownhold::timing::Event;
use crownhold::timing::degree_days::StartDay;
use crownhold::timing::hindcast::{Case, Forecaster, Hindcast, Line, issue_days};
use crownhold::types::Problem;
use crownhold_data::formats::{Input, Part};
use crownhold_print::charts::{PastForecast, past_forecasts};
use crownhold_print::wording::{Wording, capital, count, listed, percent};
use jiff::civil::Date;
use serde::Deserialize;

use super::picture::Picture;
use crate::actions::hindcast::{Against, Judged, Source, judged};
use crate::desk::shell::{Answer, Place, ProblemLine, Shell, Visit, lines, page};
use crate::desk::state::{SEED, Season, off};
use crate::trouble::Trouble;

/// Members a forecast: ranges to a day.
const DRAWS: usize = 100;

#[derive(Template)]
#[template(path = "hindcast.html")]
struct HindcastPage {
    shell: Shell,
    view: Option<View>,
    notes: Vec<ProblemLine>,
    /// The days from which past years are forecast.
    days: String,
    weather: bool,
}

/// The scores of one event from one issue day, and those of its other issue days.
struct View {
    sentence: String,
    against: String,
    events: Vec<Choice>,
    issues: Vec<Choice>,
    picture: Option<Picture>,
    caption: String,
    rows: Vec<Row>,
    all: Vec<AllRow>,
}

/// Something to look at instead.
struct Choice {
    words: String,
    href: String,
    here: bool,
}

/// One issue day.
struct Row {
    issued: String,
    off: String,
    late: String,
    inside: String,
    usual: String,
    mean_heat: String,
}

/// One event over all issue days.
struct AllRow {
    event: String,
    off: Vec<String>,
}

/// What is looked at.
#[derive(Deserialize, Default)]
pub struct Look {
    event: Option<String>,
    issued: Option<String>,
}

pub async fn show(visit: Visit, Query(look): Query<Look>) -> Answer {
    let season = &visit.season;
    let found = visit.desk.hindcast.of(season);
    page(&HindcastPage {
        notes: found.as_ref().map(|judged| lines(&judged.hindcast.notes)).unwrap_or_default(),
        view: found.map(|judged| view(season, &judged, &look)),
        days: listed(&issue_days().map(|d| day(d, season.wording()))),
        weather: season.records.weather.iter().any(|series| !series.days.is_empty()),
        shell: visit.shell(Place::Timing, "Past years"),
    })
}

/// Judges, against a file of dates seen if one was sent.
pub async fn judge(visit: Visit, mut sent: Multipart) -> Answer {
    let cut_off = |e: axum::extract::multipart::MultipartError| {
        let what = format!("The file did not arrive whole: {}.", e.body_text());
        Trouble::one(Problem::error("A-151", what, "Nothing was changed. Send it again."))
    };
    let mut file = None;
    while let Some(field) = sent.next_field().await.map_err(cut_off)? {
        let name = field.file_name().unwrap_or_default().to_owned();
        let bytes = field.bytes().await.map_err(cut_off)?.to_vec();
        // A browser sends a nameless file when none was chosen.
        if !name.is_empty() {
            file = Some(Input { name: name.clone(), parts: vec![Part { name, bytes }] });
        }
    }
    let season = Arc::clone(&visit.season);
    let work = off(move || judge_season(&season, file.as_ref())).await?;
    visit.desk.hindcast.keep(&visit.season, work);
    Ok(visit.say("Past years are forecast and judged.".to_owned(), "/timing/hindcast").await)
}

fn judge_season(season: &Season, file: Option<&Input>) -> Result<Judged, Trouble> {
    let records = &season.records;
    let source = Source { weather: records.weather.clone(), parameters: records.parameters.clone(), notes: Vec::new() };
    let setting = Setting { today: season.today, seed: SEED, draws: DRAWS };
    let hindcast = judged(&source, file.map_or(Against::Own, Against::Seen), &setting)?;
    Ok(Judged { hindcast, seen_in: file.map(|file| file.name.clone()) })
}

fn view(season: &Season, judged: &Judged, look: &Look) -> View {
    let w = season.wording();
    let all = &judged.hindcast;
    let has = |event: &Event| all.lines.iter().any(|line| line.event == *event);
    let events: Vec<Event> = Event::ALL.iter().copied().filter(has).collect();
    let asked = look.event.as_deref();
    let event = events.iter().copied().find(|e| Some(e.word()) == asked);
    let event = event.or_else(|| events.iter().copied().find(|e| *e == Event::HatchHalf));
    let event = event.or(events.first().copied()).unwrap_or(Event::HatchHalf);
    let days = issue_days();
    let issued = days.into_iter().find(|d| Some(d.to_string()) == look.issued).unwrap_or(days[2]);
    let years = years(all, event, issued);
    View {
        sentence: sentence(all, event, issued, w),
        against: against(judged),
        events: events.iter().map(|e| choice(capital(e.word()), *e, issued, *e == event)).collect(),
        issues: days.into_iter().map(|d| choice(day(d, w), event, d, d == issued)).collect(),
        picture: (!years.is_empty())
            .then(|| Picture::of(season, "past", |sheet| past_forecasts(&years, event.word(), sheet))),
        caption: format!(
            "{}, as it would have been forecast on {} of each year. Bar: nine seasons in ten. Tick: the middle.",
            capital(event.word()),
            day(issued, w)
        ),
        rows: days.into_iter().filter_map(|d| row(all, event, d, w)).collect(),
        all: events.iter().map(|e| all_row(all, *e)).collect(),
    }
}

fn choice(words: String, event: Event, issued: StartDay, here: bool) -> Choice {
    let event = event.word().replace('%', "%25").replace(' ', "+");
    Choice { words, href: format!("/timing/hindcast?event={event}&issued={issued}"), here }
}

/// The day of a common year.
fn day(issued: StartDay, w: Wording) -> String {
    w.day(issued.in_year(2001))
}

fn against(judged: &Judged) -> String {
    let years = count(judged.hindcast.years.len(), "past year", "past years");
    match &judged.seen_in {
        Some(file) => format!(
            "{years}, each forecast from the others, and held against the dates seen in the field ({file}). This judges weather \
             and biology together."
        ),
        None => format!(
            "{years}, each forecast from the others, and held against the model's own date once the whole year was known. This \
             judges what not knowing the weather costs; whether the biology is right only dates seen in the field can tell. The ranges \
             hold that doubt too, so that more than nine years in ten lie inside them here."
        ),
    }
}

fn line(all: &Hindcast, who: Forecaster, event: Event, issued: StartDay) -> Option<&Line> {
    all.line(who, issued, event)
}

fn sentence(all: &Hindcast, event: Event, issued: StartDay, w: Wording) -> String {
    let Some(own) = line(all, Forecaster::Model, event, issued) else {
        return format!("Nothing was judged for {} on {}.", event.word(), day(issued, w));
    };
    let usual = line(all, Forecaster::UsualDate, event, issued).map(|other| {
        format!(" Taking the usual date of the other years would have been off by {}.", days_off(other.score.mae_days))
    });
    format!(
        "Asked on {}, the middle of the forecast for {} would have been off by {} on average, and in {} of the years the date \
         came inside the range for nine in ten.{}",
        day(issued, w),
        event.word(),
        days_off(own.score.mae_days),
        percent(own.score.coverage90),
        usual.unwrap_or_default()
    )
}

fn days_off(days: f64) -> String {
    format!("{days:.1}\u{a0}days")
}

fn row(all: &Hindcast, event: Event, issued: StartDay, w: Wording) -> Option<Row> {
    let own = line(all, Forecaster::Model, event, issued)?.score;
    let off = |who| line(all, who, event, issued).map_or(String::new(), |l| format!("{:.1}", l.score.mae_days));
    let bias = own.bias_days;
    let side = if bias < 0.0 { "early" } else { "late" };
    Some(Row {
        issued: day(issued, w),
        off: format!("{:.1}", own.mae_days),
        late: if bias.abs() < 0.05 { "neither".to_owned() } else { format!("{:.1} {side}", bias.abs()) },
        inside: percent(own.coverage90),
        usual: off(Forecaster::UsualDate),
        mean_heat: off(Forecaster::MeanDegreeDays),
    })
}

fn all_row(all: &Hindcast, event: Event) -> AllRow {
    let off = |d| line(all, Forecaster::Model, event, d).map_or(String::new(), |l| format!("{:.1}", l.score.mae_days));
    AllRow { event: capital(event.word()), off: issue_days().into_iter().map(off).collect() }
}

/// The years on the calendar of one common year.
fn years(all: &Hindcast, event: Event, issued: StartDay) -> Vec<PastForecast> {
    let common = |day: Date| StartDay::of(day).in_year(2001);
    let of = |case: &Case| PastForecast {
        year: case.year,
        forecast: case.forecast.map(|day| day.map(common)),
        truth: common(case.truth),
    };
    all.cases.iter().filter(|case| case.event == event && case.issued == issued).map(of).collect()
}
