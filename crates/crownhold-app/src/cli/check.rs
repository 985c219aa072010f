//! `crownhold check`

use std::process::ExitCode;

use crownhold::Setting;

use super::{args, say, say_json};
use crate::actions;
use crate::trouble::Trouble;
use crate::{clock, wire};

pub(super) fn run(a: &args::Check) -> Result<ExitCode, Trouble> {
    let records = actions::records(&a.programme)?;
    let setting = Setting { today: a.on.unwrap_or_else(clock::today), seed: 1, draws: 100 };
    let problems = actions::check::check(&records, &setting);
    if a.json {
        say_json(&wire::problems(&problems));
    } else {
        say(&format!(
            "{}, spring of {}: {} blocks, {} trees, {} plots, {} visits, {} weather days, {} no-spray areas.",
            records.programme.name,
            records.programme.season,
            records.blocks.len(),
            records.trees.len(),
            records.plots.len(),
            records.visits.len(),
            records.weather.iter().map(|w| w.days.len()).sum::<usize>(),
            records.no_spray.len()
        ));
        problems.iter().for_each(|p| say(&p.to_string()));
        say(if problems.iter().any(|p| p.is_error()) { "A plan cannot be made yet." } else { "Ready for a plan." });
    }
    Ok(if problems.iter().any(|p| p.is_error()) { ExitCode::FAILURE } else { ExitCode::SUCCESS })
}
