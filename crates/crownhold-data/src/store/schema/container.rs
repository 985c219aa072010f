//! The GeoPackage container: what makes the file one that any GIS opens.
//!
//! Version 1.3 with its trigger set, because older GIS installs and validators do not know 1.4.

use crownhold::types::Problem;
use rusqlite::{Connection, params};

use super::super::error::StoreError;
use super::super::geometry::{self, Envelope};
use super::super::row::{Cell, Snapshot, Table};

/// `PRAGMA application_id` of a GeoPackage ("GPKG") and `user_version` of version 1.3.
pub(in super::super) const TOLD_APART_BY: (i64, i64) = (0x4750_4B47, 10300);

/// A layer or table as a GIS lists it.
struct Listed {
    table: &'static str,
    title: &'static str,
    about: &'static str,
    geometry: Option<&'static str>,
}

const fn layer(table: &'static str, title: &'static str, geometry: &'static str, about: &'static str) -> Listed {
    Listed { table, title, about, geometry: Some(geometry) }
}

const fn list(table: &'static str, title: &'static str, about: &'static str) -> Listed {
    Listed { table, title, about, geometry: None }
}

const LISTED: &[Listed] = &[
    layer("blocks", "Blocks", "MULTIPOLYGON", "Management units for which a tactic is chosen"),
    layer("trees", "Trees", "POINT", "Tree inventory"),
    layer("plots", "Survey plots", "POINT", "Egg-mass survey plots"),
    layer("no_spray", "No-spray areas", "MULTIPOLYGON", "Areas that are not sprayed, with their buffers"),
    layer("streets", "Streets", "MULTILINESTRING", "Middle lines of streets, for the ways of crews"),
    list("programme", "Programme", "Name, season and reference system; one row"),
    list("strata", "Strata", "Survey strata"),
    list("visits", "Visits", "Visits to plots"),
    list("counts", "Counts", "Egg masses counted at a visit, by substrate"),
    list("weather_station", "Weather stations", "Stations; the first with usable days is used"),
    list("weather_day", "Daily weather", "Degrees C and millimetres"),
    list("weather_hours", "Hourly weather", "A row a day, 24 readings from midnight on to a cell; - where not known"),
    list("hours_supply", "Hours", "Hours that crews and volunteers can work"),
    list("resources", "Resources", "Money and the most area that may be sprayed; one row"),
    list("decisions", "Fixed decisions", "What the manager decided about a block"),
    list("past_seasons", "Past seasons", "Density, treatment and defoliation of past seasons"),
    list("parameters", "Parameters", "The programme's own values; delete a row to restore the default"),
    list("parameter_defaults", "Parameter defaults", "For information; changes here have no effect"),
    list("species", "Species", "Host class of tree species"),
    list("people", "People", "Who does what in the programme, and how to reach them"),
    list("teams", "Teams", "Who goes round, in which hours and where"),
    list("rounds", "Rounds", "Trees in order for a team and day; stops is a JSON list of trees and times"),
    list("field_samples", "Field samples", "Hatch, instars and leaves seen in spring"),
    list("band_visits", "Band visits", "What was found under bands, visit by visit"),
    list("scraping", "Scraping", "Egg masses scraped off, block and day"),
    list("applications", "Applications", "Application records; a closed version is never changed, only amended"),
    list("notices", "Notices", "Notices that went out"),
    list("plans", "Plans", "Stored plans; never changed"),
    list("journal", "Journal", "Every change: when, who, what"),
];

/// A reference system that a programme can be kept in.
pub(in super::super) struct System {
    epsg: u32,
    wkt: &'static str,
}

/// Looks a reference system up.
///
/// # Errors
/// [`StoreError::Unsound`] when the number is not known, or the system is not projected or not in metres.
pub(in super::super) fn system(epsg: u32) -> Result<System, StoreError> {
    let remedy = "Choose the system of the city's own maps if it is in metres, else the UTM zone the city lies in.";
    let refuse = |what: String| {
        let expected = "the EPSG number of a projected system in metres";
        Err(StoreError::Unsound(vec![Problem::error("S-201", what, remedy).expected(expected)]))
    };
    let Some(found) = u16::try_from(epsg).ok().and_then(crs_definitions::from_code) else {
        return refuse(format!("EPSG:{epsg} is not in the table of reference systems."));
    };
    if !found.wkt.starts_with("PROJCS") {
        return refuse(format!("EPSG:{epsg} ({}) is not a projected system.", name(found.wkt)));
    }
    if !found.proj4.split_whitespace().any(|word| word == "+units=m") {
        return refuse(format!("EPSG:{epsg} ({}) is not in metres.", name(found.wkt)));
    }
    Ok(System { epsg, wkt: found.wkt })
}

/// The name in a reference system's text: what stands between the first quotes.
fn name(wkt: &str) -> &str {
    wkt.split('"').nth(1).unwrap_or("no name")
}

/// Makes the container around tables that are already there. `when` is UTC, as GeoPackage writes it.
pub(in super::super) fn create(connection: &Connection, system: &System, when: &str) -> rusqlite::Result<()> {
    connection.execute_batch(include_str!("container.sql"))?;
    reference_system(connection, 4326, crs_definitions::EPSG_4326.wkt)?;
    reference_system(connection, system.epsg, system.wkt)?;
    for listed in LISTED {
        let data_type = if listed.geometry.is_some() { "features" } else { "attributes" };
        let srs = listed.geometry.map(|_| system.epsg);
        connection.execute(
            "INSERT INTO gpkg_contents (table_name, data_type, identifier, description, last_change, srs_id)
             VALUES (?1, ?2, ?3, ?4, ?5, ?6)",
            params![listed.table, data_type, listed.title, listed.about, when, srs],
        )?;
        if let Some(geometry) = listed.geometry {
            layer_tables(connection, listed.table, geometry, system.epsg.into())?;
        }
    }
    Ok(())
}

/// Lists a table that a later layout version added, in a container that is there already.
pub(super) fn list_later(connection: &Connection, table: &str) -> rusqlite::Result<()> {
    let sql = "SELECT count(*) FROM sqlite_master WHERE type = 'table' AND name = 'gpkg_contents'";
    let containers: i64 = connection.query_row(sql, [], |row| row.get(0))?;
    for listed in LISTED.iter().filter(|l| containers > 0 && l.table == table) {
        let data_type = if listed.geometry.is_some() { "features" } else { "attributes" };
        let system: i64 = connection.query_row("SELECT max(srs_id) FROM gpkg_contents", [], |row| row.get(0))?;
        // Nothing was put into it yet: the day on which the programme was last changed serves.
        connection.execute(
            "INSERT INTO gpkg_contents (table_name, data_type, identifier, description, last_change, srs_id)
             SELECT ?1, ?2, ?3, ?4, max(last_change), ?5 FROM gpkg_contents",
            params![listed.table, data_type, listed.title, listed.about, listed.geometry.map(|_| system)],
        )?;
        if let Some(geometry) = listed.geometry {
            layer_tables(connection, listed.table, geometry, system)?;
        }
    }
    Ok(())
}

/// Makes a container with one layer of outlines, for a layer that leaves the programme. The table must be there; `extent`
/// is that of its rows.
pub(in super::super) fn create_one(
    connection: &Connection,
    (table, about): (&str, &str),
    system: &System,
    extent: Option<Envelope>,
    when: &str,
) -> rusqlite::Result<()> {
    connection.execute_batch(include_str!("container.sql"))?;
    reference_system(connection, 4326, crs_definitions::EPSG_4326.wkt)?;
    reference_system(connection, system.epsg, system.wkt)?;
    let [min_x, max_x, min_y, max_y] = extent.map_or([None; 4], |e| e.map(Some));
    connection.execute(
        "INSERT INTO gpkg_contents VALUES (?1, 'features', ?1, ?2, strftime('%Y-%m-%dT%H:%M:%fZ', ?3), ?4, ?5, ?6, ?7, ?8)",
        params![table, about, when, min_x, min_y, max_x, max_y, system.epsg],
    )?;
    layer_tables(connection, table, "MULTIPOLYGON", system.epsg.into())
}

fn reference_system(connection: &Connection, epsg: u32, wkt: &str) -> rusqlite::Result<()> {
    let sql = "INSERT OR IGNORE INTO gpkg_spatial_ref_sys VALUES (?1, ?2, 'EPSG', ?2, ?3, NULL)";
    connection.execute(sql, params![name(wkt), epsg, wkt]).map(|_| ())
}

fn layer_tables(connection: &Connection, table: &str, geometry: &str, epsg: i64) -> rusqlite::Result<()> {
    connection.execute(
        "INSERT INTO gpkg_geometry_columns VALUES (?1, 'geom', ?2, ?3, 0, 0)",
        params![table, geometry, epsg],
    )?;
    connection.execute(
        "INSERT INTO gpkg_extensions VALUES
         (?1, 'geom', 'gpkg_rtree_index', 'http://www.geopackage.org/spec120/#extension_rtree', 'write-only')",
        params![table],
    )?;
    connection.execute_batch(&include_str!("rtree.sql").replace("{t}", table))
}

/// Notes in the container that a table was changed, and a layer's extent.
pub(in super::super) fn set_extent(
    connection: &Connection,
    table: &Table,
    rows: &Snapshot,
    when: &str,
) -> rusqlite::Result<()> {
    let extent = if table.is_layer { extent(table, rows) } else { None };
    let [min_x, max_x, min_y, max_y] = extent.map_or([None; 4], |e| e.map(Some));
    connection
        .execute(
            "UPDATE gpkg_contents SET last_change = ?2, min_x = ?3, max_x = ?4, min_y = ?5, max_y = ?6
             WHERE table_name = ?1",
            params![table.name, when, min_x, max_x, min_y, max_y],
        )
        .map(|_| ())
}

fn extent(table: &Table, rows: &Snapshot) -> Option<Envelope> {
    let geom = table.position("geom");
    let envelopes = rows.rows(table).filter_map(|(_, row)| match &row.cells[geom] {
        Cell::Blob(blob) => geometry::envelope(blob).ok().flatten(),
        _ => None,
    });
    envelopes.reduce(|a, b| [a[0].min(b[0]), a[1].max(b[1]), a[2].min(b[2]), a[3].max(b[3])])
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn only_projected_systems_in_metres() {
        let refused = |epsg| system(epsg).err().unwrap().problems()[0].what.clone();
        assert!(system(32617).is_ok());
        assert_eq!(refused(4326), "EPSG:4326 (WGS 84) is not a projected system.");
        // EPSG:2253 is Michigan South in international feet.
        assert!(refused(2253).ends_with("is not in metres."));
        assert_eq!(refused(999_999), "EPSG:999999 is not in the table of reference systems.");
    }
}
