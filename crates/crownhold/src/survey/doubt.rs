//! What the corrections of counts leave open: the share of new masses, of masses found, of masses on trees.
//!
//! Their middles are in the counts already. Each draw of the season takes one value of each for the whole city, because
//! the same people counted everywhere.

use super::NewShare;
use super::counts::PlotCount;
use crate::Setting;
use crate::types::chance::{stream, uniform};
use crate::types::{Records, Value};

/// Factors on the density of every block in every draw.
pub(super) struct Doubt {
    /// Of each block's masses, the part that rests on the pooled new share.
    leaning: Vec<f64>,
    /// Of each block's counted ground, the part where only trees were looked at.
    on_trees: Vec<f64>,
    draws: Vec<Factors>,
}

/// One draw's values over those already in the counts.
struct Factors {
    new_share: f64,
    detection: f64,
    on_trees: f64,
}

impl Doubt {
    pub(super) fn of(records: &Records, plots: &[PlotCount], new_share: Option<NewShare>, setting: &Setting) -> Self {
        let blocks = records.blocks.len();
        let (mut masses, mut high) = (vec![0.0; blocks], vec![0.0; blocks]);
        let (mut ground, mut trees) = (vec![0.0; blocks], vec![0.0; blocks]);
        for p in plots {
            masses[p.block] += p.masses;
            high[p.block] += p.out_of_reach;
            ground[p.block] += p.area;
            trees[p.block] += if p.trees_only { p.area } else { 0.0 };
        }
        let part = |of: &[f64], whole: &[f64]| {
            of.iter().zip(whole).map(|(a, b)| if *a > 0.0 { (a / b).min(1.0) } else { 0.0 }).collect()
        };
        let value = |name| records.parameters.value(name);
        let (detection, on_trees) = (value("survey.detection"), value("survey.tree_only_multiplier"));
        let draws = (0..setting.draws)
            .map(|i| Factors {
                new_share: new_share
                    .map_or(1.0, |s| s.at(uniform(&mut stream(setting.seed, "survey.new_share", i as u64))) / s.used()),
                detection: 1.0 / over_centre(detection, setting, "survey.detection", i, 1.0),
                on_trees: over_centre(on_trees, setting, "survey.tree_only_multiplier", i, f64::INFINITY),
            })
            .collect();
        Self { leaning: part(&high, &masses), on_trees: part(&trees, &ground), draws }
    }

    /// Spreads it over draws of ground in a block.
    pub(super) fn spread_over(&self, draws: &mut [f64], block: usize) {
        let (leaning, on_trees) = (self.leaning[block], self.on_trees[block]);
        draws.iter_mut().zip(&self.draws).for_each(|(d, f)| {
            *d *= (1.0 - leaning + leaning * f.new_share) * (1.0 - on_trees + on_trees * f.on_trees) * f.detection;
        });
    }
}

/// A draw of a parameter over its middle, no greater than `most`.
fn over_centre(value: Value, setting: &Setting, name: &str, draw: usize, most: f64) -> f64 {
    value.quantile(uniform(&mut stream(setting.seed, name, draw as u64))).min(most) / value.centre()
}
