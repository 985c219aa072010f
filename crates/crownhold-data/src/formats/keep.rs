//! What is known stays known: a blank cell, or a column that is not there, takes nothing away.

use std::collections::BTreeMap;

use crownhold::types::Problem;

use super::columns::{Columns, Field};
use super::job::Job;
use super::report::Kind;

/// How many known values were kept, by field; with what they are called, in the plural.
#[derive(Debug, Default)]
pub(super) struct Kept(BTreeMap<&'static str, (&'static str, usize)>);

impl Kept {
    /// The value a row gives, else the known one, which is counted.
    pub fn or_known<T>(
        &mut self,
        field: &Field,
        plural: &'static str,
        given: Option<T>,
        known: Option<T>,
    ) -> Option<T> {
        if given.is_none() && known.is_some() {
            self.0.entry(field.name).or_insert((plural, 0)).1 += 1;
        }
        given.or(known)
    }

    /// Says once what was kept, if anything was. Attributes by themselves ("areas") are meant to leave out
    /// columns, so there only blank cells are told.
    pub fn note(self, job: &mut Job<'_>, columns: &Columns) {
        let (blank, absent): (Vec<_>, Vec<_>) = self.0.into_iter().partition(|(f, _)| columns.get(f).is_some());
        let mut parts = Vec::new();
        if !blank.is_empty() {
            let listed = blank.iter().map(|(_, (what, n))| format!("{n} {what}")).collect::<Vec<_>>().join(", ");
            parts.push(format!("Blank where something is known: {listed}."));
        }
        if !absent.is_empty() && job.kind != Kind::Areas {
            let listed = absent.iter().map(|(_, (what, n))| format!("{what} ({n})")).collect::<Vec<_>>().join(", ");
            parts.push(format!("Not in the file, though known: {listed}."));
        }
        if !parts.is_empty() {
            job.note(Problem::notice("I-526", parts.join(" "), "The known ones were kept."));
        }
    }
}
