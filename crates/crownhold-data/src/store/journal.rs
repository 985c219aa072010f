//! The journal: one entry for each operation, with every changed row as it was and as it became.
//!
//! An undo is an operation of its own. It takes back the last operation that has not been taken back;
//! doing it again goes one further into the past. An undo is itself never undone: make the wanted change anew.

use std::collections::BTreeMap;

use crownhold::types::Problem;
use jiff::Timestamp;
use rusqlite::{Connection, Transaction, params};
use serde_json::{Map, Value as Json};

use super::error::StoreError;
use super::records::{LOG_TABLES, TABLES};
use super::row::{Cell, Row, RowChange, Snapshot, Table};

/// One operation, as the history shows it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct JournalEntry {
    /// Its number; later operations have greater ones.
    pub id: i64,
    /// When, RFC 3339 in UTC.
    pub when: String,
    /// Who.
    pub who: String,
    /// What was done.
    pub what: String,
    /// How many rows were changed in each table; empty for making the file and for storing a plan.
    pub changes: BTreeMap<String, usize>,
    /// Was it taken back?
    pub undone: bool,
    /// The operation that this one took back.
    pub undoes: Option<i64>,
}

impl JournalEntry {
    /// Did it change nothing but the field log? Densities, dates and plans do not rest on that.
    pub fn is_of_the_log(&self) -> bool {
        !self.changes.is_empty() && self.changes.keys().all(|table| LOG_TABLES.contains(&table.as_str()))
    }
}

/// Who does what when: checked once, at the door.
pub(super) struct Stamp {
    pub(super) author: String,
    pub(super) when: String,
    pub(super) what: String,
}

impl Stamp {
    /// Checks the three and writes the time as a GeoPackage does: UTC with milliseconds.
    pub(super) fn new(author: &str, when: &str, what: &str) -> Result<Self, StoreError> {
        let mut problems = Vec::new();
        for (column, text) in [("author", author), ("what", what)] {
            if text.trim().is_empty() {
                problems.push(
                    Problem::error("S-202", format!("{column} is empty."), "Say who makes the change, and what it is.")
                        .column(column),
                );
            }
        }
        let time = when.parse::<Timestamp>();
        if let Err(error) = &time {
            problems.push(
                Problem::error("S-202", format!("\"{when}\" is not a time: {error}."), "Give date, time and offset.")
                    .column("when")
                    .expected("a time like 2026-11-02T14:30:00Z"),
            );
        }
        match time {
            Ok(time) if problems.is_empty() => Ok(Self {
                author: author.trim().to_owned(),
                when: time.strftime("%Y-%m-%dT%H:%M:%S%.3fZ").to_string(),
                what: what.trim().to_owned(),
            }),
            _ => Err(StoreError::Unsound(problems)),
        }
    }
}

/// Writes an entry with its rows; gives its number.
pub(super) fn write(
    connection: &Connection,
    stamp: &Stamp,
    undoes: Option<i64>,
    changes: &[RowChange],
) -> rusqlite::Result<i64> {
    connection.execute(
        "INSERT INTO journal (happened_at, author, what, undoes) VALUES (?1, ?2, ?3, ?4)",
        params![stamp.when, stamp.author, stamp.what, undoes],
    )?;
    let entry = connection.last_insert_rowid();
    let mut insert = connection.prepare_cached(
        "INSERT INTO journal_row (entry, table_name, row_key, before, after) VALUES (?1, ?2, ?3, ?4, ?5)",
    )?;
    for change in changes {
        let [before, after] = [&change.before, &change.after].map(|c| c.as_ref().map(|c| to_json(change.table, c)));
        insert.execute(params![entry, change.table.name, change.key, before, after])?;
    }
    Ok(entry)
}

fn to_json(table: &Table, cells: &[Cell]) -> String {
    let pairs = table.columns.iter().zip(cells).map(|(column, cell)| ((*column).to_owned(), cell.to_json()));
    Json::Object(Map::from_iter(pairs)).to_string()
}

/// Every operation, oldest first.
pub(super) fn history(connection: &Connection) -> rusqlite::Result<Vec<JournalEntry>> {
    let mut entries = connection
        .prepare(
            "SELECT fid, happened_at, author, what, undoes,
                    EXISTS (SELECT 1 FROM journal AS later WHERE later.undoes = journal.fid)
             FROM journal ORDER BY fid",
        )?
        .query_map([], |row| {
            Ok(JournalEntry {
                id: row.get(0)?,
                when: row.get(1)?,
                who: row.get(2)?,
                what: row.get(3)?,
                undoes: row.get(4)?,
                undone: row.get(5)?,
                changes: BTreeMap::new(),
            })
        })?
        .collect::<Result<Vec<_>, _>>()?;
    let mut counts =
        connection.prepare("SELECT entry, table_name, count(*) FROM journal_row GROUP BY entry, table_name")?;
    let mut rows = counts.query([])?;
    while let Some(row) = rows.next()? {
        let entry: i64 = row.get(0)?;
        if let Ok(at) = entries.binary_search_by_key(&entry, |e| e.id) {
            let changed: i64 = row.get(2)?;
            entries[at].changes.insert(row.get(1)?, usize::try_from(changed).unwrap_or(usize::MAX));
        }
    }
    Ok(entries)
}

/// The last operation that changed rows and has not been taken back: what an undo would take back.
pub fn last_to_undo(history: &[JournalEntry]) -> Option<&JournalEntry> {
    history.iter().rev().find(|entry| !entry.undone && entry.undoes.is_none() && !entry.changes.is_empty())
}

/// The changes that take an operation back.
///
/// # Errors
/// [`StoreError::Altered`] for the first row that is not as the operation left it.
pub(super) fn inverse(transaction: &Transaction, entry: i64, current: &Snapshot) -> Result<Vec<RowChange>, StoreError> {
    let mut statement = transaction
        .prepare("SELECT table_name, row_key, before, after FROM journal_row WHERE entry = ?1 ORDER BY fid")?;
    let mut rows = statement.query([entry])?;
    let mut changes = Vec::new();
    while let Some(row) = rows.next()? {
        let (name, key): (String, String) = (row.get(0)?, row.get(1)?);
        let altered = |what: String| StoreError::Altered { table: name.clone(), key: key.clone(), what };
        let table = TABLES.iter().copied().find(|t| t.name == name);
        let table = table.ok_or_else(|| altered("the journal names a table that holds no records".to_owned()))?;
        let [before, after] = [row.get(2)?, row.get(3)?].map(|text: Option<String>| text.map(|t| from_json(table, &t)));
        let unclear = || altered("the journal's own row cannot be read".to_owned());
        let before = before.map(|cells| cells.ok_or_else(unclear)).transpose()?;
        let after = after.map(|cells| cells.ok_or_else(unclear)).transpose()?;
        let now = current.row(table, &key);
        as_left(table, now, after.as_deref()).map_err(altered)?;
        changes.push(back(table, &key, now, before));
    }
    Ok(changes)
}

/// The cells that the journal kept; `None` inside for a column that its layout version did not have.
fn from_json(table: &Table, text: &str) -> Option<Vec<Option<Cell>>> {
    let object: Map<String, Json> = serde_json::from_str(text).ok()?;
    let cell = |column: &&str| match object.get(*column) {
        Some(json) => Cell::from_json(json).map(Some),
        None => Some(None),
    };
    table.columns.iter().map(cell).collect()
}

/// Is the row as the operation left it? The error says what is different.
fn as_left(table: &Table, now: Option<&Row>, after: Option<&[Option<Cell>]>) -> Result<(), String> {
    match (now, after) {
        (None, None) => Ok(()),
        (Some(_), None) => Err("it was deleted, and is there again".to_owned()),
        (None, Some(_)) => Err("it is no longer there".to_owned()),
        (Some(now), Some(after)) => {
            let left = table.columns.iter().zip(after).zip(&now.cells);
            let other = left.filter_map(|((column, left), now)| left.as_ref().map(|left| (column, left, now)));
            match other.into_iter().find(|(_, left, now)| left != now) {
                Some((column, left, now)) => Err(format!("{column} was left as {left} and is now {now}")),
                None => Ok(()),
            }
        }
    }
}

/// The change from the row as it is now to the row as it was. Columns that the journal does not know stay.
fn back(table: &'static Table, key: &str, now: Option<&Row>, before: Option<Vec<Option<Cell>>>) -> RowChange {
    let now = now.map(|row| row.cells.clone());
    let kept = |i: usize| now.as_ref().map_or(Cell::Null, |cells| cells[i].clone());
    let after = before.map(|cells| cells.into_iter().enumerate().map(|(i, c)| c.unwrap_or_else(|| kept(i))).collect());
    RowChange { table, key: key.to_owned(), before: now, after }
}
