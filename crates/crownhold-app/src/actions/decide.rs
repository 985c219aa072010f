//! What the manager decides about a block.

use std::path::Path;

use crownhold::tactics::{self, BlockOption, Bundle};
use crownhold::types::{BlockId, DecisionRule, FixedDecision, Problem, Records, Tactic};
use crownhold::{Setting, survey};

use super::chain::dates;
use super::{By, Done, act, block_named, refuse};
use crate::trouble::Trouble;

/// A decision in words.
pub fn words(rule: &DecisionRule) -> String {
    match rule {
        DecisionRule::Take(key) => format!("always {key}"),
        DecisionRule::Never(tactic) => format!("never {tactic}"),
        DecisionRule::NeverFly => "never fly".to_owned(),
        DecisionRule::AlwaysFly => "always fly".to_owned(),
    }
}

/// The bundle of a key such as "scraping + bands", or "watch".
///
/// # Errors
/// When it is not made of tactics.
pub fn bundle(key: &str) -> Result<Bundle, Trouble> {
    Bundle::from_key(key).ok_or_else(|| unknown(key))
}

/// The tactic of a word.
///
/// # Errors
/// When there is none.
pub fn tactic(word: &str) -> Result<Tactic, Trouble> {
    Tactic::from_word(word).ok_or_else(|| unknown(word))
}

fn unknown(what: &str) -> Trouble {
    let tactics = Tactic::ALL.iter().map(|t| t.word()).collect::<Vec<_>>().join(", ");
    Trouble::one(
        Problem::error("A-041", format!("\"{what}\" is not a tactic."), "")
            .expected(format!("watch, or some of: {tactics}, joined by +")),
    )
}

/// Decides about a block, in place of whatever was decided about it; `None` clears. `setting` is what bars are
/// judged by: the day, and the draws behind the chances.
///
/// # Errors
/// When there is no such block, or a bar makes the decision impossible; its sentence is told.
pub fn set(
    path: &Path,
    block: &str,
    rule: Option<DecisionRule>,
    note: &str,
    setting: &Setting,
    by: By<'_>,
) -> Result<Done, Trouble> {
    act(path, by, |records| {
        let block = block_named(records, block)?;
        records.decisions.retain(|d| d.block != block);
        if let Some(rule) = &rule {
            refuse(impossible(records, &block, rule, setting).into_iter().collect())?;
        }
        let done =
            Done::new(format!("block {block}: {}", rule.as_ref().map_or("cleared".to_owned(), words)), block.as_str());
        if let Some(rule) = rule {
            records.decisions.push(FixedDecision { block, rule, note: note.trim().to_owned() });
            records.decisions.sort_by(|a, b| a.block.cmp(&b.block));
        }
        Ok(done)
    })
}

/// Why a decision could not be kept by any plan; `None` when it can, or when that cannot be told yet (no usable
/// count, hosts not known). `records` must not hold a decision about the block.
fn impossible(records: &Records, block: &BlockId, rule: &DecisionRule, setting: &Setting) -> Option<Problem> {
    let wanted: Box<dyn Fn(&Bundle) -> bool> = match rule {
        // Watching is never barred.
        DecisionRule::Never(_) | DecisionRule::NeverFly => return None,
        DecisionRule::AlwaysFly => Box::new(Bundle::flies),
        DecisionRule::Take(key) => {
            let key = Bundle::from_key(key);
            Box::new(move |b| Some(b) == key.as_ref())
        }
    };
    let options = options_of(records, block, setting)?;
    let meant: Vec<&BlockOption> = options.iter().filter(|o| wanted(&o.bundle)).collect();
    if meant.iter().any(|o| o.allowed()) {
        return None;
    }
    let item = format!("block {block}");
    let words = words(rule);
    let Some(first) = meant.first() else {
        let offered = options.iter().map(|o| o.bundle.key()).collect::<Vec<_>>().join("; ");
        let what = format!("Decided was \"{words}\", which is not among the options of a block.");
        return Some(Problem::error("A-043", what, "Choose one of them.").item(item).expected(offered));
    };
    let what = format!("\"{words}\" cannot be: {}", first.barred.join(" "));
    Some(Problem::error("A-044", what, "Lift the bar first, or decide otherwise.").item(item))
}

fn options_of(records: &Records, block: &BlockId, setting: &Setting) -> Option<Vec<BlockOption>> {
    if records.blocks.iter().any(|b| b.host_area().is_none()) {
        return None;
    }
    let at = records.block_index(block)?;
    let density = survey::estimate(records, setting).ok()?;
    let timing = dates(records, setting).ok();
    let mut options = tactics::options(records, &density, timing.as_ref(), setting);
    Some(options.blocks.swap_remove(at).options)
}
