//! What can go wrong with a programme file.

use std::path::PathBuf;

use crownhold::types::Problem;

use super::row::shown;

/// Why a programme file could not be made, opened, read or changed. Nothing was written in any of these cases.
#[derive(Debug, thiserror::Error)]
#[error("{}", self.sentence())]
pub enum StoreError {
    /// A new programme was asked for where a file already lies.
    Exists(PathBuf),
    /// There is no such file, or it may not be read.
    NotThere {
        /// The file.
        path: PathBuf,
        /// What the system said.
        why: String,
    },
    /// The file is something else.
    NotAProgramme {
        /// The file.
        path: PathBuf,
        /// What it is instead.
        why: String,
    },
    /// The file was written by a newer Crownhold.
    Newer {
        /// The file.
        path: PathBuf,
        /// Its layout version.
        found: i64,
        /// The newest layout version that is known here.
        known: i64,
    },
    /// The file is broken.
    Damaged {
        /// The file.
        path: PathBuf,
        /// What is broken.
        why: String,
    },
    /// Rows in the file that cannot be understood, every one of them.
    Unreadable(Vec<Problem>),
    /// Records that must not be written, every fault of them.
    Unsound(Vec<Problem>),
    /// A row is no longer as the last operation left it, so that operation cannot be taken back.
    Altered {
        /// Table of the row.
        table: String,
        /// Its key.
        key: String,
        /// What the operation left and what is there now.
        what: String,
    },
    /// There is no operation left that could be taken back.
    NothingToUndo,
    /// Another program keeps the file locked.
    Busy,
    /// Anything else that SQLite reports.
    Sqlite(rusqlite::Error),
}

impl StoreError {
    /// The same as problems, each with code, place and remedy. Codes are listed in
    /// `docs/formats/programme-file.md`.
    pub fn problems(&self) -> Vec<Problem> {
        let at = |problem: Problem, path: &PathBuf| vec![problem.file(path.display().to_string())];
        match self {
            Self::Exists(path) => at(
                Problem::error(
                    "S-001",
                    "there is already a file of that name.",
                    "Choose another name or move it away.",
                ),
                path,
            ),
            Self::NotThere { path, why } => at(
                Problem::error("S-002", format!("the file cannot be opened: {why}."), "Check the name and folder."),
                path,
            ),
            Self::NotAProgramme { path, why } => at(
                Problem::error("S-003", format!("{why}."), "Name a file made by `crownhold new` or `crownhold demo`.")
                    .expected("a programme file"),
                path,
            ),
            Self::Newer { path, found, known } => at(
                Problem::error(
                    "S-004",
                    format!("the file has layout version {found}; this Crownhold knows versions up to {known}."),
                    "Update Crownhold, or use the copy of the file from before the update.",
                ),
                path,
            ),
            Self::Damaged { path, why } => at(
                Problem::error("S-005", format!("the file is damaged: {why}."), "Take the last good copy of it."),
                path,
            ),
            Self::Unreadable(problems) | Self::Unsound(problems) => problems.clone(),
            Self::Altered { table, key, what } => vec![
                Problem::error(
                    "S-006",
                    format!("row {} of table {table} was changed outside Crownhold: {what}.", shown(key)),
                    "Undo the hand edit first, or make the wanted change as a new operation.",
                )
                .item(format!("{table} {}", shown(key)).trim_end()),
            ],
            Self::NothingToUndo => {
                vec![Problem::error("S-007", "no operation is left that could be taken back.", "Nothing was changed.")]
            }
            Self::Busy => vec![Problem::error(
                "S-008",
                "another program is writing to the file and did not finish within five seconds.",
                "Save or close it there, then try again.",
            )],
            Self::Sqlite(error) => {
                vec![Problem::error("S-009", format!("the store reports: {error}."), "Nothing was changed.")]
            }
        }
    }

    fn sentence(&self) -> String {
        self.problems().iter().map(ToString::to_string).collect::<Vec<_>>().join("\n")
    }
}

impl From<rusqlite::Error> for StoreError {
    fn from(error: rusqlite::Error) -> Self {
        use rusqlite::ErrorCode;
        match error.sqlite_error_code() {
            Some(ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked) => Self::Busy,
            _ => Self::Sqlite(error),
        }
    }
}
