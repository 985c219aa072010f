//! `crownhold next-plots`

use std::process::ExitCode;

use crownhold_print::wording::Wording;

use super::survey::setting;
use super::table::{row, table};
use super::{args, say, say_json};
use crate::actions;
use crate::actions::chain::stages;
use crate::actions::survey_work::{NextPlot, next_plots};
use crate::trouble::Trouble;
use crate::wire::NextPlotsJson;

/// Blocks listed in words; all of them are in the JSON.
const LISTED: usize = 20;

pub(super) fn run(a: &args::NextPlots) -> Result<ExitCode, Trouble> {
    let records = actions::records(&a.stage.programme)?;
    let setting = setting(&a.stage);
    let found = next_plots(&records, &stages(&records, &setting)?);
    if a.stage.json {
        say_json(&NextPlotsJson::new(&found, setting.seed, setting.draws));
    } else {
        say(&text(&found, Wording::new(records.programme.units)));
    }
    Ok(ExitCode::SUCCESS)
}

fn text(found: &[NextPlot], w: Wording) -> String {
    let mut rows = vec![row(["block", "saves", "range, high / low"])];
    let line = |n: &NextPlot| {
        let saves = if w.is_us() { n.worth.as_acres() } else { n.worth.as_hectares() };
        vec![n.block.to_string(), format!("{saves:.3}"), format!("{:.0}", n.doubt.exp())]
    };
    let worth_it = found.iter().filter(|n| n.worth.as_acres() > 0.0005);
    rows.extend(worth_it.take(LISTED).map(line));
    if rows.len() == 1 {
        return "No single plot would change what is done.\n".to_owned();
    }
    format!(
        "Saved on average by one more plot, in {} of favoured canopy: from loss beyond tolerance, or from being flown for\n\
         nothing (which weighs as its accepted chance of loss). It ranks blocks; it promises no saving.\n\n{}",
        w.area_unit(),
        table(&rows, "lrr")
    )
}
