//! `crownhold aerial`

use std::process::ExitCode;

use crownhold::types::{Records, Tactic, UnitSystem};
use crownhold_print::cautions;
use crownhold_print::wording::{Wording, chance};

use super::table::{row, table};
use super::{args, say, say_json, warn};
use crate::actions;
use crate::actions::aerial::{Aerial, aerial, write_files};
use crate::trouble::Trouble;
use crate::wire::AerialJson;

pub(super) fn run(a: &args::Aerial) -> Result<ExitCode, Trouble> {
    let records = actions::records(&a.which.plan.stage.programme)?;
    let kept = super::plan::kept_or_made(&a.which, &records)?;
    let made = aerial(&kept.plan, &records, kept.stages.timing.as_ref().ok())?;
    let files = a.out.as_deref().map(|dir| write_files(&made, &records, dir)).transpose()?.unwrap_or_default();
    let files: Vec<String> = files.iter().map(|p| p.display().to_string()).collect();
    if a.which.plan.stage.json {
        say_json(&AerialJson::new(&made, files, cautions::of(Tactic::AerialOnce)));
    } else {
        say(&text(&made, &records));
        files.iter().for_each(|f| say(f));
        made.notices.iter().for_each(warn);
    }
    Ok(ExitCode::SUCCESS)
}

fn text(made: &Aerial, records: &Records) -> String {
    let w = Wording::new(records.programme.units);
    let us = records.programme.units == UnitSystem::Us;
    let volume = if us { "gal" } else { "L" };
    let mut rows =
        vec![row(["spray block", "blocks", "flights", w.area_unit(), volume, "heading", "passes", "loads", "minutes"])];
    rows.extend(made.job.sheets.iter().map(|s| {
        let mix = if us { s.mix.as_gallons() } else { s.mix.as_litres() };
        let blocks: Vec<String> = s.block.blocks.iter().map(ToString::to_string).collect();
        vec![
            s.block.id.clone(),
            blocks.join(" "),
            s.block.flights.to_string(),
            w.bare_area(s.area),
            format!("{mix:.0}"),
            format!("{:.0}", s.heading),
            s.passes.len().to_string(),
            s.loads.to_string(),
            format!("{:.0}", s.total().as_minutes()),
        ]
    }));
    let known = made.chance().map_or("not known".to_owned(), chance);
    let job = &made.job;
    format!(
        "{}\nIn order of hatch: the warmest ground first. Minutes and loads are of one application.\n\
         {:.1} hours in all; mornings needed: {}; chance of as many in the window: {known}.\n\n{}\n",
        table(&rows, "llrrrrrrr"),
        job.hours.as_hours(),
        job.mornings,
        cautions::of(Tactic::AerialOnce)
    )
}
