//! `crownhold outlook`

use std::process::ExitCode;

use crownhold::outlook::{Outlook, forecast};
use crownhold::survey::estimate;
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
    let mut rows = vec![row(["block", "foliage lost", "5 %", "95 %", "dead host trees", "loss $"])];
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
    let all = |d: &crownhold::types::Draws| (0..d.blocks()).map(|b| d.mean(b)).sum::<f64>();
    format!(
        "If nothing is done. Foliage of favoured hosts: median and 5 to 95 %; trees and money: means.\n\n{}\n\
         In all {} host trees beyond the usual over three years, and ${}.\n",
        table(&rows, "lrrrrr"),
        grouped(all(&o.dead_trees)),
        grouped(all(&o.loss))
    )
}
