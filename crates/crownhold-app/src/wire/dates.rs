//! `timing --json` and `degree-days --json`.

use crownhold::timing::degree_days::HeatDay;
use crownhold::timing::spray::WindowMornings;
use crownhold::timing::{BlockDates, Timing, date_quantile};
use jiff::civil::Date;
use serde::Serialize;

use super::{EndsJson, LearnedJson, ProblemJson, WindowMorningsJson, problems, round};

/// Dates of one season.
#[derive(Serialize, Debug)]
pub struct TimingJson {
    season: i16,
    issued: Date,
    station: String,
    years: Vec<i16>,
    members: usize,
    events: Vec<EventJson>,
    windows: Vec<WindowJson>,
    /// Chance of suitable mornings in the aerial window; none without hourly weather.
    spray_mornings: Option<WindowMorningsJson>,
    /// Only where field samples were taken in.
    learned: Option<LearnedJson>,
    /// Only where there are blocks.
    city: Option<EndsJson>,
    notes: Vec<ProblemJson>,
}

#[derive(Serialize, Debug)]
struct EventJson {
    event: &'static str,
    p05: Option<Date>,
    p50: Option<Date>,
    p95: Option<Date>,
    /// Members in which it does not happen before the year ends.
    never: usize,
}

#[derive(Serialize, Debug)]
struct WindowJson {
    window: &'static str,
    /// Medians and ranges over the members that have the window.
    opens: Option<Date>,
    closes: Option<Date>,
    opens_p05: Option<Date>,
    opens_p95: Option<Date>,
    closes_p05: Option<Date>,
    closes_p95: Option<Date>,
    /// Members in which it never opens.
    never: usize,
    rule: String,
}

impl TimingJson {
    /// The dates, with those of blocks where there are some.
    pub fn new(t: &Timing, blocks: Option<&BlockDates>) -> Self {
        let none = |dates: &[Option<Date>]| dates.iter().filter(|d| d.is_none()).count();
        Self {
            season: t.season,
            issued: t.issued,
            station: t.station.to_string(),
            years: t.years.clone(),
            members: t.events.first().map_or(0, |e| e.dates.len()),
            events: t
                .events
                .iter()
                .map(|e| EventJson {
                    event: e.event.word(),
                    p05: date_quantile(&e.dates, 0.05),
                    p50: date_quantile(&e.dates, 0.5),
                    p95: date_quantile(&e.dates, 0.95),
                    never: none(&e.dates),
                })
                .collect(),
            windows: t
                .windows
                .iter()
                .map(|w| WindowJson {
                    window: w.kind.word(),
                    opens: w.opens_among_those_that_do(0.5),
                    closes: w.closes_among_those_that_do(0.5),
                    opens_p05: w.opens_among_those_that_do(0.05),
                    opens_p95: w.opens_among_those_that_do(0.95),
                    closes_p05: w.closes_among_those_that_do(0.05),
                    closes_p95: w.closes_among_those_that_do(0.95),
                    never: none(&w.opens),
                    rule: w.rule.clone(),
                })
                .collect(),
            spray_mornings: None,
            learned: t.learned.as_ref().map(LearnedJson::from),
            city: blocks.filter(|b| !b.at.is_empty()).map(EndsJson::from),
            notes: problems(&t.notes),
        }
    }
}

impl TimingJson {
    /// With the mornings of the aerial window.
    pub fn with_mornings(self, mornings: Option<&WindowMornings>) -> Self {
        Self { spray_mornings: mornings.map(WindowMorningsJson::from), ..self }
    }
}

/// One day of heat, in the unit asked for.
#[derive(Serialize, Debug)]
pub struct DegreeDayJson {
    /// Day.
    pub date: Date,
    /// Heat of the day; none on a missing day.
    pub daily: Option<f64>,
    /// Heat since the first day; none after a gap.
    pub total: Option<f64>,
}

impl DegreeDayJson {
    /// From a day in degree-days C; `per_celsius` is 1, or 1.8 for degree-days F.
    pub fn new(day: &HeatDay, per_celsius: f64) -> Self {
        let shown = |v: Option<f64>| v.map(|v| round(v * per_celsius));
        Self { date: day.date, daily: shown(day.daily), total: shown(day.total) }
    }
}
