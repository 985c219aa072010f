//! `crownhold calibrate`

use std::process::ExitCode;

use crownhold::types::VolumePerArea;
use crownhold_print::cautions;

use super::table::table;
use super::{args, say, say_json, warn};
use crate::actions::calibrate::{CalibrateWords, Calibrated, from_words};
use crate::trouble::Trouble;
use crate::wire::CalibrationJson;

pub(super) fn run(a: &args::Calibrate) -> Result<ExitCode, Trouble> {
    let made = from_words(&CalibrateWords {
        speed: a.speed.clone(),
        swath: a.swath.clone(),
        rate: a.rate.clone(),
        flow: a.flow.clone(),
        dose: a.dose.clone(),
        strength: a.strength.clone(),
    })?;
    if a.json {
        say_json(&CalibrationJson::new(&made, cautions::CALIBRATION));
    } else {
        say(&text(&made));
        made.notices.iter().for_each(warn);
    }
    Ok(ExitCode::SUCCESS)
}

/// One line a figure: the system it was asked in first, the other beside it.
fn text(c: &Calibrated) -> String {
    let f = &c.figures;
    let mut rows = Vec::new();
    let mut line = |name: &str, us: String, metric: String| {
        let (first, second) = if c.metric { (metric, us) } else { (us, metric) };
        rows.push(vec![name.to_owned(), first, second]);
    };
    line(
        "covered",
        format!("{:.3} ac/min", f.area_per_minute.as_acres()),
        format!("{:.3} ha/min", f.area_per_minute.as_hectares()),
    );
    line(
        "flow, all nozzles",
        format!("{:.3} gal/min", f.flow.as_gallons_per_minute()),
        format!("{:.3} L/min", f.flow.as_litres_per_minute()),
    );
    let mut volume = |name: &str, v: VolumePerArea| {
        let us = format!("{:.3} gal/ac", v.as_gallons_per_acre());
        line(name, us, format!("{:.3} L/ha", v.as_litres_per_hectare()));
    };
    volume("mix", f.rate);
    if let Some(mix) = f.mix {
        volume("product", mix.product);
        if let Some(water) = mix.water {
            volume("water", water);
        }
        line(
            "product through the nozzles",
            format!("{:.3} gal/min", mix.product_flow.as_gallons_per_minute()),
            format!("{:.3} L/min", mix.product_flow.as_litres_per_minute()),
        );
        if mix.fits() {
            let share = format!("{:.1} %", 100.0 * mix.share.min(1.0));
            line("product in the mix", share.clone(), share);
        }
    }
    format!("{}\n{}\n", table(&rows, "lrr"), cautions::CALIBRATION)
}
