//! `crownhold survey`

use std::process::ExitCode;

use crownhold::survey::{Density, estimate};
use crownhold::types::{MassesPerArea, UnitSystem};
use crownhold_print::wording::Wording;

use super::table::{row, table};
use super::{args, say, say_json};
use crate::trouble::Trouble;
use crate::{actions, clock, wire};

pub(super) fn setting(a: &args::Stage) -> crownhold::Setting {
    crownhold::Setting { today: a.on.unwrap_or_else(clock::today), seed: a.seed, draws: a.draws as usize }
}

pub(super) fn run(a: &args::Stage) -> Result<ExitCode, Trouble> {
    let records = actions::records(&a.programme)?;
    let density = estimate(&records, &setting(a))?;
    if a.json {
        say_json(&wire::SurveyJson::from(&density));
    } else {
        say(&text(&density, records.programme.units));
    }
    Ok(ExitCode::SUCCESS)
}

fn text(density: &Density, units: UnitSystem) -> String {
    let w = Wording::new(units);
    let number = |d: MassesPerArea| w.bare_density(d);
    let mut rows = vec![row(["block", "plots", "masses", "low", "high", "from"])];
    for (id, e) in &density.blocks {
        let cells =
            [e.plots.to_string(), number(e.estimate), number(e.low), number(e.high), e.method.word().to_owned()];
        rows.push(std::iter::once(id.to_string()).chain(cells).collect());
    }
    let mut out = format!(
        "New egg masses {}, with {:.0} % intervals.\n\n{}",
        w.per_area(),
        100.0 * density.level,
        table(&rows, "lrrrrl")
    );
    let k = density.dispersion;
    let basis = k.plots.map_or("default".to_owned(), |n| format!("from {n} plots"));
    out += &format!("\nDispersion k {:.2} ({:.2} to {:.2}), {basis}.\n", k.k, k.range.0, k.range.1);
    if let Some(s) = density.new_share {
        out += &format!(
            "New masses: {:.0} % of those within reach ({:.0} to {:.0} %).\n",
            100.0 * s.share,
            100.0 * s.low,
            100.0 * s.high
        );
    }
    density.notes.iter().for_each(|p| out += &format!("{p}\n"));
    out
}
