//! `crownhold decide`

use std::process::ExitCode;

use crownhold::Setting;
use crownhold::types::{DecisionRule, Problem};

use super::{args, say};
use crate::actions::{By, author, decide};
use crate::clock;
use crate::trouble::Trouble;

/// Draws that the chances behind bars are judged on.
const DRAWS: usize = 500;

pub(super) fn run(a: &args::Decide) -> Result<ExitCode, Trouble> {
    let (author, when) = (author(a.author.as_deref()), clock::now());
    let setting = Setting { today: clock::today(), seed: 1, draws: DRAWS };
    let by = By::new(&author, &when);
    let done = decide::set(&a.programme, &a.block, rule(a)?, &a.note, &setting, by)?;
    say(&format!("Done: {}.", done.what));
    Ok(ExitCode::SUCCESS)
}

fn rule(a: &args::Decide) -> Result<Option<DecisionRule>, Trouble> {
    if let Some(key) = &a.take {
        return Ok(Some(DecisionRule::Take(decide::bundle(key)?.key())));
    }
    if let Some(word) = &a.never {
        return Ok(Some(DecisionRule::Never(decide::tactic(word)?)));
    }
    match (a.never_fly, a.always_fly, a.clear) {
        (true, ..) => Ok(Some(DecisionRule::NeverFly)),
        (_, true, _) => Ok(Some(DecisionRule::AlwaysFly)),
        (.., true) => Ok(None),
        _ => Err(Trouble::one(Problem::error(
            "A-042",
            "No decision was given.",
            "Use one of --take, --never, --never-fly, --always-fly, --clear.",
        ))),
    }
}
