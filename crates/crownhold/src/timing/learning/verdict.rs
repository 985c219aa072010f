//! What became of each sample: does it fit the forecast and the others, and what does it change?

use rayon::prelude::*;
use statrs::distribution::{ChiSquared, ContinuousCDF};

use super::super::course::Course;
use super::super::stages::Molt;
use super::super::windows::date;
use super::likelihood::{Spring, What, moments};
use super::pool::{Point, Pool, Which};
use super::{Flag, MARKED, Moved, SampleVerdict, School};
use crate::timing::Event;
use crate::timing::ensemble::Draw;
use crate::types::LeafHost;

/// Instars further apart than one place in this many would have by chance are flagged.
const MIXED: f64 = 0.001;

/// The verdicts, in the order of the looks.
pub(super) fn verdicts(school: &School<'_>, pool: &Pool) -> Vec<SampleVerdict> {
    let days: Vec<[f64; 3]> = pool.points.par_iter().map(|point| marked_days(school, point)).collect();
    let days = [0, 1, 2].map(|k| Ordered::new(days.iter().map(|days| days[k]).collect()));
    let (prior, all) = (pool.weights(Which::Prior), pool.weights(Which::All));
    (0..school.looks.len()).map(|i| verdict(school, pool, &days, (&prior, &all), i)).collect()
}

fn verdict(
    school: &School<'_>,
    pool: &Pool,
    days: &[Ordered; 3],
    (prior, all): (&[f64], &[f64]),
    i: usize,
) -> SampleVerdict {
    let (alone, without) = (pool.weights(Which::Alone(i)), pool.weights(Which::Without(i)));
    let look = &school.looks[i];
    let surprise = |weights: &[f64]| {
        let below: f64 = pool.points.iter().zip(weights).map(|(p, w)| w * p.seeming[i].below).sum();
        if look.what == What::None { below } else { (2.0 * below.min(1.0 - below)).clamp(0.0, 1.0) }
    };
    let (beside_forecast, wrong) = (surprise(prior), pool.chance_wrong(i, all));
    let beside_others = (school.looks.len() > 1).then(|| surprise(&without));
    let disagrees = beside_others.is_some_and(|p| p < school.model.flag);
    let flag = if is_mixed(school, pool, &alone, i) {
        Some(Flag::Mixed)
    } else if disagrees && wrong > 0.8 {
        Some(Flag::Outvoted)
    } else if disagrees && wrong > 0.2 {
        Some(Flag::Contradicts)
    } else if beside_forecast < school.model.flag && beside_others.is_none_or(|p| p < 2.0 * school.model.flag) {
        Some(Flag::Unlikely)
    } else {
        None
    };
    let on = |day: f64| if day.is_finite() { date(school.season, day as i32) } else { None };
    let moved = MARKED.iter().enumerate().map(|(k, event)| {
        let at = |weights: &[f64], p| days[k].quantile(weights, p);
        let days = at(all, 0.5) - at(&without, 0.5);
        let days = days.is_finite().then_some(days);
        Moved { event: *event, days, alone: [0.05, 0.5, 0.95].map(|p| on(at(&alone, p))) }
    });
    SampleVerdict { sample: look.id.clone(), beside_forecast, beside_others, wrong, flag, moved: moved.collect() }
}

/// Moments of the marked events at the station in one point's spring, days from 1 January.
fn marked_days(school: &School<'_>, point: &Point) -> [f64; 3] {
    let draw = Draw { year: point.year, hatch_z: point.z[0], stage_z: point.z[1], leaf_z: point.z[2] };
    let year = &school.years[point.year];
    let (hatch, scale) = (draw.hatch(school.biology), draw.scale(school.biology));
    let course = Course::new(school.biology, year, hatch, scale, draw.leaf_z);
    let forty = school.biology.leaves.mark(LeafHost::RedOak, 0.4);
    MARKED.map(|event| {
        let moment = match event {
            Event::ThirdInstar => course.moment_molted(&[Molt::Third], 0.5),
            Event::RedOakLeaf => forty.and_then(|mark| year.leaf.moment_of(mark.heat(draw.leaf_z))),
            _ => year.egg.moment_of(hatch.mean),
        };
        moment.unwrap_or(f64::INFINITY)
    })
}

/// Are the instars of a sample further apart than the model can put them on any likely day?
fn is_mixed(school: &School<'_>, pool: &Pool, alone: &[f64], i: usize) -> bool {
    let look = &school.looks[i];
    let What::Instars { total, variance, .. } = &look.what else { return false };
    let best = alone.iter().enumerate().max_by(|a, b| a.1.total_cmp(b.1)).map_or(0, |(at, _)| at);
    let point = &pool.points[best];
    let draw = Draw { year: point.year, hatch_z: point.z[0], stage_z: point.z[1], leaf_z: point.z[2] };
    let years = school.years_at((look.offset * 10.0).round() / 10.0);
    let spring = Spring {
        biology: school.biology,
        year: &years[point.year % years.len()],
        hatch: draw.hatch(school.biology),
        scale: draw.scale(school.biology),
        leaf_z: draw.leaf_z,
    };
    let (_, allowed) = moments(&school.model.instars(look.day, &spring).0);
    let free = total - 1.0;
    // Clumping makes one place more alike, so that this is on the safe side.
    let Ok(chance) = ChiSquared::new(free.max(1.0)) else { return false };
    free >= 4.0 && chance.sf(total * variance / allowed.max(0.05)) < MIXED
}

/// Days of one event, one a point, and their order.
struct Ordered {
    days: Vec<f64>,
    order: Vec<usize>,
}

impl Ordered {
    fn new(days: Vec<f64>) -> Self {
        let mut order: Vec<usize> = (0..days.len()).collect();
        order.sort_by(|a, b| days[*a].total_cmp(&days[*b]));
        Self { days, order }
    }

    /// Quantile with weights; an event that may not come about counts as later than every day.
    fn quantile(&self, weights: &[f64], p: f64) -> f64 {
        let mut sum = 0.0;
        for at in &self.order {
            sum += weights[*at];
            if sum >= p {
                return self.days[*at];
            }
        }
        f64::INFINITY
    }
}
