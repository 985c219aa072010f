//! The house rules as tests: who may use whom, how big things may grow, nothing forgotten.

use std::fs;
use std::path::{Path, PathBuf};

/// Rooms of the domain and what each may use.
const ARROWS: [(&str, &[&str]); 9] = [
    // `types` names the rooms' lists of default parameters, and nothing else of theirs.
    ("types", &["timing", "survey", "outlook", "tactics", "plan", "field"]),
    ("timing", &["types"]),
    ("survey", &["types"]),
    ("outlook", &["types", "survey"]),
    ("tactics", &["types", "timing", "survey", "outlook"]),
    ("plan", &["types", "tactics"]),
    ("field", &["types", "timing", "tactics", "plan"]),
    ("evidence", &["types", "outlook"]),
    ("pellwood", &["types", "outlook", "tactics"]),
];
/// Lines of the longest source file; raise it on purpose or split the file.
const LONGEST_FILE: usize = 600;
/// Packages in the lock file; raise it when a dependency is worth it.
const MOST_PACKAGES: usize = 600;

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..").canonicalize().unwrap()
}

fn sources(dir: &Path) -> Vec<PathBuf> {
    let mut all = Vec::new();
    for entry in fs::read_dir(dir).unwrap().map(Result::unwrap) {
        let path = entry.path();
        if path.is_dir() {
            all.extend(sources(&path));
        } else if path.extension().is_some_and(|e| e == "rs") {
            all.push(path);
        }
    }
    all.sort();
    all
}

#[test]
fn rooms_use_only_what_they_may() {
    let domain = root().join("crates/crownhold/src");
    let mut wrong = Vec::new();
    for (room, may) in ARROWS {
        for file in sources(&domain.join(room)) {
            let text = fs::read_to_string(&file).unwrap();
            for line in text.lines().filter(|l| !l.trim_start().starts_with("//")) {
                for (other, _) in ARROWS.iter().filter(|(o, _)| *o != room && !may.contains(o)) {
                    if line.contains(&format!("crate::{other}::")) || line.contains(&format!("crate::{other};")) {
                        wrong.push(format!(
                            "{}: {room} may use {may:?}; move the shared part down to types: {line}",
                            file.display()
                        ));
                    }
                }
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// The default lists are all that `types` takes from other rooms.
#[test]
fn types_takes_only_default_lists() {
    for file in sources(&root().join("crates/crownhold/src/types")) {
        for line in fs::read_to_string(&file).unwrap().lines().filter(|l| !l.trim_start().starts_with("//")) {
            let foreign = ["timing", "survey", "outlook", "tactics", "plan", "field"]
                .iter()
                .any(|r| line.contains(&format!("super::super::{r}::")));
            assert!(!foreign || line.contains("::DEFAULTS"), "{}: {line}", file.display());
        }
    }
}

#[test]
fn crates_point_one_way() {
    let uses = |name: &str| {
        let text = fs::read_to_string(root().join("crates").join(name).join("Cargo.toml")).unwrap();
        let own: Vec<String> = text
            .lines()
            .filter(|l| l.starts_with("crownhold"))
            .map(|l| l.split('.').next().unwrap().trim().to_owned())
            .collect();
        own
    };
    assert_eq!(uses("crownhold"), Vec::<String>::new());
    for name in ["crownhold-plan", "crownhold-data", "crownhold-print"] {
        assert_eq!(uses(name), ["crownhold"], "{name} may use the domain only");
    }
    assert_eq!(uses("crownhold-ui"), Vec::<String>::new());
}

#[test]
fn files_stay_readable() {
    let long: Vec<String> = sources(&root().join("crates"))
        .into_iter()
        .filter_map(|f| {
            let lines = fs::read_to_string(&f).unwrap().lines().count();
            (lines > LONGEST_FILE).then(|| format!("{} has {lines} lines", f.display()))
        })
        .collect();
    assert!(long.is_empty(), "{}", long.join("\n"));
}

#[test]
fn the_lock_file_stays_small() {
    let lock = fs::read_to_string(root().join("Cargo.lock")).unwrap();
    let packages = lock.lines().filter(|l| l.starts_with("name = ")).count();
    assert!(packages <= MOST_PACKAGES, "{packages} packages");
}

/// A test file that no main.rs names is never run.
#[test]
fn no_test_file_is_forgotten() {
    for name in ["crownhold", "crownhold-plan", "crownhold-data", "crownhold-print", "crownhold-app"] {
        let dir = root().join("crates").join(name).join("tests/it");
        let main = fs::read_to_string(dir.join("main.rs")).unwrap();
        for entry in fs::read_dir(&dir).unwrap().map(Result::unwrap) {
            let path = entry.path();
            let stem = path.file_stem().unwrap().to_string_lossy().into_owned();
            if path.extension().is_some_and(|e| e == "rs") && stem != "main" {
                assert!(main.contains(&format!("mod {stem};")), "{} is not run", path.display());
            }
        }
    }
}

/// Every parameter of the catalogue is read somewhere outside the lists of defaults.
#[test]
fn no_parameter_is_idle() {
    let mut text = String::new();
    for file in ["crates/crownhold/src", "crates/crownhold-app/src"].into_iter().flat_map(|d| sources(&root().join(d)))
    {
        if file.file_stem().is_some_and(|s| s != "defaults") {
            text += &fs::read_to_string(&file).unwrap();
        }
    }
    let used = |name: &str| {
        let (front, last) = name.rsplit_once('.').unwrap();
        text.contains(&format!("\"{name}\""))
            || text.contains(&format!("\"{front}\""))
            || text.contains(&format!("\"{front}.")) && text.contains(last)
    };
    let idle: Vec<String> =
        crownhold::types::Parameters::defaults().iter().filter(|p| !used(&p.name)).map(|p| p.name.clone()).collect();
    assert!(idle.is_empty(), "never read: {idle:?}");
}
