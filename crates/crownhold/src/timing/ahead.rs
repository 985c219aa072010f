//! Forecast days: how far they may be off.
//!
//! The error of the daily temperatures grows with the lead, and errors of neighbouring days are alike; every
//! member draws its own. It moves high and low together.

use super::axis::{Changed, Year};
use super::biology::Biology;
use super::degree_days::DayRange;
use crate::types::Parameters;
use crate::types::chance::{Stream, normal};

/// The parameters.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct ForecastError {
    first: f64,
    growth: f64,
    most: f64,
    kept: f64,
}

impl ForecastError {
    pub(super) fn read(parameters: &Parameters) -> Self {
        let read = |name: &str| parameters.number(&format!("timing.forecast.{name}"));
        Self {
            first: read("error-first"),
            growth: read("error-growth"),
            most: read("error-most"),
            kept: read("error-kept").clamp(0.0, 0.99),
        }
    }

    /// One standard deviation on a forecast day; `lead` 0 is the first of them.
    pub(super) fn spread(&self, lead: usize) -> f64 {
        (self.first + self.growth * lead as f64).min(self.most)
    }

    /// A year whose forecast days are off by a draw of the error. `days` are those of the year, `forecast` the
    /// places of its forecast days, in order.
    pub(super) fn on(
        &self,
        year: &Year,
        days: &[DayRange],
        forecast: &[usize],
        biology: &Biology,
        stream: &mut Stream,
    ) -> Year {
        let (mut error, fresh) = (0.0, (1.0 - self.kept * self.kept).sqrt());
        let shifted = forecast.iter().enumerate().map(|(lead, day)| {
            let z = normal(stream);
            error = if lead == 0 { z } else { self.kept * error + fresh * z };
            Changed { day: *day, was: days[*day], is: days[*day].warmer(error * self.spread(lead)) }
        });
        let shifted: Vec<Changed> = shifted.collect();
        year.with(&shifted, biology)
    }
}
