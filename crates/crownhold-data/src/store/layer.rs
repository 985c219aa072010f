//! A layer that leaves the programme, as a GeoPackage of its own.

use rusqlite::types::Value;
use rusqlite::{Connection, MAIN_DB, params_from_iter};

use super::error::StoreError;
use super::{geometry, schema, sql};
use crate::layer::{Field, Layer};

/// The GeoPackage's bytes; `when` is UTC, as GeoPackage writes it.
///
/// # Errors
/// When the reference system cannot be used, or SQLite fails.
pub(crate) fn geopackage_of(layer: &Layer, epsg: u32, when: &str) -> Result<Vec<u8>, StoreError> {
    let system = schema::system(epsg)?;
    let mut db = Connection::open_in_memory()?;
    sql::add_spatial_functions(&db)?;
    let (id, version) = schema::TOLD_APART_BY;
    db.pragma_update(None, "application_id", id)?;
    db.pragma_update(None, "user_version", version)?;
    let first = layer.rows.first();
    let kind = |i: usize| match first.map(|(fields, _)| &fields[i]) {
        Some(Field::Number(_)) => "REAL",
        _ => "TEXT",
    };
    let columns: Vec<String> = layer.columns.iter().enumerate().map(|(i, c)| format!("\"{c}\" {}", kind(i))).collect();
    let table = &layer.name;
    db.execute_batch(&format!(
        "CREATE TABLE \"{table}\" (fid INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL, geom MULTIPOLYGON, {})",
        columns.join(", ")
    ))?;
    let marks = vec!["?"; layer.columns.len() + 1].join(", ");
    let blobs: Vec<Vec<u8>> = layer.rows.iter().map(|(_, shape)| geometry::write_shape(shape, epsg)).collect();
    let extent = blobs.iter().filter_map(|b| geometry::envelope(b).ok().flatten());
    let extent = extent.reduce(|a, b| [a[0].min(b[0]), a[1].max(b[1]), a[2].min(b[2]), a[3].max(b[3])]);
    schema::create_one(&db, (table, &layer.about), &system, extent, when)?;
    let mut insert = db.prepare(&format!(
        "INSERT INTO \"{table}\" (geom, {}) VALUES ({marks})",
        layer.columns.iter().map(|c| format!("\"{c}\"")).collect::<Vec<_>>().join(", ")
    ))?;
    for ((fields, _), blob) in layer.rows.iter().zip(blobs) {
        let value = |f: &Field| match f {
            Field::Text(text) => Value::Text(text.clone()),
            Field::Number(n) => Value::Real(*n),
        };
        insert.execute(params_from_iter([Value::Blob(blob)].into_iter().chain(fields.iter().map(value))))?;
    }
    drop(insert);
    Ok(db.serialize(MAIN_DB)?.to_vec())
}
