//! `crownhold spray-weather`

use std::process::ExitCode;

use crownhold::timing::spray::{JudgedHour, Limits, Place, Reading, Spraying, Verdict, judge, mornings};
use crownhold::types::{Parameters, Problem, Programme, Records, UnitSystem};
use crownhold_data::formats::{self, Kind, Wishes};
use crownhold_print::wording::Wording;

use super::table::{row, table};
use super::{args, say, say_json};
use crate::actions::{self, import};
use crate::trouble::Trouble;
use crate::wire;

pub(super) fn run(a: &args::SprayWeather) -> Result<ExitCode, Trouble> {
    let (hours, notes) = read(a)?;
    let (parameters, units) = match &a.programme {
        Some(file) => {
            let records = actions::records(file)?;
            (records.parameters, records.programme.units)
        }
        None => (Parameters::defaults(), UnitSystem::Us),
    };
    let spraying = Spraying::from_word(&a.from).ok_or_else(|| wrong("--from", &a.from, "air or ground"))?;
    let limits = Limits::read(&parameters, spraying)?;
    let judged = judge(&hours, Place { latitude: a.lat, longitude: a.lon }, &limits);
    let mornings = mornings(&judged, &limits);
    let count = |v: Verdict| judged.iter().filter(|h| h.verdict() == v).count();
    let json = wire::SprayWeatherJson {
        spraying: spraying.word(),
        go: count(Verdict::Go),
        no_go: count(Verdict::NoGo),
        unknown: count(Verdict::Unknown),
        hours: judged.iter().map(wire::HourJson::from).collect(),
        mornings: mornings.iter().map(|(d, m)| wire::MorningJson { date: *d, morning: wire::morning(*m) }).collect(),
        notes: wire::problems(&notes),
    };
    if a.json {
        say_json(&json);
    } else {
        say(&text(&json, &judged, &notes, Wording::new(units)));
    }
    Ok(ExitCode::SUCCESS)
}

fn wrong(what: &str, found: &str, expected: &str) -> Trouble {
    Trouble::one(Problem::error("A-081", format!("{what} \"{found}\" cannot be used."), "").expected(expected))
}

/// Reads the file the way an import would, into a programme that is thrown away.
fn read(a: &args::SprayWeather) -> Result<(Vec<crownhold::types::HourWeather>, Vec<Problem>), Trouble> {
    let programme =
        Programme { name: String::new(), season: 0, epsg: 32_616, units: UnitSystem::Metric, invented: false };
    let mut records = Records::empty(programme);
    let standard = (a.lon / 15.0).round() as i16 * 60;
    let wishes = Wishes {
        map: import::pairs(&a.map)?,
        units: import::pairs(&a.unit)?,
        station: Some("this file".to_owned()),
        date_order: a.dates.as_deref().map(import::date_order).transpose()?,
        offset: Some(a.offset.as_deref().map_or(Ok(standard), import::offset)?),
        ..Wishes::default()
    };
    let report = formats::import(Kind::Hourly, &import::input(&a.hours)?, &wishes, &mut records);
    if report.has_errors() {
        return Err(report.problems.into());
    }
    let hours = records.hourly.into_iter().next().map(|series| series.hours).unwrap_or_default();
    Ok((hours, report.problems))
}

fn text(json: &wire::SprayWeatherJson, judged: &[JudgedHour], notes: &[Problem], w: Wording) -> String {
    let shown = |v: Option<f64>, f: &dyn Fn(f64) -> String| v.map_or("-".to_owned(), f);
    let mut rows = vec![row(["hour", "verdict", "wind", "humidity", "temperature", "why"])];
    for hour in judged {
        let h = &hour.weather;
        let unknown = hour.missing.iter().copied().map(Reading::word).map(|word| format!("{word} not known"));
        let why: Vec<String> = hour.reasons.iter().map(|r| wire::reason(r).to_owned()).chain(unknown).collect();
        rows.push(vec![
            h.time.strftime("%Y-%m-%d %H:%M").to_string(),
            wire::verdict(hour.verdict()).to_owned(),
            shown(h.wind, &|v| w.speed(v)),
            shown(h.humidity, &|v| format!("{v:.0} %")),
            shown(h.temperature, &|v| w.temperature(v)),
            why.join(", "),
        ]);
    }
    let suitable = json.mornings.iter().filter(|m| m.morning == "suitable").count();
    let mut out = format!(
        "Spraying from the {}: {} go, {} no-go, {} unknown; {suitable} of {} mornings suitable.\n\
         The label, the licensed applicator and the pilot decide; this only sorts hours by the limits.\n\n{}",
        json.spraying,
        json.go,
        json.no_go,
        json.unknown,
        json.mornings.len(),
        table(&rows, "llrrrl")
    );
    notes.iter().for_each(|p| out += &format!("{p}\n"));
    out
}
