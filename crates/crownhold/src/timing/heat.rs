//! Heat through the season as a fan: what has been counted, and what past years would add to it.

use jiff::civil::Date;

use super::Event;
use super::axis::{Axis, Year};
use super::biology::Biology;
use super::degree_days::{HeatMethod, StartDay};
use crate::types::LeafHost;
use crate::types::draws::quantile;
use crate::types::records::choice;

choice! {
    /// What the heat is counted for. Totals of different axes do not compare.
    HeatAxis {
        /// Eggs, until they hatch.
        Egg = "egg heat",
        /// Larvae and pupae.
        Larva = "larval heat",
        /// Oak leaves.
        Leaf = "leaf heat",
    }
}

/// The shares of past years at which a fan is read: 5, 25, 50, 75 and 95 %.
pub const FAN_SHARES: [f64; 5] = [0.05, 0.25, 0.5, 0.75, 0.95];

/// Heat at the end of one day, degree-days C by the fan's method.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FanDay {
    /// The day.
    pub date: Date,
    /// This season, its known days followed by each past year's remainder, at [`FAN_SHARES`]; all the same
    /// while every day is known.
    pub points: [f64; 5],
    /// Median of the past years themselves.
    pub usual: f64,
}

/// A fixed total at which the model expects an event.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HeatMark {
    /// What happens there.
    pub event: Event,
    /// Total, degree-days C by the fan's method.
    pub heat: f64,
    /// How far the total may be off in one spring (one standard deviation), degree-days C.
    pub spread: f64,
}

/// One heat axis from 1 January to 30 September.
#[derive(Clone, Debug, PartialEq)]
pub struct HeatFan {
    /// What it is counted for.
    pub axis: HeatAxis,
    /// How it is counted, with base and first day.
    pub method: HeatMethod,
    /// The last day up to which every day of the season was measured.
    pub observed_to: Option<Date>,
    /// The last day up to which every day was measured or is forecast; not before `observed_to`.
    pub known_to: Option<Date>,
    /// Day by day.
    pub days: Vec<FanDay>,
    /// Events at fixed totals. None for larvae, whose heat counts from each one's own hatch.
    pub marks: Vec<HeatMark>,
}

/// The last month of a fan.
const LAST_MONTH: i8 = 9;

/// The season as it may run and past years as they were.
pub(super) struct Paths<'a> {
    pub(super) season: i16,
    /// This season's known days with each past year's remainder.
    pub(super) ahead: &'a [Year],
    /// Each past year by itself.
    pub(super) past: &'a [Year],
    pub(super) observed_to: Option<Date>,
    pub(super) known_to: Option<Date>,
}

impl Paths<'_> {
    /// The fans of all axes.
    pub(super) fn fans(&self, biology: &Biology, egg_start: StartDay) -> Vec<HeatFan> {
        HeatAxis::ALL.iter().map(|axis| self.fan(*axis, biology, egg_start)).collect()
    }

    fn fan(&self, axis: HeatAxis, biology: &Biology, egg_start: StartDay) -> HeatFan {
        let method = match axis {
            HeatAxis::Egg => biology.egg_heat.starting(egg_start),
            HeatAxis::Larva => biology.larva_heat,
            HeatAxis::Leaf => biology.leaf_heat,
        };
        let days = super::ensemble::days_of(self.season).take_while(|day| day.month() <= LAST_MONTH);
        HeatFan {
            axis,
            method,
            observed_to: self.observed_to,
            known_to: self.known_to,
            days: days.enumerate().map(|(i, date)| self.day(axis, i, date)).collect(),
            marks: marks(axis, biology),
        }
    }

    fn day(&self, axis: HeatAxis, day: usize, date: Date) -> FanDay {
        let totals = |years: &[Year]| years.iter().map(|year| of(year, axis).end_of(day)).collect::<Vec<f64>>();
        let ahead = totals(self.ahead);
        FanDay { date, points: FAN_SHARES.map(|p| quantile(&ahead, p)), usual: quantile(&totals(self.past), 0.5) }
    }
}

fn of(year: &Year, axis: HeatAxis) -> &Axis {
    match axis {
        HeatAxis::Egg => &year.egg,
        HeatAxis::Larva => &year.larva,
        HeatAxis::Leaf => &year.leaf,
    }
}

fn marks(axis: HeatAxis, biology: &Biology) -> Vec<HeatMark> {
    let hatch = |(event, share)| HeatMark { event, heat: biology.hatch.heat(share), spread: biology.hatch_error };
    let budbreak = |event, host| {
        let mark = biology.leaves.budbreak(host);
        HeatMark { event, heat: mark.mean, spread: mark.spread }
    };
    let forty = |event, host| {
        let mark = biology.leaves.mark(host, 0.4)?;
        Some(HeatMark { event, heat: mark.mean, spread: mark.spread })
    };
    match axis {
        HeatAxis::Egg => {
            [(Event::HatchTenth, 0.1), (Event::HatchHalf, 0.5), (Event::HatchNineTenths, 0.9)].map(hatch).to_vec()
        }
        HeatAxis::Larva => Vec::new(),
        HeatAxis::Leaf => [
            Some(budbreak(Event::RedOakBudbreak, LeafHost::RedOak)),
            forty(Event::RedOakLeaf, LeafHost::RedOak),
            Some(budbreak(Event::WhiteOakBudbreak, LeafHost::WhiteOak)),
            forty(Event::WhiteOakLeaf, LeafHost::WhiteOak),
        ]
        .into_iter()
        .flatten()
        .collect(),
    }
}
