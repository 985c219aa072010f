//! Taking the last change back.

use std::path::Path;

use crownhold::types::Problem;
use crownhold_data::store::{JournalEntry, ProgrammeFile, last_to_undo};

use super::By;
use crate::trouble::Trouble;

/// Takes the last change back that has not been taken back yet, and gives it. With `expected`, the number of the
/// change that somebody has before their eyes, only that one.
///
/// # Errors
/// When there is nothing to take back, another change is the last by now, or a row was changed outside since.
pub fn undo(path: &Path, expected: Option<i64>, by: By<'_>) -> Result<JournalEntry, Trouble> {
    let mut file = ProgrammeFile::open(path)?;
    let history = file.history()?;
    if let (Some(expected), Some(last)) = (expected, last_to_undo(&history))
        && last.id != expected
    {
        let what = format!("The last change is another one by now: {} ({}).", last.what, last.who);
        return Err(Trouble::one(Problem::error("A-150", what, "Nothing was taken back. Look at the history first.")));
    }
    let undone = file.undo(by.author, by.when)?;
    file.close()?;
    Ok(undone)
}
