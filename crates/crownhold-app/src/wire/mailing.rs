//! `mailing --json`.

use serde::Serialize;

use super::{ProblemJson, round};
use crate::actions::mailing::Mailing;

/// A mailing list, in numbers: the list itself is a file.
#[derive(Serialize, Debug)]
pub struct MailingJson {
    whom: &'static str,
    given: usize,
    told: usize,
    inside: usize,
    reach_feet: f64,
    reach_metres: f64,
    by: Option<String>,
    file: String,
    notices: Vec<ProblemJson>,
}

impl MailingJson {
    /// The numbers of a list written to a file.
    pub fn new(m: &Mailing, file: &str) -> Self {
        Self {
            whom: m.audience.word(),
            given: m.given,
            told: m.told.len(),
            inside: m.inside(),
            reach_feet: round(m.reach.as_feet()),
            reach_metres: round(m.reach.as_metres()),
            by: m.by.map(|day| day.to_string()),
            file: file.to_owned(),
            notices: m.notes.iter().map(ProblemJson::from).collect(),
        }
    }
}
