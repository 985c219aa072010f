//! The counting itself: when to stop in a block, what is still to be counted, and where one more plot tells the plan most.

use std::collections::{BTreeMap, BTreeSet};

use crownhold::survey::counts::{new_share, plot_counts, visits_used};
use crownhold::survey::next::worth;
use crownhold::survey::{Density, NewShare};
use crownhold::tactics::stakes;
use crownhold::types::{Area, BlockId, Count, Plot, PlotId, Records, Substrate, Visit};
use crownhold_data::formats::ToLonLat;
use crownhold_print::papers::{SheetBlock, StopOnPaper, survey_sheets, survey_summary};
use geo::Point;
use jiff::civil::Date;

use super::chain::Stages;
use super::stop_rule::{StopAnswer, StopWords, stop_rule};
use crate::trouble::Trouble;

/// Plots whose area differs from the rule's by no more than this share count as plots of the rule.
const ALIKE: f64 = 0.02;

/// The share of new masses in use over the whole survey.
fn used_share(records: &Records) -> f64 {
    let level = records.parameters.number("survey.level");
    new_share(&visits_used(records, &mut Vec::new()), level).map_or(1.0, NewShare::used)
}

/// New masses on each usable plot of a block, with its area.
fn counts_of(records: &Records, block: &BlockId, share: f64) -> Vec<(f64, f64)> {
    let multiplier = records.parameters.number("survey.tree_only_multiplier");
    let at = records.block_index(block);
    let all = plot_counts(records, share, multiplier, &mut Vec::new());
    all.into_iter().filter(|p| Some(p.block) == at).map(|p| (p.masses, p.area)).collect()
}

/// The programme's stop rule after the plots counted in a block. `None` when its plots are not of one size, so that no
/// rule of plots fits.
///
/// # Errors
/// When the parameters make no rule.
pub fn stop_advice(records: &Records, block: &BlockId) -> Result<Option<StopAnswer>, Trouble> {
    advice_for(records, counts_of(records, block, used_share(records)))
}

fn advice_for(records: &Records, counts: Vec<(f64, f64)>) -> Result<Option<StopAnswer>, Trouble> {
    let usual = Area::acres(records.parameters.number("survey.plot")).as_square_metres();
    let size = counts.first().map_or(usual, |c| c.1);
    if counts.iter().any(|(_, area)| (area / size - 1.0).abs() > ALIKE) {
        return Ok(None);
    }
    let words = StopWords {
        rule: "wald".to_owned(),
        precision: 0.25,
        level: records.parameters.number("survey.level"),
        plot: if (size / usual - 1.0).abs() > ALIKE { format!("{size:.2} m2") } else { String::new() },
        counts: Some(counts.iter().map(|c| c.0).collect()),
        ..StopWords::default()
    };
    Ok(Some(stop_rule(&words, &records.parameters)?))
}

/// New masses that were typed for a plot and are not saved yet, with those out of reach.
#[derive(Clone, Debug, PartialEq)]
pub struct TypedCount {
    /// Plot.
    pub plot: PlotId,
    /// New masses.
    pub new: u32,
    /// Old ones.
    pub old: u32,
    /// Out of reach.
    pub out_of_reach: u32,
}

/// The programme's stop rule in a block as if these counts were saved. `None` when the plots are not of one size.
///
/// # Errors
/// When the parameters make no rule.
pub fn advice_with(
    records: &Records,
    block: &BlockId,
    typed: &[TypedCount],
    date: Date,
) -> Result<Option<StopAnswer>, Trouble> {
    let is_typed = |plot: &PlotId| typed.iter().any(|t| t.plot == *plot);
    let mut small = Records::empty(records.programme.clone());
    small.parameters = records.parameters.clone();
    small.blocks = records.blocks.iter().filter(|b| b.id == *block).cloned().collect();
    small.plots = records.plots.iter().filter(|p| p.block == *block).cloned().collect();
    let saved = records.visits.iter().filter(|v| small.plots.iter().any(|p| p.id == v.plot) && !is_typed(&v.plot));
    small.visits = saved.cloned().collect();
    small.visits.extend(typed.iter().map(|t| Visit {
        id: format!("typed-{}", t.plot).as_str().into(),
        plot: t.plot.clone(),
        date,
        observer: String::new(),
        counts: vec![Count {
            substrate: Substrate::All,
            dbh: None,
            new: t.new,
            old: t.old,
            out_of_reach: t.out_of_reach,
        }],
        note: String::new(),
    }));
    advice_for(&small, counts_of(&small, block, used_share(records)))
}

/// Plots without a count this season, block by block, blocks and their plots in a short order to walk.
pub fn to_count(records: &Records) -> Vec<(BlockId, Vec<&Plot>)> {
    let counted: BTreeSet<_> = visits_used(records, &mut Vec::new()).into_iter().map(|(p, _)| &p.id).collect();
    let mut by_block: BTreeMap<usize, Vec<&Plot>> = BTreeMap::new();
    for plot in records.plots.iter().filter(|p| p.method.is_area_count() && !counted.contains(&p.id)) {
        if let Some(at) = records.block_index(&plot.block) {
            by_block.entry(at).or_default().push(plot);
        }
    }
    in_order(by_block.into_iter().map(|(at, plots)| (at, in_order(plots, |p| p.place))).collect(), |(_, plots)| {
        plots.first().and_then(|p| p.place)
    })
    .into_iter()
    .map(|(at, plots)| (records.blocks[at].id.clone(), plots))
    .collect()
}

/// Plots of a route: about what a pair counts in a day.
const ROUTE: usize = 10;

/// Blocks one after the other into routes of about [`ROUTE`] plots; a block stays whole where it can.
fn routes(blocks: Vec<SheetBlock>) -> Vec<Vec<SheetBlock>> {
    let mut routes: Vec<Vec<SheetBlock>> = Vec::new();
    for block in blocks {
        let held: usize = routes.last().map_or(ROUTE, |r| r.iter().map(|b| b.plots.len()).sum());
        match routes.last_mut().filter(|_| held + block.plots.len() <= ROUTE) {
            Some(route) => route.push(block),
            None => routes.push(vec![block]),
        }
    }
    routes
}

/// From the southernmost one always to the nearest one left; what has no place comes last.
fn in_order<T>(all: Vec<T>, place: impl Fn(&T) -> Option<Point<f64>>) -> Vec<T> {
    let (mut left, without): (Vec<T>, Vec<T>) = all.into_iter().partition(|p| place(p).is_some());
    let at = |p: &T| place(p).map_or((0.0, 0.0), |at| (at.x(), at.y()));
    left.sort_by(|a, b| at(a).1.total_cmp(&at(b).1));
    let mut order: Vec<T> = Vec::new();
    while !left.is_empty() {
        let far = |p: &T| {
            let ((x, y), (u, v)) = (order.last().map_or_else(|| at(p), &at), at(p));
            (x - u).hypot(y - v)
        };
        let next = (0..left.len()).min_by(|a, b| far(&left[*a]).total_cmp(&far(&left[*b]))).unwrap_or_default();
        order.push(left.remove(next));
    }
    order.extend(without);
    order
}

/// Sheets to count with, as a PDF.
///
/// # Errors
/// When nothing is left to count, the parameters make no rule, or the paper cannot be set.
pub fn survey_sheets_pdf(records: &Records, today: Date) -> Result<Vec<u8>, Trouble> {
    let to = ToLonLat::new(records.programme.epsg)?;
    let share = used_share(records);
    let place = |p: &&Plot| {
        let at = p.place.and_then(|at| to.place(at));
        (p.id.to_string(), at.map_or("not known".to_owned(), |at| format!("{:.5}, {:.5}", at[1], at[0])))
    };
    let blocks: Vec<SheetBlock> = to_count(records)
        .iter()
        .map(|(id, plots)| {
            let name = records.block_index(id).map_or("", |at| records.blocks[at].name.as_str());
            let before = counts_of(records, id, share);
            SheetBlock {
                name: if name == id.as_str() { id.to_string() } else { format!("{id}, {name}") },
                plots: plots.iter().map(place).collect(),
                before: (before.iter().map(|c| c.0).sum(), before.len()),
            }
        })
        .collect();
    if blocks.is_empty() {
        return Err(Trouble::one(crownhold::types::Problem::error(
            "A-240",
            "Every plot has its count of this season.",
            "Add plots first: crownhold design --add, or Survey, Where to count, on the desk.",
        )));
    }
    let words = StopWords {
        rule: "wald".to_owned(),
        precision: 0.25,
        level: records.parameters.number("survey.level"),
        ..StopWords::default()
    };
    let rule = stop_rule(&words, &records.parameters)?;
    Ok(survey_sheets(&routes(blocks), &StopOnPaper { table: &rule.table, plot: rule.plot, found: rule.found }, records)
        .pdf(&records.programme, today)?)
}

/// What was found, as a PDF.
///
/// # Errors
/// When the paper cannot be set.
pub fn survey_summary_pdf(density: &Density, records: &Records, today: Date) -> Result<Vec<u8>, Trouble> {
    let over = crownhold::types::MassesPerArea::per_acre(records.parameters.number("survey.prior.level"));
    Ok(survey_summary(density, records, over).pdf(&records.programme, today)?)
}

/// A block with what one more plot there would save the plan.
#[derive(Clone, Debug, PartialEq)]
pub struct NextPlot {
    /// Block.
    pub block: BlockId,
    /// Favoured canopy that it saves on average: from loss beyond tolerance, or from being flown for nothing.
    pub worth: Area,
    /// How sure the block is: width of the middle nine in ten of the log density. What the usual rule goes by.
    pub doubt: f64,
}

/// Blocks by what one more plot there would save, the most first. The choice that it is held against is one flight or
/// none. Canopy flown weighs as much as makes the accepted chance of loss the point where a flight begins to pay, which
/// is the plan's own first aim.
pub fn next_plots(records: &Records, stages: &Stages) -> Vec<NextPlot> {
    // As in the count model: of an area searched, the share that is found.
    let area = Area::acres(records.parameters.number("survey.plot")).as_square_metres()
        * records.parameters.number("survey.detection");
    let worths = worth(
        &stages.density.draws,
        &stakes(records, &stages.density, &stages.options),
        area,
        stages.density.dispersion.k,
    );
    let draws = &stages.density.draws;
    let mut all: Vec<NextPlot> = records
        .blocks
        .iter()
        .zip(worths)
        .enumerate()
        .map(|(b, (block, worth))| NextPlot {
            block: block.id.clone(),
            worth: Area::acres(worth),
            doubt: (draws.quantile(b, 0.95).max(1e-9) / draws.quantile(b, 0.05).max(1e-9)).ln(),
        })
        .collect();
    all.sort_by(|a, b| b.worth.as_acres().total_cmp(&a.worth.as_acres()).then(a.block.cmp(&b.block)));
    all
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn short_orders_and_whole_blocks() {
        let at = |x: f64, y: f64| Some(Point::new(x, y));
        let all = vec![at(0.0, 50.0), at(0.0, 0.0), None, at(0.0, 90.0), at(1.0, 49.0)];
        let order = in_order(all, |p| *p);
        assert_eq!(order, [at(0.0, 0.0), at(1.0, 49.0), at(0.0, 50.0), at(0.0, 90.0), None]);
        let block = |plots: usize| SheetBlock {
            name: plots.to_string(),
            plots: vec![(String::new(), String::new()); plots],
            before: (0.0, 0),
        };
        let sizes: Vec<usize> = routes([4, 5, 3, 14, 1].map(block).to_vec()).iter().map(Vec::len).collect();
        assert_eq!(sizes, [2, 1, 1, 1]);
    }
}
