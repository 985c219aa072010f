//! Every problem code that the sources of any crate give is explained in `docs/problems.md`.
#![allow(clippy::unwrap_used)]

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

/// The sources of all crates, without their tests.
fn sources() -> Vec<PathBuf> {
    let crates = Path::new(env!("CARGO_MANIFEST_DIR")).parent().unwrap();
    let mut open: Vec<PathBuf> = std::fs::read_dir(crates).unwrap().map(|e| e.unwrap().path().join("src")).collect();
    let mut found = Vec::new();
    while let Some(path) = open.pop() {
        if path.is_dir() {
            open.extend(std::fs::read_dir(path).unwrap().map(|e| e.unwrap().path()));
        } else if path.extension().is_some_and(|e| e == "rs") && path.file_stem().is_some_and(|s| s != "tests") {
            found.push(path);
        }
    }
    found.sort();
    found
}

/// "I-101": a capital, a stroke and three digits.
fn is_numbered(text: &str) -> bool {
    let bytes = text.as_bytes();
    bytes.len() == 5 && bytes[0].is_ascii_uppercase() && bytes[1] == b'-' && bytes[2..].iter().all(u8::is_ascii_digit)
}

/// "timing.few-years": a room, then words.
fn is_worded(text: &str) -> bool {
    let rest = |room: &str| text.strip_prefix(room).and_then(|r| r.strip_prefix(['.', '-']));
    let words = ["plan", "print", "timing", "weather", "heat"].into_iter().find_map(rest);
    words.is_some_and(|w| !w.is_empty() && w.chars().all(|c| c.is_ascii_lowercase() || c == '-'))
}

/// The codes in a source: numbered ones anywhere, others as the first word of a problem or of what notes one.
fn codes(source: &str) -> BTreeSet<String> {
    let tested = source.find("#[cfg(test)]").unwrap_or(source.len());
    let literals: Vec<&str> = source[..tested].split('"').collect();
    let mut found = BTreeSet::new();
    for (i, text) in literals.iter().enumerate().skip(1) {
        let before = literals[i - 1].trim_end();
        let opens = ["Problem::error(", "Problem::repaired(", "Problem::notice("].iter().any(|o| before.ends_with(o));
        let noted = is_worded(text) && before.ends_with("push(");
        if is_numbered(text) || noted || (opens && !text.contains(' ')) {
            found.insert((*text).to_owned());
        }
    }
    found
}

#[test]
fn every_code_is_explained() {
    let page = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../docs/problems.md");
    let page = std::fs::read_to_string(page).unwrap();
    let mut given: BTreeMap<String, PathBuf> = BTreeMap::new();
    for path in sources() {
        let source = std::fs::read_to_string(&path).unwrap();
        given.extend(codes(&source).into_iter().map(|code| (code, path.clone())));
    }
    // A search that finds nothing would prove nothing: one code of each form must be among them.
    for known in ["I-101", "S-001", "timing.few-years", "plan-options-unusable"] {
        assert!(given.contains_key(known), "{known} was not found in the sources");
    }
    let explained: BTreeSet<&str> = page.split(['|', ',', ' ', '\n', '`']).collect();
    let missing: Vec<String> = given
        .iter()
        .filter(|(code, _)| !explained.contains(code.as_str()))
        .map(|(code, path)| format!("{code} ({})", path.display()))
        .collect();
    assert!(missing.is_empty(), "docs/problems.md explains nothing of: {}", missing.join(", "));
}
