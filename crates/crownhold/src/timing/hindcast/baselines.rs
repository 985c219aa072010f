//! What a forester would say without the model: the usual date, and a fixed total of daily-mean degree-days.

use std::collections::BTreeMap;

use jiff::civil::{Date, date};

use super::super::degree_days::{Curve, DayRange, HeatMethod, StartDay};
use super::LATEST;
use crate::types::Parameters;
use crate::types::draws::mean;
use crate::types::quantity::celsius;

/// One forecast: a best day and members in order, as days since 1 March.
pub(super) struct Call {
    pub(super) best: f64,
    pub(super) members: Vec<f64>,
}

/// The mean of the other years' dates, with those dates as its members. `None` without another year.
pub(super) fn usual(others: &[f64]) -> Option<Call> {
    let mut members = others.to_vec();
    members.sort_by(f64::total_cmp);
    (!members.is_empty()).then(|| Call { best: mean(&members), members })
}

/// Daily-mean heat of every year, summed from 1 March.
pub(super) struct MeanHeat {
    /// Heat at the end of each day from 1 March to 31 December, year after year.
    totals: Vec<Vec<f64>>,
    /// Their sum over the years, day by day.
    sum: Vec<f64>,
}

impl MeanHeat {
    /// From the days of each year. A day without temperatures adds nothing; there are none before October.
    pub(super) fn new(years: &[i16], days: &BTreeMap<Date, DayRange>, parameters: &Parameters) -> Self {
        let base = celsius(parameters.number("timing.hindcast.mean-base"));
        let method = HeatMethod::above(Curve::SimpleMean, base).starting(StartDay::MARCH);
        let of_year = |year: &i16| {
            let mut total = 0.0;
            let first = date(*year, 3, 1);
            let season = first.series(jiff::Span::new().days(1)).take(LATEST as usize + 1);
            season
                .map(|day| {
                    total += days.get(&day).map_or(0.0, |range| method.day(*range, None));
                    total
                })
                .collect::<Vec<f64>>()
        };
        let totals: Vec<Vec<f64>> = years.iter().map(of_year).collect();
        let sum = (0..=LATEST as usize).map(|day| totals.iter().map(|year| year[day]).sum()).collect();
        Self { totals, sum }
    }

    /// Heat of one year in the middle of a day; 0 before March.
    fn at(&self, year: usize, day: f64) -> f64 {
        if day < 0.0 {
            return 0.0;
        }
        let day = (day as usize).min(LATEST as usize);
        let before = if day == 0 { 0.0 } else { self.totals[year][day - 1] };
        0.5 * (before + self.totals[year][day])
    }

    /// The forecast for one year from an issue day: the mean total at which the event came in the other years, reached
    /// by this year's heat so far and then the other years' mean heat. Its members are the best day and the errors that
    /// the same rule makes for each of the other years, when that year is left out as well.
    /// `truths` has the day of the event per year, where it is known. `None` without another year with a date.
    pub(super) fn call(&self, year: usize, issued: f64, truths: &[Option<f64>]) -> Option<Call> {
        let best = self.best(year, issued, truths, None)?;
        let error = |(other, truth): (usize, &Option<f64>)| {
            let best = self.best(other, issued, truths, Some(year))?;
            Some((*truth)? - best)
        };
        let others = truths.iter().enumerate().filter(|(other, _)| *other != year);
        let mut members: Vec<f64> = others.filter_map(error).map(|error| best + error).collect();
        if members.is_empty() {
            members.push(best);
        }
        members.sort_by(f64::total_cmp);
        Some(Call { best, members })
    }

    fn best(&self, year: usize, issued: f64, truths: &[Option<f64>], without: Option<usize>) -> Option<f64> {
        let left_out = |i: usize| i == year || Some(i) == without;
        let known = truths.iter().enumerate().filter(|(i, _)| !left_out(*i));
        let totals: Vec<f64> = known.filter_map(|(i, truth)| Some(self.at(i, (*truth)?))).collect();
        if totals.is_empty() {
            return None;
        }
        let needed = mean(&totals);
        let others = (self.totals.len() - 1 - usize::from(without.is_some())) as f64;
        // The other years' mean heat, by subtraction from the sum of all.
        let past = |day: usize| {
            let besides = without.map_or(0.0, |i| self.totals[i][day]);
            (self.sum[day] - self.totals[year][day] - besides) / others
        };
        let issued = issued.clamp(0.0, LATEST) as usize;
        let own = &self.totals[year][..=issued];
        let at = own.partition_point(|total| *total < needed);
        if at < own.len() {
            return Some(at as f64);
        }
        let (mut low, mut high) = (issued, LATEST as usize);
        let ahead = |day: usize| own[issued] + past(day) - past(issued);
        while high - low > 1 {
            let middle = low.midpoint(high);
            if ahead(middle) < needed { low = middle } else { high = middle }
        }
        Some(high as f64)
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    /// Years of 12, 14 and 16 C all day: 2, 4 and 6 degree-days a day above 50 F (10 C).
    fn heat() -> MeanHeat {
        let mut days = BTreeMap::new();
        for (year, t) in [(2021, 12.0), (2022, 14.0), (2023, 16.0)] {
            for day in date(year, 1, 1).series(jiff::Span::new().days(1)).take(365) {
                days.insert(day, DayRange::new(t, t).unwrap());
            }
        }
        MeanHeat::new(&[2021, 2022, 2023], &days, &Parameters::defaults())
    }

    /// By hand. The other years had 61 (2 a day, in the middle of day 30) and 42 (4 a day, day 10), mean 51.5. The year
    /// asked has 6 a day to the end of day 3, which is 24, then the others' mean of 3 a day: 27.5 more take 9.17 days,
    /// so that day 13 is the first to reach it.
    #[test]
    fn heat_so_far_and_then_the_usual() {
        let heat = heat();
        let truths = [Some(30.0), Some(10.0), Some(5.0)];
        let call = heat.call(2, 3.0, &truths).unwrap();
        assert_eq!(call.best, 13.0);
        // Once the year's own heat is known, it alone decides: 51.5 / 6 = 8.6 days, index 8.
        assert_eq!(heat.call(2, 60.0, &truths).unwrap().best, 8.0);
        assert_eq!(call.members.len(), 2);
    }

    #[test]
    fn the_usual_date_needs_another_year() {
        assert!(usual(&[]).is_none());
        let call = usual(&[20.0, 10.0]).unwrap();
        assert_eq!((call.best, call.members), (15.0, vec![10.0, 20.0]));
    }
}
