//! `crownhold species`

use std::process::ExitCode;

use crownhold::types::species::classify;
use crownhold::types::{HostClass, Known, Problem, SpeciesRule};
use crownhold_data::store::{ProgrammeFile, StoreError};

use super::{args, say};
use crate::trouble::Trouble;
use crate::{actions, clock};

pub(super) fn run(a: &args::Species) -> Result<ExitCode, Trouble> {
    let Some(assignment) = &a.set else {
        for rule in &actions::records(&a.programme)?.species {
            say(&format!(
                "{} ({}): {}\n    {}: {}",
                rule.scientific,
                rule.common.join(", "),
                rule.class,
                rule.known,
                rule.source
            ));
        }
        return Ok(ExitCode::SUCCESS);
    };
    let (name, class) = assigned(assignment)?;
    let rule = SpeciesRule {
        scientific: name.clone(),
        common: Vec::new(),
        class,
        source: a.source.clone().unwrap_or_default(),
        known: Known::Local,
    };
    let mut file = ProgrammeFile::open(&a.programme)?;
    let what = format!("species {name} is {class}");
    let classed = file.change(&actions::author(a.author.as_deref()), &clock::now(), &what, |records| {
        records.species.retain(|s| !s.scientific.eq_ignore_ascii_case(&name));
        records.species.push(rule);
        records.species.sort_by(|a, b| a.scientific.cmp(&b.scientific));
        let mut classed = 0;
        for tree in records.trees.iter_mut().filter(|t| t.class.is_none()) {
            tree.class = classify(&tree.species, &records.species);
            classed += usize::from(tree.class.is_some());
        }
        Ok::<_, StoreError>(classed)
    })?;
    file.close()?;
    say(&format!("{name} is {class}; trees classed by it: {classed}."));
    Ok(ExitCode::SUCCESS)
}

fn assigned(text: &str) -> Result<(String, HostClass), Trouble> {
    let wrong = || {
        Trouble::one(
            Problem::error("A-090", format!("\"{text}\" cannot be used."), "")
                .expected("NAME=CLASS with class susceptible, resistant or immune"),
        )
    };
    let (name, class) = text.split_once('=').ok_or_else(wrong)?;
    let class = HostClass::from_word(class).ok_or_else(wrong)?;
    let name = name.trim().to_owned();
    if name.is_empty() { Err(wrong()) } else { Ok((name, class)) }
}
