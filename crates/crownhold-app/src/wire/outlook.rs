//! `outlook --json`.

use crownhold::outlook::Outlook;
use crownhold::types::draws::{mean, quantile};
use crownhold::types::{Draws, MassesPerArea};
use serde::Serialize;

use super::round;

/// The untreated season.
#[derive(Serialize, Debug)]
pub struct OutlookJson {
    draws: usize,
    blocks: Vec<BlockJson>,
    total: TotalJson,
}

#[derive(Serialize, Debug)]
struct Range {
    mean: f64,
    p05: f64,
    p50: f64,
    p95: f64,
}

#[derive(Serialize, Debug)]
struct BlockJson {
    id: String,
    foliage_lost: Range,
    dead_trees: Range,
    loss_dollars: Range,
    next_masses_per_acre: Range,
}

#[derive(Serialize, Debug)]
struct TotalJson {
    dead_trees: Range,
    loss_dollars: Range,
}

fn range(values: &[f64]) -> Range {
    let at = |p| round(quantile(values, p));
    Range { mean: round(mean(values)), p05: at(0.05), p50: at(0.5), p95: at(0.95) }
}

fn city(draws: &Draws) -> Vec<f64> {
    (0..draws.draws()).map(|i| (0..draws.blocks()).map(|b| draws.at(i, b)).sum()).collect()
}

impl From<&Outlook> for OutlookJson {
    fn from(o: &Outlook) -> Self {
        let next = o.next_density.map(|v| MassesPerArea::per_hectare(v).as_per_acre());
        Self {
            draws: o.defoliation.draws(),
            blocks: o
                .blocks
                .iter()
                .enumerate()
                .map(|(b, id)| BlockJson {
                    id: id.to_string(),
                    foliage_lost: range(o.defoliation.block(b)),
                    dead_trees: range(o.dead_trees.block(b)),
                    loss_dollars: range(o.loss.block(b)),
                    next_masses_per_acre: range(next.block(b)),
                })
                .collect(),
            total: TotalJson { dead_trees: range(&city(&o.dead_trees)), loss_dollars: range(&city(&o.loss)) },
        }
    }
}
