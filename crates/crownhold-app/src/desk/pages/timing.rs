//! Timing: what happens when, how sure that is, and the heat behind it.

mod moved;
mod words;

use askama::Template;
use axum::extract::Query;
use axum::http::StatusCode;
use axum::http::header::{CONTENT_DISPOSITION, CONTENT_TYPE};
use axum::response::IntoResponse as _;
use crownhold::field::notices_by;
use crownhold::timing::{HeatAxis, HeatFan, STAGES, Timing, Window, WindowKind};
use crownhold_print::Sheet;
use crownhold_print::charts::{Deadline, WindowBars, heat_fan, stage_areas, window_bars};
use crownhold_print::wording::{Wording, capital, count, listed, percent};
use jiff::civil::{Date, date};
use serde::Deserialize;

use super::picture::Picture;
use super::timing_samples::{self, SampleForm, SamplesView};
use crate::actions::calendar::season_calendar;
use crate::desk::shell::{Answer, Place, ProblemLine, Refused, Shell, Visit, lines, page_with};
use crate::desk::state::Season;
use words::{EventRow, FigureLine, HostRow, SignRow, WindowRow, event_rows, sentence, sureness, window_rows};

#[derive(Template)]
#[template(path = "timing.html")]
struct TimingPage {
    shell: Shell,
    view: Option<TimingView>,
    samples: Option<SamplesView>,
    problems: Vec<ProblemLine>,
    notes: Vec<ProblemLine>,
}

/// The dates as the page shows them.
struct TimingView {
    sentence: String,
    sureness: String,
    weather_wanted: bool,
    figures: Vec<FigureLine>,
    windows: Picture,
    deadline: String,
    stages: Picture,
    stages_now: String,
    heat: Vec<HeatView>,
    events: Vec<EventRow>,
    window_rows: Vec<WindowRow>,
    hosts: Vec<HostRow>,
    signs: Vec<SignRow>,
    moved: Option<moved::MovedView>,
    weather: Vec<(&'static str, String)>,
    /// Is there a plan that figures can be asked of?
    asked: bool,
}

/// One heat axis.
struct HeatView {
    id: &'static str,
    title: &'static str,
    picture: Picture,
    method: String,
    facts: Vec<(String, String)>,
}

/// The sample that is to be corrected.
#[derive(Deserialize)]
pub struct Asked {
    sample: Option<String>,
}

pub async fn show(visit: Visit, Query(asked): Query<Asked>) -> Answer {
    let form = timing_samples::asked(&visit.season, asked.sample.as_deref());
    render(&visit, StatusCode::OK, form)
}

/// Windows and deadlines for anybody's calendar.
pub async fn calendar(visit: Visit) -> Answer {
    let Some(timing) = visit.season.timing() else {
        return Err(Refused::missing("There are no dates yet, so there is no calendar."));
    };
    let headers =
        [(CONTENT_TYPE, "text/calendar; charset=utf-8"), (CONTENT_DISPOSITION, "attachment; filename=\"season.ics\"")];
    Ok((headers, season_calendar(&visit.season.records, timing)).into_response())
}

/// The page, with what was typed into the form of samples.
pub(super) fn render(visit: &Visit, status: StatusCode, form: SampleForm) -> Answer {
    let season = &visit.season;
    let dates = season.dates();
    page_with(
        status,
        &TimingPage {
            shell: visit.shell(Place::Timing, "Timing"),
            samples: dates.ok().map(|timing| timing_samples::view(season, timing, form)),
            view: dates.ok().map(|timing| view(season, timing)),
            problems: dates.err().map(lines).unwrap_or_default(),
            notes: dates.map(|timing| lines(&timing.notes)).unwrap_or_default(),
        },
    )
}

fn view(season: &Season, timing: &Timing) -> TimingView {
    let (w, today) = (season.wording(), season.today);
    let due = notice_due(season, timing);
    let observed_to = observed_to(timing);
    TimingView {
        sentence: sentence(timing, today, w),
        sureness: sureness(timing, observed_to, today, w),
        weather_wanted: today.year() >= timing.season && observed_to.is_none_or(|d| (today - d).get_days() > 7),
        figures: words::figures(timing, due, w),
        windows: Picture::of(season, "windows", |sheet| windows(timing, due, today, sheet)),
        deadline: due.map(|d| deadline(d, today, season, w)).unwrap_or_default(),
        stages: Picture::of(season, "stages", |sheet| stage_areas(&timing.stages, today, sheet)),
        stages_now: stages_now(timing, today, w),
        heat: timing.heat.iter().map(|fan| heat(season, fan, w)).collect(),
        events: event_rows(timing, w),
        window_rows: window_rows(timing, w),
        hosts: words::host_rows(timing, w),
        signs: words::sign_rows(timing, w),
        moved: moved::view(season, timing),
        weather: weather(season, timing, w),
        asked: season.current().is_some(),
    }
}

/// The last day for notices of flights, whether or not any is planned yet.
fn notice_due(season: &Season, timing: &Timing) -> Option<Date> {
    let days = season.records.parameters.number("aerial.notice_days") as i64;
    notices_by(timing.window(WindowKind::AerialBtk)?, days)
}

fn observed_to(timing: &Timing) -> Option<Date> {
    timing.heat(HeatAxis::Egg)?.observed_to
}

fn windows(timing: &Timing, due: Option<Date>, today: Date, sheet: &Sheet<'_>) -> String {
    let windows: Vec<&Window> = timing.windows.iter().collect();
    window_bars(
        &WindowBars {
            windows: &windows,
            span: span(timing.season, today),
            today,
            deadline: due.map(|day| Deadline { day, label: "notice due" }),
        },
        sheet,
    )
}

/// Spring and summer; from September on the second half of the year, where the survey is.
fn span(season: i16, today: Date) -> (Date, Date) {
    if today >= date(season, 9, 1) {
        (date(season, 6, 1), date(season, 12, 31))
    } else {
        (date(season, 3, 1), date(season, 9, 30))
    }
}

fn deadline(due: Date, today: Date, season: &Season, w: Wording) -> String {
    let days = season.records.parameters.number("aerial.notice_days");
    let flies = season.current().is_some_and(|(_, work)| work.orders.iter().any(|o| o.notices_by.is_some()));
    let whose = if flies { "The plan flies: its notices" } else { "If anything is flown, notices" };
    let must = if due < today { "were due" } else { "must be out" };
    format!(
        "{whose} {must} by {}. That is {days:.0} days before the early edge of the window, which one season in ten reaches, \
         not before its middle.",
        w.date(due)
    )
}

/// The shares of the stages today, largest first.
fn stages_now(timing: &Timing, today: Date, w: Wording) -> String {
    let Some(day) = timing.stages.iter().find(|day| day.date == today) else {
        return format!("Today, {}, is outside the season drawn here: there are only eggs.", w.date(today));
    };
    let mut shares: Vec<(&str, f64)> = STAGES.into_iter().zip(day.shares).filter(|(_, s)| *s >= 0.005).collect();
    shares.sort_by(|a, b| b.1.total_cmp(&a.1));
    let parts: Vec<String> = shares.iter().map(|(stage, share)| format!("{} {stage}", percent(*share))).collect();
    format!("Expected today, {}, as the mean over all years and draws: {}.", w.date(today), listed(&parts))
}

fn heat(season: &Season, fan: &HeatFan, w: Wording) -> HeatView {
    let (id, title) = match fan.axis {
        HeatAxis::Egg => ("egg-heat", "Heat for eggs"),
        HeatAxis::Larva => ("larval-heat", "Heat for larvae"),
        HeatAxis::Leaf => ("leaf-heat", "Heat for oak leaves"),
    };
    HeatView {
        id,
        title,
        picture: Picture::of(season, &format!("{id}-fan"), |sheet| heat_fan(fan, season.today, sheet)),
        method: w.heat_method(&fan.method),
        facts: heat_facts(fan, w),
    }
}

fn heat_facts(fan: &HeatFan, w: Wording) -> Vec<(String, String)> {
    let mut facts = Vec::new();
    let measured = fan.observed_to.and_then(|last| fan.days.iter().find(|day| day.date == last));
    match measured {
        Some(day) => {
            facts.push((format!("Measured to {}", w.day(day.date)), w.bare_heat(day.points[2])));
            facts.push(("Past years by then, middle".to_owned(), w.bare_heat(day.usual)));
        }
        None => facts.push(("Measured".to_owned(), "nothing of this season yet".to_owned())),
    }
    for mark in &fan.marks {
        let spread = if mark.spread > 0.0 { format!(" ± {}", w.bare_heat(mark.spread)) } else { String::new() };
        facts.push((capital(mark.event.word()), format!("at {}{spread}", w.bare_heat(mark.heat))));
    }
    if fan.marks.is_empty() {
        facts.push(("Events".to_owned(), "no fixed total: each larva counts from its own hatch".to_owned()));
    }
    facts
}

/// What the dates stand on.
fn weather(season: &Season, timing: &Timing, w: Wording) -> Vec<(&'static str, String)> {
    let series = season.records.weather.iter().find(|s| s.station == timing.station);
    let name = series.map_or(String::new(), |s| format!("{} ", s.name));
    let known_to = timing.heat(HeatAxis::Egg).and_then(|fan| fan.known_to);
    let measured =
        observed_to(timing).map_or(format!("no day of {} yet", timing.season), |d| format!("to {}", w.date(d)));
    let mut all = vec![
        ("Station", format!("{name}({}); blocks differ by height and built-up share", timing.station)),
        ("Past years used", years(&timing.years)),
        ("Measured this season", measured),
    ];
    if let Some(last) = known_to.filter(|last| observed_to(timing).is_none_or(|seen| *last > seen)) {
        all.push(("Forecast days", format!("to {}", w.date(last))));
    }
    all.push((
        "Behind every date",
        format!("{}, each a past year's remainder with its own draw of the biology", draws(timing)),
    ));
    all
}

fn draws(timing: &Timing) -> String {
    count(timing.events.first().map_or(0, |e| e.dates.len()), "possible season", "possible seasons")
}

/// "30 (1997 to 2026)"; gaps in the row of years are said.
fn years(years: &[i16]) -> String {
    let (Some(first), Some(last)) = (years.first(), years.last()) else { return "none".to_owned() };
    let missing = usize::try_from(last - first + 1).unwrap_or_default() - years.len();
    let without = if missing > 0 { format!(", {missing} between them not usable") } else { String::new() };
    format!("{} ({first} to {last}{without})", years.len())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn years_tell_what_is_missing() {
        assert_eq!(years(&[2020, 2021, 2022]), "3 (2020 to 2022)");
        assert_eq!(years(&[2018, 2021, 2022]), "3 (2018 to 2022, 2 between them not usable)");
        assert_eq!(years(&[]), "none");
    }

    #[test]
    fn the_picture_follows_the_year() {
        assert_eq!(span(2027, date(2026, 11, 25)).0, date(2027, 3, 1));
        assert_eq!(span(2027, date(2027, 5, 10)), (date(2027, 3, 1), date(2027, 9, 30)));
        assert_eq!(span(2027, date(2027, 9, 1)).1, date(2027, 12, 31));
    }
}
