//! What other programs see of the file, and what they may do to it.

use std::path::Path;

use crownhold::types::*;
use crownhold_data::store::{ProgrammeFile, StoreError};
use rusqlite::Connection;
use rusqlite::functions::{Context, FunctionFlags};

use crate::sample::{self, WHEN, WHO};
use crate::store::{change, made, place};

/// A connection as a GIS has one: it knows the functions of the R-tree triggers. Written apart from the store's own:
/// the envelope is taken from the header, where there is one.
fn gis(path: &Path) -> Connection {
    let connection = Connection::open(path).unwrap();
    let flags = FunctionFlags::SQLITE_DETERMINISTIC;
    connection.create_scalar_function("ST_IsEmpty", 1, flags, |c| Ok(c.get::<Vec<u8>>(0)?[3] & 0x10 != 0)).unwrap();
    for (name, at) in [("ST_MinX", 8), ("ST_MaxX", 16), ("ST_MinY", 24), ("ST_MaxY", 32)] {
        let read = move |c: &mut Context| {
            let blob = c.get::<Vec<u8>>(0)?;
            Ok(f64::from_le_bytes(blob[at..at + 8].try_into().unwrap()))
        };
        connection.create_scalar_function(name, 1, flags, read).unwrap();
    }
    connection
}

/// Boxes in the R-tree of a layer: how many, and their extent.
fn index(connection: &Connection, layer: &str) -> (i64, Option<[f64; 4]>) {
    let sql = format!("SELECT count(*), min(minx), max(maxx), min(miny), max(maxy) FROM rtree_{layer}_geom");
    connection
        .query_row(&sql, [], |r| {
            let extent: [Option<f64>; 4] = [r.get(1)?, r.get(2)?, r.get(3)?, r.get(4)?];
            Ok((r.get(0)?, extent[0].map(|_| extent.map(Option::unwrap))))
        })
        .unwrap()
}

/// OGC 12-128r17: requirements 2 (application id, version), 11 (reference systems), 18 and 25 (layers), 75 (R-tree).
#[test]
fn the_container_is_a_geopackage() {
    let (_folder, path) = place();
    made(&path).close().unwrap();
    let connection = Connection::open(&path).unwrap();
    let one = |sql: &str| connection.query_row(sql, [], |r| r.get::<_, i64>(0)).unwrap();
    assert_eq!(one("PRAGMA application_id"), 0x4750_4B47);
    assert_eq!(one("PRAGMA user_version"), 10300);
    assert_eq!(one("SELECT count(*) FROM gpkg_spatial_ref_sys WHERE srs_id IN (-1, 0, 4326, 32617)"), 4);
    assert_eq!(one("SELECT count(*) FROM gpkg_contents WHERE data_type = 'features' AND srs_id = 32617"), 5);
    assert_eq!(one("SELECT count(*) FROM gpkg_extensions WHERE extension_name = 'gpkg_rtree_index'"), 5);
    assert_eq!(one("SELECT count(*) FROM sqlite_master WHERE type = 'trigger' AND name LIKE 'rtree_%'"), 5 * 6);
    assert_eq!(one("SELECT count(*) FROM pragma_foreign_key_check"), 0);
    let extent: [f64; 4] = connection
        .query_row("SELECT min_x, min_y, max_x, max_y FROM gpkg_contents WHERE table_name = 'blocks'", [], |r| {
            Ok([r.get(0)?, r.get(1)?, r.get(2)?, r.get(3)?])
        })
        .unwrap();
    // Blocks 1 to 4 start at 400250, 400500, 400750, 401000 and are 200 wide; block 2 has a part up to 4700360.
    assert_eq!(extent, [400_250.0, 4_700_000.0, 401_200.0, 4_700_360.0]);
}

/// The R-tree's boxes are 32-bit floats, rounded outwards: at 4.7 million metres that is within half a metre.
#[test]
fn the_index_follows_changes_and_undo() {
    let (_folder, path) = place();
    let mut file = made(&path);
    let connection = Connection::open(&path).unwrap();
    let before = index(&connection, "blocks");
    assert_eq!(before.0, 4);
    let [min_x, max_x, min_y, max_y] = before.1.unwrap();
    assert!((min_x - 400_250.0).abs() < 0.5 && (max_x - 401_200.0).abs() < 0.5);
    assert!((min_y - 4_700_000.0).abs() < 1.0 && (max_y - 4_700_360.0).abs() < 1.0);
    change(&mut file, "moved, added, removed", |r| {
        r.blocks[1].shape = sample::block(100).shape;
        r.decisions.clear();
        r.blocks.truncate(2);
        r.trees.clear();
    });
    let (boxes, extent) = index(&connection, "blocks");
    // Block 1 stays at 400250; block 100 starts 100 x 250 m east of 400000 and is 200 m wide.
    let extent = extent.unwrap();
    assert_eq!(boxes, 2);
    assert!((extent[0] - 400_250.0).abs() < 0.5 && (extent[1] - 425_200.0).abs() < 0.5, "{extent:?}");
    assert_eq!(index(&connection, "trees"), (0, None));
    file.undo(WHO, WHEN).unwrap();
    assert_eq!(index(&connection, "blocks"), before);
    assert_eq!(index(&connection, "trees").0, 2);
}

/// A row edited elsewhere is read as it stands, and an operation that touched it can no longer be taken back.
#[test]
fn undo_refuses_what_was_altered_outside() {
    let (_folder, path) = place();
    let mut file = made(&path);
    change(&mut file, "budget and consent", |r| {
        r.resources.budget = Some(Money::dollars(7.0));
        r.blocks[0].consent = Consent::Given;
    });
    gis(&path).execute("UPDATE blocks SET consent = 'refused' WHERE id = 'B-001'", []).unwrap();
    assert_eq!(file.read().unwrap().blocks[0].consent, Consent::Refused);
    let before = file.read().unwrap();
    let error = file.undo(WHO, WHEN).unwrap_err();
    insta::assert_snapshot!(error.to_string());
    assert_eq!(file.read().unwrap(), before, "the budget stays too");
}

/// Undo brings a row back in the form in which it stood in the file, not in ours.
#[test]
fn undo_restores_a_hand_edit_to_the_letter() {
    let (_folder, path) = place();
    let mut file = made(&path);
    let connection = gis(&path);
    let word = || connection.query_row("SELECT land_use FROM blocks WHERE id = 'B-001'", [], |r| r.get::<_, String>(0));
    connection.execute("UPDATE blocks SET land_use = 'PARK' WHERE id = 'B-001'", []).unwrap();
    change(&mut file, "nothing but a name", |r| r.blocks[1].name = "Elm".into());
    assert_eq!(word().unwrap(), "PARK", "other rows are left alone");
    change(&mut file, "canopy", |r| r.blocks[0].canopy = None);
    file.undo(WHO, WHEN).unwrap();
    assert_eq!(word().unwrap(), "PARK");
}

#[test]
fn every_bad_hand_edit_is_named() {
    let (_folder, path) = place();
    let file = made(&path);
    let connection = gis(&path);
    connection
        .execute_batch(
            "PRAGMA foreign_keys = off;
             UPDATE blocks SET land_use = 'golf', canopy = 62 WHERE id = 'B-002';
             UPDATE counts SET new_masses = NULL WHERE visit = 'V1' AND position = 2;
             UPDATE visits SET visited_on = '14.10.2026' WHERE id = 'V2';
             UPDATE plots SET block = 'B-404' WHERE id = 'P3';
             UPDATE species SET host_class = 'nice';
             UPDATE gpkg_geometry_columns SET srs_id = 4326 WHERE table_name = 'trees';",
        )
        .unwrap();
    let error = file.read().unwrap_err();
    assert!(matches!(error, StoreError::Unreadable(_)));
    let blocks_and_survey: Vec<_> =
        error.problems().iter().map(ToString::to_string).filter(|p| !p.contains("species")).collect();
    insta::assert_snapshot!(blocks_and_survey.join("\n"));
}

#[test]
fn a_layer_moved_to_another_system_is_told() {
    let (_folder, path) = place();
    let file = made(&path);
    let connection = gis(&path);
    connection.execute("UPDATE gpkg_geometry_columns SET srs_id = 4326 WHERE table_name = 'trees'", []).unwrap();
    insta::assert_snapshot!(file.read().unwrap_err().to_string());
}

#[test]
fn a_lost_column_is_told_and_a_further_one_is_kept() {
    let (_folder, path) = place();
    let mut file = made(&path);
    let connection = gis(&path);
    connection.execute_batch("ALTER TABLE blocks ADD COLUMN remark TEXT; UPDATE blocks SET remark = 'wet'").unwrap();
    change(&mut file, "name", |r| r.blocks[0].name = "Elm".into());
    let sql = "SELECT remark FROM blocks WHERE id = 'B-001'";
    let remark = connection.query_row(sql, [], |r| r.get::<_, String>(0)).unwrap();
    assert_eq!(remark, "wet");
    connection.execute_batch("ALTER TABLE no_spray DROP COLUMN buffer_m").unwrap();
    insta::assert_snapshot!(ProgrammeFile::open(&path).unwrap().read().unwrap_err().to_string());
}
