//! `crownhold teams`

use std::process::ExitCode;

use crownhold::types::{BlockId, Problem, Team, Workforce};
use crownhold_data::formats::time_of_day;
use jiff::civil::Time;

use super::table::{row, table};
use super::{args, say, say_json};
use crate::actions::{self, By, teams};
use crate::clock;
use crate::trouble::Trouble;
use crate::wire::TeamJson;

pub(super) fn run(a: &args::Teams) -> Result<ExitCode, Trouble> {
    let (author, when) = (actions::author(a.author.as_deref()), clock::now());
    let by = By::new(&author, &when);
    let done = match (&a.put, &a.remove) {
        (Some(name), _) => teams::put(&a.programme, &team(a, name)?, by)?,
        (None, Some(name)) => teams::remove(&a.programme, name, by)?,
        (None, None) => return list(a),
    };
    say(&format!("Done: {}.", done.what));
    Ok(ExitCode::SUCCESS)
}

fn team(a: &args::Teams, name: &str) -> Result<Team, Trouble> {
    let who = Workforce::from_word(&a.who).ok_or_else(|| wrong("who", &a.who, "crew or volunteers"))?;
    Ok(Team {
        name: name.to_owned(),
        who,
        people: a.people,
        neighbourhood: a.neighbourhood.clone(),
        starts: a.starts.as_deref().map(BlockId::new),
        ends: a.ends.as_deref().map(BlockId::new),
        from: time("from", &a.from)?,
        to: time("to", &a.to)?,
        ladder: a.ladder,
        most: a.most,
        note: a.note.clone(),
    })
}

fn time(option: &str, text: &str) -> Result<Time, Trouble> {
    time_of_day(text).ok_or_else(|| wrong(option, text, "a time of day such as 16:30 or 4:30 pm"))
}

fn wrong(option: &str, text: &str, expected: &str) -> Trouble {
    let what = format!("--{option} is \"{text}\".");
    Trouble::one(Problem::error("R-001", what, "Correct it.").expected(expected))
}

fn list(a: &args::Teams) -> Result<ExitCode, Trouble> {
    let teams = actions::records(&a.programme)?.teams;
    if a.json {
        say_json(&teams.iter().map(TeamJson::from).collect::<Vec<_>>());
        return Ok(ExitCode::SUCCESS);
    }
    let mut rows = vec![row(["team", "who", "people", "stays in", "begins in", "from", "to", "ladder", "most trees"])];
    rows.extend(teams.iter().map(|t| {
        vec![
            t.name.clone(),
            t.who.to_string(),
            t.people.to_string(),
            t.neighbourhood.clone().unwrap_or_default(),
            t.starts.as_ref().map(ToString::to_string).unwrap_or_default(),
            t.from.strftime("%H:%M").to_string(),
            t.to.strftime("%H:%M").to_string(),
            if t.ladder { "yes" } else { "" }.to_owned(),
            t.most.map(|m| m.to_string()).unwrap_or_default(),
        ]
    }));
    say(&table(&rows, "llrllllll"));
    Ok(ExitCode::SUCCESS)
}
