//! The limits that weather is held against.

use crate::types::records::choice;
use crate::types::{Parameters, Problem, quantity::celsius};

choice! {
    /// How it is sprayed.
    Spraying {
        /// From aircraft.
        Air = "air",
        /// From the ground.
        Ground = "ground",
    }
}

/// Metres a second in a mile an hour.
pub const MPH: f64 = 0.44704;

/// Limits of one way of spraying, SI.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Limits {
    /// Which way.
    pub spraying: Spraying,
    /// Strongest mean wind, m/s.
    pub wind_most: f64,
    /// Weakest mean wind, m/s.
    pub wind_least: f64,
    /// Strongest gust, m/s.
    pub gust_most: f64,
    /// Lowest relative humidity, percent.
    pub humidity_least: f64,
    /// Lowest temperature, degrees C.
    pub temperature_least: f64,
    /// Highest temperature, degrees C.
    pub temperature_most: f64,
    /// Hours without rain after the spray.
    pub rain_free: u8,
    /// Chance of rain from which an hour counts as rainy, percent.
    pub rain_chance: f64,
    /// More rain than this is rain, mm in an hour.
    pub rain_trace: f64,
    /// Minutes before sunrise and after sunset that are light enough.
    pub before_sunrise: i64,
    /// Hour of the local clock at which a morning ends.
    pub morning_ends: i8,
    /// Hours in a row that make a morning suitable.
    pub morning_hours: usize,
    /// Days on either side that a calendar day's chance is taken from.
    pub smoothing: i64,
}

impl Limits {
    /// Reads the limits.
    ///
    /// # Errors
    /// Every limit that makes no sense.
    pub fn read(parameters: &Parameters, spraying: Spraying) -> Result<Self, Vec<Problem>> {
        let name = |what: &str| format!("timing.spray-{}.{what}", spraying.word());
        let own = |what: &str| parameters.number(&name(what));
        let both = |what: &str| parameters.number(&format!("timing.spray.{what}"));
        let limits = Self {
            spraying,
            wind_most: own("wind-most") * MPH,
            wind_least: own("wind-least") * MPH,
            gust_most: own("gust-most") * MPH,
            humidity_least: own("humidity-least"),
            temperature_least: celsius(own("temperature-least")),
            temperature_most: celsius(own("temperature-most")),
            rain_free: own("rain-free").clamp(0.0, 72.0).round() as u8,
            rain_chance: own("rain-chance"),
            rain_trace: both("rain-trace"),
            before_sunrise: both("before-sunrise").clamp(-720.0, 720.0).round() as i64,
            morning_ends: both("morning-ends").clamp(0.0, 24.0).round() as i8,
            morning_hours: both("morning-hours").clamp(1.0, 24.0).round() as usize,
            smoothing: both("smoothing").clamp(0.0, 60.0).round() as i64,
        };
        let wrong: Vec<Problem> = [
            (limits.wind_least < limits.wind_most, name("wind-most"), "more than the weakest wind"),
            (
                limits.temperature_least < limits.temperature_most,
                name("temperature-most"),
                "more than the lowest temperature",
            ),
        ]
        .into_iter()
        .filter(|(holds, ..)| !holds)
        .map(|(_, item, expected)| {
            let what = format!("the value of {item} makes no sense.");
            Problem::error("timing.parameter", what, "Change or restore it.").item(item).expected(expected)
        })
        .collect();
        if wrong.is_empty() { Ok(limits) } else { Err(wrong) }
    }
}
