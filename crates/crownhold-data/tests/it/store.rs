//! Made, read, changed, taken back.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use crownhold::types::*;
use crownhold_data::store::{ProgrammeFile, StoreError};
use jiff::civil::date;
use proptest::prelude::*;
use tempfile::TempDir;

use crate::sample::{self, WHEN, WHO};

/// A folder and, in it, the path of a programme that is not yet there.
pub fn place() -> (TempDir, PathBuf) {
    let folder = TempDir::new().unwrap();
    let path = folder.path().join("pellwood.gpkg");
    (folder, path)
}

/// Makes the sample programme.
pub fn made(path: &Path) -> ProgrammeFile {
    let mut file = ProgrammeFile::create(path, &sample::programme(), WHO, WHEN).unwrap();
    change(&mut file, "sample records", |r| *r = sample::records());
    file
}

/// A change that holds.
pub fn change(file: &mut ProgrammeFile, what: &str, f: impl FnOnce(&mut Records)) {
    file.change(WHO, WHEN, what, |records| {
        f(records);
        Ok::<_, StoreError>(())
    })
    .unwrap();
}

#[test]
fn a_new_file_is_an_empty_programme() {
    let (_folder, path) = place();
    let file = ProgrammeFile::create(&path, &sample::programme(), WHO, WHEN).unwrap();
    assert_eq!(file.read().unwrap(), Records::empty(sample::programme()));
    let history = file.history().unwrap();
    assert_eq!(history.len(), 1);
    assert_eq!((history[0].what.as_str(), history[0].when.as_str()), ("programme made", "2026-11-02T14:30:00.000Z"));
}

#[test]
fn everything_comes_back_after_closing() {
    let (_folder, path) = place();
    let mut file = made(&path);
    let mut wanted = sample::records();
    for name in ["aerial.price", "survey.k"] {
        assert!(wanted.parameters.set(name, Value::Triangular(1.0, 2.5, 4.0), "city trial 2025"));
    }
    change(&mut file, "own values", |r| r.parameters = wanted.parameters.clone());
    file.close().unwrap();
    let file = ProgrammeFile::open(&path).unwrap();
    assert_eq!(file.read().unwrap(), wanted);
}

#[test]
fn records_are_kept_in_order_whatever_order_they_came_in() {
    let (_folder, path) = place();
    let mut file = ProgrammeFile::create(&path, &sample::programme(), WHO, WHEN).unwrap();
    let mut mixed = sample::records();
    mixed.blocks.reverse();
    mixed.plots.reverse();
    mixed.past.reverse();
    change(&mut file, "mixed", |r| *r = mixed);
    assert_eq!(file.read().unwrap(), sample::records());
}

#[test]
fn one_journal_entry_with_only_the_rows_that_changed() {
    let (_folder, path) = place();
    let mut file = made(&path);
    change(&mut file, "consent of two blocks, one visit", |r| {
        r.blocks[0].consent = Consent::Given;
        r.blocks[2].consent = Consent::Refused;
        r.visits[0].counts[1].new = 5;
    });
    let last = file.history().unwrap().pop().unwrap();
    assert_eq!(last.changes, BTreeMap::from([("blocks".to_owned(), 2), ("counts".to_owned(), 1)]));
    assert_eq!((last.who.as_str(), last.undone), (WHO, false));
    let kept: (String, String) = rusqlite::Connection::open(&path)
        .unwrap()
        .query_row("SELECT before, after FROM journal_row WHERE row_key = '[\"V1\",2]' ORDER BY fid DESC", [], |r| {
            Ok((r.get(0)?, r.get(1)?))
        })
        .unwrap();
    assert!(kept.0.contains("\"new_masses\":0") && kept.1.contains("\"new_masses\":5"), "{kept:?}");
}

/// A copy made while the file is open and its last change still lies in the write-ahead file.
#[test]
fn a_copy_is_whole_and_stands_alone() {
    let (folder, path) = place();
    let mut file = made(&path);
    change(&mut file, "last", |r| r.programme.season = 2030);
    let wanted = file.read().unwrap();
    let copy = folder.path().join("copy.gpkg");
    file.backup_to(&copy).unwrap();
    let bytes = folder.path().join("bytes.gpkg");
    std::fs::write(&bytes, file.backup_bytes().unwrap()).unwrap();
    for copy in [&copy, &bytes] {
        let mark = std::fs::read(copy).unwrap();
        assert_eq!(mark[18..20], [1, 1], "no write-ahead file belongs to it");
        let mut other = ProgrammeFile::open(copy).unwrap();
        assert_eq!(other.read().unwrap(), wanted);
        assert_eq!(other.history().unwrap(), file.history().unwrap());
        assert_eq!(other.undo(WHO, WHEN).unwrap().what, "last");
        other.close().unwrap();
    }
    assert_eq!(file.read().unwrap(), wanted);
    // Nothing is overwritten, least of all the programme itself.
    for there in [&copy, &path] {
        assert!(matches!(file.backup_to(there), Err(StoreError::Exists(_))));
    }
    let nowhere = folder.path().join("nowhere/copy.gpkg");
    assert!(matches!(file.backup_to(&nowhere), Err(StoreError::NotThere { .. })));
}

#[test]
fn a_failed_change_leaves_nothing() {
    #[derive(Debug)]
    enum Why {
        Mine,
        Store,
    }
    impl From<StoreError> for Why {
        fn from(_: StoreError) -> Self {
            Self::Store
        }
    }
    let (_folder, path) = place();
    let mut file = made(&path);
    let before = (file.read().unwrap(), file.history().unwrap());
    let failed = file.change(WHO, WHEN, "half done", |records| {
        records.blocks.clear();
        Err::<(), _>(Why::Mine)
    });
    assert!(matches!(failed, Err(Why::Mine)));
    let unsound = file.change(WHO, WHEN, "block of a plot taken away", |records| {
        records.blocks.remove(0);
        Ok::<_, Why>(())
    });
    assert!(matches!(unsound, Err(Why::Store)));
    assert_eq!((file.read().unwrap(), file.history().unwrap()), before);
}

#[test]
fn what_must_not_be_written_is_said_all_at_once() {
    let (_folder, path) = place();
    let mut file = made(&path);
    let refused = |file: &mut ProgrammeFile, f: &dyn Fn(&mut Records)| {
        let error = file.change(WHO, WHEN, "bad", |r| {
            f(r);
            Ok::<_, StoreError>(())
        });
        error.unwrap_err().to_string()
    };
    insta::assert_snapshot!(
        "unsound",
        refused(&mut file, &|r| {
            r.blocks[1].id = "B-001".into();
            r.blocks[2].elevation = Some(Length::metres(88_000.0));
            r.plots[0].block = "B-404".into();
        })
    );
    insta::assert_snapshot!("other_system", refused(&mut file, &|r| r.programme.epsg = 26917));
    let stamp = file.change(" ", "yesterday", "", |_| Ok::<_, StoreError>(())).unwrap_err();
    insta::assert_snapshot!("bad_stamp", stamp.to_string());
}

#[test]
fn nothing_changed_is_no_entry() {
    let (_folder, path) = place();
    let mut file = made(&path);
    let entries = file.history().unwrap().len();
    change(&mut file, "nothing", |_| ());
    assert_eq!(file.history().unwrap().len(), entries);
}

#[test]
fn undo_goes_back_step_by_step() {
    let (_folder, path) = place();
    let mut file = made(&path);
    change(&mut file, "budget", |r| r.resources.budget = Some(Money::dollars(1.5)));
    change(&mut file, "blocks redrawn", |r| {
        r.decisions.clear();
        r.blocks.retain(|b| b.id.as_str() == "B-001");
        r.blocks.push(sample::block(9));
        r.blocks[0].shape = r.blocks[1].shape.clone();
    });
    let undone = file.undo("C. Chief", "2026-11-03T08:00:00-05:00").unwrap();
    assert_eq!((undone.what.as_str(), undone.undone), ("blocks redrawn", true));
    assert_eq!(file.undo(WHO, WHEN).unwrap().what, "budget");
    assert_eq!(file.read().unwrap(), sample::records());
    assert_eq!(file.undo(WHO, WHEN).unwrap().what, "sample records");
    assert_eq!(file.read().unwrap(), Records::empty(sample::programme()));
    assert!(matches!(file.undo(WHO, WHEN), Err(StoreError::NothingToUndo)));
    let history = file.history().unwrap();
    let lines: Vec<_> = history.iter().map(|e| (e.id, e.what.as_str(), e.undone, e.undoes)).collect();
    insta::assert_debug_snapshot!("history_after_undo", lines);
    assert_eq!(history[4].when, "2026-11-03T13:00:00.000Z", "kept in UTC");
}

#[test]
fn undo_after_undo_and_new_work() {
    let (_folder, path) = place();
    let mut file = made(&path);
    change(&mut file, "one", |r| r.programme.season = 2030);
    file.undo(WHO, WHEN).unwrap();
    change(&mut file, "two", |r| r.programme.season = 2031);
    assert_eq!(file.undo(WHO, WHEN).unwrap().what, "two");
    assert_eq!(file.read().unwrap().programme.season, 2027);
    assert_eq!(file.undo(WHO, WHEN).unwrap().what, "sample records", "\"one\" is already taken back");
}

#[test]
fn a_default_is_restored_by_a_change() {
    let (_folder, path) = place();
    let mut file = made(&path);
    let connection = rusqlite::Connection::open(&path).unwrap();
    let count = |table: &str| -> i64 {
        connection.query_row(&format!("SELECT count(*) FROM {table}"), [], |r| r.get(0)).unwrap()
    };
    assert_eq!(count("parameter_defaults"), Parameters::defaults().iter().count() as i64);
    let Some(name) = Parameters::defaults().iter().next().map(|p| p.name.clone()) else { return };
    change(&mut file, "own value", |r| assert!(r.parameters.set(&name, Value::Number(1.0), "trial")));
    assert_eq!((count("parameters"), file.read().unwrap().parameters.changed().len()), (1, 1));
    change(&mut file, "default restored", |r| r.parameters = Parameters::defaults());
    assert_eq!((count("parameters"), file.read().unwrap().parameters.changed().len()), (0, 0));
}

#[test]
fn plans_are_kept_side_by_side() {
    let (_folder, path) = place();
    let mut file = made(&path);
    assert_eq!(file.latest_plan().unwrap(), None);
    file.save_plan("least spray", WHO, WHEN, u64::MAX, r#"{"cost": 1}"#).unwrap();
    let second = file.save_plan("least spray", WHO, "2026-12-01T00:00:00Z", 7, r#"{"cost": 2}"#).unwrap();
    assert!(file.save_plan("broken", WHO, WHEN, 7, "{").is_err());
    let plans = file.plans().unwrap();
    assert_eq!(plans.iter().map(|p| p.seed).collect::<Vec<_>>(), [u64::MAX, 7]);
    assert_eq!(file.latest_plan().unwrap().unwrap(), plans[1]);
    assert_eq!((plans[1].id, plans[1].json.as_str()), (second, r#"{"cost": 2}"#));
    let connection = rusqlite::Connection::open(&path).unwrap();
    assert!(connection.execute("UPDATE plans SET json = '{}'", []).is_err(), "a plan cannot be overwritten");
    assert_eq!(file.undo(WHO, WHEN).unwrap().what, "sample records", "storing a plan changes no record");
}

#[test]
fn a_city_of_trees_and_decades_of_weather() {
    let (_folder, path) = place();
    let mut file = made(&path);
    change(&mut file, "inventory", |r| {
        r.trees = (1..=12_000).map(sample::tree).collect();
        r.weather[0].days = sample::days(jiff::civil::date(1996, 1, 1), 11_000);
    });
    let entry = file.history().unwrap().pop().unwrap();
    // T2 is as it was; the other 11,999 are new or other trees. 11,000 days from 1996-01-01 end on 2026-02-12, beyond
    // the 60 from 2025-12-25 on that stood there, of which the last 11 go.
    assert_eq!(entry.changes["trees"], 11_999);
    assert!((10_951..=11_011).contains(&entry.changes["weather_day"]), "{:?}", entry.changes);
    let records = file.read().unwrap();
    assert_eq!((records.trees.len(), records.weather[0].days.len()), (12_000, 11_000));
    change(&mut file, "one tree", |r| r.trees[5].public = false);
    assert_eq!(file.history().unwrap().pop().unwrap().changes, BTreeMap::from([("trees".to_owned(), 1)]));
}

/// A small operation on the sample, told by two numbers.
fn operate(records: &mut Records, kind: u8, n: u32) {
    match kind {
        0 => records.resources.budget = Some(Money::dollars(n.into())),
        1 => records.trees.push(sample::tree(1_000 + n)),
        2 => records.trees.truncate(1),
        3 => records.blocks[0].shape = sample::block(n).shape,
        4 => records.visits[0].counts.truncate((n % 3) as usize),
        5 => records.weather[0].days.truncate((n % 50) as usize),
        6 => records.weather.reverse(),
        _ => records.decisions.retain(|d| d.block.as_str() != format!("B-00{}", n % 4)),
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(12))]

    /// Whatever was done: the file holds it, and taking everything back gives each state before.
    #[test]
    fn undo_is_the_inverse_of_any_operations(
        operations in prop::collection::vec((0u8..8, 5u32..400), 1..5)
    ) {
        let (_folder, path) = place();
        let mut file = made(&path);
        let mut states = vec![file.read().unwrap()];
        for (kind, n) in operations {
            let mut wanted = states[states.len() - 1].clone();
            operate(&mut wanted, kind, n);
            wanted.trees.sort_by(|a, b| a.id.cmp(&b.id));
            wanted.trees.dedup_by(|a, b| a.id == b.id);
            let entries = file.history().unwrap().len();
            change(&mut file, "operation", |r| *r = wanted.clone());
            prop_assert_eq!(&file.read().unwrap(), &wanted);
            if file.history().unwrap().len() > entries {
                states.push(wanted);
            }
        }
        while states.len() > 1 {
            states.pop();
            file.undo(WHO, WHEN).unwrap();
            prop_assert_eq!(&file.read().unwrap(), &states[states.len() - 1]);
        }
    }
}

/// Whatever way is tried, a closed application record stays as it is; its amendment stands beside it.
#[test]
fn a_closed_application_record_stays() {
    let (_folder, path) = place();
    let mut file = made(&path);
    let close = |r: &mut Records| r.log.applications[0].closed = Some((date(2027, 6, 21), "RK".into()));
    change(&mut file, "closed", close);
    let closed = file.read().unwrap().log.applications[0].clone();
    assert_eq!(closed.closed, Some((date(2027, 6, 21), "RK".into())));
    let refused = |result: Result<(), StoreError>| {
        let problems = result.unwrap_err().problems();
        assert_eq!(problems.iter().map(|p| p.code).collect::<Vec<_>>(), ["S-205"], "{problems:?}");
    };
    let touched = |r: &mut Records| -> Result<(), StoreError> {
        r.log.applications[0].note = "later".into();
        Ok(())
    };
    refused(file.change(WHO, WHEN, "note", touched));
    refused(file.change(WHO, WHEN, "gone", |r| -> Result<(), StoreError> {
        r.log.applications.remove(0);
        Ok(())
    }));
    refused(file.undo(WHO, WHEN).map(|_| ()));
    change(&mut file, "amended", |r| r.log.applications[1].note = "second thoughts".into());
    assert_eq!(file.undo(WHO, WHEN).unwrap().what, "amended");
    assert_eq!(file.read().unwrap().log.applications[0], closed);
    file.close().unwrap();
    // Nor by another program.
    let outside = rusqlite::Connection::open(&path).unwrap();
    for sql in ["UPDATE applications SET note = 'x' WHERE version = 1", "DELETE FROM applications WHERE version = 1"] {
        let error = outside.execute(sql, []).unwrap_err().to_string();
        assert!(error.contains("a closed application record is never"), "{error}");
    }
}
