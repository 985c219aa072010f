//! `crownhold stress`

use std::process::ExitCode;

use crownhold_print::wording::{Wording, grouped};

use super::survey::setting;
use super::table::{row, table};
use super::{args, say, say_json};
use crate::actions;
use crate::actions::chain::stages;
use crate::actions::stress::{StressTest, expected, stress};
use crate::trouble::Trouble;
use crate::wire::StressJson;

pub(super) fn run(a: &args::Stress) -> Result<ExitCode, Trouble> {
    let records = actions::records(&a.stage.programme)?;
    let setting = setting(&a.stage);
    let test = stress(&stages(&records, &setting)?, &records, &setting)?;
    if a.stage.json {
        say_json(&StressJson::from(&test));
    } else {
        say(&text(&test, Wording::new(records.programme.units)));
    }
    Ok(ExitCode::SUCCESS)
}

fn text(test: &StressTest, w: Wording) -> String {
    let mut rows = vec![row(["the season", w.area_unit(), "more than forecast", "worst tenth", "not done"])];
    rows.push(row(["as forecast", &expected(&test.forecast, w), "", &w.bare_area(test.forecast.worst_tenth), ""]));
    for tried in &test.tried {
        let cells = tried.cells(w);
        rows.push(row([&tried.happens, &cells.mean, &cells.more, &cells.worst_tenth, &cells.undone]));
    }
    format!(
        "Favoured-tree canopy that loses more leaf than tolerated, with the plan made now, on {} draws it was not made on; each line goes wrong in one way only. If nothing were done, {} would\nlose more leaf than \
         tolerated. The size of each case is a parameter (stress.).\n\n{}",
        grouped(test.draws as f64),
        w.area(test.untreated),
        table(&rows, "lrrrr")
    )
}
