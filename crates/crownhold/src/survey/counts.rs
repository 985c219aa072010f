//! From what was written down on a plot to new masses on a known area.

use std::collections::BTreeMap;

use geo::Point;
use jiff::civil::Date;

use super::NewShare;
use super::intervals::wilson;
use crate::types::quantity::SQUARE_METRES_PER_ACRE;
use crate::types::{Block, BlockId, Count, LandUse, Plot, PlotMethod, Problem, Records, Substrate, Visit};

/// One plot, ready for the count model.
#[derive(Clone, Debug, PartialEq)]
pub struct PlotCount {
    /// Position of its block in the records.
    pub block: usize,
    /// Its centre.
    pub place: Option<Point<f64>>,
    /// New masses, the out-of-reach ones taken at the pooled new share.
    pub masses: f64,
    /// Of these, the part that rests on the pooled new share.
    pub out_of_reach: f64,
    /// Was it counted on trees only, so that its area was lessened for what houses and objects carry?
    pub trees_only: bool,
    /// Counted area, square metres; for prism points the area they stand for, the same for all of a survey.
    pub area: f64,
}

/// Days that belong to the survey before the spring of `season`: 1 August to 31 May, when what has not hatched
/// will not.
pub fn survey_days(season: i16) -> (Date, Date) {
    (Date::constant(season - 1, 8, 1), Date::constant(season, 5, 31))
}

/// The visits that count: of each plot the last one in the survey's own year that has something written down.
pub fn visits_used<'a>(records: &'a Records, notes: &mut Vec<Problem>) -> Vec<(&'a Plot, &'a Visit)> {
    let (first, last) = survey_days(records.programme.season);
    let mut latest: BTreeMap<&str, &Visit> = BTreeMap::new();
    let (mut outside, mut doubled) = (0, 0);
    for visit in records.visits.iter().filter(|v| !v.counts.is_empty()) {
        if visit.date < first || visit.date > last {
            outside += 1;
            continue;
        }
        let kept = latest.entry(visit.plot.as_str()).or_insert(visit);
        if kept.id != visit.id {
            doubled += 1;
            if visit.date >= kept.date {
                *kept = visit;
            }
        }
    }
    if outside > 0 {
        notes.push(Problem::notice(
            "D-101",
            format!("{outside} visits lie outside {first} to {last} and belong to another season."),
            "They were left out of this survey.",
        ));
    }
    if doubled > 0 {
        notes.push(Problem::notice(
            "D-102",
            format!("{doubled} plots were visited more than once."),
            "The last visit was used.",
        ));
    }
    records.plots.iter().filter_map(|p| latest.get(p.id.as_str()).map(|v| (p, *v))).collect()
}

/// The share of new masses over all classed masses within reach.
pub fn new_share(visits: &[(&Plot, &Visit)], level: f64) -> Option<NewShare> {
    let counts = || visits.iter().filter(|(p, _)| p.method.is_area_count()).flat_map(|(_, v)| v.counts.iter());
    let new: u32 = counts().map(|c| c.new).sum();
    let old: u32 = counts().map(|c| c.old).sum();
    if new + old == 0 {
        return None;
    }
    let (low, high) = wilson(new, new + old, level);
    Some(NewShare { new, old, share: f64::from(new) / f64::from(new + old), low, high })
}

/// Masses on one plot after the new/old correction: N = new + p x out of reach.
pub fn corrected(counts: &[Count], new_share: f64) -> f64 {
    counts.iter().map(|c| f64::from(c.new) + new_share * f64::from(c.out_of_reach)).sum()
}

/// Density of a prism point, masses per square metre: tallied trees by their tree factor
/// BAF/(0.005454154 d²) (d in inches), the rest on the fixed plot.
pub fn prism_density(counts: &[Count], basal_area_factor: f64, fixed_area: f64, new_share: f64) -> f64 {
    counts
        .iter()
        .map(|c| {
            let masses = f64::from(c.new) + new_share * f64::from(c.out_of_reach);
            match c.dbh {
                Some(d) => {
                    let inches = d.as_inches();
                    masses * basal_area_factor / (0.005_454_154 * inches * inches) / SQUARE_METRES_PER_ACRE
                }
                None => masses / fixed_area,
            }
        })
        .sum()
}

/// What stands on each usable plot.
pub fn plot_counts(records: &Records, new_share: f64, multiplier: f64, notes: &mut Vec<Problem>) -> Vec<PlotCount> {
    let visits = visits_used(records, &mut Vec::new());
    let index: BTreeMap<&BlockId, usize> = records.blocks.iter().enumerate().map(|(i, b)| (&b.id, i)).collect();
    let prism = prism_area(&visits, new_share);
    let mut out = Vec::new();
    let mut left_out: BTreeMap<&'static str, usize> = BTreeMap::new();
    for (plot, visit) in visits {
        let Some(block) = index.get(&plot.block).copied() else {
            *left_out.entry("lie in a block that is not in the programme").or_default() += 1;
            continue;
        };
        match plot_count(plot, visit, new_share, prism) {
            Ok((masses, from_above, area)) => {
                // What a tree-only count misses is area not looked at, not masses made up.
                let trees_only = trees_only(&records.blocks[block], visit);
                let area = if trees_only { area / multiplier } else { area };
                out.push(PlotCount { block, place: plot.place, masses, out_of_reach: from_above, trees_only, area });
            }
            Err(why) => *left_out.entry(why).or_default() += 1,
        }
    }
    for (why, n) in left_out {
        notes.push(Problem::notice("D-103", format!("{n} counted plots {why}."), "They were left out."));
    }
    out
}

/// Tree-only counts between houses miss what is on houses and fences; elsewhere there is nothing else to look at.
fn trees_only(block: &Block, visit: &Visit) -> bool {
    block.land_use == LandUse::Residential
        && visit.counts.iter().all(|c| c.substrate == Substrate::Trees && c.dbh.is_none())
}

/// The area that a prism point of this survey stands for: the middle of what its counts and densities give. One
/// area for all points, zeros included: an area that depended on the count would favour the full ones.
fn prism_area(visits: &[(&Plot, &Visit)], new_share: f64) -> Option<f64> {
    let areas: Vec<f64> = visits
        .iter()
        .filter_map(|(plot, visit)| match (plot.method, plot.area) {
            (PlotMethod::Prism { basal_area_factor }, Some(fixed)) => {
                let density = prism_density(&visit.counts, basal_area_factor, fixed.as_square_metres(), new_share);
                (density > 0.0).then(|| corrected(&visit.counts, new_share) / density)
            }
            _ => None,
        })
        .collect();
    (!areas.is_empty()).then(|| crate::types::draws::quantile(&areas, 0.5))
}

fn plot_count(plot: &Plot, visit: &Visit, new_share: f64, prism: Option<f64>) -> Result<(f64, f64, f64), &'static str> {
    let from_above = new_share * visit.counts.iter().map(|c| f64::from(c.out_of_reach)).sum::<f64>();
    let masses = corrected(&visit.counts, new_share);
    match (plot.method, plot.area) {
        (PlotMethod::TimedWalk | PlotMethod::Burlap | PlotMethod::Trap, _) => Err(
            "are timed walks, bands or traps: an index, not a density (walks and bands help where other blocks have them and plots)",
        ),
        (_, None) => Err("have no area"),
        (PlotMethod::Prism { basal_area_factor }, Some(fixed)) => {
            let fixed = fixed.as_square_metres();
            let density = prism_density(&visit.counts, basal_area_factor, fixed, new_share);
            let area = prism.unwrap_or(fixed);
            let scale = if masses > 0.0 { density * area / masses } else { 0.0 };
            Ok((density * area, from_above * scale, area))
        }
        (_, Some(area)) => Ok((masses, from_above, area.as_square_metres())),
    }
}

#[cfg(test)]
mod tests {
    use super::{prism_density, survey_days};
    use crate::types::{Area, Count, Length, MassesPerArea, Substrate};

    /// Arithmetic of the relascope: BAF 10, a 10-inch tree with 6 masses, a 14-inch one with 3, and 2 on the 1/100 acre
    /// fixed plot are 338.07 masses per acre.
    #[test]
    fn prism_points() {
        let count = |new, inches: Option<f64>| Count {
            substrate: Substrate::All,
            dbh: inches.map(Length::inches),
            new,
            old: 0,
            out_of_reach: 0,
        };
        let counts = [count(6, Some(10.0)), count(3, Some(14.0)), count(2, None)];
        let density = prism_density(&counts, 10.0, Area::acres(0.01).as_square_metres(), 1.0);
        assert!((MassesPerArea::per_square_metre(density).as_per_acre() - 338.07).abs() < 0.01);
    }

    #[test]
    fn the_survey_year() {
        let (first, last) = survey_days(2027);
        assert_eq!((first.to_string(), last.to_string()), ("2026-08-01".to_owned(), "2027-05-31".to_owned()));
    }
}
