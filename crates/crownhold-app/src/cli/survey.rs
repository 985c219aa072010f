//! `crownhold survey`

use std::process::ExitCode;

use crownhold::survey::{Density, estimate};
use crownhold::types::{Length, MassesPerArea, Problem, Records, UnitSystem};
use crownhold_print::wording::Wording;

use super::table::{row, table};
use super::{args, say, say_json};
use crate::actions::fine;
use crate::actions::plots::length;
use crate::trouble::Trouble;
use crate::{actions, clock, wire};

pub(super) fn setting(a: &args::Stage) -> crownhold::Setting {
    crownhold::Setting { today: a.on.unwrap_or_else(clock::today), seed: a.seed, draws: a.draws as usize }
}

pub(super) fn run(a: &args::Survey) -> Result<ExitCode, Trouble> {
    let records = actions::records(&a.stage.programme)?;
    let density = estimate(&records, &setting(&a.stage))?;
    let files = match &a.map {
        Some(dir) => fine::write(&records, &wish(a, &records)?, &setting(&a.stage), &clock::now(), dir)?,
        None => Vec::new(),
    };
    if a.stage.json {
        say_json(&wire::SurveyJson::new(&density, &records));
        return Ok(ExitCode::SUCCESS);
    }
    say(&text(&density, records.programme.units));
    files.iter().for_each(|f| say(&f.display().to_string()));
    Ok(ExitCode::SUCCESS)
}

fn wish(a: &args::Survey, records: &Records) -> Result<fine::Wish, Trouble> {
    let wrong =
        |what: String, expected: &str| Trouble::one(Problem::error("A-242", what, "Correct it.").expected(expected));
    let side = a.side.as_ref().map(|text| {
        let read = length(text).filter(|l| (5.0..=2_000.0).contains(&l.as_metres()));
        read.ok_or_else(|| wrong(format!("--side is \"{text}\"."), "a length from 5 m to 2 km, such as 200ft or 60m"))
    });
    let over = a.over.map(|v| match (v > 0.0 && v.is_finite(), records.programme.units) {
        (false, _) => Err(wrong(format!("--over is {v}."), "a density above zero")),
        (true, UnitSystem::Us) => Ok(MassesPerArea::per_acre(v)),
        (true, UnitSystem::Metric) => Ok(MassesPerArea::per_hectare(v)),
    });
    Ok(fine::Wish { side: side.transpose()?, over: over.transpose()? })
}

fn text(density: &Density, units: UnitSystem) -> String {
    let w = Wording::new(units);
    let mut rows = vec![row(["block", "plots", "found", "low", "high", "used: middle", "5 %", "95 %", "from"])];
    for (b, (id, e)) in density.blocks.iter().enumerate() {
        let used = |p| w.bare_density(MassesPerArea::per_hectare(density.draws.quantile(b, p)));
        let found = [e.estimate, e.low, e.high].map(|d| w.bare_density(d));
        let mut cells = vec![id.to_string(), e.plots.to_string()];
        cells.extend(found);
        cells.extend([0.5, 0.05, 0.95].map(used));
        cells.push(e.method.word().to_owned());
        rows.push(cells);
    }
    let mut out = format!(
        "New egg masses per {}.\n\
         found: on the block's own plots, with the exact {:.0} % interval for the k below; a block without plots shows the next.\n\
         used: what the plan goes by, leaning on {} where plots are few.\n\n{}",
        w.per_area(),
        100.0 * density.level,
        if density.space.is_some() { "plots around and on the stratum" } else { "the stratum" },
        table(&rows, "lrrrrrrrl")
    );
    let k = density.dispersion;
    let basis = k.plots.map_or("the default".to_owned(), |n| format!("from {n} plots that share a block with another"));
    out += &format!("\nDispersion k {:.2} ({:.2} to {:.2}), {basis}.\n", k.k, k.range.0, k.range.1);
    if let Some(s) = density.space {
        out += &format!(
            "Over the city: densities of places {} apart have about half in common ({} to {}).\n\
             Plots without a mass: {}; the count model expects {:.0}.\n",
            w.distance(Length::metres(s.length[1])),
            w.distance(Length::metres(s.length[0])),
            w.distance(Length::metres(s.length[2])),
            s.empty.0,
            s.empty.1
        );
    }
    if let Some(walks) = density.walks {
        let per = |v: f64| w.bare_density(MassesPerArea::per_square_metre(v.max(0.0)));
        let (middle, error) = walks.density;
        out += &format!(
            "Timed walks: {} of the spread between {} blocks with walks and plots goes with them. The {} blocks walked have {} per {} \
             on average (90 % {} to {}).\n",
            crownhold_print::wording::percent(walks.line.r2),
            walks.line.both,
            walks.blocks,
            per(middle),
            w.per_area(),
            per(middle - 1.645 * error),
            per(middle + 1.645 * error)
        );
    }
    if let Some(s) = density.new_share {
        let percent = |v: f64| format!("{:.0} %", 100.0 * v);
        out += &format!(
            "New masses: {} of those within reach ({} to {}).\n",
            percent(s.share),
            percent(s.low),
            percent(s.high)
        );
    }
    density.notes.iter().for_each(|p| out += &format!("{p}\n"));
    out
}
