//! `crownhold rounds`

use std::path::Path;
use std::process::ExitCode;

use crownhold::types::{BlockId, Problem, Records, RoundWork};
use crownhold_print::cautions;
use crownhold_print::papers::ways_said;
use crownhold_print::wording::Wording;

use super::table::{row, table};
use super::{args, say, say_json, warn};
use crate::actions::papers::beside;
use crate::actions::rounds::{RoundsMade, Wanted, gpx, keep, make, tactic_of};
use crate::actions::{self, By};
use crate::clock;
use crate::trouble::Trouble;
use crate::wire::RoundsJson;

pub(super) fn run(a: &args::Rounds) -> Result<ExitCode, Trouble> {
    let stage = &a.which.plan.stage;
    let records = actions::records(&stage.programme)?;
    let work = work(&a.work)?;
    let kept = super::plan::kept_or_made(&a.which, &records)?;
    let (orders, _) = beside(&kept, &records)?;
    let here = orders.orders.iter().filter(|o| o.tactic == tactic_of(work)).map(|o| o.block.clone());
    let mut blocks: Vec<BlockId> = here.collect();
    blocks.sort();
    let wanted = Wanted { date: a.day, work, without: a.without.clone(), seed: stage.seed };
    let made = make(&records, &blocks, kept.stages.timing.as_ref().ok(), &wanted, &mut |_| true)?;
    let caution = cautions::of(tactic_of(work));
    if stage.json {
        say_json(&RoundsJson::new(&made, caution, records.parameters.number("rounds.detour")));
    } else {
        say(&text(&made, &records, caution));
        made.notices().iter().for_each(warn);
    }
    if let Some(dir) = &a.gpx {
        write_gpx(dir, &made, &records)?;
    }
    if a.store {
        let (author, when) = (actions::author(None), clock::now());
        keep(&stage.programme, &made, By::new(&author, &when))?;
    }
    Ok(ExitCode::SUCCESS)
}

fn work(word: &str) -> Result<RoundWork, Trouble> {
    RoundWork::from_word(word).ok_or_else(|| {
        let all = RoundWork::ALL.iter().map(|w| w.word()).collect::<Vec<_>>().join(", ");
        let what = format!("--work is \"{word}\".");
        Trouble::one(Problem::error("R-006", what, "Use one of those expected.").expected(all))
    })
}

fn text(made: &RoundsMade, records: &Records, caution: &str) -> String {
    let w = Wording::new(records.programme.units);
    let mut rows = vec![row(["team", "trees", "first", "back", "on the way, min", "way"])];
    rows.extend(made.day.rounds.iter().map(|r| {
        let clock = |t: jiff::civil::Time| t.strftime("%H:%M").to_string();
        vec![
            r.team.clone(),
            r.stops.len().to_string(),
            r.stops.first().map(|s| clock(s.at)).unwrap_or_default(),
            clock(r.back),
            format!("{:.0}", r.travel.as_minutes()),
            w.way(r.way),
        ]
    }));
    let mut out = format!(
        "{}, {}: {} trees on {} rounds.\n\n",
        made.work,
        w.date(made.date),
        made.trees(),
        made.day.rounds.len()
    );
    out += &table(&rows, "lrrrrr");
    out += &format!("\n{}\n", ways_said(records));
    if let Some(n) = made.changed_hands {
        out += &format!("Against the rounds kept before, {n} trees change hands.\n");
    }
    let resting: Vec<String> =
        made.due.iter().filter(|b| b.trees.is_empty()).map(|b| format!("{}: {}", b.block, b.because)).collect();
    if !resting.is_empty() {
        out += &format!("\nNot due:\n  {}\n", resting.join("\n  "));
    }
    out + "\n" + caution
}

fn write_gpx(dir: &Path, made: &RoundsMade, records: &Records) -> Result<(), Trouble> {
    std::fs::create_dir_all(dir).map_err(|e| Trouble::file(dir, &e))?;
    for (name, text) in gpx(&made.day.rounds.iter().collect::<Vec<_>>(), records)? {
        let path = dir.join(name);
        std::fs::write(&path, text).map_err(|e| Trouble::file(&path, &e))?;
    }
    Ok(())
}
