//! Who does the work: places, supplies of hours, and the assignment that uses fewest paid hours.
//!
//! Work arises per period and place (the neighbourhood of a block). Some of it volunteers may do
//! ("open" work), the rest is for crews only. Four supplies reach a place: its own volunteers, its
//! own crews, and the volunteers and crews that work anywhere. Blocks without a neighbourhood are
//! reached by the last two only. Periods do not share hours, so each is assigned by itself, and for
//! one period the best assignment has a closed form (see [`Roster::staff`]).

use std::collections::BTreeMap;

use crate::tactics::Options;
use crate::types::{HoursSupply, Period, Workforce};

/// Hours by which a supply may be overrun before it counts as too short (0.36 s): the arithmetic's own noise.
pub const HOURS_TOLERANCE: f64 = 1e-4;

/// Work of one place in one period, in hours.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct Work {
    /// For crews only.
    pub crew_only: f64,
    /// For crews or volunteers.
    pub open: f64,
}

/// Hours that can be worked in one period.
#[derive(Clone, Debug, PartialEq)]
pub struct PeriodSupply {
    /// Crews bound to each place.
    pub crew: Vec<f64>,
    /// Volunteers bound to each place.
    pub volunteers: Vec<f64>,
    /// Crews that work anywhere.
    pub crew_anywhere: f64,
    /// Volunteers who work anywhere.
    pub volunteers_anywhere: f64,
}

/// Hours worked in one period, per place; `short` is what nobody can do.
#[derive(Clone, Debug, PartialEq)]
pub struct Staffed {
    /// Volunteers of the place.
    pub volunteers: Vec<f64>,
    /// Volunteers from anywhere.
    pub volunteers_anywhere: Vec<f64>,
    /// Crews of the place.
    pub crew: Vec<f64>,
    /// Crews from anywhere.
    pub crew_anywhere: Vec<f64>,
    /// Hours that nobody can do.
    pub short: f64,
}

impl Staffed {
    /// Volunteer hours at a place.
    pub fn volunteers_at(&self, place: usize) -> f64 {
        self.volunteers[place] + self.volunteers_anywhere[place]
    }
}

/// Places and the supplies that reach them.
#[derive(Clone, Debug, PartialEq)]
pub struct Roster {
    /// Neighbourhoods in name order; `None` (blocks without one) comes first if there is such a block.
    pub places: Vec<Option<String>>,
    /// Place of each block.
    pub place_of: Vec<usize>,
    /// Supplies by period, in the order of [`Period::ALL`].
    pub periods: Vec<PeriodSupply>,
}

/// Supplies with the same workforce, period and place added up.
pub fn merged(supplies: &[HoursSupply]) -> BTreeMap<(Workforce, Period, Option<String>), f64> {
    let mut sums = BTreeMap::new();
    for s in supplies {
        *sums.entry((s.who, s.period, s.neighbourhood.clone())).or_insert(0.0) += s.hours.as_hours();
    }
    sums
}

impl Roster {
    /// From the blocks and the supplies.
    pub fn new(options: &Options, supplies: &[HoursSupply]) -> Self {
        let mut places: Vec<Option<String>> = options.blocks.iter().map(|b| b.neighbourhood.clone()).collect();
        places.sort();
        places.dedup();
        let place_of = options
            .blocks
            .iter()
            .map(|b| places.binary_search(&b.neighbourhood).expect("every block's place was listed"))
            .collect();
        let sums = merged(supplies);
        let hours =
            |who, period, place: &Option<String>| sums.get(&(who, period, place.clone())).copied().unwrap_or(0.0);
        let local = |who, period| {
            // A block without neighbourhood has no supply of its own; the entry without one may work in any.
            places.iter().map(|p| if p.is_none() { 0.0 } else { hours(who, period, p) }).collect()
        };
        let periods = Period::ALL
            .iter()
            .map(|&period| PeriodSupply {
                crew: local(Workforce::Crew, period),
                volunteers: local(Workforce::Volunteers, period),
                crew_anywhere: hours(Workforce::Crew, period, &None),
                volunteers_anywhere: hours(Workforce::Volunteers, period, &None),
            })
            .collect();
        Self { places, place_of, periods }
    }

    /// Work of one period per place, for a choice of options.
    pub fn work(&self, options: &Options, choice: &[usize], period: Period) -> Vec<Work> {
        let mut work = vec![Work::default(); self.places.len()];
        for (b, block) in options.blocks.iter().enumerate() {
            let own = work_of(&block.options[choice[b]], period);
            let at = &mut work[self.place_of[b]];
            at.open += own.open;
            at.crew_only += own.crew_only;
        }
        work
    }

    /// Assigns one period's work with as few crew hours as possible, and with nothing short if that can be.
    ///
    /// A place's own volunteers have no other use, so they go first, and likewise its own crews for
    /// what is then left. Volunteers from anywhere go first to where the place's own crew falls
    /// short (that saves crews from anywhere, which alone could do the work otherwise), then to any
    /// open work left. Whatever the order, they do min(their hours, open work left), so crew hours
    /// are least; and no other order leaves less for the crews from anywhere, so it is feasible
    /// whenever anything is.
    pub fn staff(&self, work: &[Work], period: Period) -> Staffed {
        let supply = &self.periods[period as usize];
        let own: Vec<f64> = work.iter().zip(&supply.volunteers).map(|(w, &v)| w.open.min(v)).collect();
        let mut anywhere = vec![0.0; work.len()];
        let mut left = supply.volunteers_anywhere;
        for urgent in [true, false] {
            for (p, w) in work.iter().enumerate() {
                let open = w.open - own[p] - anywhere[p];
                let beyond_crew = (w.crew_only + open - supply.crew[p]).max(0.0);
                let take = if urgent { open.min(beyond_crew) } else { open }.min(left);
                anywhere[p] += take;
                left -= take;
            }
        }
        let paid = |p: usize| work[p].crew_only + work[p].open - own[p] - anywhere[p];
        let crew: Vec<f64> = (0..work.len()).map(|p| paid(p).min(supply.crew[p])).collect();
        let mut crew_left = supply.crew_anywhere;
        let crew_anywhere: Vec<f64> = (0..work.len())
            .map(|p| {
                let take = (paid(p) - crew[p]).clamp(0.0, crew_left);
                crew_left -= take;
                take
            })
            .collect();
        let short = (0..work.len()).map(|p| paid(p) - crew[p] - crew_anywhere[p]).sum::<f64>().max(0.0);
        Staffed { volunteers: own, volunteers_anywhere: anywhere, crew, crew_anywhere, short }
    }
}

/// Work of one option in one period.
pub fn work_of(option: &crate::tactics::BlockOption, period: Period) -> Work {
    let mut work = Work::default();
    for labour in option.labour.iter().filter(|l| l.period == period) {
        let part = if labour.volunteers_may { &mut work.open } else { &mut work.crew_only };
        *part += labour.hours.as_hours();
    }
    work
}

#[cfg(test)]
mod tests {
    use super::*;

    fn roster(volunteers: [f64; 2], crew: [f64; 2], anywhere: (f64, f64)) -> Roster {
        let supply = PeriodSupply {
            crew: crew.to_vec(),
            volunteers: volunteers.to_vec(),
            volunteers_anywhere: anywhere.0,
            crew_anywhere: anywhere.1,
        };
        let names = ["North", "South"].map(|n| Some(n.to_owned())).to_vec();
        Roster { places: names, place_of: vec![0, 1], periods: vec![supply; 3] }
    }

    /// By hand: North has crew enough, South none; the ten hours of volunteers from anywhere must all go
    /// South although North comes first, or South is short.
    #[test]
    fn volunteers_from_anywhere_go_where_crews_are_short() {
        let r = roster([0.0, 0.0], [20.0, 0.0], (10.0, 5.0));
        let work = [Work { crew_only: 0.0, open: 10.0 }, Work { crew_only: 5.0, open: 10.0 }];
        let s = r.staff(&work, Period::Winter);
        assert_eq!(s.volunteers_anywhere, [0.0, 10.0]);
        assert_eq!((s.crew, s.crew_anywhere, s.short), (vec![10.0, 0.0], vec![0.0, 5.0], 0.0));
    }

    /// By hand: crew-only work of 8 h against 3 h of own crew and 2 h from anywhere is 3 h short, whatever volunteers offer.
    #[test]
    fn volunteers_do_not_do_crew_work() {
        let r = roster([50.0, 0.0], [3.0, 0.0], (50.0, 2.0));
        let s = r.staff(&[Work { crew_only: 8.0, open: 4.0 }, Work::default()], Period::Spring);
        assert!((s.short - 3.0).abs() < 1e-12);
        assert_eq!(s.volunteers_at(0), 4.0);
    }
}
