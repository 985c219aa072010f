//! `crownhold history` and `crownhold undo`

use std::process::ExitCode;

use crownhold_data::store::{JournalEntry, ProgrammeFile};

use super::table::{row, table};
use super::{args, say, say_json};
use crate::actions::{self, By, history};
use crate::clock;
use crate::trouble::Trouble;

pub(super) fn run(a: &args::History) -> Result<ExitCode, Trouble> {
    let entries = ProgrammeFile::open(&a.programme)?.history()?;
    if a.json {
        let all: Vec<_> = entries
            .iter()
            .map(|e| {
                serde_json::json!({
                    "id": e.id, "when": e.when, "who": e.who, "what": e.what,
                    "changes": e.changes, "undone": e.undone, "undoes": e.undoes
                })
            })
            .collect();
        say_json(&all);
        return Ok(ExitCode::SUCCESS);
    }
    let mut rows = vec![row(["no.", "when", "who", "what", "rows"])];
    for e in &entries {
        let undone = if e.undone { " (taken back)" } else { "" };
        rows.push(vec![e.id.to_string(), e.when.clone(), e.who.clone(), format!("{}{undone}", e.what), changed(e)]);
    }
    say(&table(&rows, "rllll"));
    Ok(ExitCode::SUCCESS)
}

fn changed(e: &JournalEntry) -> String {
    e.changes.iter().map(|(table, n)| format!("{table} {n}")).collect::<Vec<_>>().join(", ")
}

pub(super) fn undo(a: &args::Undo) -> Result<ExitCode, Trouble> {
    let (author, when) = (actions::author(a.author.as_deref()), clock::now());
    let entry = history::undo(&a.programme, None, By::new(&author, &when))?;
    say(&format!("Taken back: no. {}, {} ({}, {}).", entry.id, entry.what, entry.who, entry.when));
    Ok(ExitCode::SUCCESS)
}
