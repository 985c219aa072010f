//! Spray weather: hours, mornings, and what winter and rain did to the insect.

use askama::Template;
use axum::extract::Query;
use crownhold::timing::cold::Winter;
use crownhold::timing::disease::{Suits, WetSpring};
use crownhold::timing::spray::{JudgedHour, Reading, Spraying, Verdict, WindowMornings};
use crownhold_print::charts::{morning_chances, spray_hours};
use crownhold_print::wording::{Wording, capital, chance, count, percent};
use jiff::civil::Date;
use serde::Deserialize;

use super::picture::Picture;
use crate::actions::spray::{SprayWeather, disease_weather, spray_weather, winter};
use crate::desk::shell::{Answer, Place, ProblemLine, Shell, Visit, lines, page};
use crate::desk::state::Season;
use crate::wire;

/// Days drawn.
const DAYS_SHOWN: usize = 4;

#[derive(Template)]
#[template(path = "spray_weather.html")]
struct SprayPage {
    shell: Shell,
    /// The other way of spraying: its query and its name; and this one's window.
    other: (&'static str, &'static str),
    window: &'static str,
    hours: Option<HoursView>,
    mornings: Option<MorningsView>,
    /// What should be known about the mornings.
    notes: Vec<ProblemLine>,
    problems: Vec<ProblemLine>,
    winter: Vec<(&'static str, String)>,
    disease: Vec<(String, String)>,
}

/// The days drawn.
struct HoursView {
    lead: String,
    picture: Picture,
    rows: Vec<HourRow>,
}

struct HourRow {
    time: String,
    verdict: &'static str,
    wind: String,
    humidity: String,
    temperature: String,
    why: String,
}

struct MorningsView {
    sentence: String,
    picture: Picture,
    rows: Vec<(usize, String, String)>,
}

/// Whose limits are looked at.
#[derive(Deserialize)]
pub struct Look {
    by: Option<String>,
}

pub async fn show(visit: Visit, Query(look): Query<Look>) -> Answer {
    let season = &visit.season;
    let spraying = look.by.as_deref().and_then(Spraying::from_word).unwrap_or(Spraying::Air);
    let found = spray_weather(&season.records, season.dates().ok(), spraying);
    let mut problems = found.as_ref().err().map(|all| lines(all)).unwrap_or_default();
    let weather = found.ok().flatten();
    let cold = winter(&season.records, season.today);
    problems.extend(cold.as_ref().err().map(|all| lines(all)).unwrap_or_default());
    let w = season.wording();
    let window = weather.as_ref().and_then(|weather| weather.window.as_ref());
    let air = spraying == Spraying::Air;
    let what = if air {
        ["for flying", "aerial window", "fit to fly"]
    } else {
        ["for ground sprays", "ground window", "fit for ground sprays"]
    };
    page(&SprayPage {
        shell: visit.shell(Place::Timing, if air { "Spray weather" } else { "Spray weather, from the ground" }),
        other: if air { ("ground", "from the ground") } else { ("air", "from the air") },
        window: if air { "aerial" } else { "ground" },
        hours: weather.as_ref().and_then(|weather| hours(season, weather, what)),
        mornings: window.map(|m| mornings(season, m, what)),
        notes: window.map(|m| lines(&m.notes)).unwrap_or_default(),
        problems,
        winter: cold.ok().flatten().map(|cold| winter_facts(&cold, w)).unwrap_or_default(),
        disease: disease_weather(&season.records, season.today).iter().map(|spring| disease(spring, w)).collect(),
    })
}

/// The coming days, or the last ones where nothing is known of them.
fn hours(season: &Season, weather: &SprayWeather, what: [&str; 3]) -> Option<HoursView> {
    let day = |hour: &JudgedHour| hour.weather.time.date();
    let mut days: Vec<Date> = weather.hours.iter().map(day).collect();
    days.dedup();
    let ahead = days.iter().position(|day| *day >= season.today);
    let from = ahead.unwrap_or_else(|| days.len().saturating_sub(DAYS_SHOWN));
    let shown = days.get(from..(from + DAYS_SHOWN).min(days.len())).filter(|shown| !shown.is_empty())?;
    let picked: Vec<JudgedHour> = weather.hours.iter().filter(|hour| shown.contains(&day(hour))).cloned().collect();
    let go = picked.iter().filter(|hour| hour.verdict() == Verdict::Go).count();
    let w = season.wording();
    let span = format!("{} to {}", w.date(shown[0]), w.date(shown[shown.len() - 1]));
    let which = if ahead.is_some() { "The days ahead" } else { "No hours of today or later are known. The last days" };
    Some(HoursView {
        lead: format!("{which}, {span}: {} within the limits {}.", count(go, "hour", "hours"), what[0]),
        picture: Picture::of(season, "hours", |sheet| spray_hours(&picked, sheet)),
        rows: picked.iter().filter(|hour| hour.light).map(|hour| hour_row(hour, w)).collect(),
    })
}

fn hour_row(hour: &JudgedHour, w: Wording) -> HourRow {
    let shown = |v: Option<f64>, f: &dyn Fn(f64) -> String| v.map_or("not known".to_owned(), f);
    let unknown = hour.missing.iter().copied().map(Reading::word).map(|word| format!("{word} not known"));
    let why: Vec<String> = hour.reasons.iter().map(|r| wire::reason(r).to_owned()).chain(unknown).collect();
    let weather = &hour.weather;
    HourRow {
        time: format!("{} {}:00", w.day(weather.time.date()), weather.time.hour()),
        verdict: wire::verdict(hour.verdict()),
        wind: shown(weather.wind, &|v| w.speed(v)),
        humidity: shown(weather.humidity, &|v| format!("{v:.0} %")),
        temperature: shown(weather.temperature, &|v| w.temperature(v)),
        why: why.join(", "),
    }
}

fn mornings(season: &Season, m: &WindowMornings, what: [&str; 3]) -> MorningsView {
    let missing = if m.without > 0.005 {
        format!(" {} of the possible seasons have no {} at all; they count as none.", percent(m.without), what[1])
    } else {
        String::new()
    };
    MorningsView {
        sentence: format!(
            "On average the {} has {:.1} mornings {}, from {} of hours laid over every possible window.{missing}",
            what[1],
            m.expected,
            what[2],
            count(m.years.len(), "past year", "past years")
        ),
        picture: Picture::of(season, "mornings", |sheet| morning_chances(m, sheet)),
        rows: m
            .chance
            .iter()
            .zip(m.range)
            .enumerate()
            .map(|(i, (p, (low, high)))| (i + 1, chance(*p), format!("{} to {}", percent(low), percent(high))))
            .collect(),
    }
}

fn winter_facts(cold: &Winter, w: Wording) -> Vec<(&'static str, String)> {
    let coldest =
        cold.coldest.map_or("not known".to_owned(), |(day, low)| format!("{} on {}", w.temperature(low), w.date(day)));
    let alive = |[low, middle, high]: [f64; 3]| {
        format!("{}, between {} and {} for the temperature's error", percent(middle), percent(low), percent(high))
    };
    vec![
        (
            "Looked at",
            format!("{} to {}; days without temperatures: {}", w.date(cold.from), w.date(cold.to), cold.missing),
        ),
        ("Coldest", coldest),
        ("Hours cold enough to freeze eggs", format!("{:.1}", cold.hours_below)),
        ("Exposed eggs alive", alive(cold.exposed)),
        ("All eggs alive", format!("{}, {}", alive(cold.all), snow(cold))),
    ]
}

/// What was known of the snow.
fn snow(cold: &Winter) -> String {
    match cold.with_snow {
        0 => {
            format!("with {} of the masses above the snow, whose depth nobody wrote down", percent(cold.share_exposed))
        }
        n if n == cold.known => "by the snow measured each day".to_owned(),
        n => format!(
            "by the snow measured on {n} of {} days, and {} of the masses above it on the others",
            cold.known,
            percent(cold.share_exposed)
        ),
    }
}

fn disease(spring: &WetSpring, w: Wording) -> (String, String) {
    let normal = spring
        .normal
        .map_or("no local normal yet".to_owned(), |n| format!("the middle of {} past springs is {n:.0}", spring.years));
    let nights = spring.humid_nights.map_or(String::new(), |(n, of)| format!(" Humid nights: {n} of {of}."));
    let verdict = match spring.suits {
        Suits::NotKnown => "Not known whether it suits the fungus".to_owned(),
        other => capital(&format!("{} the fungus", other.word())),
    };
    let text = format!(
        "{verdict}: {} of {} known days had rain enough, {} to {}; {normal}.{nights}",
        spring.wet_days,
        spring.known,
        w.day(spring.from),
        w.day(spring.to)
    );
    (format!("Spring of {}", spring.year), text)
}
