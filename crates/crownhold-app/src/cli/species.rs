//! `crownhold species`

use std::process::ExitCode;

use crownhold::types::{HostClass, Problem};

use super::{args, say};
use crate::actions::{self, By, species};
use crate::clock;
use crate::trouble::Trouble;

pub(super) fn run(a: &args::Species) -> Result<ExitCode, Trouble> {
    let Some(assignment) = &a.set else {
        return list(a);
    };
    let (name, class) = assigned(assignment)?;
    let (author, when) = (actions::author(a.author.as_deref()), clock::now());
    let by = By::new(&author, &when);
    let done = species::set(&a.programme, name, class, a.source.as_deref().unwrap_or_default(), by)?;
    say(&format!("{}.", done.what));
    Ok(ExitCode::SUCCESS)
}

fn list(a: &args::Species) -> Result<ExitCode, Trouble> {
    let records = actions::records(&a.programme)?;
    for rule in &records.species {
        let common = rule.common.join(", ");
        say(&format!("{} ({common}): {}\n    {}: {}", rule.scientific, rule.class, rule.known, rule.source));
    }
    let unknown = species::unknown(&records);
    if !unknown.is_empty() {
        let names: Vec<String> = unknown.iter().map(|(name, n)| format!("{name} ({n})")).collect();
        say(&format!("\nNot in the table, with trees: {}", names.join(", ")));
    }
    Ok(ExitCode::SUCCESS)
}

fn assigned(text: &str) -> Result<(&str, HostClass), Trouble> {
    let (name, class) = text.split_once('=').ok_or_else(|| {
        Trouble::one(
            Problem::error("A-090", format!("\"{text}\" cannot be used."), "")
                .expected("NAME=CLASS with class susceptible, resistant or immune"),
        )
    })?;
    Ok((name, species::class(class)?))
}
