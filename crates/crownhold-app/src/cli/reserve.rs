//! `crownhold reserve`

use std::process::ExitCode;

use crownhold_print::wording::Wording;

use super::survey::setting;
use super::table::{row, table};
use super::{args, say, say_json};
use crate::actions;
use crate::actions::chain::stages;
use crate::actions::reserve::{ReserveTest, reserve};
use crate::trouble::Trouble;
use crate::wire::ReserveJson;

pub(super) fn run(a: &args::Reserve) -> Result<ExitCode, Trouble> {
    let records = actions::records(&a.stage.programme)?;
    let setting = setting(&a.stage);
    let test = reserve(&stages(&records, &setting)?, &records, &setting, &|_, _| {})?;
    if a.stage.json {
        say_json(&ReserveJson::from(&test));
    } else {
        say(&text(&test, Wording::new(records.programme.units)));
    }
    Ok(ExitCode::SUCCESS)
}

fn text(test: &ReserveTest, w: Wording) -> String {
    let mut rows =
        vec![row(["February", &format!("harm, {}", w.area_unit()), "saved", "flown", "spent", "blocks otherwise"])];
    rows.extend(test.lines(w).into_iter().map(Vec::from));
    format!(
        "Each way to plan on the same {} springs, on draws it was not made on. Harm is favoured-tree canopy that loses more leaf\n\
         than tolerated. In spring every block is looked at (log error {}); bands and ground sprays can then be added.\n\n{}\n{}\n",
        test.springs,
        test.look_error,
        table(&rows, "lrrrrr"),
        test.verdict(w)
    )
}
