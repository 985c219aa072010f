//! `spray-weather --json`, and the mornings in `timing --json`.

use crownhold::timing::spray::{JudgedHour, Morning, Reading, Reason, Verdict, WindowMornings};
use jiff::civil::{Date, DateTime};
use serde::Serialize;

use super::{ProblemJson, problems, round};

/// One hour judged.
#[derive(Serialize, Debug)]
pub struct HourJson {
    time: DateTime,
    offset_minutes: i16,
    verdict: &'static str,
    /// Every reason of a no.
    reasons: Vec<&'static str>,
    /// What was not known.
    unknown: Vec<&'static str>,
    temperature_c: Option<f64>,
    humidity_percent: Option<f64>,
    wind_m_s: Option<f64>,
    gust_m_s: Option<f64>,
    precipitation_mm: Option<f64>,
    forecast: bool,
}

/// The word of a verdict.
pub fn verdict(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Go => "go",
        Verdict::NoGo => "no-go",
        Verdict::Unknown => "unknown",
    }
}

/// The word of a morning.
pub fn morning(morning: Morning) -> &'static str {
    match morning {
        Morning::Suitable => "suitable",
        Morning::Unsuitable => "not suitable",
        Morning::Unknown => "unknown",
    }
}

/// The word of a reason.
pub fn reason(reason: &Reason) -> &'static str {
    match reason {
        Reason::Dark => "dark",
        Reason::WindStrong(_) => "wind too strong",
        Reason::Gusts(_) => "gusts too strong",
        Reason::Calm(_) => "too calm, inversion risk",
        Reason::Dry(_) => "air too dry",
        Reason::Cold(_) => "too cold",
        Reason::Warm(_) => "too warm",
        Reason::RainNow => "rain",
        Reason::RainAhead(_) => "rain soon after",
    }
}

impl From<&JudgedHour> for HourJson {
    fn from(hour: &JudgedHour) -> Self {
        let w = &hour.weather;
        Self {
            time: w.time,
            offset_minutes: w.offset,
            verdict: verdict(hour.verdict()),
            reasons: hour.reasons.iter().map(reason).collect(),
            unknown: hour.missing.iter().copied().map(Reading::word).collect(),
            temperature_c: w.temperature.map(round),
            humidity_percent: w.humidity.map(round),
            wind_m_s: w.wind.map(round),
            gust_m_s: w.gust.map(round),
            precipitation_mm: w.precipitation.map(round),
            forecast: w.forecast,
        }
    }
}

/// One morning.
#[derive(Serialize, Debug)]
pub struct MorningJson {
    /// Day.
    pub date: Date,
    /// suitable, not suitable or unknown.
    pub morning: &'static str,
}

/// A file of hours judged.
#[derive(Serialize, Debug)]
pub struct SprayWeatherJson {
    /// air or ground.
    pub spraying: &'static str,
    /// Hours by verdict.
    pub go: usize,
    /// Hours with a reason against them.
    pub no_go: usize,
    /// Hours that could not be judged.
    pub unknown: usize,
    /// Every hour.
    pub hours: Vec<HourJson>,
    /// Every morning.
    pub mornings: Vec<MorningJson>,
    /// What was noticed in the file.
    pub notes: Vec<ProblemJson>,
}

/// The chance of mornings in the aerial window.
#[derive(Serialize, Debug)]
pub struct WindowMorningsJson {
    window: &'static str,
    at_least: Vec<AtLeastJson>,
    expected: f64,
    years: Vec<i16>,
    /// Share of the possible seasons without the window.
    without_window: f64,
    notes: Vec<ProblemJson>,
}

#[derive(Serialize, Debug)]
struct AtLeastJson {
    mornings: usize,
    chance: f64,
    /// In the past year that was worst and the one that was best for it.
    worst_year: f64,
    best_year: f64,
}

impl From<&WindowMornings> for WindowMorningsJson {
    fn from(m: &WindowMornings) -> Self {
        let at_least = m.chance.iter().zip(m.range).enumerate().map(|(i, (chance, (low, high)))| AtLeastJson {
            mornings: i + 1,
            chance: round(*chance),
            worst_year: round(low),
            best_year: round(high),
        });
        Self {
            window: "aerial Btk",
            at_least: at_least.collect(),
            expected: round(m.expected),
            years: m.years.clone(),
            without_window: round(m.without),
            notes: problems(&m.notes),
        }
    }
}
