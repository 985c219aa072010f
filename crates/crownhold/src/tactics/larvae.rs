//! The larvae of a block under a bundle of tactics, draw by draw.

use geo::MultiPolygon;
use rayon::prelude::*;

use super::effect::{Effects, Ground, Luck, luck};
use super::no_spray::{no_spray_ground, shares_of};
use super::{BlockOption, Bundle, Options};
use crate::Setting;
use crate::outlook::{Curve, by_land_use, last_season, per_acre, residuals, trend, trend_shift};
use crate::survey::Density;
use crate::timing::Timing;
use crate::types::draws::mean;
use crate::types::{Block, Draws, Records, Tactic};

/// What all blocks share.
pub(super) struct Model {
    pub effects: Effects,
    pub curve: Curve,
    pub luck: Vec<Luck>,
    pub residual: Draws,
    /// Of every block: the ground that must not be sprayed, and its share.
    pub off: Vec<MultiPolygon<f64>>,
    pub no_spray: Vec<f64>,
}

impl Model {
    pub fn of(records: &Records, timing: Option<&Timing>, setting: &Setting) -> Self {
        let off = no_spray_ground(records);
        Self {
            no_spray: shares_of(&off, records),
            off,
            effects: Effects::of(&records.parameters, timing),
            curve: Curve::of(&records.parameters),
            luck: luck(setting),
            residual: residuals(records.blocks.len(), &records.parameters, setting),
        }
    }
}

/// The larvae of one block, draw by draw: density, shift, residual, and what each tactic removes.
pub(super) struct Larvae {
    per_acre: Vec<f64>,
    shift: f64,
    residual: Vec<f64>,
    removed: Vec<(Tactic, Vec<f64>)>,
}

impl Larvae {
    pub fn of(b: usize, records: &Records, draws: &[f64], ground: &Ground, model: &Model) -> Self {
        let block: &Block = &records.blocks[b];
        let last = last_season(records, block).and_then(|p| p.density).map(|d| d.as_per_hectare());
        let dense: Vec<f64> = draws.iter().map(|d| per_acre(*d)).collect();
        let removed = Tactic::ALL
            .iter()
            .map(|t| {
                let each = dense.iter().zip(&model.luck).map(|(x, l)| model.effects.removed(*t, *x, ground, l));
                (*t, each.collect())
            })
            .collect();
        Self {
            shift: trend_shift(trend(draws, last), &records.parameters),
            per_acre: dense,
            residual: model.residual.block(b).to_vec(),
            removed,
        }
    }

    /// Share of the larvae that survive a bundle, draw by draw.
    pub fn surviving(&self, bundle: &Bundle) -> Vec<f64> {
        let mut surviving = vec![1.0; self.per_acre.len()];
        for (_, removed) in self.removed.iter().filter(|(t, _)| bundle.has(*t)) {
            surviving.iter_mut().zip(removed).for_each(|(s, r)| *s *= 1.0 - r);
        }
        surviving
    }

    /// Foliage lost to the survivors in every draw.
    pub fn lost(&self, surviving: &[f64], curve: &Curve) -> Vec<f64> {
        let lost = |i: usize| curve.loss(self.per_acre[i] * surviving[i], self.shift, self.residual[i]);
        (0..surviving.len()).map(lost).collect()
    }

    /// Chance of losing more than `tolerance`. The residual is integrated in each draw, not drawn: that takes most
    /// of the chance error out of comparing options.
    pub fn chance_over(&self, surviving: &[f64], tolerance: f64, curve: &Curve) -> f64 {
        mean(&self.chances_over(surviving, tolerance, curve))
    }

    /// The same draw by draw.
    fn chances_over(&self, surviving: &[f64], tolerance: f64, curve: &Curve) -> Vec<f64> {
        let chance = |i: usize| curve.chance_over(self.per_acre[i] * surviving[i], self.shift, tolerance);
        (0..surviving.len()).map(chance).collect()
    }
}

/// The chance of losing more than the tolerance, draw by draw, of every option of every block; the residual is integrated.
#[derive(Clone, Debug, PartialEq)]
pub struct Chances(Vec<Vec<Vec<f64>>>);

impl Chances {
    /// On the draws of a density, which may be others than those the options were made on.
    pub fn on(
        options: &Options,
        records: &Records,
        density: &Density,
        timing: Option<&Timing>,
        setting: &Setting,
    ) -> Self {
        let model = Model::of(records, timing, setting);
        let of_block = |b: usize| {
            let draws = density.draws.block(b);
            let ground = Ground::of(&records.blocks[b], model.no_spray[b], draws, &records.parameters);
            let larvae = Larvae::of(b, records, draws, &ground, &model);
            let tolerance = options.blocks[b].tolerance.value();
            let of = |o: &BlockOption| larvae.chances_over(&larvae.surviving(&o.bundle), tolerance, &model.curve);
            options.blocks[b].options.iter().map(of).collect()
        };
        Self((0..options.blocks.len()).into_par_iter().map(of_block).collect())
    }

    /// Of one option of one block.
    pub fn of(&self, block: usize, option: usize) -> &[f64] {
        &self.0[block][option]
    }

    /// Host area over tolerance that is expected in one draw when each block gets the option chosen for it, square metres.
    pub fn harm(&self, options: &Options, chosen: impl Iterator<Item = usize>, draw: usize) -> f64 {
        let of = |(b, o): (usize, usize)| options.blocks[b].host_area.as_square_metres() * self.0[b][o][draw];
        chosen.enumerate().map(of).sum()
    }
}

/// Host area over its tolerance in every draw, square metres, when each block gets the bundle chosen for it.
///
/// On a density of fresh draws this measures a plan's risk on draws it was not made on; the mean is the expected
/// host area over tolerance, and the spread of the draws gives the error of that mean.
pub fn host_over_tolerance(
    records: &Records,
    density: &Density,
    timing: Option<&Timing>,
    chosen: &[Bundle],
    setting: &Setting,
) -> Vec<f64> {
    let model = Model::of(records, timing, setting);
    let blocks: Vec<Vec<f64>> = (0..records.blocks.len())
        .into_par_iter()
        .map(|b| {
            let block = &records.blocks[b];
            let draws = density.draws.block(b);
            let ground = Ground::of(block, model.no_spray[b], draws, &records.parameters);
            let tolerance = by_land_use(&records.parameters, "outlook.tolerance", block.land_use);
            let host = block.host_area().map_or(0.0, |a| a.as_square_metres());
            let larvae = Larvae::of(b, records, draws, &ground, &model);
            let lost = larvae.lost(&larvae.surviving(&chosen[b]), &model.curve);
            lost.iter().map(|d| if *d > tolerance { host } else { 0.0 }).collect()
        })
        .collect();
    (0..setting.draws).map(|i| blocks.iter().map(|b| b[i]).sum()).collect()
}
