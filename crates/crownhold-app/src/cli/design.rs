//! `crownhold design`

use std::process::ExitCode;
use std::sync::Arc;

use crownhold::types::{Problem, Records, UnitSystem};
use crownhold_data::formats::{ToLonLat, Wishes};
use crownhold_print::wording::Wording;

use super::stop_rule::share;
use super::table::{row, table};
use super::{args, say, say_json};
use crate::actions::design::{Aim, Design, DesignWords, KeepOff, add, design, gpx};
use crate::actions::import::input;
use crate::actions::plots::length;
use crate::actions::{By, author, records};
use crate::clock;
use crate::trouble::Trouble;
use crate::wire::DesignJson;

pub(super) fn run(a: &args::Design) -> Result<ExitCode, Trouble> {
    let records = records(&a.programme)?;
    let words = words(a, &records)?;
    let (made, done) = if a.add {
        let (author, when) = (author(a.author.as_deref()), clock::now());
        let (made, done) = add(&a.programme, &words, By::new(&author, &when))?;
        (made, Some(done.what))
    } else {
        (design(&records, &words)?, None)
    };
    if let Some(path) = &a.gpx {
        std::fs::write(path, gpx(&records, &made)?).map_err(|e| Trouble::file(path, &e))?;
    }
    if a.json {
        say_json(&DesignJson::new(&made, &ToLonLat::new(records.programme.epsg)?));
    } else {
        say(&text(&made, &records, records.programme.units));
        if let Some(what) = done {
            say(&format!("Done: {what}."));
        }
    }
    Ok(ExitCode::SUCCESS)
}

fn words(a: &args::Design, records: &Records) -> Result<DesignWords, Trouble> {
    let wrong =
        |what: String, expected: &str| Trouble::one(Problem::error("A-170", what, "Correct it.").expected(expected));
    let aim = match (a.plots, &a.precision) {
        (Some(n), _) => Aim::Plots(n),
        (None, Some(text)) => {
            let read = share(text).filter(|d| (0.01..=1.0).contains(d));
            Aim::Precision(read.ok_or_else(|| wrong(format!("--precision is \"{text}\"."), "1% to 100%"))?)
        }
        (None, None) => Aim::Threshold,
    };
    let apart = length(&a.apart).map(crownhold::types::Length::as_metres).filter(|m| *m <= 5_000.0);
    let apart = apart.ok_or_else(|| wrong(format!("--apart is \"{}\".", a.apart), "a length such as 100ft or 30m"))?;
    let off = match &a.keep_off {
        Some(path) => {
            let wishes = Wishes { crs: a.crs.clone(), layer: a.layer.clone(), ..Wishes::default() };
            KeepOff::read(&input(path)?, &wishes, records)?
        }
        None => KeepOff::default(),
    };
    Ok(DesignWords {
        aim,
        seed: a.seed,
        least: a.least.clamp(1, 100),
        spare: a.spare.min(100),
        apart,
        off: Arc::new(off),
    })
}

fn text(design: &Design, records: &Records, units: UnitSystem) -> String {
    let w = Wording::new(units);
    let mut rows = vec![row(["stratum", "blocks", w.area_unit(), "expected", "from blocks", "plots", "placed"])];
    rows.extend(design.strata.iter().map(|s| {
        let known = if s.known_blocks == 0 { "none: assumed".to_owned() } else { s.known_blocks.to_string() };
        vec![
            s.id.to_string(),
            s.blocks.to_string(),
            w.bare_area(s.area),
            w.bare_density(s.expected),
            known,
            s.plots.to_string(),
            s.placed.to_string(),
        ]
    }));
    let mut out = format!("Expected: new masses per {} in the last season on record.\n\n", w.per_area());
    out += &table(&rows, "lrrrrrr");
    if let Some(error) = design.precision {
        out += &format!("\nStandard error expected: {:.0} % of the mean of all strata.\n", 100.0 * error);
    }
    if let Some(n) = design.per_block {
        out += &format!(
            "\n{n} plots a block as a fixed sample; the stop rule mostly ends sooner (crownhold stop-rule).\n"
        );
    }
    let mut rows = vec![row(["plot", "block", "stratum", "easting", "northing"])];
    rows.extend(design.places.iter().map(|p| {
        let (x, y) = (format!("{:.1}", p.place.x()), format!("{:.1}", p.place.y()));
        vec![p.id.clone(), p.block.to_string(), p.stratum.to_string(), x, y]
    }));
    out +=
        &format!("\nPlaces, EPSG:{} (R: replacements, in order):\n{}", records.programme.epsg, table(&rows, "lllrr"));
    design.notes.iter().for_each(|p| out += &format!("{p}\n"));
    out
}
