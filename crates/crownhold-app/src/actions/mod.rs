//! Use cases: open the file, call the domain, give the answer back. Every face of the program comes through here.

pub mod access;
pub mod aerial;
pub mod areas;
pub mod backup;
pub mod calendar;
pub mod calibrate;
pub mod chain;
pub mod check;
pub mod counts;
pub mod decide;
pub mod design;
pub mod explain;
pub mod figures;
pub mod fine;
pub mod frontier;
pub mod hindcast;
pub mod history;
pub mod holdings;
pub mod import;
pub mod log;
pub mod mailing;
pub mod map_files;
pub mod outlook;
pub mod papers;
pub mod parameters;
pub mod people;
pub mod photos;
pub mod plan;
pub mod plans;
pub mod plots;
pub mod progress;
pub mod recount;
pub mod reserve;
pub mod rounds;
pub mod samples;
pub mod seen;
pub mod sent;
pub mod species;
pub mod split;
pub mod spray;
pub mod stop_rule;
pub mod stress;
pub mod survey_work;
pub mod teams;
pub mod town;
pub mod worth;

mod ids;

use std::path::Path;
use std::sync::{Mutex, PoisonError};

use crownhold::types::{Block, BlockId, Problem, Records};
use crownhold_data::store::ProgrammeFile;

use self::seen::Seen;

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

/// Who makes a change, and when (RFC 3339).
#[derive(Clone, Copy, Debug)]
pub struct By<'a> {
    /// Who.
    pub author: &'a str,
    /// When.
    pub when: &'a str,
    /// What the change is made upon, where it must still be so.
    pub seen: Option<&'a Seen>,
}

impl<'a> By<'a> {
    /// Somebody, at a time.
    pub const fn new(author: &'a str, when: &'a str) -> Self {
        Self { author, when, seen: None }
    }
    /// Who saw this before they changed it.
    pub const fn having_seen(self, seen: Option<&'a Seen>) -> Self {
        Self { seen, ..self }
    }
}

/// A change that was made.
#[derive(Clone, Debug, PartialEq)]
pub struct Done {
    /// What was done, as the history has it.
    pub what: String,
    /// The thing that was made or changed: block, plot, visit, area, name; empty when it was many.
    pub item: String,
    /// What was put right or should be looked at.
    pub notices: Vec<Problem>,
}

impl Done {
    fn new(what: impl Into<String>, item: impl Into<String>) -> Self {
        Self { what: what.into(), item: item.into(), notices: Vec::new() }
    }
    fn with(mut self, notices: impl IntoIterator<Item = Problem>) -> Self {
        self.notices.extend(notices);
        self
    }
}

/// Changes a programme as one operation, all or nothing; the words of what was done go into the history.
fn act(path: &Path, by: By<'_>, f: impl FnOnce(&mut Records) -> Result<Done, Trouble>) -> Result<Done, Trouble> {
    // One after another: waiting here is fairer than at the file, where whoever comes last may get in first.
    static TURN: Mutex<()> = Mutex::new(());
    let _turn = TURN.lock().unwrap_or_else(PoisonError::into_inner);
    let mut file = ProgrammeFile::open(path)?;
    let done = file.change_in_words(by.author, by.when, |records| {
        by.seen.map_or(Ok(()), |seen| seen.check(records))?;
        f(records).map(|done| (done.what.clone(), done))
    })?;
    file.close()?;
    Ok(done)
}

/// Refuses a change when there are problems.
fn refuse(problems: Vec<Problem>) -> Result<(), Trouble> {
    if problems.is_empty() { Ok(()) } else { Err(problems.into()) }
}

/// The block of a name; upper and lower case do not matter.
fn block_named(records: &Records, name: &str) -> Result<BlockId, Trouble> {
    let found = records.blocks.iter().find(|b| b.id.as_str().eq_ignore_ascii_case(name.trim()));
    found.map(|b| b.id.clone()).ok_or_else(|| {
        let what = format!("There is no block \"{}\".", name.trim());
        Trouble::one(Problem::error("A-040", what, "Name a block of the programme."))
    })
}

/// The same, to be changed.
fn block_mut<'r>(records: &'r mut Records, name: &str) -> Result<&'r mut Block, Trouble> {
    let id = block_named(records, name)?;
    Ok(records.blocks.iter_mut().find(|b| b.id == id).expect("it was found a line ago"))
}
