//! `crownhold outlook`

use std::process::ExitCode;

use crownhold::outlook::{Outlook, forecast};
use crownhold::survey::estimate;
use crownhold::types::Draws;
use crownhold::types::draws::quantile;
use crownhold_print::wording::{grouped, percent};

use super::survey::setting;
use super::table::{row, table};
use super::{args, say, say_json};
use crate::trouble::Trouble;
use crate::{actions, wire};

pub(super) fn run(a: &args::Stage) -> Result<ExitCode, Trouble> {
    let records = actions::records(&a.programme)?;
    let setting = setting(a);
    let density = estimate(&records, &setting)?;
    let outlook = forecast(&records, &density, &setting)?;
    if a.json {
        say_json(&wire::OutlookJson::from(&outlook));
    } else {
        say(&text(&outlook));
    }
    Ok(ExitCode::SUCCESS)
}

fn text(o: &Outlook) -> String {
    let mut rows = vec![row(["block", "foliage lost", "5 %", "95 %", "mean dead trees", "mean loss $"])];
    for (b, id) in o.blocks.iter().enumerate() {
        rows.push(vec![
            id.to_string(),
            percent(o.defoliation.quantile(b, 0.5)),
            percent(o.defoliation.quantile(b, 0.05)),
            percent(o.defoliation.quantile(b, 0.95)),
            format!("{:.1}", o.dead_trees.mean(b)),
            grouped(o.loss.mean(b)),
        ]);
    }
    format!(
        "If nothing is done. Foliage of favoured trees: median and 5 to 95 %.\n\n{}\n\
         The whole city, median and 5 to 95 %: {} host trees dead beyond the usual over three years, and ${}.\n",
        table(&rows, "lrrrrr"),
        city(&o.dead_trees),
        city(&o.loss)
    )
}

/// Sum over the blocks draw by draw, as median and range.
fn city(draws: &Draws) -> String {
    let sums: Vec<f64> = (0..draws.draws()).map(|i| (0..draws.blocks()).map(|b| draws.at(i, b)).sum()).collect();
    let at = |p| grouped(quantile(&sums, p));
    format!("{} ({} to {})", at(0.5), at(0.05), at(0.95))
}
