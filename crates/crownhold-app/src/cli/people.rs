//! `crownhold people`

use std::process::ExitCode;

use crownhold::types::{Person, Role};

use super::table::{row, table};
use super::{args, say, say_json};
use crate::actions::{self, By, people};
use crate::clock;
use crate::trouble::Trouble;

pub(super) fn run(a: &args::People) -> Result<ExitCode, Trouble> {
    let (author, when) = (actions::author(a.author.as_deref()), clock::now());
    let by = By::new(&author, &when);
    let done = match (&a.add, &a.remove) {
        (Some(name), _) => {
            let role = a.role.as_deref().map_or(Ok(Role::Other), people::role)?;
            let person = Person { name: name.clone(), role, reach: a.reach.clone(), note: a.note.clone() };
            people::add(&a.programme, &person, by)?
        }
        (None, Some(name)) => people::remove(&a.programme, name, by)?,
        (None, None) => return list(a),
    };
    say(&format!("Done: {}.", done.what));
    Ok(ExitCode::SUCCESS)
}

fn list(a: &args::People) -> Result<ExitCode, Trouble> {
    let people = actions::records(&a.programme)?.people;
    if a.json {
        let all: Vec<_> = people
            .iter()
            .map(|p| serde_json::json!({ "name": p.name, "role": p.role.word(), "reach": p.reach, "note": p.note }))
            .collect();
        say_json(&all);
        return Ok(ExitCode::SUCCESS);
    }
    let mut rows = vec![row(["name", "role", "reach", "note"])];
    rows.extend(people.iter().map(|p| vec![p.name.clone(), p.role.to_string(), p.reach.clone(), p.note.clone()]));
    say(&table(&rows, "llll"));
    Ok(ExitCode::SUCCESS)
}
