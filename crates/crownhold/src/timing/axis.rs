//! A year's heat as an axis: from calendar days to degree-days and back.
//!
//! All development is solved on these axes; the calendar comes in only here. Heat runs evenly through each day.

use super::biology::Biology;
use super::degree_days::{DayRange, HeatMethod, StartDay};

/// Heat from the first counted day, at the end of each day from 1 January; never falls.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Axis {
    totals: Vec<f64>,
}

impl Axis {
    /// Counts by one method from its start day; `days` begin on 1 January of `year`.
    pub(super) fn new(days: &[DayRange], method: &HeatMethod, year: i16) -> Self {
        let first = method.start().in_year(year).day_of_year() as usize - 1;
        let mut total = 0.0;
        let totals = days
            .iter()
            .enumerate()
            .map(|(i, day)| {
                if i >= first {
                    total += method.day(*day, days.get(i + 1).map(|next| next.low()));
                }
                total
            })
            .collect();
        Self { totals }
    }

    /// The same axis with some days changed (in order of days). The next day's lowest, which double curves ask
    /// for, is not in it: the axes of this room are single curves.
    fn with(&self, changed: &[Changed], method: &HeatMethod, year: i16) -> Self {
        let first = method.start().in_year(year).day_of_year() as usize - 1;
        let mut totals = self.totals.clone();
        let mut more = 0.0;
        for (i, change) in changed.iter().enumerate() {
            if change.day >= first {
                more += method.day(change.is, None) - method.day(change.was, None);
            }
            let until = changed.get(i + 1).map_or(totals.len(), |next| next.day);
            totals[change.day..until].iter_mut().for_each(|total| *total += more);
        }
        Self { totals }
    }

    /// Number of days.
    pub(super) fn days(&self) -> usize {
        self.totals.len()
    }
    /// Heat at the end of a day (0 is 1 January).
    pub(super) fn end_of(&self, day: usize) -> f64 {
        self.totals[day]
    }
    /// The first day at whose end the heat is reached.
    pub(super) fn day_reaching(&self, heat: f64) -> Option<usize> {
        let day = self.totals.partition_point(|total| *total < heat);
        (day < self.totals.len()).then_some(day)
    }
    /// The moment at which the heat is reached, in days since the start of 1 January.
    pub(super) fn moment_of(&self, heat: f64) -> Option<f64> {
        let day = self.day_reaching(heat)?;
        let before = if day == 0 { 0.0 } else { self.totals[day - 1] };
        let gain = self.totals[day] - before;
        Some(day as f64 + if gain > 0.0 { ((heat - before) / gain).clamp(0.0, 1.0) } else { 0.0 })
    }
    /// Heat at a moment, in days since the start of 1 January.
    fn at(&self, moment: f64) -> f64 {
        let day = moment as usize;
        let before = if day == 0 { 0.0 } else { self.totals[day - 1] };
        let after = self.totals.get(day).copied().unwrap_or(before);
        before + (after - before) * (moment - day as f64)
    }
    /// Heat on another axis of the same year at the moment this axis reaches `heat`.
    pub(super) fn carry(&self, heat: f64, to: &Self) -> Option<f64> {
        self.moment_of(heat).map(|moment| to.at(moment))
    }
}

/// A day whose temperatures are changed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Changed {
    /// Its place from 1 January.
    pub(super) day: usize,
    pub(super) was: DayRange,
    pub(super) is: DayRange,
}

/// One possible year of weather, as heat for eggs, for larvae and for leaves.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Year {
    pub(super) egg: Axis,
    pub(super) larva: Axis,
    pub(super) leaf: Axis,
    season: i16,
    egg_start: StartDay,
}

impl Year {
    /// `days` begin on 1 January of `season`.
    pub(super) fn new(days: &[DayRange], biology: &Biology, egg_start: StartDay, season: i16) -> Self {
        Self {
            egg: Axis::new(days, &biology.egg_heat.starting(egg_start), season),
            larva: Axis::new(days, &biology.larva_heat, season),
            leaf: Axis::new(days, &biology.leaf_heat, season),
            season,
            egg_start,
        }
    }
    /// The same year with some days changed.
    pub(super) fn with(&self, changed: &[Changed], biology: &Biology) -> Self {
        Self {
            egg: self.egg.with(changed, &biology.egg_heat.starting(self.egg_start), self.season),
            larva: self.larva.with(changed, &biology.larva_heat, self.season),
            leaf: self.leaf.with(changed, &biology.leaf_heat, self.season),
            ..*self
        }
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::super::degree_days::Curve;
    use super::*;

    /// Hand calculation: 10 C all day is 7 degree-days above 3 C and 2 above 8 C.
    #[test]
    fn days_heat_and_back() {
        let days = vec![DayRange::new(10.0, 10.0).unwrap(); 60];
        let axis = |base| Axis::new(&days, &HeatMethod::above(Curve::SingleSine, base), 2026);
        let (egg, larva) = (axis(3.0), axis(8.0));
        assert_eq!(egg.end_of(9), 70.0);
        assert_eq!(egg.day_reaching(70.0), Some(9));
        assert_eq!(egg.day_reaching(70.1), Some(10));
        assert_eq!(egg.day_reaching(421.0), None);
        assert!((egg.carry(73.5, &larva).unwrap() - 21.0).abs() < 1e-12);
        assert_eq!(egg.carry(0.0, &larva), Some(0.0));
    }
}
