//! `crownhold degree-days`

use std::process::ExitCode;

use crownhold::timing::degree_days::{Curve, Cutoff, HeatMethod, StartDay, daily};
use crownhold::timing::weather::check;
use crownhold::types::quantity::celsius;
use crownhold::types::{Problem, WeatherSeries};
use crownhold_data::formats::Wishes;

use super::table::{row, table};
use super::{args, say, say_json};
use crate::actions::hindcast;
use crate::actions::import::{input, pairs};
use crate::trouble::Trouble;
use crate::wire::DegreeDayJson;

/// No development threshold in degrees C is as high as this; a bare number above it is meant in degrees F.
const HOTTEST_BASE: f64 = 25.0;

pub(super) fn run(a: &args::DegreeDays) -> Result<ExitCode, Trouble> {
    let (series, mut notes) = weather(a)?;
    let (series, repairs) = check(&series);
    notes.extend(repairs);
    let (method, per_celsius) = method(a)?;
    let first = series.days.first().map(|d| d.date).ok_or_else(no_days)?;
    let from = a.from.unwrap_or(first);
    let heat = daily(&series, &method.starting(StartDay::of(from)), from)?;
    let days: Vec<DegreeDayJson> = heat
        .days
        .iter()
        .filter(|d| a.to.is_none_or(|to| d.date <= to))
        .map(|d| DegreeDayJson::new(d, per_celsius))
        .collect();
    if a.json {
        say_json(&days);
        return Ok(ExitCode::SUCCESS);
    }
    notes.iter().for_each(|p| say(&p.to_string()));
    let number = |v: Option<f64>| v.map_or("missing".to_owned(), |v| format!("{v:.2}"));
    let mut rows = vec![row(["date", "daily", "total"])];
    rows.extend(days.iter().map(|d| vec![d.date.to_string(), number(d.daily), number(d.total)]));
    let unit = if per_celsius > 1.0 { "F" } else { "C" };
    say(&format!(
        "Degree-days {unit}, {}, base {}, from {from}. Not comparable with totals of another method or start.\n",
        a.method, a.base
    ));
    say(&table(&rows, "lrr"));
    Ok(ExitCode::SUCCESS)
}

fn no_days() -> Trouble {
    Trouble::one(Problem::error("A-080", "The weather file has no days.", "Give a file with one row per day."))
}

fn weather(a: &args::DegreeDays) -> Result<(WeatherSeries, Vec<Problem>), Trouble> {
    let wishes = Wishes { map: pairs(&a.map)?, units: pairs(&a.unit)?, ..Wishes::default() };
    let (series, notes) = hindcast::weather(&input(&a.weather)?, &wishes)?;
    Ok((series.into_iter().next().ok_or_else(no_days)?, notes))
}

/// The method, and how many degree-days of the unit shown are one degree-day C.
fn method(a: &args::DegreeDays) -> Result<(HeatMethod, f64), Trouble> {
    let wrong = |what: &str, expected: String| {
        Trouble::one(Problem::error("A-081", format!("{what} cannot be used."), "").expected(expected))
    };
    let words = |all: Vec<&str>| all.join(", ");
    let curve = curve(&a.method).ok_or_else(|| {
        wrong(&format!("--method \"{}\"", a.method), words(Curve::ALL.iter().map(|c| c.word()).collect()))
    })?;
    let temperature = |text: &str| {
        temperature(text).ok_or_else(|| wrong(&format!("\"{text}\""), "a temperature such as 3C or 50F".to_owned()))
    };
    let (base, fahrenheit) = temperature(&a.base)?;
    if !fahrenheit && base > HOTTEST_BASE && !a.base.to_lowercase().contains('c') {
        return Err(wrong(&format!("--base {} without a unit", a.base), "the unit: 50F or 10C".to_owned()));
    }
    let upper = a.upper.as_deref().map(temperature).transpose()?.map(|(t, _)| t);
    let cutoff = match a.cutoff.as_deref() {
        Some(word) => Cutoff::from_word(word).ok_or_else(|| {
            wrong(&format!("--cutoff \"{word}\""), words(Cutoff::ALL.iter().map(|c| c.word()).collect()))
        })?,
        None if upper.is_some() => Cutoff::Horizontal,
        None => Cutoff::None,
    };
    let upper = if cutoff == Cutoff::None { None } else { upper };
    Ok((HeatMethod::new(curve, base, upper, cutoff, StartDay::JANUARY)?, if fahrenheit { 1.8 } else { 1.0 }))
}

/// A curve by its word; "sine", "triangle" and "mean" are the single and simple ones.
fn curve(word: &str) -> Option<Curve> {
    match word.trim().to_lowercase().as_str() {
        "sine" => Some(Curve::SingleSine),
        "triangle" => Some(Curve::SingleTriangle),
        "mean" | "average" => Some(Curve::SimpleMean),
        "corn mean" | "corn-mean" => Some(Curve::Corn),
        other => Curve::from_word(other),
    }
}

/// Degrees C, and whether it was given in F.
fn temperature(text: &str) -> Option<(f64, bool)> {
    let text = text.trim().trim_end_matches('°');
    let number = |t: &str| t.trim().trim_end_matches('°').parse::<f64>().ok().filter(|v| v.is_finite());
    match text.to_lowercase().strip_suffix('f') {
        Some(t) => number(t).map(|v| (celsius(v), true)),
        None => number(text.to_lowercase().trim_end_matches('c')).map(|v| (v, false)),
    }
}
