//! `crownhold recount`

use std::process::ExitCode;

use super::{args, say};
use crate::actions::recount::{Recount, set};
use crate::actions::{By, author};
use crate::clock;
use crate::trouble::Trouble;

pub(super) fn run(a: &args::Recount) -> Result<ExitCode, Trouble> {
    let (author, when) = (author(a.author.as_deref()), clock::now());
    let note = a.note.as_deref().unwrap_or_default();
    let marked = a.found.zip(a.marked).map(|(found, marked)| Recount::Marked { found, marked });
    let whole = a.all.zip(a.on_trees).map(|(all, on_trees)| Recount::Whole { all, on_trees });
    let asked: Vec<Recount> = marked.into_iter().chain(whole).collect();
    // Both are looked at before the first is written.
    for recount in &asked {
        recount.value()?;
    }
    for recount in asked {
        let done = set(&a.programme, recount, note, By::new(&author, &when))?;
        say(&format!("Done: {}.", done.what));
    }
    Ok(ExitCode::SUCCESS)
}
