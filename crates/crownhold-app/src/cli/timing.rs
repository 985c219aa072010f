//! `crownhold timing`

use std::process::ExitCode;

use crownhold::timing::spray::{Spraying, WindowMornings};
use crownhold::timing::{BlockDates, Learned, MARKED, OffsetDates, Timing, date_quantile};
use crownhold_print::wording::chance;
use jiff::civil::Date;

use super::survey::setting;
use super::table::{row, table};
use super::{args, say, say_json};
use crate::trouble::Trouble;
use crate::{actions, wire};

pub(super) fn run(a: &args::Timing) -> Result<ExitCode, Trouble> {
    let records = actions::records(&a.stage.programme)?;
    let setting = setting(&a.stage);
    let timing = actions::chain::dates(&records, &setting)?;
    let blocks = actions::chain::block_dates(&records, &setting)?;
    let spray = actions::spray::spray_weather(&records, Some(&timing), Spraying::Air)?;
    let mornings = spray.as_ref().and_then(|spray| spray.window.as_ref());
    if let Some(path) = &a.ics {
        std::fs::write(path, actions::calendar::season_calendar(&records, &timing))
            .map_err(|e| Trouble::file(path, &e))?;
    }
    if a.stage.json {
        say_json(
            &wire::TimingJson::new(&timing, Some(&blocks), records.parameters.number("aerial.notice_days"))
                .with_mornings(mornings),
        );
    } else {
        say(&(text(&timing, &blocks) + &mornings.map(mornings_text).unwrap_or_default()));
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

fn text(timing: &Timing, blocks: &BlockDates) -> String {
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
    out += &hosts(timing);
    out += &signs(timing);
    out += &city(blocks);
    timing.learned.iter().for_each(|learned| out += &field(learned, timing));
    timing.notes.iter().for_each(|p| out += &format!("{p}\n"));
    out
}

/// Leaves and flying windows by host.
fn hosts(timing: &Timing) -> String {
    let day = |d: Option<Date>| d.map_or("none".to_owned(), |d| d.to_string());
    let mut rows = vec![row(["host", "leaves large enough", "opens", "closes", "days", "none in"])];
    for h in &timing.hosts {
        let days = h.window.days_among_those_that_do(0.5).map_or("none".to_owned(), |d| format!("{d:.0}"));
        let leaf = date_quantile(&h.leaf, 0.5).map_or("later".to_owned(), |d| d.to_string());
        let (opens, closes) = (h.window.opens_among_those_that_do(0.5), h.window.closes_among_those_that_do(0.5));
        let none = format!("{:.0} %", 100.0 * (1.0 - h.window.chance_open_after(None)));
        rows.push(vec![h.host.word().to_owned(), leaf, day(opens), day(closes), days, none]);
    }
    format!("\nAerial Btk by host (medians over the seasons that have the window):\n{}", table(&rows, "lrrrrr"))
}

/// Other signs of hatch, each with its way of counting.
fn signs(timing: &Timing) -> String {
    let mut rows = vec![row(["other sign of hatch", "total", "counted in degree-days C", "5 %", "50 %", "95 %"])];
    for sign in &timing.signs {
        let day = |p| date_quantile(&sign.dates, p).map_or("later".to_owned(), |d| d.to_string());
        let method =
            format!("above {:.1} C, {}, from {}", sign.method.base(), sign.method.curve(), sign.method.start());
        rows.push(vec![sign.says.to_owned(), format!("{:.1}", sign.heat), method, day(0.05), day(0.5), day(0.95)]);
    }
    format!("\n{}", table(&rows, "lrlrrr"))
}

/// Early and late ends of the city.
fn city(blocks: &BlockDates) -> String {
    let (Some(early), Some(late)) = (blocks.early(), blocks.late()) else { return String::new() };
    let mut rows = vec![row(["blocks", "against the station", "event", "5 %", "50 %", "95 %"])];
    for (name, at) in [("earliest", early), ("latest", late)] {
        for event in MARKED {
            let day = |p| at.quantile(event, p).map_or("later".to_owned(), |d| d.to_string());
            let who = format!("{name}, {} of {}", at.blocks.len(), blocks.at.iter().map(count).sum::<usize>());
            rows.push(vec![who, format!("{:+.1} C", at.offset), event.to_string(), day(0.05), day(0.5), day(0.95)]);
        }
    }
    format!("\nEarly and late ends of the city:\n{}", table(&rows, "lrlrrr"))
}

fn count(at: &OffsetDates) -> usize {
    at.blocks.len()
}

/// What field samples have changed.
fn field(learned: &Learned, timing: &Timing) -> String {
    let day = |dates: &[Option<Date>]| date_quantile(dates, 0.5).map_or("later".to_owned(), |d| d.to_string());
    let mut rows = vec![row(["event", "without samples", "with samples"])];
    for before in learned.prior.iter().filter(|e| MARKED.contains(&e.event)) {
        let after = timing.event(before.event).map_or("later".to_owned(), |e| day(&e.dates));
        rows.push(vec![before.event.to_string(), day(&before.dates), after]);
    }
    let mut samples = vec![row(["sample", "chance wrong", "half hatch moved", "alone it would be", "flag"])];
    for v in &learned.samples {
        let moved = v.moved[0].days.map_or("-".to_owned(), |d| format!("{d:+.1} days"));
        let alone = v.moved[0].alone[1].map_or("later".to_owned(), |d| d.to_string());
        let flag = v.flag.map_or("", crownhold::timing::Flag::words).to_owned();
        samples.push(vec![v.sample.to_string(), format!("{:.0} %", 100.0 * v.wrong), moved, alone, flag]);
    }
    format!("\nSeen in the field:\n{}\n{}", table(&rows, "lrr"), table(&samples, "lrrrl"))
}
