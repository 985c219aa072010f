//! Rows as the file holds them: the twin between a domain record and SQLite, and what the journal writes.
//!
//! Domain types know nothing of files. Each kind of record is turned into a [`Row`] of plain cells and back
//! by a pair of functions in `records`; everything else in this room works on rows: comparing two
//! states, writing the difference, keeping before and after in the journal.

use std::collections::BTreeMap;

use crownhold::types::Problem;
use jiff::civil::Date;
use serde_json::Value as Json;

/// One value as SQLite knows it.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Cell {
    Null,
    Int(i64),
    Real(f64),
    Text(String),
    Blob(Vec<u8>),
}

impl Cell {
    /// As the journal writes it. Geometry is `{"hex": "4750..."}`; the rest are plain JSON values.
    pub(super) fn to_json(&self) -> Json {
        match self {
            Self::Null => Json::Null,
            Self::Int(v) => Json::from(*v),
            Self::Real(v) => Json::from(*v),
            Self::Text(v) => Json::from(v.as_str()),
            Self::Blob(v) => serde_json::json!({ "hex": hex(v) }),
        }
    }

    /// From the journal's JSON; `None` when it is not one of ours.
    pub(super) fn from_json(json: &Json) -> Option<Self> {
        Some(match json {
            Json::Null => Self::Null,
            Json::Number(n) => n.as_i64().map(Self::Int).or_else(|| n.as_f64().map(Self::Real))?,
            Json::String(text) => Self::Text(text.clone()),
            Json::Object(object) => Self::Blob(unhex(object.get("hex")?.as_str()?)?),
            Json::Bool(_) | Json::Array(_) => return None,
        })
    }
}

impl std::fmt::Display for Cell {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Null => f.write_str("nothing"),
            Self::Int(v) => write!(f, "{v}"),
            Self::Real(v) => write!(f, "{v}"),
            Self::Text(v) => write!(f, "\"{v}\""),
            Self::Blob(v) => write!(f, "{} bytes of geometry", v.len()),
        }
    }
}

fn hex(bytes: &[u8]) -> String {
    const DIGITS: &[u8; 16] = b"0123456789abcdef";
    let digit = |nibble: u8| char::from(DIGITS[usize::from(nibble)]);
    bytes.iter().flat_map(|b| [digit(b >> 4), digit(b & 15)]).collect()
}

fn unhex(text: &str) -> Option<Vec<u8>> {
    let digit = |c: u8| char::from(c).to_digit(16).and_then(|d| u8::try_from(d).ok());
    text.as_bytes()
        .chunks(2)
        .map(|pair| match pair {
            [high, low] => Some(digit(*high)? << 4 | digit(*low)?),
            _ => None,
        })
        .collect()
}

impl From<&str> for Cell {
    fn from(v: &str) -> Self {
        Self::Text(v.to_owned())
    }
}
impl From<&String> for Cell {
    fn from(v: &String) -> Self {
        Self::Text(v.clone())
    }
}
impl From<f64> for Cell {
    fn from(v: f64) -> Self {
        Self::Real(v)
    }
}
impl From<usize> for Cell {
    fn from(v: usize) -> Self {
        Self::Int(i64::try_from(v).expect("a position in a list fits 63 bits"))
    }
}
impl From<u32> for Cell {
    fn from(v: u32) -> Self {
        Self::Int(v.into())
    }
}
impl From<i16> for Cell {
    fn from(v: i16) -> Self {
        Self::Int(v.into())
    }
}
impl From<bool> for Cell {
    fn from(v: bool) -> Self {
        Self::Int(v.into())
    }
}
impl From<Date> for Cell {
    fn from(v: Date) -> Self {
        Self::Text(v.to_string())
    }
}
impl From<Vec<u8>> for Cell {
    fn from(v: Vec<u8>) -> Self {
        Self::Blob(v)
    }
}
impl<T: Into<Self>> From<Option<T>> for Cell {
    fn from(v: Option<T>) -> Self {
        v.map_or(Self::Null, Into::into)
    }
}

/// A key as messages show it: without the brackets of the list.
pub(super) fn shown(key: &str) -> &str {
    key.strip_prefix('[').and_then(|key| key.strip_suffix(']')).unwrap_or(key)
}

/// A table of records, its columns in the order in which rows hold their cells.
#[derive(Debug)]
pub(super) struct Table {
    /// Name in the file.
    pub(super) name: &'static str,
    /// The columns that tell one row from another; none for a table with a single row.
    pub(super) key: &'static [&'static str],
    /// All columns but `fid`.
    pub(super) columns: &'static [&'static str],
    /// Has it a geometry column (always the last one, named `geom`)?
    pub(super) is_layer: bool,
}

impl Table {
    /// Position of a column.
    ///
    /// # Panics
    /// If there is none; column names are constants of this crate.
    pub(super) fn position(&self, column: &str) -> usize {
        self.columns.iter().position(|c| *c == column).unwrap_or_else(|| panic!("{} has {column}", self.name))
    }

    /// The key of a row, as a JSON list: what the journal and messages call the row by.
    /// Blanks around a name do not make it another name.
    pub(super) fn key_of(&self, cells: &[Cell]) -> String {
        let parts = self.key.iter().map(|column| match &cells[self.position(column)] {
            Cell::Text(text) => Json::from(text.trim()),
            other => other.to_json(),
        });
        Json::from_iter(parts).to_string()
    }
}

/// One row: its cells, and its `fid` when it was read from a file.
#[derive(Clone, Debug)]
pub(super) struct Row {
    /// SQLite's own number for the row.
    pub(super) fid: Option<i64>,
    /// As `Table::columns`.
    pub(super) cells: Vec<Cell>,
}

/// All rows of all tables by key.
#[derive(Clone, Debug, Default)]
pub(super) struct Snapshot {
    tables: BTreeMap<&'static str, BTreeMap<String, Row>>,
    /// Rows that share their key with another one.
    pub(super) doubles: Vec<Problem>,
}

impl Snapshot {
    /// Adds a new record's row, given as pairs in column order.
    ///
    /// # Panics
    /// If the names are not the table's columns.
    pub(super) fn add<const N: usize>(&mut self, table: &'static Table, pairs: [(&'static str, Cell); N]) {
        assert!(pairs.iter().map(|(name, _)| name).eq(table.columns), "cells of {} stand in order", table.name);
        self.insert(table, Row { fid: None, cells: pairs.map(|(_, cell)| cell).into() });
    }

    /// Adds a row; a second row with the same key is noted as a problem.
    pub(super) fn insert(&mut self, table: &'static Table, row: Row) {
        let key = table.key_of(&row.cells);
        let fid = row.fid;
        if self.tables.entry(table.name).or_default().insert(key.clone(), row).is_some() {
            self.doubles.push(double(table, &key, fid));
        }
    }

    /// Rows of one table in key order.
    pub(super) fn rows(&self, table: &Table) -> impl Iterator<Item = (&String, &Row)> {
        self.tables.get(table.name).into_iter().flatten()
    }

    /// One row.
    pub(super) fn row(&self, table: &Table, key: &str) -> Option<&Row> {
        self.tables.get(table.name)?.get(key)
    }
}

fn double(table: &Table, key: &str, fid: Option<i64>) -> Problem {
    let key = shown(key);
    let what = format!("table {} has more than one row {key}.", table.name);
    let problem = Problem::error("S-106", what, "Give each its own name, or delete the one too many.")
        .item(format!("{} {key}", table.name))
        .column(table.key.join(", "));
    match fid.and_then(|fid| u64::try_from(fid).ok()) {
        Some(fid) => problem.row(fid),
        None => problem,
    }
}

/// A change of one row.
#[derive(Clone, Debug)]
pub(super) struct RowChange {
    /// Table.
    pub(super) table: &'static Table,
    /// Key, see [`Table::key_of`].
    pub(super) key: String,
    /// Cells before; `None` for a new row.
    pub(super) before: Option<Vec<Cell>>,
    /// Cells after; `None` for a deleted row.
    pub(super) after: Option<Vec<Cell>>,
}

/// The rows in which two states differ, by table and key.
pub(super) fn difference(tables: &[&'static Table], before: &Snapshot, after: &Snapshot) -> Vec<RowChange> {
    let mut changes = Vec::new();
    for table in tables {
        let gone = before.rows(table).filter(|(key, _)| after.row(table, key).is_none());
        changes.extend(gone.map(|(key, row)| change(table, key, Some(row), None)));
        for (key, row) in after.rows(table) {
            let old = before.row(table, key);
            if old.is_none_or(|old| old.cells != row.cells) {
                changes.push(change(table, key, old, Some(row)));
            }
        }
    }
    changes
}

fn change(table: &'static Table, key: &str, before: Option<&Row>, after: Option<&Row>) -> RowChange {
    let cells = |row: Option<&Row>| row.map(|r| r.cells.clone());
    RowChange { table, key: key.to_owned(), before: cells(before), after: cells(after) }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use proptest::prelude::*;

    fn any_cell() -> impl Strategy<Value = Cell> {
        prop_oneof![
            Just(Cell::Null),
            any::<i64>().prop_map(Cell::Int),
            proptest::num::f64::NORMAL.prop_map(Cell::Real),
            (-1000i32..1000).prop_map(|v| Cell::Real(v.into())),
            ".*".prop_map(Cell::Text),
            prop::collection::vec(any::<u8>(), 0..40).prop_map(Cell::Blob),
        ]
    }

    proptest! {
        /// The journal gives back the very cell, through text, to the last bit and with its type.
        #[test]
        fn cells_survive_the_journal(cell in any_cell()) {
            let text = cell.to_json().to_string();
            prop_assert_eq!(Cell::from_json(&serde_json::from_str(&text).unwrap()), Some(cell));
        }
    }
}
