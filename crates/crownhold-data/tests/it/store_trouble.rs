//! Files that are no programme, broken ones, newer and older ones.

use std::fs;
use std::path::Path;

use crownhold::types::{Area, MassesPerArea};
use crownhold_data::store::{ProgrammeFile, StoreError};
use rusqlite::Connection;

use crate::sample::{self, WHEN, WHO};
use crate::store::{change, made, place};

/// What opening says, with the folder's own name taken out.
fn refusal(path: &Path) -> String {
    let error = ProgrammeFile::open(path).expect_err("must not open").to_string();
    error.replace(&path.parent().unwrap().display().to_string(), "")
}

#[test]
fn what_is_no_programme_is_told_apart() {
    let (folder, _) = place();
    let at = |name: &str| folder.path().join(name);
    let mut said = vec![refusal(&at("missing.gpkg"))];
    fs::write(at("empty.gpkg"), b"").unwrap();
    fs::write(at("text.gpkg"), "block,acres\n1,40\n").unwrap();
    fs::write(at("short.gpkg"), "SQLite format 3\0").unwrap();
    Connection::open(at("database.gpkg")).unwrap().execute_batch("CREATE TABLE notes (text TEXT)").unwrap();
    let other = Connection::open(at("other.gpkg")).unwrap();
    other.execute_batch("PRAGMA application_id = 0x47504B47; PRAGMA user_version = 10300; CREATE TABLE a (b)").unwrap();
    drop(other);
    said.extend(
        ["empty.gpkg", "text.gpkg", "short.gpkg", "database.gpkg", "other.gpkg"].map(|name| refusal(&at(name))),
    );
    insta::assert_snapshot!(said.join("\n"));
}

#[test]
fn opening_a_bad_file_does_not_touch_it() {
    let (_folder, path) = place();
    for content in [b"".to_vec(), b"hello".to_vec()] {
        fs::write(&path, &content).unwrap();
        assert!(ProgrammeFile::open(&path).is_err());
        assert_eq!(fs::read(&path).unwrap(), content);
    }
}

#[test]
fn a_file_cut_short_is_damaged() {
    let (_folder, path) = place();
    made(&path).close().unwrap();
    let whole = fs::read(&path).unwrap();
    for part in [whole.len() / 2, whole.len() - 1] {
        fs::write(&path, &whole[..part]).unwrap();
        let error = ProgrammeFile::open(&path).expect_err("cut short");
        assert!(matches!(error, StoreError::Damaged { .. }), "{error}");
    }
}

/// Bytes overwritten in the middle give an error or the same records, never a panic or other records.
#[test]
fn a_scribbled_file_never_panics() {
    let (_folder, path) = place();
    made(&path).close().unwrap();
    let whole = fs::read(&path).unwrap();
    let mut refused = 0;
    for page in 1..whole.len() / 4096 {
        let mut spoilt = whole.clone();
        spoilt[page * 4096..page * 4096 + 64].fill(0xA5);
        fs::write(&path, &spoilt).unwrap();
        match ProgrammeFile::open(&path).and_then(|file| file.read()) {
            Ok(records) => assert_eq!(records, sample::records(), "page {page}"),
            Err(_) => refused += 1,
        }
    }
    assert!(refused > 10, "record pages are among those spoilt, {refused}");
}

#[test]
fn a_newer_file_is_refused() {
    let (_folder, path) = place();
    made(&path).close().unwrap();
    Connection::open(&path).unwrap().execute("INSERT INTO crownhold_migration VALUES (99, 'later')", []).unwrap();
    insta::assert_snapshot!(refusal(&path));
}

#[test]
fn a_file_is_never_overwritten() {
    let (_folder, path) = place();
    made(&path).close().unwrap();
    let again = ProgrammeFile::create(&path, &sample::programme(), WHO, WHEN);
    assert!(matches!(again, Err(StoreError::Exists(_))));
    assert_eq!(ProgrammeFile::open(&path).unwrap().read().unwrap(), sample::records());
}

#[test]
fn a_refused_programme_leaves_no_file() {
    let (_folder, path) = place();
    for (epsg, season) in [(4326, 2027), (2253, 2027)] {
        let programme = crownhold::types::Programme { epsg, season, ..sample::programme() };
        assert!(matches!(ProgrammeFile::create(&path, &programme, WHO, WHEN), Err(StoreError::Unsound(_))));
        assert!(!path.exists());
    }
    let nameless = crownhold::types::Programme { name: String::new(), ..sample::programme() };
    assert!(matches!(ProgrammeFile::create(&path, &nameless, WHO, WHEN), Err(StoreError::Unsound(_))));
    assert!(!path.exists());
}

/// A file of layout version 1 (`samples/v1.sql`) opens, reads right, and its journal still works.
#[test]
fn a_file_of_version_1_is_brought_up_to_date() {
    let (_folder, path) = place();
    Connection::open(&path).unwrap().execute_batch(include_str!("samples/v1.sql")).unwrap();
    let mut file = ProgrammeFile::open(&path).unwrap();
    let records = file.read().unwrap();
    assert_eq!(records.blocks.len(), 2);
    assert_eq!((records.blocks[0].name.as_str(), &records.blocks[0].neighbourhood), ("Mill Woods", &None));
    assert_eq!(records.blocks[0].canopy.unwrap().value(), 0.7);
    // 200 m by 200 m.
    assert_eq!(records.blocks[0].area(), Area::square_metres(40_000.0));
    assert_eq!(records.visits[0].counts[0].new, 17);
    assert_eq!(records.past[0].density, Some(MassesPerArea::per_square_metre(0.08)));
    assert_eq!(records.past[0].sprayed, None);

    // An entry that was written before the column was there is taken back, and the new column stays.
    change(&mut file, "neighbourhoods", |r| r.blocks[0].neighbourhood = Some("North Side".into()));
    file.undo(WHO, WHEN).unwrap();
    assert_eq!(file.undo(WHO, WHEN).unwrap().what, "canopy of Mill Woods");
    assert_eq!(file.read().unwrap().blocks[0].canopy.unwrap().value(), 0.6);
    file.close().unwrap();

    let versions = Connection::open(&path)
        .unwrap()
        .query_row("SELECT group_concat(version) FROM crownhold_migration", [], |r| r.get::<_, String>(0))
        .unwrap();
    assert_eq!(versions, "1,2,3,4,5,6,7,8,9");
    ProgrammeFile::open(&path).unwrap().read().unwrap();
}

/// A file of layout version 2 (`samples/v2.sql`): neighbourhoods were there, people were not; the new table is one that
/// a GIS sees, and what was done before is taken back.
#[test]
fn a_file_of_version_2_is_brought_up_to_date() {
    let (_folder, path) = place();
    Connection::open(&path).unwrap().execute_batch(include_str!("samples/v2.sql")).unwrap();
    let mut file = ProgrammeFile::open(&path).unwrap();
    let records = file.read().unwrap();
    let wanted = sample::records();
    assert_eq!(records.blocks[0], wanted.blocks[0]);
    assert_eq!((records.plots, records.visits, records.past), (wanted.plots, wanted.visits, wanted.past));
    assert_eq!(records.people, Vec::new());
    assert!(records.blocks[3].survey_closed.is_some());
    change(&mut file, "people", |r| r.people = sample::records().people);
    assert_eq!(file.read().unwrap().people, wanted.people);
    // A layer that came later is one that a GIS sees too, with its index.
    change(&mut file, "streets", |r| r.streets = sample::records().streets);
    assert_eq!(file.read().unwrap().streets, wanted.streets);
    file.undo(WHO, WHEN).unwrap();
    file.undo(WHO, WHEN).unwrap();
    assert_eq!(file.undo(WHO, WHEN).unwrap().what, "count closed on 2026-12-01: B-004");
    let records = file.read().unwrap();
    assert_eq!((records.people, records.blocks[3].survey_closed), (Vec::new(), None));
    file.close().unwrap();
    let connection = Connection::open(&path).unwrap();
    let count = |sql: &str| connection.query_row(sql, [], |r| r.get::<_, i64>(0)).unwrap();
    assert_eq!(count("SELECT count(*) FROM gpkg_contents WHERE table_name = 'people' AND srs_id IS NULL"), 1);
    assert_eq!(count("SELECT count(*) FROM gpkg_contents WHERE table_name = 'streets' AND srs_id = 32617"), 1);
    assert_eq!(count("SELECT count(*) FROM gpkg_geometry_columns WHERE table_name = 'streets' AND srs_id = 32617"), 1);
    assert_eq!(count("SELECT count(*) FROM sqlite_master WHERE name = 'rtree_streets_geom'"), 1);
}

#[test]
fn two_open_at_once_see_each_other_and_wait() {
    let (_folder, path) = place();
    let mut one = made(&path);
    let mut two = ProgrammeFile::open(&path).unwrap();
    change(&mut one, "from one", |r| r.programme.season = 2028);
    change(&mut two, "from two", |r| r.programme.name.push_str(" East"));
    let programme = one.read().unwrap().programme;
    assert_eq!((programme.season, programme.name.as_str()), (2028, "Pellwood East"));
    assert_eq!(one.history().unwrap(), two.history().unwrap());
    one.close().unwrap();
    assert_eq!(two.read().unwrap().programme, programme);
    two.close().unwrap();
    let beside: Vec<_> = fs::read_dir(path.parent().unwrap()).unwrap().map(|e| e.unwrap().file_name()).collect();
    assert_eq!(beside, ["pellwood.gpkg"], "one plain file is left");
}

#[test]
fn many_writers_lose_nothing() {
    let (_folder, path) = place();
    made(&path).close().unwrap();
    std::thread::scope(|scope| {
        for who in 0..4 {
            let path = &path;
            scope.spawn(move || {
                let mut file = ProgrammeFile::open(path).unwrap();
                for _ in 0..5 {
                    change(&mut file, &format!("writer {who}"), |r| r.programme.season += 1);
                }
            });
        }
    });
    let file = ProgrammeFile::open(&path).unwrap();
    assert_eq!(file.read().unwrap().programme.season, 2027 + 20);
    assert_eq!(file.history().unwrap().len(), 2 + 20);
}
