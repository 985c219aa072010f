//! Teams that go round: each change is one operation.

use std::path::Path;

use crownhold::field::rounds::team_problems;
use crownhold::types::{Problem, Records, Team};

use super::{By, Done, act, refuse};
use crate::trouble::Trouble;

/// Adds a team, or puts other values in the place of the one of that name.
///
/// # Errors
/// Everything that is wrong with it at once, each with its field.
pub fn put(path: &Path, team: &Team, by: By<'_>) -> Result<Done, Trouble> {
    act(path, by, |records| {
        let mut team = team.clone();
        team.name = team.name.trim().to_owned();
        refuse(team_problems(records, &team))?;
        let old = place(records, &team.name);
        let what = if old.is_some() { "changed" } else { "added" };
        if let Some(at) = old {
            records.teams.remove(at);
        }
        let done = Done::new(format!("team {} {what}", team.name), team.name.as_str());
        records.teams.push(team);
        records.teams.sort_by(|a, b| a.name.cmp(&b.name));
        Ok(done)
    })
}

/// Takes a team out. Its rounds stay as they were planned.
///
/// # Errors
/// When there is no such team.
pub fn remove(path: &Path, name: &str, by: By<'_>) -> Result<Done, Trouble> {
    act(path, by, |records| {
        let at = place(records, name).ok_or_else(|| unknown(name))?;
        let team = records.teams.remove(at);
        Ok(Done::new(format!("team {} removed", team.name), team.name))
    })
}

/// Position of a team; upper and lower case do not matter.
fn place(records: &Records, name: &str) -> Option<usize> {
    records.teams.iter().position(|t| t.name.eq_ignore_ascii_case(name.trim()))
}

/// The name of a team as it is written.
///
/// # Errors
/// When there is no such team.
pub(super) fn named(records: &Records, name: &str) -> Result<String, Trouble> {
    place(records, name).map(|at| records.teams[at].name.clone()).ok_or_else(|| unknown(name))
}

fn unknown(name: &str) -> Trouble {
    let what = format!("There is no team \"{}\".", name.trim());
    Trouble::one(Problem::error("R-002", what, "Use a name of the list."))
}
