//! Stored plans. A plan is never changed once stored: making another adds another.

use rusqlite::{Connection, OptionalExtension, Row, params};

use super::journal::Stamp;

/// A plan as it was stored.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct StoredPlan {
    /// Its number; later plans have greater ones.
    pub id: i64,
    /// Name.
    pub name: String,
    /// When it was made, RFC 3339 in UTC.
    pub made_at: String,
    /// Seed it was made with.
    pub seed: u64,
    /// The plan, as JSON text.
    pub json: String,
}

const COLUMNS: &str = "SELECT fid, name, made_at, seed, json FROM plans";

pub(super) fn insert(
    connection: &Connection,
    name: &str,
    stamp: &Stamp,
    seed: u64,
    json: &str,
) -> rusqlite::Result<i64> {
    // A seed has 64 bits and SQLite's whole numbers 63, so it is kept as text.
    connection.execute(
        "INSERT INTO plans (name, made_at, seed, json) VALUES (?1, ?2, ?3, ?4)",
        params![name, stamp.when, seed.to_string(), json],
    )?;
    Ok(connection.last_insert_rowid())
}

pub(super) fn all(connection: &Connection) -> rusqlite::Result<Vec<StoredPlan>> {
    connection.prepare(&format!("{COLUMNS} ORDER BY fid"))?.query_map([], plan)?.collect()
}

pub(super) fn latest(connection: &Connection) -> rusqlite::Result<Option<StoredPlan>> {
    connection.query_row(&format!("{COLUMNS} ORDER BY fid DESC LIMIT 1"), [], plan).optional()
}

fn plan(row: &Row) -> rusqlite::Result<StoredPlan> {
    let seed: String = row.get(3)?;
    let seed = seed.parse().map_err(|error: std::num::ParseIntError| {
        rusqlite::Error::FromSqlConversionFailure(3, rusqlite::types::Type::Text, error.into())
    })?;
    Ok(StoredPlan { id: row.get(0)?, name: row.get(1)?, made_at: row.get(2)?, seed, json: row.get(4)? })
}
