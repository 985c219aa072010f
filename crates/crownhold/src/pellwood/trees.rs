//! The invented inventory of public trees.

use geo::{BoundingRect, Contains, Point};

use crate::types::chance::{normal, stream, uniform};
use crate::types::species::classify;
use crate::types::{Block, LandUse, Length, SpeciesRule, Tree, TreeId};

const TREES: usize = 12_000;

/// Names as an inventory writes them: common, scientific, abbreviated, and some that say nothing.
const NAMES: [(&str, f64); 22] = [
    ("Northern red oak", 0.11),
    ("Quercus alba", 0.06),
    ("Oak, bur", 0.05),
    ("Pin oak", 0.05),
    ("Quercus velutina", 0.03),
    ("Paper birch", 0.04),
    ("Littleleaf linden", 0.04),
    ("American basswood", 0.03),
    ("Crabapple", 0.05),
    ("Quaking aspen", 0.02),
    ("Red maple", 0.10),
    ("Sugar maple", 0.08),
    ("Norway maple", 0.08),
    ("Honeylocust", 0.06),
    ("Fraxinus pennsylvanica", 0.03),
    ("American elm", 0.03),
    ("White pine", 0.04),
    ("Blue spruce", 0.04),
    ("Tulip tree", 0.02),
    ("London plane", 0.02),
    ("unknown", 0.012),
    ("Oak", 0.008),
];

pub(super) fn trees(seed: u64, blocks: &[Block], species: &[SpeciesRule]) -> Vec<Tree> {
    let weights: Vec<f64> = blocks
        .iter()
        .map(|b| match b.land_use {
            LandUse::Residential => 1.0,
            LandUse::Park => 1.6,
            LandUse::School => 0.8,
            LandUse::Other => 0.6,
            _ => 0.05,
        })
        .collect();
    let all: f64 = weights.iter().sum();
    let mut trees = Vec::with_capacity(TREES);
    for (b, block) in blocks.iter().enumerate() {
        let mut rng = stream(seed, "pellwood.trees", b as u64);
        let Some(bounds) = block.shape.bounding_rect() else { continue };
        let wanted = (TREES as f64 * weights[b] / all).round() as usize;
        let mut tries = 0;
        let mut planted = 0;
        while planted < wanted && tries < 50 * wanted {
            tries += 1;
            let place = Point::new(
                bounds.min().x + uniform(&mut rng) * bounds.width(),
                bounds.min().y + uniform(&mut rng) * bounds.height(),
            );
            if !block.shape.contains(&place) {
                continue;
            }
            planted += 1;
            let name = name_at(uniform(&mut rng));
            let size = libm::exp(libm::log(32.0) + 0.55 * normal(&mut rng));
            trees.push(Tree {
                id: TreeId::new(format!("T{:05}", trees.len() + 1)),
                block: Some(block.id.clone()),
                place,
                species: name.to_owned(),
                class: classify(name, species),
                dbh: Some(Length::centimetres((size.clamp(4.0, 140.0) * 10.0).round() / 10.0)),
                public: true,
            });
        }
    }
    trees
}

fn name_at(p: f64) -> &'static str {
    let all: f64 = NAMES.iter().map(|(_, w)| w).sum();
    let mut run = 0.0;
    NAMES
        .iter()
        .find(|(_, w)| {
            run += w / all;
            p < run
        })
        .unwrap_or(&NAMES[0])
        .0
}
