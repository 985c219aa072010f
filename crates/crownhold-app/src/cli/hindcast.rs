//! `crownhold hindcast`

use std::process::ExitCode;

use crownhold::Setting;
use crownhold::timing::hindcast::{Hindcast, Truth};
use crownhold_data::formats::Wishes;

use super::table::{row, table};
use super::{args, say, say_json, warn};
use crate::actions::hindcast::{Against, judged, source};
use crate::actions::import::{input, pairs};
use crate::trouble::Trouble;
use crate::{clock, wire};

pub(super) fn run(a: &args::Hindcast) -> Result<ExitCode, Trouble> {
    let wishes = Wishes { map: pairs(&a.map)?, units: pairs(&a.unit)?, ..Wishes::default() };
    let source = source(&a.weather, &wishes)?;
    let seen = a.observed.as_deref().map(input).transpose()?;
    let (against, truth) = match (&seen, a.simulated) {
        (Some(file), _) => (Against::Seen(file), Truth::Observed(&[])),
        (None, true) => (Against::Simulated, Truth::Simulated(0)),
        (None, false) => (Against::Own, Truth::Model),
    };
    let setting = Setting { today: a.on.unwrap_or_else(clock::today), seed: a.seed, draws: a.draws as usize };
    let judged = judged(&source, against, &setting)?;
    if a.json {
        say_json(&wire::HindcastJson::new(&judged, truth.words()));
    } else {
        say(&text(&judged, truth.words()));
        judged.notes.iter().for_each(warn);
    }
    Ok(ExitCode::SUCCESS)
}

fn text(judged: &Hindcast, against: &str) -> String {
    let mut rows = vec![row(["forecast", "issued", "event", "n", "bias", "mae", "in 90 %", "crps"])];
    let mut lines: Vec<_> = judged.lines.iter().collect();
    lines.sort_by_key(|l| (l.event, l.issued.to_string(), l.forecaster));
    for l in lines {
        let s = l.score;
        rows.push(vec![
            l.forecaster.word().to_owned(),
            l.issued.to_string(),
            l.event.word().to_owned(),
            s.n.to_string(),
            format!("{:+.1}", s.bias_days),
            format!("{:.1}", s.mae_days),
            format!("{:.0} %", 100.0 * s.coverage90),
            format!("{:.2}", s.crps),
        ]);
    }
    let years: Vec<String> = judged.years.iter().map(i16::to_string).collect();
    format!(
        "Station {}: each of {} forecast from the others, as known on the issue day; judged against {}.\n\n{}\n\
         Bias: the middle of the forecast less what came, in days (+ is late). mae: mean distance in days. in 90 %: share of the \
         dates that lie in the middle nine tenths. crps: days, 0 is perfect.",
        judged.station,
        years.join(", "),
        against,
        table(&rows, "lllrrrrr")
    )
}
