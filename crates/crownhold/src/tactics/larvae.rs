//! The larvae of a block under a bundle of tactics, draw by draw.

use rayon::prelude::*;

use super::Bundle;
use super::effect::{Effects, Ground, Luck, luck};
use super::no_spray::no_spray_shares;
use crate::Setting;
use crate::outlook::{Curve, by_land_use, last_season, per_acre, residuals, trend_shift};
use crate::survey::Density;
use crate::types::draws::mean;
use crate::types::{Block, Draws, Records, Tactic};

/// What all blocks share.
pub(super) struct Model {
    pub effects: Effects,
    pub curve: Curve,
    pub luck: Vec<Luck>,
    pub residual: Draws,
    pub no_spray: Vec<f64>,
}

impl Model {
    pub fn of(records: &Records, setting: &Setting) -> Self {
        Self {
            effects: Effects::of(&records.parameters),
            curve: Curve::of(&records.parameters),
            luck: luck(setting),
            residual: residuals(records.blocks.len(), setting),
            no_spray: no_spray_shares(records),
        }
    }
}

/// The larvae of one block, draw by draw: density, shift, residual, and what each tactic removes.
pub(super) struct Larvae {
    per_acre: Vec<f64>,
    shift: Vec<f64>,
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
            shift: draws.iter().map(|d| trend_shift(*d, last, &records.parameters)).collect(),
            per_acre: dense,
            residual: model.residual.block(b).to_vec(),
            removed,
        }
    }

    /// Foliage lost in every draw after a bundle, and the mean share of larvae it removes.
    pub fn after(&self, bundle: &Bundle, curve: &Curve) -> (Vec<f64>, f64) {
        let mut surviving = vec![1.0; self.per_acre.len()];
        for (_, removed) in self.removed.iter().filter(|(t, _)| bundle.has(*t)) {
            surviving.iter_mut().zip(removed).for_each(|(s, r)| *s *= 1.0 - r);
        }
        let lost = (0..surviving.len())
            .map(|i| curve.loss(self.per_acre[i] * surviving[i], self.shift[i], self.residual[i]))
            .collect();
        (lost, 1.0 - mean(&surviving))
    }
}

/// Host area over its tolerance in every draw, square metres, when each block gets the bundle chosen for it.
///
/// On a density of fresh draws this measures a plan's risk on draws it was not made on; the mean is the expected
/// host area over tolerance, and the spread of the draws gives the error of that mean.
pub fn host_over_tolerance(records: &Records, density: &Density, chosen: &[Bundle], setting: &Setting) -> Vec<f64> {
    let model = Model::of(records, setting);
    let blocks: Vec<Vec<f64>> = (0..records.blocks.len())
        .into_par_iter()
        .map(|b| {
            let block = &records.blocks[b];
            let ground = Ground::of(block, model.no_spray[b], &records.parameters);
            let tolerance = by_land_use(&records.parameters, "outlook.tolerance", block.land_use);
            let host = block.host_area().map_or(0.0, |a| a.as_square_metres());
            let (lost, _) =
                Larvae::of(b, records, density.draws.block(b), &ground, &model).after(&chosen[b], &model.curve);
            lost.iter().map(|d| if *d > tolerance { host } else { 0.0 }).collect()
        })
        .collect();
    (0..setting.draws).map(|i| blocks.iter().map(|b| b[i]).sum()).collect()
}
