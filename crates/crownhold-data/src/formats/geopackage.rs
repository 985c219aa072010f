//! GeoPackage layers (of any program, not only our own files) to a table.

use crownhold::types::Problem;
use geo::{Geometry, MultiPolygon};
use geozero::ToGeo as _;
use geozero::wkb::GpkgWkb;
use rusqlite::types::ValueRef;
use rusqlite::{Connection, MAIN_DB};

use super::crs::Crs;
use super::job::Job;
use super::table::{Declared, Shape, Table};

/// One layer of the file.
struct Layer {
    table: String,
    geometry: Option<String>,
    srs: i64,
}

/// Reads the wished layer, or the only one; `None` after an error was noted.
pub(super) fn read(job: &mut Job<'_>, bytes: &[u8]) -> Option<Table> {
    let read = open(bytes).and_then(|db| layers(&db).map(|layers| (db, layers)));
    let (db, layers) = match read {
        Ok(read) => read,
        Err(e) => {
            let what = format!("The GeoPackage cannot be read: {e}.");
            job.note(Problem::error(
                "I-131",
                what,
                "It may be cut off or still open elsewhere; save a copy and try that.",
            ));
            return None;
        }
    };
    let layer = choose(job, &layers)?;
    match table(job, &db, layer) {
        Ok(table) if table.is_empty() => {
            job.note(Problem::error(
                "I-103",
                format!("The layer \"{}\" has no rows.", layer.table),
                "Choose another layer.",
            ));
            None
        }
        Ok(table) => Some(table),
        Err(e) => {
            job.note(Problem::error(
                "I-131",
                format!("The layer \"{}\" cannot be read: {e}.", layer.table),
                "Save a copy and try that.",
            ));
            None
        }
    }
}

/// The database in memory. A file left in write-ahead mode says so in bytes 18 and 19 of its header and
/// cannot be opened from memory; what the main file holds is read.
fn open(bytes: &[u8]) -> rusqlite::Result<Connection> {
    let mut head = bytes.to_vec();
    if head.len() > 20 {
        head[18] = 1;
        head[19] = 1;
    }
    let mut db = Connection::open_in_memory()?;
    let size = head.len();
    db.deserialize_read_exact(MAIN_DB, head.as_slice(), size, true)?;
    Ok(db)
}

fn layers(db: &Connection) -> rusqlite::Result<Vec<Layer>> {
    let sql = "SELECT c.table_name, g.column_name, coalesce(g.srs_id, 0) FROM gpkg_contents c \
               LEFT JOIN gpkg_geometry_columns g ON g.table_name = c.table_name \
               WHERE c.data_type IN ('features', 'attributes') ORDER BY g.column_name IS NULL, c.table_name";
    let mut statement = db.prepare(sql)?;
    statement.query_map([], |r| Ok(Layer { table: r.get(0)?, geometry: r.get(1)?, srs: r.get(2)? }))?.collect()
}

fn choose<'l>(job: &mut Job<'_>, layers: &'l [Layer]) -> Option<&'l Layer> {
    let names = layers.iter().map(|l| l.table.as_str()).collect::<Vec<_>>().join(", ");
    let features: Vec<&Layer> = layers.iter().filter(|l| l.geometry.is_some()).collect();
    match job.wishes.layer.as_deref() {
        Some(wish) => {
            let found = layers.iter().find(|l| l.table.eq_ignore_ascii_case(wish));
            if found.is_none() {
                job.note(
                    Problem::error("I-132", format!("There is no layer \"{wish}\"."), "Choose one that is there.")
                        .expected(format!("one of: {names}")),
                );
            }
            found
        }
        None if features.len() == 1 => Some(features[0]),
        None if layers.len() == 1 => Some(&layers[0]),
        None => {
            let what = format!("The GeoPackage has {} layers.", layers.len());
            job.note(Problem::error("I-132", what, "Say which one with --layer.").expected(format!("one of: {names}")));
            None
        }
    }
}

fn table(job: &mut Job<'_>, db: &Connection, layer: &Layer) -> rusqlite::Result<Table> {
    let name = layer.table.replace('"', "\"\"");
    let mut statement = db.prepare(&format!("SELECT * FROM \"{name}\""))?;
    let all: Vec<String> = statement.column_names().map(str::to_owned).collect();
    let geometry = layer.geometry.as_ref().and_then(|g| all.iter().position(|c| c == g));
    let columns = all.iter().enumerate().filter(|(i, _)| Some(*i) != geometry).map(|(_, c)| c.clone()).collect();
    let mut table = Table::new(columns, geometry.is_some());
    let mut rows = statement.query([])?;
    let mut number = 0;
    while let Some(row) = rows.next()? {
        number += 1;
        let mut cells = Vec::with_capacity(all.len());
        let mut shape = None;
        for i in 0..all.len() {
            match row.get_ref(i)? {
                ValueRef::Blob(bytes) if Some(i) == geometry => shape = read_shape(job, bytes, number),
                _ if Some(i) == geometry => {}
                value => cells.push(cell(value)),
            }
        }
        table.push(number, cells.iter().map(String::as_str), shape);
    }
    table.declared = if geometry.is_some() { declared(db, layer.srs) } else { Declared::NoPlace };
    Ok(table)
}

fn cell(value: ValueRef<'_>) -> String {
    match value {
        ValueRef::Null | ValueRef::Blob(_) => String::new(),
        ValueRef::Integer(n) => n.to_string(),
        ValueRef::Real(n) => n.to_string(),
        ValueRef::Text(text) => String::from_utf8_lossy(text).into_owned(),
    }
}

fn read_shape(job: &mut Job<'_>, bytes: &[u8], row: u64) -> Option<Shape> {
    let geometry = match GpkgWkb(bytes).to_geo() {
        Ok(Geometry::Polygon(p)) => Geometry::MultiPolygon(MultiPolygon(vec![p])),
        Ok(Geometry::MultiPoint(p)) if p.0.len() == 1 => Geometry::Point(p.0[0]),
        Ok(other) => other,
        Err(e) => {
            let what = format!("The geometry cannot be read: {e}.");
            job.note(Problem::error("I-401", what, "Mend the shape in the map program.").row(row));
            return None;
        }
    };
    Some(Shape { geometry, unclosed: 0 })
}

/// By the authority's number, else by the definition that every GeoPackage carries.
fn declared(db: &Connection, srs: i64) -> Declared {
    if srs <= 0 {
        return Declared::Missing;
    }
    let sql = "SELECT organization, organization_coordsys_id, definition FROM gpkg_spatial_ref_sys WHERE srs_id = ?1";
    let row = db.query_row(sql, [srs], |r| Ok((r.get::<_, String>(0)?, r.get::<_, i64>(1)?, r.get::<_, String>(2)?)));
    let Ok((organization, code, definition)) = row else { return Declared::Missing };
    let by_code = (organization.eq_ignore_ascii_case("EPSG")).then(|| Crs::epsg(u32::try_from(code).unwrap_or(0)));
    match by_code {
        Some(Ok(crs)) => Declared::Known(crs),
        _ => Crs::parse(&definition).map_or_else(Declared::Unclear, Declared::Known),
    }
}
