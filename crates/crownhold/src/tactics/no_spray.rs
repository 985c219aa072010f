//! The ground that must not be sprayed.

use geo::{Area as _, BooleanOps, BoundingRect, Buffer, MultiPolygon, Rect, unary_union};
use rayon::prelude::*;

use crate::types::{Length, NoSprayArea, NoSprayKind, Parameters, Records};

/// Distance kept from no-spray areas of a kind that do not have their own.
pub fn default_buffer(kind: NoSprayKind, parameters: &Parameters) -> Length {
    let name = match kind {
        NoSprayKind::Water => "water",
        NoSprayKind::School => "school",
        NoSprayKind::OrganicFarm => "organic_farm",
        NoSprayKind::OptOut => "opt_out",
        NoSprayKind::RareSpecies => "rare_species",
        NoSprayKind::Apiary => "apiary",
        NoSprayKind::Other => "other",
    };
    Length::feet(parameters.number(&format!("buffer.{name}")))
}

/// Distance kept from a no-spray area: its own, or the default of its kind.
pub fn no_spray_buffer(area: &NoSprayArea, parameters: &Parameters) -> Length {
    area.buffer.unwrap_or_else(|| default_buffer(area.kind, parameters))
}

/// Each no-spray area with its buffer.
fn buffered(records: &Records) -> Vec<MultiPolygon<f64>> {
    records
        .no_spray
        .par_iter()
        .map(|area| match no_spray_buffer(area, &records.parameters).as_metres() {
            d if d > 0.0 => area.shape.buffer(d),
            _ => area.shape.clone(),
        })
        .collect()
}

/// The part of every block that must not be sprayed; empty where there is none.
pub fn no_spray_ground(records: &Records) -> Vec<MultiPolygon<f64>> {
    let areas: Vec<(MultiPolygon<f64>, Rect<f64>)> =
        buffered(records).into_iter().filter_map(|a| a.bounding_rect().map(|r| (a, r))).collect();
    records
        .blocks
        .par_iter()
        .map(|block| {
            let Some(bounds) = block.shape.bounding_rect() else { return MultiPolygon(Vec::new()) };
            let near: Vec<&MultiPolygon<f64>> =
                areas.iter().filter(|(_, r)| meet(r, &bounds)).map(|(a, _)| a).collect();
            if near.is_empty() { MultiPolygon(Vec::new()) } else { block.shape.intersection(&unary_union(near)) }
        })
        .collect()
}

fn meet(a: &Rect<f64>, b: &Rect<f64>) -> bool {
    a.min().x <= b.max().x && b.min().x <= a.max().x && a.min().y <= b.max().y && b.min().y <= a.max().y
}

/// Share of every block that must not be sprayed.
pub fn no_spray_shares(records: &Records) -> Vec<f64> {
    shares_of(&no_spray_ground(records), records)
}

pub(super) fn shares_of(ground: &[MultiPolygon<f64>], records: &Records) -> Vec<f64> {
    ground
        .iter()
        .zip(&records.blocks)
        .map(|(ground, block)| {
            let whole = block.shape.unsigned_area();
            if whole > 0.0 { (ground.unsigned_area() / whole).clamp(0.0, 1.0) } else { 0.0 }
        })
        .collect()
}
