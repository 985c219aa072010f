//! Tree names and their host class.

use std::collections::BTreeMap;
use std::path::Path;

use crownhold::types::species::classify;
use crownhold::types::{HostClass, Known, Problem, Records, SpeciesRule};

use super::{By, Done, act, refuse};
use crate::trouble::Trouble;

/// The class of a word.
///
/// # Errors
/// When there is none.
pub fn class(word: &str) -> Result<HostClass, Trouble> {
    HostClass::from_word(word).ok_or_else(|| {
        let all = HostClass::ALL.iter().map(|c| c.word()).collect::<Vec<_>>().join(", ");
        Trouble::one(Problem::error("A-091", format!("\"{}\" is not a host class.", word.trim()), "").expected(all))
    })
}

/// Names that trees carry and the table does not know, with how many trees carry each; the commonest first.
pub fn unknown(records: &Records) -> Vec<(String, usize)> {
    let mut names: BTreeMap<&str, usize> = BTreeMap::new();
    for tree in records.trees.iter().filter(|t| t.class.is_none()) {
        *names.entry(tree.species.trim()).or_default() += 1;
    }
    let mut all: Vec<(String, usize)> = names.into_iter().map(|(name, n)| (name.to_owned(), n)).collect();
    all.sort_by(|a, b| b.1.cmp(&a.1).then_with(|| a.0.cmp(&b.0)));
    all
}

/// Gives a name its class, in place of an earlier line of that name, and classes the trees that had none.
///
/// # Errors
/// When the name or the source is blank.
pub fn set(path: &Path, name: &str, class: HostClass, source: &str, by: By<'_>) -> Result<Done, Trouble> {
    act(path, by, |records| {
        let (name, source) = (name.trim(), source.trim());
        refuse(blanks(name, source))?;
        records.species.retain(|s| !s.scientific.eq_ignore_ascii_case(name));
        records.species.push(SpeciesRule {
            scientific: name.to_owned(),
            common: Vec::new(),
            class,
            source: source.to_owned(),
            known: Known::Local,
        });
        records.species.sort_by(|a, b| a.scientific.cmp(&b.scientific));
        let mut classed = 0;
        for tree in records.trees.iter_mut().filter(|t| t.class.is_none()) {
            tree.class = classify(&tree.species, &records.species);
            classed += usize::from(tree.class.is_some());
        }
        Ok(Done::new(format!("species {name} is {class}; trees classed by it: {classed}"), name))
    })
}

fn blanks(name: &str, source: &str) -> Vec<Problem> {
    let blank = |what: &str, remedy: &str, column: &str| Problem::error("A-090", what, remedy).column(column);
    let mut problems = Vec::new();
    if name.is_empty() {
        problems.push(blank("The name is blank.", "Write it as the inventory does.", "name"));
    }
    if source.is_empty() {
        problems.push(blank("The source is blank.", "Say where the class comes from.", "source"));
    }
    problems
}
