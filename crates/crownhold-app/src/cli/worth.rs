//! `crownhold worth`

use std::process::ExitCode;
use std::sync::Arc;

use crownhold_print::wording::Wording;

use super::survey::setting;
use super::table::{row, table};
use super::{args, say, say_json};
use crate::actions;
use crate::actions::chain::stages;
use crate::actions::worth::{Worths, worth};
use crate::trouble::Trouble;
use crate::wire::WorthJson;

pub(super) fn run(a: &args::Worth) -> Result<ExitCode, Trouble> {
    let records = actions::records(&a.stage.programme)?;
    let setting = setting(&a.stage);
    let stages = Arc::new(stages(&records, &setting)?);
    let all = worth(&stages, &records, &setting, &|_, _| {})?;
    if a.stage.json {
        say_json(&WorthJson::from(&all));
    } else {
        say(&text(&all, Wording::new(records.programme.units)));
    }
    Ok(ExitCode::SUCCESS)
}

fn text(all: &Worths, w: Wording) -> String {
    let mut rows = vec![row(["a little more", "what it buys"])];
    let line = |worth: &crate::actions::worth::Worth| {
        vec![worth.more.words(w), worth.buys(w).unwrap_or_else(|| "nothing that the search can tell".to_owned())]
    };
    rows.extend(all.all.iter().map(line));
    format!(
        "The plan as it is: {} of canopy beyond the accepted chances, {} flown, ${} spent.\nEach line is the whole plan made again \
         with a little more of one thing.\n\n{}",
        w.area(all.now.aims.host_beyond_accepted),
        w.area(all.now.sprayed()),
        crownhold_print::wording::grouped(all.now.cost().as_dollars()),
        table(&rows, "ll")
    )
}
