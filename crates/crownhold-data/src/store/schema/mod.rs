//! The layout of a programme file: container, tables, and one step from each version to the next.

mod container;

use rusqlite::{Connection, params};

pub(super) use container::{System, TOLD_APART_BY, create, create_one, set_extent, system};

/// The layout version that this program writes.
pub(super) const CURRENT: i64 = 9;

/// A step that brings a file of the version before to this version.
struct Step {
    version: i64,
    what: &'static str,
    run: fn(&Connection) -> rusqlite::Result<()>,
}

/// Every step in order; a new file goes through all of them, so that there is one way to each layout.
const STEPS: &[Step] = &[
    Step { version: 1, what: "the tables of a programme", run: to_1 },
    Step { version: 2, what: "neighbourhood of blocks; sprayed area of past seasons", run: to_2 },
    Step { version: 3, what: "people", run: to_3 },
    Step { version: 4, what: "hours of weather; field samples", run: to_4 },
    Step { version: 5, what: "field log: bands, scraping, applications, notices", run: to_5 },
    Step { version: 6, what: "snow on the ground", run: to_6 },
    Step { version: 7, what: "teams and their rounds", run: to_7 },
    Step { version: 8, what: "work, tree and place of visits", run: to_8 },
    Step { version: CURRENT, what: "streets", run: to_9 },
];

fn to_1(connection: &Connection) -> rusqlite::Result<()> {
    connection.execute_batch(include_str!("v1.sql"))
}

fn to_2(connection: &Connection) -> rusqlite::Result<()> {
    connection.execute_batch(
        "ALTER TABLE blocks ADD COLUMN neighbourhood TEXT;
         ALTER TABLE past_seasons ADD COLUMN sprayed_m2 DOUBLE;",
    )
}

fn to_3(connection: &Connection) -> rusqlite::Result<()> {
    connection.execute_batch(
        "CREATE TABLE people (
           fid INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
           name TEXT UNIQUE, role TEXT, reach TEXT, note TEXT
         );",
    )?;
    // A new file gets its container after all steps.
    container::list_later(connection, "people")
}

fn to_4(connection: &Connection) -> rusqlite::Result<()> {
    weather_hours(connection)?;
    field_samples(connection)
}

fn weather_hours(connection: &Connection) -> rusqlite::Result<()> {
    connection.execute_batch(
        "CREATE TABLE weather_hours (
           fid INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
           station TEXT, day DATE, offset_min INTEGER, forecast BOOLEAN,
           temperature_c TEXT, humidity_pct TEXT, wind_m_s TEXT, gust_m_s TEXT, direction_deg TEXT,
           precipitation_mm TEXT, rain_chance_pct TEXT,
           UNIQUE (station, day, offset_min, forecast)
         );",
    )?;
    container::list_later(connection, "weather_hours")
}

fn field_samples(connection: &Connection) -> rusqlite::Result<()> {
    connection.execute_batch(
        "CREATE TABLE field_samples (
           fid INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
           id TEXT UNIQUE, day DATE, block TEXT, place TEXT, observer TEXT, kind TEXT,
           l1 INTEGER, l2 INTEGER, l3 INTEGER, l4 INTEGER, l5 INTEGER, l6 INTEGER, pupa INTEGER,
           leaf_host TEXT, leaf_size DOUBLE, note TEXT
         );",
    )?;
    container::list_later(connection, "field_samples")
}

fn to_5(connection: &Connection) -> rusqlite::Result<()> {
    connection.execute_batch(
        "CREATE TABLE band_visits (
           fid INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
           id TEXT UNIQUE, day DATE, block TEXT, tree TEXT, bands INTEGER,
           small INTEGER, large INTEGER, pupae INTEGER, masses INTEGER, fungus INTEGER, virus INTEGER,
           hours DOUBLE, who TEXT, note TEXT
         );
         CREATE TABLE scraping (
           fid INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
           id TEXT UNIQUE, day DATE, block TEXT, low INTEGER, high INTEGER, left_up INTEGER, trees INTEGER,
           hours DOUBLE, who TEXT, note TEXT
         );
         CREATE TABLE applications (
           fid INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
           id TEXT, version INTEGER, reason TEXT, closed_on DATE, closed_by TEXT, method TEXT, blocks TEXT, place TEXT,
           day DATE, starts TEXT, ends TEXT, product TEXT, registration TEXT, formulation TEXT, rate TEXT, total TEXT,
           area_m2 DOUBLE, wind_m_s DOUBLE, wind_from_deg DOUBLE, temperature_c DOUBLE, humidity DOUBLE,
           applicator TEXT, licence TEXT, craft TEXT, note TEXT,
           UNIQUE (id, version)
         );
         CREATE TRIGGER closed_applications_stay BEFORE UPDATE ON applications WHEN OLD.closed_on IS NOT NULL
         BEGIN SELECT RAISE(ABORT, 'a closed application record is never changed; amend it'); END;
         CREATE TRIGGER closed_applications_are_kept BEFORE DELETE ON applications WHEN OLD.closed_on IS NOT NULL
         BEGIN SELECT RAISE(ABORT, 'a closed application record is never deleted; amend it'); END;
         CREATE TABLE notices (
           fid INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
           id TEXT UNIQUE, day DATE, audience TEXT, means TEXT, blocks TEXT, number INTEGER, who TEXT, note TEXT
         );",
    )?;
    ["band_visits", "scraping", "applications", "notices"]
        .iter()
        .try_for_each(|table| container::list_later(connection, table))
}

fn to_6(connection: &Connection) -> rusqlite::Result<()> {
    connection.execute_batch("ALTER TABLE weather_day ADD COLUMN snow_mm DOUBLE;")
}

fn to_7(connection: &Connection) -> rusqlite::Result<()> {
    connection.execute_batch(
        "CREATE TABLE teams (
           fid INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
           name TEXT UNIQUE, who TEXT, people INTEGER, neighbourhood TEXT, begins_in TEXT, ends_in TEXT,
           from_time TEXT, to_time TEXT, ladder BOOLEAN, most_trees INTEGER, note TEXT
         );
         CREATE TABLE rounds (
           fid INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
           day DATE, work TEXT, team TEXT, stops TEXT, back TEXT, travel_hours DOUBLE, way_m DOUBLE,
           UNIQUE (day, work, team)
         );",
    )?;
    ["teams", "rounds"].iter().try_for_each(|table| container::list_later(connection, table))
}

fn to_8(connection: &Connection) -> rusqlite::Result<()> {
    connection.execute_batch(
        "ALTER TABLE band_visits ADD COLUMN work TEXT;
         ALTER TABLE band_visits ADD COLUMN x DOUBLE;
         ALTER TABLE band_visits ADD COLUMN y DOUBLE;
         ALTER TABLE scraping ADD COLUMN tree TEXT;
         ALTER TABLE scraping ADD COLUMN x DOUBLE;
         ALTER TABLE scraping ADD COLUMN y DOUBLE;",
    )
}

fn to_9(connection: &Connection) -> rusqlite::Result<()> {
    connection.execute_batch(
        "CREATE TABLE streets (
           fid INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL, geom MULTILINESTRING, id TEXT UNIQUE, name TEXT
         );",
    )?;
    container::list_later(connection, "streets")
}

/// Brings the tables from version `from` (0: none) to the current one. To be called inside a transaction.
pub(super) fn migrate(connection: &Connection, from: i64) -> rusqlite::Result<()> {
    for step in STEPS.iter().filter(|step| step.version > from) {
        (step.run)(connection)?;
        connection.execute("INSERT INTO crownhold_migration VALUES (?1, ?2)", params![step.version, step.what])?;
    }
    Ok(())
}

/// The version of a programme file; `None` when it is no programme file.
pub(super) fn version(connection: &Connection) -> rusqlite::Result<Option<i64>> {
    let sql = "SELECT count(*) FROM sqlite_master WHERE type = 'table' AND name = 'crownhold_migration'";
    let tables: i64 = connection.query_row(sql, [], |row| row.get(0))?;
    if tables == 0 {
        return Ok(None);
    }
    connection.query_row("SELECT max(version) FROM crownhold_migration", [], |row| row.get(0))
}
