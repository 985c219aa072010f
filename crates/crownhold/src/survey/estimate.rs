//! From records to the density of every block.

use std::collections::BTreeMap;

use super::counts::{self, PlotCount};
use super::double;
use super::doubt::Doubt;
use super::negative_binomial::{exact_interval, size_of_total};
use super::posterior::{Posterior, Priors};
use super::spatial::{self, Spatial, Variation};
use super::{Density, DensityEstimate, DensityMethod, Dispersion, NewShare};
use crate::Setting;
use crate::types::draws::quantile;
use crate::types::quantity::SQUARE_METRES_PER_ACRE;
use crate::types::{Draws, MassesPerArea, Parameters, Problem, Records, StratumId, Value};

/// Densities of all blocks.
///
/// The estimate of a block is what stood on its plots over their area; its interval is the exact negative
/// binomial one at the common k. The draws come from the model over space ([`super::spatial`]) where enough plots have a
/// place, else from the hierarchical model of [`super::posterior`]; a block without plots is given the middle and the
/// range of its own, wider, draws.
///
/// # Errors
/// When there are no blocks, or not one usable plot.
pub fn estimate(records: &Records, setting: &Setting) -> Result<Density, Vec<Problem>> {
    let mut notes = Vec::new();
    let level = records.parameters.number("survey.level");
    let new_share = counts::new_share(&counts::visits_used(records, &mut notes), level);
    let plots = usable_plots(records, new_share, &mut notes)?;
    let (names, stratum) = strata(records);
    let model = model(records, &plots, &stratum, setting, &mut notes);
    let dispersion = dispersion(model.k, &plots, &records.parameters, &mut notes);
    let space = model.space;
    let walks = double::walked(records, &plots);
    let doubt = Doubt::of(records, &plots, new_share, setting);
    let mut masses_per_ha = model.draws;
    masses_per_ha.iter_mut().enumerate().for_each(|(b, own)| doubt.spread_over(own, b));
    let draws = Draws::from_blocks(masses_per_ha, setting.draws);
    let make = |plots: &[&PlotCount], method| own_estimate(plots, dispersion.k, level, method);
    let strata: Vec<(StratumId, DensityEstimate)> = names
        .iter()
        .enumerate()
        .map(|(s, name)| {
            let own = plots.iter().filter(|p| stratum[p.block] == s).collect::<Vec<_>>();
            let members: Vec<usize> = (0..stratum.len()).filter(|b| stratum[*b] == s).collect();
            (name.clone(), stratum_estimate(&own, &members, records, &draws, level))
        })
        .collect();
    let blocks = records
        .blocks
        .iter()
        .enumerate()
        .map(|(b, block)| {
            let own: Vec<_> = plots.iter().filter(|p| p.block == b).collect();
            let estimate = if own.is_empty() {
                let method = if space.is_some() { DensityMethod::Around } else { strata[stratum[b]].1.method };
                borrowed(method, &draws, b, level)
            } else {
                make(&own, DensityMethod::OwnPlots)
            };
            (block.id.clone(), estimate)
        })
        .collect();
    Ok(Density { blocks, strata, draws, level, dispersion, space, walks, new_share, notes })
}

/// Draws of every block, and what was learned on the way.
struct Model {
    draws: Vec<Vec<f64>>,
    k: (f64, (f64, f64)),
    space: Option<Variation>,
}

/// The model over space where enough plots have a place; else blocks lean on their stratum, and that is said.
fn model(
    records: &Records,
    plots: &[PlotCount],
    stratum: &[usize],
    setting: &Setting,
    notes: &mut Vec<Problem>,
) -> Model {
    let placed = plots.iter().filter(|p| p.place.is_some()).count();
    if let Some(model) = over_space(records, plots, stratum, setting) {
        notes.extend(model.space.and_then(too_many_empty));
        if placed < plots.len() {
            notes.push(Problem::notice(
                "D-109",
                format!("{} of {} counted plots have no place.", plots.len() - placed, plots.len()),
                "Each was taken to stand in the middle of its block. Give every plot its place.",
            ));
        }
        return model;
    }
    let least = records.parameters.number("survey.space.least_plots");
    notes.push(Problem::notice(
        "D-107",
        format!("Neighbouring plots tell nothing about each other here: {placed} of {} have a place; {least:.0} are needed, and half of all.", plots.len()),
        "A block with few plots leans on its stratum. Give every plot its place.",
    ));
    let posterior = Posterior::fit(plots, stratum, &priors(&records.parameters));
    Model { draws: posterior.draws(setting.draws, setting.seed), k: posterior.dispersion(), space: None }
}

fn over_space(records: &Records, plots: &[PlotCount], stratum: &[usize], setting: &Setting) -> Option<Model> {
    let survey = spatial::town::survey(records, plots, stratum)?;
    let level = records.parameters.number("survey.prior.level") / SQUARE_METRES_PER_ACRE;
    let (levels, rest) = spatial::town::priors(&records.parameters, level);
    let fitted = Spatial::fit(&survey, levels, rest)?;
    let space = fitted.variation();
    let [low, k, high] = space.k;
    Some(Model { draws: fitted.draws(setting.draws, setting.seed)?, k: (k, (low, high)), space: Some(space) })
}

/// Standard deviations from which a difference is told.
const TOLD_FROM: f64 = 2.6;

/// A check of the model against its own counts: as many empty plots as it expects?
fn too_many_empty(found: Variation) -> Option<Problem> {
    let (seen, expected, sd) = found.empty;
    ((seen as f64 - expected).abs() > TOLD_FROM * sd.max(0.5)).then(|| {
        Problem::notice(
            "D-108",
            format!("{seen} plots have no mass, and the count model expects {expected:.0}."),
            "The counts are more or less clumped than it takes them to be; trust the ranges a little less.",
        )
    })
}

pub(super) fn usable_plots(
    records: &Records,
    new_share: Option<NewShare>,
    notes: &mut Vec<Problem>,
) -> Result<Vec<PlotCount>, Vec<Problem>> {
    if records.blocks.is_empty() {
        return Err(vec![Problem::error(
            "D-001",
            "There are no blocks.",
            "Import blocks, or make them from a boundary.",
        )]);
    }
    let share = new_share.map_or(1.0, NewShare::used);
    let parameters = &records.parameters;
    let tree_only = parameters.number("survey.tree_only_multiplier");
    let mut plots = counts::plot_counts(records, share, tree_only, notes);
    let detection = parameters.number("survey.detection");
    // An area searched with detection d counts like the share d of it searched perfectly.
    plots.iter_mut().for_each(|p| p.area *= detection);
    if new_share.is_none() && plots.iter().any(|p| p.out_of_reach > 0.0) {
        notes.push(Problem::notice(
            "D-104",
            "No mass within reach was told new or old, so every mass out of reach was taken as new.",
            "Class the masses within reach at the next visit; old ones may inflate these figures a lot.",
        ));
    }
    let unclosed = records.blocks.iter().filter(|b| b.survey_closed.is_none()).count();
    if unclosed > 0 {
        notes.push(Problem::notice(
            "D-105",
            format!("The count is not closed in {unclosed} blocks, those without any count among them."),
            "Scraping is not offered there until it is.",
        ));
    }
    if plots.is_empty() {
        notes.push(Problem::error(
            "D-002",
            "There is not one plot with a usable count for this season.",
            "Import plots (with area and block) and counts dated in this survey year.",
        ));
        return Err(std::mem::take(notes));
    }
    Ok(plots)
}

/// Stratum names, and the stratum number of every block.
pub(super) fn strata(records: &Records) -> (Vec<StratumId>, Vec<usize>) {
    let of_block: Vec<StratumId> = records.blocks.iter().map(|b| records.stratum_of(b)).collect();
    let names: BTreeMap<&StratumId, ()> = of_block.iter().map(|s| (s, ())).collect();
    let names: Vec<StratumId> = names.into_keys().cloned().collect();
    let number = of_block.iter().map(|s| names.binary_search(s).expect("every stratum is among the names")).collect();
    (names, number)
}

fn priors(parameters: &Parameters) -> Priors {
    let k = match parameters.value("survey.k") {
        Value::Lognormal(low, median, high) => (median, libm::log(high / low) / (2.0 * 1.644_853_626_951_472_2)),
        other => (other.centre(), 0.01),
    };
    Priors {
        k,
        level: (parameters.number("survey.prior.level"), parameters.number("survey.prior.level_width")),
        spread: parameters.number("survey.prior.spread"),
    }
}

/// Only plots that share a block show k; with too few of them the default is used for the intervals, and said to be.
fn dispersion(
    (k, range): (f64, (f64, f64)),
    plots: &[PlotCount],
    parameters: &Parameters,
    notes: &mut Vec<Problem>,
) -> Dispersion {
    let blocks: std::collections::BTreeSet<usize> = plots.iter().map(|p| p.block).collect();
    let repeats = plots.len() - blocks.len();
    let enough = repeats as f64 >= parameters.number("survey.k.least_plots");
    if !enough {
        notes.push(Problem::notice(
            "D-106",
            format!("Only {repeats} plots share a block with another: too few to estimate the dispersion."),
            "The default k was used; it is an assumption.",
        ));
    }
    let default = parameters.number("survey.k");
    Dispersion { k: if enough { k } else { default }, range, plots: enough.then_some(repeats) }
}

fn own_estimate(plots: &[&PlotCount], k: f64, level: f64, method: DensityMethod) -> DensityEstimate {
    let masses: f64 = plots.iter().map(|p| p.masses).sum();
    let areas: Vec<f64> = plots.iter().map(|p| p.area).collect();
    let area: f64 = areas.iter().sum();
    let (low, high) = exact_interval(masses, size_of_total(&areas, k), level);
    let density = |total: f64| MassesPerArea::per_square_metre(total / area);
    DensityEstimate {
        plots: plots.len(),
        masses,
        area_square_metres: area,
        estimate: density(masses),
        low: density(low),
        high: density(high),
        method,
    }
}

/// A block without a plot: median and range of its own draws, which lean on the stratum and are wider.
fn borrowed(method: DensityMethod, draws: &Draws, block: usize, level: f64) -> DensityEstimate {
    DensityEstimate { plots: 0, masses: 0.0, area_square_metres: 0.0, ..from_draws(draws.block(block), level, method) }
}

fn from_draws(draws: &[f64], level: f64, method: DensityMethod) -> DensityEstimate {
    let at = |p: f64| MassesPerArea::per_hectare(quantile(draws, p));
    DensityEstimate {
        plots: 0,
        masses: 0.0,
        area_square_metres: 0.0,
        estimate: at(0.5),
        low: at(0.5 - 0.5 * level),
        high: at(0.5 + 0.5 * level),
        method,
    }
}

/// A stratum: the mean of its blocks by area, draw by draw. An interval that took all its plots as samples of one
/// density would leave out how much the blocks differ.
fn stratum_estimate(
    own: &[&PlotCount],
    members: &[usize],
    records: &Records,
    draws: &Draws,
    level: f64,
) -> DensityEstimate {
    let areas: Vec<f64> = members.iter().map(|b| records.blocks[*b].area().as_hectares()).collect();
    let whole: f64 = areas.iter().sum();
    let mean = |i| members.iter().zip(&areas).map(|(b, a)| a * draws.at(i, *b)).sum::<f64>() / whole.max(1e-12);
    let means: Vec<f64> = (0..draws.draws()).map(mean).collect();
    let method = if own.is_empty() { DensityMethod::AllPlots } else { DensityMethod::Stratum };
    DensityEstimate {
        plots: own.len(),
        masses: own.iter().map(|p| p.masses).sum(),
        area_square_metres: own.iter().map(|p| p.area).sum(),
        ..from_draws(&means, level, method)
    }
}
