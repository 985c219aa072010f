//! `crownhold decide`

use std::process::ExitCode;

use crownhold::tactics::Bundle;
use crownhold::types::{BlockId, DecisionRule, FixedDecision, Problem, Tactic};
use crownhold_data::store::{ProgrammeFile, StoreError};

use super::{args, say};
use crate::trouble::Trouble;
use crate::{actions, clock};

pub(super) fn run(a: &args::Decide) -> Result<ExitCode, Trouble> {
    let rule = rule(a)?;
    let mut file = ProgrammeFile::open(&a.programme)?;
    let records = file.read()?;
    let named = records.blocks.iter().find(|b| b.id.as_str().eq_ignore_ascii_case(a.block.trim()));
    let block = named.map_or_else(|| BlockId::new(&a.block), |b| b.id.clone());
    if named.is_none() {
        return Err(Trouble::one(Problem::error(
            "A-040",
            format!("There is no block \"{block}\"."),
            "Name a block of the programme.",
        )));
    }
    let words = rule.as_ref().map_or("cleared".to_owned(), words);
    file.change(&actions::author(a.author.as_deref()), &clock::now(), &format!("block {block}: {words}"), |records| {
        records.decisions.retain(|d| d.block != block);
        if let Some(rule) = rule {
            records.decisions.push(FixedDecision { block: block.clone(), rule, note: a.note.clone() });
            records.decisions.sort_by(|a, b| a.block.cmp(&b.block));
        }
        Ok::<_, StoreError>(())
    })?;
    file.close()?;
    say(&format!("Block {}: {words}.", a.block));
    Ok(ExitCode::SUCCESS)
}

fn words(rule: &DecisionRule) -> String {
    match rule {
        DecisionRule::Take(key) => format!("always {key}"),
        DecisionRule::Never(tactic) => format!("never {tactic}"),
        DecisionRule::NeverFly => "never fly".to_owned(),
        DecisionRule::AlwaysFly => "always fly".to_owned(),
    }
}

fn rule(a: &args::Decide) -> Result<Option<DecisionRule>, Trouble> {
    let tactics = || Tactic::ALL.iter().map(|t| t.word()).collect::<Vec<_>>().join(", ");
    let unknown = |what: &str| {
        Trouble::one(
            Problem::error("A-041", format!("\"{what}\" is not a tactic."), "")
                .expected(format!("watch, or some of: {}, joined by +", tactics())),
        )
    };
    if let Some(key) = &a.take {
        let bundle = Bundle::from_key(key).ok_or_else(|| unknown(key))?;
        return Ok(Some(DecisionRule::Take(bundle.key())));
    }
    if let Some(word) = &a.never {
        return Ok(Some(DecisionRule::Never(Tactic::from_word(word).ok_or_else(|| unknown(word))?)));
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
