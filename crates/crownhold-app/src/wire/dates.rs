//! `timing --json` and `degree-days --json`.

use crownhold::timing::degree_days::HeatDay;
use crownhold::timing::spray::WindowMornings;
use crownhold::timing::{
    BlockDates, HatchSign, HostDates, STAGES, StageDay, Timing, Window, WindowKind, date_quantile,
};
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
    /// Leaves and flying window by host.
    hosts: Vec<HostJson>,
    /// Other totals of heat in use, each with its own method and start; not mixed into the forecast.
    hatch_signs: Vec<SignJson>,
    /// Last day for notices of flights, counted back from the early edge of the aerial window.
    notices_by: Option<Date>,
    /// Mean shares of the stages over the ensemble, day by day; they sum to 1.
    stages: StagesJson,
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
    /// Its length, days.
    days_p05: Option<f64>,
    days_p50: Option<f64>,
    days_p95: Option<f64>,
    /// Chance that it is open, for every day on which it may be.
    open: Vec<OpenJson>,
    /// Members in which it never opens.
    never: usize,
    rule: String,
}

impl TimingJson {
    /// The dates, with those of blocks where there are some. Notices are due so many days before the early edge.
    pub fn new(t: &Timing, blocks: Option<&BlockDates>, notice_days: f64) -> Self {
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
                    never: never(&e.dates),
                })
                .collect(),
            windows: t.windows.iter().map(WindowJson::from).collect(),
            hosts: t.hosts.iter().map(HostJson::from).collect(),
            hatch_signs: t.signs.iter().map(SignJson::from).collect(),
            notices_by: notices_by(t, notice_days),
            stages: StagesJson::from(t),
            spray_mornings: None,
            learned: t.learned.as_ref().map(LearnedJson::from),
            city: blocks.filter(|b| !b.at.is_empty()).map(EndsJson::from),
            notes: problems(&t.notes),
        }
    }
}

/// Last day for notices of flights.
fn notices_by(timing: &Timing, days: f64) -> Option<Date> {
    crownhold::field::notices_by(timing.window(WindowKind::AerialBtk)?, days as i64)
}

fn never(dates: &[Option<Date>]) -> usize {
    dates.iter().filter(|d| d.is_none()).count()
}

impl From<&Window> for WindowJson {
    fn from(w: &Window) -> Self {
        Self {
            window: w.kind.word(),
            opens: w.opens_among_those_that_do(0.5),
            closes: w.closes_among_those_that_do(0.5),
            opens_p05: w.opens_among_those_that_do(0.05),
            opens_p95: w.opens_among_those_that_do(0.95),
            closes_p05: w.closes_among_those_that_do(0.05),
            closes_p95: w.closes_among_those_that_do(0.95),
            days_p05: w.days_among_those_that_do(0.05),
            days_p50: w.days_among_those_that_do(0.5),
            days_p95: w.days_among_those_that_do(0.95),
            open: open_days(w),
            never: never(&w.opens),
            rule: w.rule.clone(),
        }
    }
}

/// One day of a window.
#[derive(Serialize, Debug)]
struct OpenJson {
    date: Date,
    chance: f64,
}

fn open_days(w: &Window) -> Vec<OpenJson> {
    let (first, last) = (w.opens.iter().flatten().min(), w.closes.iter().flatten().max());
    let Some((first, last)) = first.zip(last) else { return Vec::new() };
    let days = first.series(jiff::Span::new().days(1)).take_while(|day| day <= last);
    days.map(|date| OpenJson { date, chance: round(w.chance_open_on(date)) }).collect()
}

/// Shares of the stages, in the order of their names.
#[derive(Serialize, Debug)]
struct StagesJson {
    names: [&'static str; 10],
    days: Vec<StageDayJson>,
}

#[derive(Serialize, Debug)]
struct StageDayJson {
    date: Date,
    shares: [f64; 10],
}

impl From<&Timing> for StagesJson {
    fn from(t: &Timing) -> Self {
        let day = |day: &StageDay| StageDayJson { date: day.date, shares: day.shares.map(round) };
        Self { names: STAGES, days: t.stages.iter().map(day).collect() }
    }
}

/// Leaves and flying window of one host.
#[derive(Serialize, Debug)]
struct HostJson {
    host: &'static str,
    leaf_p05: Option<Date>,
    leaf_p50: Option<Date>,
    leaf_p95: Option<Date>,
    opens: Option<Date>,
    closes: Option<Date>,
    days_p05: Option<f64>,
    days_p50: Option<f64>,
    days_p95: Option<f64>,
    never: usize,
}

impl From<&HostDates> for HostJson {
    fn from(h: &HostDates) -> Self {
        let (leaf, days) = (|p| date_quantile(&h.leaf, p), |p| h.window.days_among_those_that_do(p));
        Self {
            host: h.host.word(),
            leaf_p05: leaf(0.05),
            leaf_p50: leaf(0.5),
            leaf_p95: leaf(0.95),
            opens: h.window.opens_among_those_that_do(0.5),
            closes: h.window.closes_among_those_that_do(0.5),
            days_p05: days(0.05),
            days_p50: days(0.5),
            days_p95: days(0.95),
            never: never(&h.window.opens),
        }
    }
}

/// Another sign of hatch, counted in its own way.
#[derive(Serialize, Debug)]
struct SignJson {
    says: &'static str,
    parameter: &'static str,
    curve: &'static str,
    base_c: f64,
    start: String,
    degree_days_c: f64,
    so_far_c: Option<f64>,
    p05: Option<Date>,
    p50: Option<Date>,
    p95: Option<Date>,
}

impl From<&HatchSign> for SignJson {
    fn from(sign: &HatchSign) -> Self {
        let at = |p| date_quantile(&sign.dates, p);
        Self {
            says: sign.says,
            parameter: sign.parameter,
            curve: sign.method.curve().word(),
            base_c: round(sign.method.base()),
            start: sign.method.start().to_string(),
            degree_days_c: round(sign.heat),
            so_far_c: sign.so_far.map(round),
            p05: at(0.05),
            p50: at(0.5),
            p95: at(0.95),
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
