//! Use cases: open the file, call the domain, give the answer back. Every face of the program comes through here.

pub mod chain;
pub mod check;
pub mod explain;
pub mod figures;
pub mod import;
pub mod papers;
pub mod plan;
pub mod plans;
pub mod progress;

use std::path::Path;

use crownhold::types::Records;
use crownhold_data::store::ProgrammeFile;

use crate::trouble::Trouble;

/// All records of a programme file.
///
/// # Errors
/// When the file cannot be opened or understood.
pub fn records(path: &Path) -> Result<Records, Trouble> {
    Ok(ProgrammeFile::open(path)?.read()?)
}

/// All records of a programme file, with the number of the last operation in its history.
///
/// # Errors
/// When the file cannot be opened or understood.
pub fn records_and_entry(path: &Path) -> Result<(Records, Option<i64>), Trouble> {
    let file = ProgrammeFile::open(path)?;
    // The history first: an operation that comes between is then told as later than the records.
    let last = file.history()?.last().map(|e| e.id);
    Ok((file.read()?, last))
}

/// Who makes a change: the name given, or that of the computer's user.
pub fn author(given: Option<&str>) -> String {
    let known = || std::env::var("USER").or_else(|_| std::env::var("USERNAME")).ok();
    given.map(str::to_owned).or_else(known).filter(|a| !a.trim().is_empty()).unwrap_or_else(|| "unknown".to_owned())
}
