//! `crownhold parameters`

use std::process::ExitCode;

use crownhold::types::Parameter;

use super::{args, say, say_json};
use crate::actions::{By, Done, parameters};
use crate::trouble::Trouble;
use crate::{actions, clock};

pub(super) fn run(a: &args::Parameters) -> Result<ExitCode, Trouble> {
    if let Some(assignment) = &a.set {
        return set(a, assignment);
    }
    if let Some(name) = &a.restore {
        return restore(a, name);
    }
    let all = actions::records(&a.programme)?.parameters;
    let shown: Vec<&Parameter> = all.iter().filter(|p| p.name.starts_with(&a.only)).collect();
    if a.json {
        let all: Vec<_> = shown
            .iter()
            .map(|p| {
                serde_json::json!({
                    "name": p.name, "value": p.value.to_string(), "unit": p.unit, "meaning": p.meaning,
                    "known": p.known.word(), "source": p.source
                })
            })
            .collect();
        say_json(&all);
    } else {
        shown.iter().for_each(|p| {
            say(&format!("{} = {} {}\n    {}\n    {}: {}", p.name, p.value, p.unit, p.meaning, p.known, p.source))
        });
    }
    Ok(ExitCode::SUCCESS)
}

fn set(a: &args::Parameters, assignment: &str) -> Result<ExitCode, Trouble> {
    let (name, text) = assignment.split_once('=').ok_or_else(|| parameters::wrong(assignment, "NAME=VALUE"))?;
    changed(a, |by| parameters::set(&a.programme, name, text, a.source.as_deref().unwrap_or_default(), by))
}

fn restore(a: &args::Parameters, name: &str) -> Result<ExitCode, Trouble> {
    changed(a, |by| match name {
        "all" => parameters::restore_all(&a.programme, by),
        name => parameters::restore(&a.programme, name, by),
    })
}

fn changed(a: &args::Parameters, f: impl FnOnce(By<'_>) -> Result<Done, Trouble>) -> Result<ExitCode, Trouble> {
    let (author, when) = (actions::author(a.author.as_deref()), clock::now());
    let done = f(By::new(&author, &when))?;
    say(&format!("Done: {}.", done.what));
    Ok(ExitCode::SUCCESS)
}
