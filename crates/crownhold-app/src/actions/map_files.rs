//! A plan as map layers for others.

use std::path::{Path, PathBuf};

use crownhold::field::aerial::spray_blocks;
use crownhold::types::{Area, Records};
use crownhold_data::formats::NamedFile;
use crownhold_data::layer::{Field, Layer, layer_files};
use geo::Area as _;

use super::plan::Made;
use crate::trouble::Trouble;

/// The plan's blocks and its spray blocks, each as GeoJSON, KML, shapefile and GeoPackage, by name. `when` is the moment
/// that the GeoPackages name as their last change, UTC.
///
/// # Errors
/// When one of them cannot be made.
pub fn files(made: &Made, records: &Records, when: &str) -> Result<Vec<NamedFile>, Trouble> {
    let mut all = layer_files(&blocks(made, records), records.programme.epsg, when)?;
    let flown = flown(made, records);
    if !flown.rows.is_empty() {
        all.extend(layer_files(&flown, records.programme.epsg, when)?);
    }
    Ok(all)
}

/// Writes them into a folder; gives their paths.
///
/// # Errors
/// When one of them cannot be made or written. They are all made before the first is written.
pub fn write(made: &Made, records: &Records, when: &str, dir: &Path) -> Result<Vec<PathBuf>, Trouble> {
    write_all(files(made, records, when)?, dir)
}

/// Writes files into a folder; gives their paths.
///
/// # Errors
/// When one cannot be written.
pub(super) fn write_all(files: Vec<NamedFile>, dir: &Path) -> Result<Vec<PathBuf>, Trouble> {
    std::fs::create_dir_all(dir).map_err(|e| Trouble::file(dir, &e))?;
    let write = |(name, bytes): NamedFile| {
        let path = dir.join(name);
        std::fs::write(&path, bytes).map_err(|e| Trouble::file(&path, &e))?;
        Ok(path)
    };
    files.into_iter().map(write).collect()
}

fn number(value: f64, digits: i32) -> Field {
    let by = 10_f64.powi(digits);
    Field::Number((value * by).round() / by)
}

fn acres(square_metres: f64) -> Field {
    number(Area::square_metres(square_metres).as_acres(), 1)
}

/// Every block with its option.
fn blocks(made: &Made, records: &Records) -> Layer {
    let row = |b: &crownhold::plan::BlockPlan| {
        let block = records.blocks.iter().find(|r| r.id == b.block)?;
        let fields = vec![
            Field::Text(b.block.to_string()),
            Field::Text(b.bundle.key()),
            number(f64::from(b.bundle.flights()), 0),
            acres(block.area().as_square_metres()),
            acres(b.sprayed.as_square_metres()),
            number(b.cost.as_dollars(), 0),
            number(b.crew_hours.as_hours(), 1),
            number(b.volunteer_hours.as_hours(), 1),
            // Shapefiles keep one decimal.
            number(100.0 * b.chance_over_untreated, 1),
            number(100.0 * b.chance_over, 1),
            Field::Text(b.why.clone()),
        ];
        Some((fields, block.shape.clone()))
    };
    let columns = vec![
        "block", "option", "flights", "acres", "flown_ac", "cost_usd", "crew_h", "volunt_h", "pct_untr", "pct_plan",
        "why",
    ];
    Layer {
        name: "plan_blocks".to_owned(),
        about: format!(
            "{}, spring of {}: one option for every block",
            records.programme.name, records.programme.season
        ),
        columns,
        rows: made.plan.blocks.iter().filter_map(row).collect(),
    }
}

/// The ground that is sprayed from the air, with no-spray ground and its buffers cut out.
fn flown(made: &Made, records: &Records) -> Layer {
    let row = |s: crownhold::field::aerial::SprayBlock| {
        let blocks: Vec<String> = s.blocks.iter().map(ToString::to_string).collect();
        let fields = vec![
            Field::Text(s.id),
            Field::Text(blocks.join(" ")),
            number(f64::from(s.flights), 0),
            acres(s.shape.unsigned_area()),
            acres(s.kept_off.unsigned_area()),
        ];
        (fields, s.shape)
    };
    Layer {
        name: "spray_blocks".to_owned(),
        about: "Ground sprayed from the air, no-spray areas and their buffers cut out".to_owned(),
        columns: vec!["id", "blocks", "flights", "acres", "kept_off"],
        rows: spray_blocks(&made.plan, records).into_iter().map(row).collect(),
    }
}
