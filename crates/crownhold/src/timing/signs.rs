//! Other signs of hatch in use: fixed totals of heat, each with its own way of counting and first day.
//!
//! They stand beside the forecast and are never mixed into it: the same spring has as many totals as there are ways to
//! count. A sign has one day in each possible season; what the seasons differ by is weather alone, without the
//! error of the sign itself, which no source gives.

use super::axis::Axis;
use super::degree_days::{Curve, Cutoff, DayRange, HeatMethod, StartDay};
use crate::types::quantity::celsius;
use crate::types::{Parameters, Problem};

use jiff::civil::Date;

/// A fixed total at which something is said to happen.
#[derive(Clone, Debug, PartialEq)]
pub struct HatchSign {
    /// What is said to happen there.
    pub says: &'static str,
    /// The parameter that holds the total, with its source.
    pub parameter: &'static str,
    /// How it is counted.
    pub method: HeatMethod,
    /// The total, degree-days C by that method.
    pub heat: f64,
    /// Total at the end of the last measured day, degree-days C by that method; `None` before the first one.
    pub so_far: Option<f64>,
    /// The day it is reached, one per member.
    pub dates: Vec<Option<Date>>,
}

struct Written {
    says: &'static str,
    parameter: &'static str,
    curve: Curve,
    start: StartDay,
}

const SIGNS: [Written; 3] = [
    Written {
        says: "time to look for the first hatch",
        parameter: "timing.sign.look",
        curve: Curve::SimpleMean,
        start: StartDay::MARCH,
    },
    Written {
        says: "first hatch is under way",
        parameter: "timing.sign.first",
        curve: Curve::SimpleMean,
        start: StartDay::MARCH,
    },
    Written {
        says: "hatch is nearly over",
        parameter: "timing.sign.nearly-over",
        curve: Curve::SingleSine,
        start: StartDay::JANUARY,
    },
];

/// A sign that can be looked for in a year of days.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Sign {
    says: &'static str,
    parameter: &'static str,
    method: HeatMethod,
    heat: f64,
}

impl Sign {
    /// The signs with their totals.
    ///
    /// # Errors
    /// A base that is no temperature.
    pub(super) fn all(parameters: &Parameters) -> Result<Vec<Self>, Vec<Problem>> {
        let base = celsius(parameters.number("timing.sign.base"));
        let read = |sign: &Written| {
            let method = HeatMethod::new(sign.curve, base, None, Cutoff::None, sign.start)?;
            let heat = parameters.number(sign.parameter) / 1.8;
            Ok(Self { says: sign.says, parameter: sign.parameter, method, heat })
        };
        SIGNS.iter().map(read).collect()
    }

    /// The day in each path, from 1 January; and the total up to a day, which all paths share.
    pub(super) fn days(&self, paths: &[Vec<DayRange>], season: i16, seen: Option<usize>) -> (Vec<Option<usize>>, f64) {
        let axes: Vec<Axis> = paths.iter().map(|days| Axis::new(days, &self.method, season)).collect();
        let so_far = seen.and_then(|day| axes.first().map(|axis| axis.end_of(day))).unwrap_or(0.0);
        (axes.iter().map(|axis| axis.day_reaching(self.heat)).collect(), so_far)
    }

    pub(super) fn with(self, so_far: Option<f64>, dates: Vec<Option<Date>>) -> HatchSign {
        HatchSign { says: self.says, parameter: self.parameter, method: self.method, heat: self.heat, so_far, dates }
    }
}
