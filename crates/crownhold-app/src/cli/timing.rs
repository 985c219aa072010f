//! `crownhold timing`

use std::process::ExitCode;

use crownhold::timing::spray::{Spraying, WindowMornings};
use crownhold::timing::{Timing, date_quantile};
use crownhold_print::wording::chance;
use jiff::civil::Date;

use super::survey::setting;
use super::table::{row, table};
use super::{args, say, say_json};
use crate::trouble::Trouble;
use crate::{actions, wire};

pub(super) fn run(a: &args::Timing) -> Result<ExitCode, Trouble> {
    let records = actions::records(&a.stage.programme)?;
    let timing = actions::chain::dates(&records, &setting(&a.stage))?;
    let spray = actions::spray::spray_weather(&records, Some(&timing), Spraying::Air)?;
    let mornings = spray.as_ref().and_then(|spray| spray.window.as_ref());
    if a.stage.json {
        say_json(&wire::TimingJson::from(&timing).with_mornings(mornings));
    } else {
        say(&(text(&timing) + &mornings.map(mornings_text).unwrap_or_default()));
    }
    Ok(ExitCode::SUCCESS)
}

fn mornings_text(m: &WindowMornings) -> String {
    let chances: Vec<String> = m.chance.iter().enumerate().map(|(i, p)| format!("{}: {}", i + 1, chance(*p))).collect();
    let mut out = format!(
        "Mornings fit to fly in the aerial window, chance of at least so many: {} ({} past years of hours).\n",
        chances.join(", "),
        m.years.len()
    );
    m.notes.iter().for_each(|p| out += &format!("{p}\n"));
    out
}

fn text(timing: &Timing) -> String {
    let day = |d: Option<Date>| d.map_or("later".to_owned(), |d| d.to_string());
    let at = |dates: &[Option<Date>], p| day(date_quantile(dates, p));
    let mut events = vec![row(["event", "5 %", "50 %", "95 %"])];
    for e in &timing.events {
        events.push(vec![e.event.word().to_owned(), at(&e.dates, 0.05), at(&e.dates, 0.5), at(&e.dates, 0.95)]);
    }
    let mut windows = vec![row(["window", "opens", "closes", "none in", "rule"])];
    for w in &timing.windows {
        let none = 100.0 * (1.0 - w.chance_open_after(None));
        windows.push(vec![
            w.kind.word().to_owned(),
            day(w.opens_among_those_that_do(0.5)),
            day(w.closes_among_those_that_do(0.5)),
            format!("{none:.0} %"),
            w.rule.clone(),
        ]);
    }
    let mut out = format!(
        "Spring of {}, as of {}, station {}, {} past years.\n\n{}\nWindows (medians over the seasons that have them):\n{}",
        timing.season,
        timing.issued,
        timing.station,
        timing.years.len(),
        table(&events, "lrrr"),
        table(&windows, "lrrrl")
    );
    timing.notes.iter().for_each(|p| out += &format!("{p}\n"));
    out
}
