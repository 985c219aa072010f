//! The density between the plots as columns.

use crownhold::survey::fine::FineMap;
use crownhold::types::{MassesPerArea, Records, UnitSystem};
use serde::Serialize;

use super::Globe;
use crate::trouble::Trouble;
use crate::wire::round;

/// All squares. Densities are new egg masses per acre or hectare, as the city's feed says.
#[derive(Serialize, Debug)]
pub struct SquaresFeed {
    /// Side, metres.
    side: f64,
    lon: Vec<f64>,
    lat: Vec<f64>,
    middle: Vec<f64>,
    low: Vec<f64>,
    high: Vec<f64>,
}

/// The squares of a map.
///
/// # Errors
/// When a place cannot be brought to longitude and latitude.
pub fn squares(map: &FineMap, records: &Records) -> Result<SquaresFeed, Trouble> {
    let globe = Globe::of(records)?;
    let us = records.programme.units == UnitSystem::Us;
    let shown = |d: MassesPerArea| round(if us { d.as_per_acre() } else { d.as_per_hectare() });
    let column = |p: f64| map.squares.iter().map(|s| shown(s.quantile(p))).collect();
    let places: Result<Vec<_>, Trouble> =
        map.squares.iter().map(|s| globe.position(s.middle.x(), s.middle.y())).collect();
    let places = places?;
    Ok(SquaresFeed {
        side: map.side.as_metres(),
        lon: places.iter().map(|p| p[0]).collect(),
        lat: places.iter().map(|p| p[1]).collect(),
        middle: column(0.5),
        low: column(0.05),
        high: column(0.95),
    })
}
