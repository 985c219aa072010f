//! From a programme's records to what the spatial model needs.

use crate::survey::counts::PlotCount;
use crate::survey::double::index;
use crate::types::draws::mean;
use crate::types::{Block, Parameters, PlotMethod, Records, Value};

use super::hyper::HyperPriors;
use super::kernel::{Levels, Site};
use super::laplace::Counted;
use super::{Survey, places_in};

/// Counts with places, and places of every block; `None` when fewer plots than the parameter asks for have a place, or
/// fewer than half, or a block has no ground. A plot without a place stands in the middle of its block. `stratum` is the
/// stratum number of every block.
pub fn survey(records: &Records, plots: &[PlotCount], stratum: &[usize]) -> Option<Survey> {
    let placed = plots.iter().filter(|p| p.place.is_some()).count();
    if (placed as f64) < records.parameters.number("survey.space.least_plots") || 2 * placed < plots.len() {
        return None;
    }
    let known = covariates(records);
    let site = |block: usize, place| Site { place, block, stratum: stratum[block], covariates: known[block].clone() };
    let points: Vec<Vec<Site>> = records
        .blocks
        .iter()
        .enumerate()
        .map(|(b, block)| places_in(&block.shape).into_iter().map(|place| site(b, place)).collect())
        .collect();
    if points.iter().any(Vec::is_empty) {
        return None;
    }
    let place = |p: &PlotCount| p.place.map_or_else(|| middle(&points[p.block]), |at| [at.x(), at.y()]);
    Some(Survey {
        counts: plots.iter().map(|p| Counted { masses: p.masses, area: p.area }).collect(),
        sites: plots.iter().map(|p| site(p.block, place(p))).collect(),
        points,
    })
}

/// The place of a block nearest to their mean: inside it, whatever its shape.
fn middle(places: &[Site]) -> [f64; 2] {
    let mean_of = |axis: usize| mean(&places.iter().map(|s| s.place[axis]).collect::<Vec<_>>());
    let (x, y) = (mean_of(0), mean_of(1));
    let far = |s: &&Site| libm::hypot(s.place[0] - x, s.place[1] - y);
    places.iter().min_by(|a, b| far(a).total_cmp(&far(b))).map_or([x, y], |s| s.place)
}

/// What is known of each block beforehand: canopy, favoured hosts in it, built ground, last year's density and how much
/// of it was sprayed, what timed walks and bands found. Each with middle 0 and spread 1; 0 where it is not known.
fn covariates(records: &Records) -> Vec<Vec<f64>> {
    let last = |block: &Block| {
        let season = records.programme.season - 1;
        records.past.iter().find(|p| p.season == season && p.block == block.id)
    };
    // How an index goes with density is learned here, from blocks that have it and plots.
    let walks = index(records, PlotMethod::TimedWalk);
    let bands = index(records, PlotMethod::Burlap);
    let of_block = |all: &[Option<f64>], b: &Block| {
        let at = records.block_index(&b.id)?;
        all[at].map(libm::log1p)
    };
    type Known<'a> = &'a dyn Fn(&Block) -> Option<f64>;
    let columns: [Known<'_>; 7] = [
        &|b| b.canopy.map(|s| s.value()),
        &|b| b.hosts.map(|h| h.susceptible.value()),
        &|b| b.built_up.map(|s| s.value()),
        &|b| last(b)?.density.map(|d| libm::log(d.as_per_acre() + 10.0)),
        &|b| of_block(&walks, b),
        &|b| of_block(&bands, b),
        &|b| last(b).map(|p| p.sprayed.map_or(0.0, |a| (a / b.area()).min(2.0))),
    ];
    let columns: Vec<Vec<f64>> =
        columns.iter().map(|of| standardised(&records.blocks.iter().map(of).collect::<Vec<_>>())).collect();
    (0..records.blocks.len()).map(|b| columns.iter().map(|c| c[b]).collect()).collect()
}

fn standardised(values: &[Option<f64>]) -> Vec<f64> {
    let known: Vec<f64> = values.iter().flatten().copied().collect();
    let middle = mean(&known);
    let spread = mean(&known.iter().map(|v| (v - middle) * (v - middle)).collect::<Vec<_>>()).sqrt();
    values.iter().map(|v| v.filter(|_| spread > 1e-9).map_or(0.0, |v| (v - middle) / spread)).collect()
}

/// Priors by the parameters; `level` is the expected density in masses per square metre.
pub fn priors(parameters: &Parameters, level: f64) -> (Levels, HyperPriors) {
    let number = |name: &str| parameters.number(name);
    let law = |name: &str| match parameters.value(name) {
        Value::Lognormal(low, median, high) => (median, libm::log(high / low) / (2.0 * 1.644_853_626_951_472_2)),
        other => (other.centre(), 0.01),
    };
    let levels = Levels {
        centre: libm::log(level),
        common: number("survey.prior.level_width"),
        stratum: number("survey.space.stratum"),
        covariate: number("survey.space.covariate"),
    };
    let rest = HyperPriors {
        spread: law("survey.space.spread"),
        length: law("survey.space.length"),
        block: law("survey.space.block"),
        k: law("survey.k"),
    };
    (levels, rest)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn unknown_covariates_stand_in_the_middle() {
        assert_eq!(standardised(&[Some(1.0), None, Some(3.0)]), [-1.0, 0.0, 1.0]);
        assert_eq!(standardised(&[Some(2.0), Some(2.0), None]), [0.0; 3]);
    }
}
