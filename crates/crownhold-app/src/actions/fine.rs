//! The density between the plots as a layer for others.

use std::path::{Path, PathBuf};

use crownhold::Setting;
use crownhold::survey::fine::{FineMap, fine_map};
use crownhold::types::{Length, MassesPerArea, Records, UnitSystem};
use crownhold_data::layer::{Field, Layer, layer_files};
use geo::{MultiPolygon, Rect, coord};

use super::map_files::write_all;
use crate::trouble::Trouble;

/// What is asked; the parameters' values where it is `None`.
#[derive(Clone, Copy, Debug, Default)]
pub struct Wish {
    /// Side of a square.
    pub side: Option<Length>,
    /// Density whose chance to be exceeded is told.
    pub over: Option<MassesPerArea>,
}

/// Writes the map as GeoJSON, KML, shapefile and GeoPackage into a folder; gives their paths. `when` as in
/// [`layer_files`].
///
/// # Errors
/// When the density between the plots is not known, or a file cannot be made or written.
pub fn write(
    records: &Records,
    wish: &Wish,
    setting: &Setting,
    when: &str,
    dir: &Path,
) -> Result<Vec<PathBuf>, Trouble> {
    let over = wish.over.unwrap_or(MassesPerArea::per_acre(records.parameters.number("survey.prior.level")));
    let map = fine_map(records, wish.side, setting)?;
    write_all(layer_files(&layer(&map, records, over), records.programme.epsg, when)?, dir)
}

fn layer(map: &FineMap, records: &Records, over: MassesPerArea) -> Layer {
    let us = records.programme.units == UnitSystem::Us;
    let shown = |d: MassesPerArea| if us { d.as_per_acre() } else { d.as_per_hectare() };
    let tenth = |v: f64| Field::Number((v * 10.0).round() / 10.0);
    let half = 0.5 * map.side.as_metres();
    let rows = map.squares.iter().enumerate().map(|(n, square)| {
        let (x, y) = (square.middle.x(), square.middle.y());
        let corners = Rect::new(coord! { x: x - half, y: y - half }, coord! { x: x + half, y: y + half });
        let mut fields = vec![
            Field::Text(format!("{}-{}", records.blocks[square.block].id, n + 1)),
            Field::Text(records.blocks[square.block].id.to_string()),
        ];
        fields.extend([0.5, 0.05, 0.95].map(|p| tenth(shown(square.quantile(p)))));
        fields.extend([tenth(shown(over)), tenth(100.0 * square.chance_above(over))]);
        (fields, MultiPolygon::new(vec![corners.to_polygon()]))
    });
    Layer {
        name: "density_squares".to_owned(),
        about: format!(
            "{}, spring of {}: new egg masses per {} between the plots, at the middle of each square; 5 and 95 % beside it. \
             Squares are drawn each for itself and do not add up to blocks",
            records.programme.name,
            records.programme.season,
            if us { "acre" } else { "hectare" }
        ),
        columns: vec!["square", "block", "middle", "low", "high", "line", "pct_over"],
        rows: rows.collect(),
    }
}
