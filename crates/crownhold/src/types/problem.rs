//! Problems written for the person who must fix them.

use std::fmt;

/// Does it stop the work, or was it put right?
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Severity {
    /// Cannot be used as it is; nothing was taken over.
    Error,
    /// Put right, and said so.
    Repaired,
    /// Taken as it is, but somebody should look.
    Notice,
}

/// Where a problem sits. Every part is optional; what is known is said.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct Place {
    /// File name as the user gave it.
    pub file: Option<String>,
    /// Row, counted as the user's program counts it (first line is 1).
    pub row: Option<u64>,
    /// Column or attribute name.
    pub column: Option<String>,
    /// The thing it concerns: block, plot, tree ...
    pub item: Option<String>,
}

/// One problem: what is wrong, where, what was expected, and what to do.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Problem {
    /// Stable code, listed in `docs/problems.md`.
    pub code: &'static str,
    /// Error, repaired or notice.
    pub severity: Severity,
    /// Where.
    pub place: Place,
    /// What is wrong, in plain words, with the value found.
    pub what: String,
    /// What was expected; empty if it goes without saying.
    pub expected: String,
    /// What to do, or what was done.
    pub remedy: String,
}

impl Problem {
    /// An error.
    pub fn error(code: &'static str, what: impl Into<String>, remedy: impl Into<String>) -> Self {
        Self::new(Severity::Error, code, what, remedy)
    }
    /// Something that was put right; `remedy` says how.
    pub fn repaired(code: &'static str, what: impl Into<String>, remedy: impl Into<String>) -> Self {
        Self::new(Severity::Repaired, code, what, remedy)
    }
    /// Something to look at.
    pub fn notice(code: &'static str, what: impl Into<String>, remedy: impl Into<String>) -> Self {
        Self::new(Severity::Notice, code, what, remedy)
    }
    fn new(severity: Severity, code: &'static str, what: impl Into<String>, remedy: impl Into<String>) -> Self {
        Self {
            code,
            severity,
            place: Place::default(),
            what: what.into(),
            expected: String::new(),
            remedy: remedy.into(),
        }
    }
    /// Adds the file.
    pub fn file(mut self, file: impl Into<String>) -> Self {
        self.place.file = Some(file.into());
        self
    }
    /// Adds the row (first line of the file is 1).
    pub fn row(mut self, row: u64) -> Self {
        self.place.row = Some(row);
        self
    }
    /// Adds the column.
    pub fn column(mut self, column: impl Into<String>) -> Self {
        self.place.column = Some(column.into());
        self
    }
    /// Adds the thing concerned.
    pub fn item(mut self, item: impl Into<String>) -> Self {
        self.place.item = Some(item.into());
        self
    }
    /// Adds what was expected.
    pub fn expected(mut self, expected: impl Into<String>) -> Self {
        self.expected = expected.into();
        self
    }
    /// Does it stop the work?
    pub fn is_error(&self) -> bool {
        self.severity == Severity::Error
    }
}

impl fmt::Display for Place {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let mut parts = Vec::new();
        parts.extend(self.file.clone());
        parts.extend(self.row.map(|r| format!("row {r}")));
        parts.extend(self.column.as_ref().map(|c| format!("column \"{c}\"")));
        parts.extend(self.item.clone());
        f.write_str(&parts.join(", "))
    }
}

impl fmt::Display for Problem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let word = match self.severity {
            Severity::Error => "error",
            Severity::Repaired => "repaired",
            Severity::Notice => "notice",
        };
        write!(f, "{word} {}", self.code)?;
        let place = self.place.to_string();
        if !place.is_empty() {
            write!(f, " ({place})")?;
        }
        write!(f, ": {}", self.what)?;
        if !self.expected.is_empty() {
            write!(f, " Expected: {}.", self.expected)?;
        }
        if !self.remedy.is_empty() {
            write!(f, " {}", self.remedy)?;
        }
        Ok(())
    }
}
