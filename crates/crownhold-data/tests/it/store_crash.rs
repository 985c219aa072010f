//! A process that dies in the middle of writing leaves the file as it was before.

use std::fs;
use std::path::Path;
use std::process::Command;

use crownhold_data::store::ProgrammeFile;
use rusqlite::Connection;

use crate::sample;
use crate::store::{change, made, place};

const FILE: &str = "CROWNHOLD_TEST_DIES_WRITING";

/// Writes many rows in a transaction, pushes them out of memory into the write-ahead file, and dies.
/// Runs as a test of its own only in the child process that the next test starts.
#[test]
fn child_that_dies_writing() {
    let Some(path) = std::env::var_os(FILE) else { return };
    let connection = Connection::open(path).unwrap();
    connection.execute_batch("PRAGMA journal_mode = wal; PRAGMA cache_size = 5; BEGIN IMMEDIATE").unwrap();
    connection.execute("UPDATE programme SET name = 'Half done'", []).unwrap();
    for i in 0..20_000 {
        connection.execute("INSERT INTO strata (id, name) VALUES (?1, 'half done')", [format!("S{i}")]).unwrap();
    }
    connection.cache_flush().unwrap();
    std::process::abort();
}

fn die_writing(path: &Path) {
    let child = Command::new(std::env::current_exe().unwrap())
        .args(["--exact", "store_crash::child_that_dies_writing"])
        .env(FILE, path)
        .output()
        .unwrap();
    assert!(!child.status.success(), "the child must die");
}

#[test]
fn a_crash_in_the_middle_of_writing_leaves_the_state_before() {
    let (_folder, path) = place();
    let before = made(&path).history().unwrap();
    die_writing(&path);
    let left = fs::metadata(path.with_extension("gpkg-wal")).unwrap().len();
    assert!(left > 100_000, "half-written pages did reach the disk: {left} bytes");
    let mut file = ProgrammeFile::open(&path).unwrap();
    assert_eq!(file.read().unwrap(), sample::records());
    assert_eq!(file.history().unwrap(), before);
    change(&mut file, "work goes on", |r| r.programme.season = 2029);
}

/// A change that was committed is kept even if the process dies before folding it into the main file.
#[test]
fn a_crash_after_committing_keeps_the_change() {
    let (folder, path) = place();
    let mut file = made(&path);
    change(&mut file, "committed", |r| r.programme.season = 2029);
    let copy = folder.path().join("copy.gpkg");
    fs::copy(&path, &copy).unwrap();
    fs::copy(path.with_extension("gpkg-wal"), copy.with_extension("gpkg-wal")).unwrap();
    assert_eq!(ProgrammeFile::open(&copy).unwrap().read().unwrap().programme.season, 2029);
}
