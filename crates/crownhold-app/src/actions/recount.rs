//! What share of the masses is found, measured on the spot and set as the programme's own value.

use std::path::Path;

use crownhold::survey::found::{detection, per_mass_on_trees};
use crownhold::types::{Problem, Value};

use super::{By, Done, act};
use crate::trouble::Trouble;

/// A measurement.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Recount {
    /// Another person looked again on plots where every mass had been marked.
    Marked {
        /// Masses that the second person found.
        found: u32,
        /// Of these, with the first person's mark.
        marked: u32,
    },
    /// Lots were searched whole.
    Whole {
        /// Masses in all.
        all: u32,
        /// Of these, on trees.
        on_trees: u32,
    },
}

impl Recount {
    /// The parameter that it measures.
    pub fn parameter(self) -> &'static str {
        match self {
            Self::Marked { .. } => "survey.detection",
            Self::Whole { .. } => "survey.tree_only_multiplier",
        }
    }

    /// The value with its range.
    ///
    /// # Errors
    /// When no share follows from these numbers.
    pub fn value(self) -> Result<Value, Trouble> {
        let (value, of, hits) = match self {
            Self::Marked { found, marked } => (detection(found, marked), found, marked),
            Self::Whole { all, on_trees } => (per_mass_on_trees(all, on_trees), all, on_trees),
        };
        value.map(rounded).ok_or_else(|| {
            let what = format!("{hits} of {of} masses give no share.");
            let remedy = "Look on more plots until there are a few masses of both kinds.";
            Trouble::one(Problem::error("A-241", what, remedy).expected("at least 1, and no more than all of them"))
        })
    }

    fn source(self, note: &str) -> String {
        let measured = match self {
            Self::Marked { found, marked } => format!("marked recount: {marked} of {found} masses bore a mark"),
            Self::Whole { all, on_trees } => format!("lots searched whole: {on_trees} of {all} masses were on trees"),
        };
        if note.trim().is_empty() { measured } else { format!("{measured}; {}", note.trim()) }
    }
}

/// Four decimals: no recount tells more.
fn rounded(value: Value) -> Value {
    let four = |v: f64| (v * 1e4).round() / 1e4;
    match value {
        Value::Lognormal(low, middle, high) => Value::Lognormal(four(low), four(middle), four(high)),
        other => other,
    }
}

/// Sets the parameter that a recount measures. `note`: where and by whom; may be blank.
///
/// # Errors
/// When no share follows from the numbers, or the file cannot be changed.
pub fn set(path: &Path, recount: Recount, note: &str, by: By<'_>) -> Result<Done, Trouble> {
    let (name, value) = (recount.parameter(), recount.value()?);
    act(path, by, |records| {
        records.parameters.set(name, value, &recount.source(note));
        Ok(Done::new(format!("parameter {name} set to {value} from a recount"), name))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_gives_no_share_is_told() {
        let value = Recount::Marked { found: 40, marked: 34 }.value().ok();
        assert_eq!(value, Some(Value::Lognormal(0.74, 0.847, 0.9238)));
        let none = Recount::Marked { found: 40, marked: 41 }.value().unwrap_err();
        insta::assert_snapshot!(none.to_string());
    }
}
