//! This week: what the season needs now.

use askama::Template;
use crownhold::field::{Task, TaskKind, agenda};
use crownhold::timing::{Event, Timing, WindowKind, date_quantile};
use crownhold::types::{Person, Role, Severity, Tactic};
use crownhold_print::charts::{YearRing, year_ring};
use crownhold_print::wording::{Wording, capital, count, hours_counted};
use crownhold_print::{Sheet, Size};
use jiff::civil::Date;

use crate::desk::shell::{Answer, Place, ProblemLine, Shell, Visit, lines, page};
use crate::desk::state::Season;

#[derive(Template)]
#[template(path = "week.html")]
struct WeekPage {
    shell: Shell,
    headline: String,
    tasks: Vec<TaskLine>,
    later: Vec<TaskLine>,
    unsure: Option<String>,
    problems: Vec<ProblemLine>,
    wide: String,
    narrow: String,
    map: Option<String>,
}

/// A task as the page shows it.
struct TaskLine {
    when: String,
    class: &'static str,
    what: String,
    more: String,
    who: String,
    href: &'static str,
    link: &'static str,
    caution: &'static str,
}

/// Tasks shown at first; the rest is one press away.
const FIRST: usize = 6;

pub async fn show(visit: Visit) -> Answer {
    let season = &visit.season;
    let timing = season.timing();
    let orders = season.current().map(|(_, orders)| orders);
    let tasks = agenda(&season.records, timing, orders, season.today);
    let w = season.wording();
    let people = &season.records.people;
    let mut lines_of: Vec<TaskLine> = tasks.iter().map(|t| line(t, w, season.today, people)).collect();
    let later = lines_of.split_off(lines_of.len().min(FIRST));
    let warnings: Vec<_> = season.problems.iter().filter(|p| p.severity != Severity::Repaired).cloned().collect();
    let middle = middle(timing, season.today);
    let ring = |id, size| {
        let middle = [middle.0.as_str(), middle.1.as_str()];
        let of = YearRing { season: season.records.programme.season, today: season.today, timing, middle };
        year_ring(&of, &Sheet::screen(id, season.units(), size))
    };
    page(&WeekPage {
        shell: visit.shell(Place::Week, "This week"),
        headline: headline(season, timing),
        tasks: lines_of,
        later,
        unsure: notices_before_certainty(season),
        problems: lines(&warnings),
        wide: ring("year", Size::Wide),
        narrow: ring("year-narrow", Size::Narrow),
        map: season.current().map(|(made, _)| super::plan::map(season, made, "week-map")),
    })
}

/// The two lines in the middle of the ring: how long to hatch, or since.
fn middle(timing: Option<&Timing>, today: Date) -> (String, String) {
    let hatch = timing.and_then(|t| date_quantile(&t.event(Event::HatchTenth)?.dates, 0.5));
    let Some(days) = hatch.map(|hatch| (hatch - today).get_days()) else {
        return ("no dates".to_owned(), "without weather".to_owned());
    };
    let words = if days >= 0 { "to hatch" } else { "since hatch" };
    let days = days.unsigned_abs() as usize;
    let span = if days > 20 { count((days + 3) / 7, "week", "weeks") } else { count(days, "day", "days") };
    (span, words.to_owned())
}

/// Notices go out before anybody knows the day of the flight: how far the days still lie apart.
fn notices_before_certainty(season: &Season) -> Option<String> {
    let (_, work) = season.current()?;
    let by = work.orders.iter().filter_map(|o| o.notices_by).min().filter(|by| *by >= season.today)?;
    let window = season.timing()?.window(WindowKind::AerialBtk)?;
    let (early, late) = (window.opens_among_those_that_do(0.05)?, window.opens_among_those_that_do(0.95)?);
    let w = season.wording();
    Some(format!(
        "Notices of flights are due on {}, before the day is known: as things stand the window opens between {} and {} \
         (nine seasons in ten). Write the whole span into them.",
        w.date(by),
        w.day(early),
        w.day(late)
    ))
}

/// One sentence on where the year stands.
fn headline(season: &Season, timing: Option<&Timing>) -> String {
    let w = season.wording();
    let Some(timing) = timing else {
        return "There is no usable weather yet, so there are no dates. Bring in daily highs and lows first."
            .to_owned();
    };
    let date = |event, p| timing.event(event).and_then(|e| date_quantile(&e.dates, p));
    let (Some(early), Some(middle)) = (date(Event::HatchTenth, 0.1), date(Event::HatchTenth, 0.5)) else {
        return "The past years' weather gives no hatch date; look at Timing.".to_owned();
    };
    if season.today < early {
        let weeks = (early - season.today).get_days() / 7;
        return format!(
            "Eggs are at rest. Hatch begins about {}, and in one season of ten before {}: {} from now.",
            w.date(middle),
            w.day(early),
            count(usize::try_from(weeks).unwrap_or_default(), "week", "weeks")
        );
    }
    stage_now(timing, season.today, w)
}

fn stage_now(timing: &Timing, today: Date, w: Wording) -> String {
    let events: Vec<(Event, Date)> =
        timing.events.iter().filter_map(|e| Some((e.event, date_quantile(&e.dates, 0.5)?))).collect();
    let insect = |e: Event| !e.word().contains("oak");
    let last = events.iter().filter(|(e, d)| insect(*e) && *d <= today).max_by_key(|(_, d)| *d);
    let next = events.iter().filter(|(e, d)| insect(*e) && *d > today).min_by_key(|(_, d)| *d);
    match (last, next) {
        (Some((l, on)), Some((n, then))) => {
            format!(
                "{} was probably reached about {}; {} is next, about {}. Look in the field before you act.",
                capital(l.word()),
                w.day(*on),
                n.word(),
                w.day(*then)
            )
        }
        (None, Some((n, then))) => format!("{} is next, about {}.", capital(n.word()), w.day(*then)),
        _ => "The moths are gone. Count the new egg masses before winter weather and scrapers take them.".to_owned(),
    }
}

fn line(task: &Task, w: Wording, today: Date, people: &[Person]) -> TaskLine {
    let class = if task.is_late(today) {
        "late"
    } else if task.is_open(today) {
        "now"
    } else {
        "later"
    };
    let blocks = if task.blocks > 0 { count(task.blocks, "block", "blocks") } else { String::new() };
    let hours = (task.hours.as_hours() > 0.0).then(|| hours_counted(task.hours));
    let until = task.by.filter(|_| task.from.is_some()).map(|d| format!("until about {}", w.day(d)));
    let more: Vec<String> = [Some(blocks).filter(|b| !b.is_empty()), hours, until].into_iter().flatten().collect();
    let (what, who, href, link) = words(task.kind);
    TaskLine {
        when: when(task, w, today),
        class,
        what,
        more: more.join(" · "),
        who: named(who, people),
        href,
        link,
        caution: task.caution,
    }
}

/// Who does it, by name where the programme knows people of that role.
fn named(who: &str, people: &[Person]) -> String {
    let role = match who {
        "manager" => Some(Role::Manager),
        "technicians" => Some(Role::Technician),
        "crews and volunteers" | "licensed crew" => Some(Role::CrewLead),
        "aerial contractor" => Some(Role::Contractor),
        _ => None,
    };
    let names: Vec<&str> = people.iter().filter(|p| Some(p.role) == role).map(|p| p.name.as_str()).collect();
    if names.is_empty() { who.to_owned() } else { format!("{who} ({})", names.join(", ")) }
}

fn when(task: &Task, w: Wording, today: Date) -> String {
    match (task.from, task.by) {
        _ if task.is_late(today) => task.by.map(|d| format!("due {}", w.day(d))).unwrap_or_default(),
        (Some(from), _) if from > today => format!("from {}", w.day(from)),
        (None, Some(by)) => format!("by {}", w.day(by)),
        _ => "now".to_owned(),
    }
}

/// What, who, where to.
fn words(kind: TaskKind) -> (String, &'static str, &'static str, &'static str) {
    match kind {
        TaskKind::BringWeather => (
            "Bring in daily highs and lows of this and past years".to_owned(),
            "manager",
            "/programme/import",
            "Import weather",
        ),
        TaskKind::Count { plots } => (
            format!("Count egg masses on {}", count(plots, "plot", "plots")),
            "technicians",
            "/survey/counts",
            "Enter counts",
        ),
        TaskKind::CloseCount => {
            ("Close the count, so that scraping may begin".to_owned(), "manager", "/survey", "Survey")
        }
        TaskKind::AskConsent => {
            ("Get an answer from owners whose consent is pending".to_owned(), "manager", "/plan/areas", "Areas")
        }
        TaskKind::MakePlan => ("Make the season plan".to_owned(), "manager", "/plan", "Plan"),
        TaskKind::SendNotices => ("Send the notices of the flights".to_owned(), "manager", "/field", "Field"),
        TaskKind::Work(tactic) => (work(tactic).to_owned(), who(tactic), "/field", "Where"),
        TaskKind::RateCrowns => {
            ("Rate how bare the crowns are, block by block".to_owned(), "technicians", "/evidence", "Evidence")
        }
        TaskKind::NextSurvey => {
            ("Begin the egg-mass survey for the year after".to_owned(), "technicians", "/survey", "Survey")
        }
    }
}

fn work(tactic: Tactic) -> &'static str {
    match tactic {
        Tactic::Scraping => "Scrape egg masses",
        Tactic::Bands => "Put bands up and service them",
        Tactic::GroundBtk => "Spray Btk from the ground",
        Tactic::AerialOnce => "Fly Btk once",
        Tactic::AerialTwice => "Fly Btk twice",
    }
}

fn who(tactic: Tactic) -> &'static str {
    match tactic {
        Tactic::Scraping | Tactic::Bands => "crews and volunteers",
        Tactic::GroundBtk => "licensed crew",
        Tactic::AerialOnce | Tactic::AerialTwice => "aerial contractor",
    }
}
