//! What is at stake in each block for the next plot: one flight or none.

use super::bars::COUNT_FIRST;
use super::{BlockOptions, Options};
use crate::outlook::{Curve, by_land_use, per_acre};
use crate::survey::Density;
use crate::survey::next::Stake;
use crate::types::{Area, Records, Tactic};

/// What is at stake in the blocks that may be flown, in acres of favoured canopy. Canopy flown weighs as much as makes the
/// accepted chance of loss the point where a flight begins to pay, which is the plan's own first aim. That nobody counted
/// there yet is no bar: a count is what this is about. Last year's trend is left out of the loss.
pub fn stakes(records: &Records, density: &Density, options: &Options) -> Vec<Stake> {
    let curve = Curve::of(&records.parameters);
    let of_block = |(block, options): (usize, &BlockOptions)| {
        let left = 1.0 - larvae_removed(options)?;
        let host = options.host_area.as_acres();
        let tolerance = by_land_use(&records.parameters, "outlook.tolerance", records.blocks[block].land_use);
        let lost = |left: f64| -> Vec<f64> {
            let of = |d: &f64| host * curve.chance_over(per_acre(*d) * left, 0.0, tolerance);
            density.draws.block(block).iter().map(of).collect()
        };
        Some(Stake { block, act: host * options.accepted_chance, left: lost(1.0), acted: lost(left) })
    };
    options.blocks.iter().enumerate().filter_map(of_block).collect()
}

/// Share of the larvae that one flight removes; `None` where the block may not be flown.
fn larvae_removed(options: &BlockOptions) -> Option<f64> {
    let flown = options.options.iter().find(|o| o.bundle.tactics() == [Tactic::AerialOnce])?;
    let may = flown.barred.iter().all(|reason| reason.ends_with(COUNT_FIRST));
    (may && flown.sprayed > Area::ZERO).then_some(flown.larvae_removed)
}
