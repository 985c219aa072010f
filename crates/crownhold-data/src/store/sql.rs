//! Rows in and out of SQLite, and the functions that the R-tree triggers call.

use crownhold::types::Problem;
use rusqlite::functions::FunctionFlags;
use rusqlite::types::{ToSqlOutput, Value, ValueRef};
use rusqlite::{Connection, ToSql, params_from_iter};

use super::error::StoreError;
use super::geometry;
use super::row::{Cell, Row, RowChange, Snapshot, Table};

impl ToSql for Cell {
    fn to_sql(&self) -> rusqlite::Result<ToSqlOutput<'_>> {
        Ok(ToSqlOutput::Borrowed(match self {
            Self::Null => ValueRef::Null,
            Self::Int(v) => ValueRef::Integer(*v),
            Self::Real(v) => ValueRef::Real(*v),
            Self::Text(v) => ValueRef::Text(v.as_bytes()),
            Self::Blob(v) => ValueRef::Blob(v),
        }))
    }
}

fn cell(value: Value) -> Cell {
    match value {
        Value::Null => Cell::Null,
        Value::Integer(v) => Cell::Int(v),
        Value::Real(v) => Cell::Real(v),
        Value::Text(v) => Cell::Text(v),
        Value::Blob(v) => Cell::Blob(v),
    }
}

/// All rows of the tables.
///
/// # Errors
/// [`StoreError::Unreadable`] with every table that misses a column.
pub(super) fn load(connection: &Connection, tables: &[&'static Table]) -> Result<Snapshot, StoreError> {
    let mut rows = Snapshot::default();
    let mut problems = Vec::new();
    for table in tables {
        let sql = format!("SELECT fid, {} FROM {}", table.columns.join(", "), table.name);
        match connection.prepare_cached(&sql) {
            Ok(mut statement) => {
                let mut found = statement.query([])?;
                while let Some(row) = found.next()? {
                    let cells = (1..=table.columns.len()).map(|i| row.get(i).map(cell)).collect::<Result<_, _>>()?;
                    rows.insert(table, Row { fid: Some(row.get(0)?), cells });
                }
            }
            Err(error) => problems.push(layout(table, &error)),
        }
    }
    if problems.is_empty() { Ok(rows) } else { Err(StoreError::Unreadable(problems)) }
}

fn layout(table: &Table, error: &rusqlite::Error) -> Problem {
    let remedy = "Put the table back as docs/formats/programme-file.md lists it, or take the last good copy.";
    Problem::error("S-109", format!("table {} cannot be read: {error}.", table.name), remedy)
        .item(table.name)
        .expected(format!("the columns {}", table.columns.join(", ")))
}

/// Writes one change, whose `before` is what stands in the file as `current` has it.
pub(super) fn apply(connection: &Connection, change: &RowChange, current: &Snapshot) -> rusqlite::Result<()> {
    let RowChange { table, key, before, after } = change;
    let fid = current.row(table, key).and_then(|row| row.fid);
    match (before, after) {
        (_, None) => {
            connection.prepare_cached(&format!("DELETE FROM {} WHERE fid = ?1", table.name))?.execute([fid])?;
        }
        (None, Some(after)) => {
            let places = vec!["?"; table.columns.len()].join(", ");
            let sql = format!("INSERT INTO {} ({}) VALUES ({places})", table.name, table.columns.join(", "));
            connection.prepare_cached(&sql)?.execute(params_from_iter(after))?;
        }
        (Some(before), Some(after)) => update(connection, table, fid, before, after)?,
    }
    Ok(())
}

/// Writes only the columns that differ, so that an untouched geometry does not stir its index.
fn update(
    connection: &Connection,
    table: &Table,
    fid: Option<i64>,
    before: &[Cell],
    after: &[Cell],
) -> rusqlite::Result<()> {
    let changed: Vec<usize> = (0..after.len()).filter(|i| before[*i] != after[*i]).collect();
    if changed.is_empty() {
        return Ok(());
    }
    let set: Vec<_> = changed.iter().map(|i| format!("{} = ?", table.columns[*i])).collect();
    let sql = format!("UPDATE {} SET {} WHERE fid = ?", table.name, set.join(", "));
    let fid = fid.map_or(Cell::Null, Cell::Int);
    let cells = changed.iter().map(|i| &after[*i]).chain([&fid]);
    connection.prepare_cached(&sql)?.execute(params_from_iter(cells)).map(|_| ())
}

/// Teaches a connection the five functions that the R-tree triggers of a GeoPackage call
/// (OGC 12-128r17, annex F.3). They answer NULL for what is no geometry.
pub(super) fn add_spatial_functions(connection: &Connection) -> rusqlite::Result<()> {
    let flags = FunctionFlags::SQLITE_UTF8 | FunctionFlags::SQLITE_DETERMINISTIC | FunctionFlags::SQLITE_INNOCUOUS;
    connection.create_scalar_function("ST_IsEmpty", 1, flags, |context| {
        Ok(envelope(context.get_raw(0)).map(|found| found.is_none()))
    })?;
    for (name, at) in [("ST_MinX", 0), ("ST_MaxX", 1), ("ST_MinY", 2), ("ST_MaxY", 3)] {
        connection.create_scalar_function(name, 1, flags, move |context| {
            Ok(envelope(context.get_raw(0)).flatten().map(|found| found[at]))
        })?;
    }
    Ok(())
}

/// The envelope of a value: `None` when it is no geometry, `Some(None)` when it is an empty one.
fn envelope(value: ValueRef) -> Option<Option<geometry::Envelope>> {
    match value {
        ValueRef::Blob(blob) => geometry::envelope(blob).ok(),
        _ => None,
    }
}
