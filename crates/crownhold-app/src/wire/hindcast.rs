//! `hindcast --json`.

use crownhold::timing::hindcast::{Forecaster, Hindcast, Line};
use serde::Serialize;

use super::{ProblemJson, problems, round};

/// How good the forecast would have been.
#[derive(Serialize, Debug)]
pub struct HindcastJson {
    station: String,
    years: Vec<i16>,
    /// What it is judged against, in words.
    against: &'static str,
    issue_dates: Vec<LineJson>,
    baselines: Vec<BaselineJson>,
    notes: Vec<ProblemJson>,
}

#[derive(Serialize, Debug)]
struct LineJson {
    /// MM-DD.
    issued: String,
    event: &'static str,
    n: usize,
    bias_days: f64,
    mae_days: f64,
    coverage90: f64,
    crps: f64,
}

#[derive(Serialize, Debug)]
struct BaselineJson {
    name: &'static str,
    #[serde(flatten)]
    line: LineJson,
}

impl From<&Line> for LineJson {
    fn from(line: &Line) -> Self {
        let score = line.score;
        Self {
            issued: line.issued.to_string(),
            event: line.event.word(),
            n: score.n,
            bias_days: round(score.bias_days),
            mae_days: round(score.mae_days),
            coverage90: round(score.coverage90),
            crps: round(score.crps),
        }
    }
}

impl HindcastJson {
    /// From the scores; `against` says what they are held against.
    pub fn new(judged: &Hindcast, against: &'static str) -> Self {
        let of = |model: bool| judged.lines.iter().filter(move |l| (l.forecaster == Forecaster::Model) == model);
        Self {
            station: judged.station.to_string(),
            years: judged.years.clone(),
            against,
            issue_dates: of(true).map(LineJson::from).collect(),
            baselines: of(false).map(|l| BaselineJson { name: l.forecaster.word(), line: l.into() }).collect(),
            notes: problems(&judged.notes),
        }
    }
}
