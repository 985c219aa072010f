//! Kept plans: listed, loaded, made whole again, compared.

use std::collections::BTreeMap;
use std::path::Path;
use std::sync::Arc;

use crownhold::Setting;
use crownhold::types::{Problem, Records};
use crownhold_data::store::{JournalEntry, ProgrammeFile, StoredPlan};
use jiff::civil::Date;

use super::chain::{Stages, stages};
use super::plan::{Made, in_the_worst, limits};
use crate::trouble::Trouble;
use crate::wire::plan::{BlockJson, PlanJson, to_plan};

/// A kept plan.
#[derive(Clone, Debug)]
pub struct Kept {
    /// Its number in the programme file; later ones are greater.
    pub id: i64,
    /// Name it was kept under.
    pub name: String,
    /// When it was kept, RFC 3339 in UTC.
    pub made_at: String,
    /// The plan.
    pub plan: PlanJson,
}

/// Every kept plan, oldest first, as it lies in the file; [`read`] makes sense of one.
///
/// # Errors
/// When the file cannot be opened.
pub fn list(file: &Path) -> Result<Vec<StoredPlan>, Trouble> {
    Ok(ProgrammeFile::open(file)?.plans()?)
}

/// A kept plan from what lies in the file.
///
/// # Errors
/// When it is not a plan.
pub fn read(stored: &StoredPlan) -> Result<Kept, Trouble> {
    let plan = serde_json::from_str(&stored.json).map_err(|e| {
        Trouble::one(Problem::error("A-022", format!("The kept plan cannot be read: {e}."), "Keep a new one."))
    })?;
    Ok(Kept { id: stored.id, name: stored.name.clone(), made_at: stored.made_at.clone(), plan })
}

/// The kept plan of that name, the last one if there are several.
///
/// # Errors
/// When there is none, or it cannot be read.
pub fn load(file: &Path, name: &str) -> Result<Kept, Trouble> {
    let plans = list(file)?;
    match plans.iter().rfind(|p| p.name == name) {
        Some(found) => read(found),
        None => {
            let names: Vec<&str> = plans.iter().map(|p| p.name.as_str()).collect();
            let all = if names.is_empty() { "none".to_owned() } else { names.join(", ") };
            let what = format!("No plan is kept under the name \"{name}\".");
            Err(Trouble::one(Problem::error("A-021", what, format!("Keep one with --keep. Kept so far: {all}."))))
        }
    }
}

/// The kept plan of that number.
///
/// # Errors
/// When there is none, or it cannot be read.
pub fn load_number(file: &Path, id: i64) -> Result<Kept, Trouble> {
    let plans = list(file)?;
    let found = plans.iter().find(|p| p.id == id).ok_or_else(|| {
        Trouble::one(Problem::error("A-021", format!("No plan is kept under number {id}."), "Choose one of the list."))
    })?;
    read(found)
}

/// Keeps a plan as one operation; gives its number. `last_entry` is the number of the last operation in the history
/// when the records were read that it was made from, so that later changes can be told.
///
/// # Errors
/// When the file cannot be changed.
pub fn keep(
    file: &Path,
    name: &str,
    plan: &PlanJson,
    last_entry: Option<i64>,
    author: &str,
    when: &str,
) -> Result<i64, Trouble> {
    let kept = PlanJson { last_entry, ..plan.clone() };
    let text = serde_json::to_string(&kept).expect("our own shapes have string keys only");
    let mut file = ProgrammeFile::open(file)?;
    let id = file.save_plan(name, author, when, plan.seed, &text)?;
    file.close()?;
    Ok(id)
}

impl Kept {
    /// Day, seed and draws it was made with.
    ///
    /// # Errors
    /// When the plan was kept by a version that did not write its day down.
    pub fn setting(&self) -> Result<Setting, Trouble> {
        let today: Date = self.plan.day.parse().map_err(|_| {
            let what = format!("The plan \"{}\" does not say the day it was made for.", self.name);
            Trouble::one(Problem::error("A-022", what, "Keep a new one."))
        })?;
        Ok(Setting { today, seed: self.plan.seed, draws: self.plan.draws })
    }

    /// The plan with the stages it rests on, without a search: the stages are worked out anew from the records unless
    /// they are handed in (for [`Kept::setting`]), the plan is the kept one to the last printed digit.
    ///
    /// # Errors
    /// As the stages, and when the blocks or options of the plan are no longer there.
    pub fn made(&self, records: &Records, at_hand: Option<Arc<Stages>>) -> Result<Made, Trouble> {
        let setting = self.setting()?;
        let mut stages = match at_hand {
            Some(stages) => stages,
            None => Arc::new(stages(records, &setting)?),
        };
        if self.plan.wishes().robust {
            let worst = in_the_worst(&stages, records, &setting);
            Arc::make_mut(&mut stages).options = worst;
        }
        let plan = to_plan(&self.plan, &stages.options).ok_or_else(|| {
            let what = format!("The plan \"{}\" was made for other blocks or options than there are now.", self.name);
            Trouble::one(Problem::error("A-024", what, "Make a new plan, or undo what was changed since."))
        })?;
        if self.plan.wishes.accepted_chance.is_some() {
            let blocks = &mut Arc::make_mut(&mut stages).options.blocks;
            blocks.iter_mut().zip(&self.plan.blocks).for_each(|(b, kept)| b.accepted_chance = kept.accepted_chance);
        }
        let wishes = self.plan.wishes();
        let limits = limits(records, &wishes);
        Ok(Made { stages, setting, wishes, limits, plan, solve_seconds: self.plan.solve_seconds })
    }
}

/// How many operations have changed records since the plan was made, those that were taken back again not counted:
/// nor entries of the field log, on which no plan rests.
pub fn stale(history: &[JournalEntry], kept: &Kept) -> usize {
    let stored = || {
        let what = format!("plan stored: {}", kept.name);
        history.iter().rfind(|e| e.what == what && e.when == kept.made_at).map(|e| e.id)
    };
    let since = kept.plan.last_entry.or_else(stored).unwrap_or(0);
    let later = history.iter().filter(|e| e.id > since && !e.changes.is_empty());
    let later: Vec<&JournalEntry> = later.filter(|e| !e.is_of_the_log()).collect();
    later.iter().filter(|e| !e.undone && e.undoes.is_none_or(|undone| undone <= since)).count()
}

/// A figure before and now.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Change {
    /// Before.
    pub before: f64,
    /// Now.
    pub now: f64,
}

impl Change {
    /// By how much it rose.
    pub fn by(self) -> f64 {
        self.now - self.before
    }
    /// Is the difference of two chances more than `draws` draws can tell from none: beyond two standard errors of the
    /// two shares, as if they came from separate draws? (Two plans of one seed share their draws, which tells more:
    /// this errs on the side of "not told apart".)
    pub fn is_told_apart(self, draws: usize) -> bool {
        let variance = |p: f64| p * (1.0 - p) / draws.max(1) as f64;
        self.by().abs() > 2.0 * (variance(self.before) + variance(self.now)).sqrt()
    }
}

/// A block whose option differs between two plans.
#[derive(Clone, Debug, PartialEq)]
pub struct BlockChange {
    /// Block.
    pub block: String,
    /// Option before, as `Bundle::key` writes it.
    pub before: String,
    /// Option now.
    pub now: String,
    /// Acres flown, repeats counted.
    pub sprayed_acres: Change,
    /// Dollars.
    pub cost: Change,
    /// Hours of crews.
    pub crew_hours: Change,
    /// Hours of volunteers.
    pub volunteer_hours: Change,
    /// Chance of losing more than tolerated.
    pub chance_over: Change,
}

/// What differs between two plans.
#[derive(Clone, Debug, PartialEq)]
pub struct Comparison {
    /// Totals with their names: acres flown, dollars, hours, expected acres.
    pub totals: Vec<(&'static str, Change)>,
    /// Blocks whose option differs, in block order. Blocks that are in one plan only are left out.
    pub blocks: Vec<BlockChange>,
}

/// What changes from one plan to another.
pub fn compare(before: &PlanJson, now: &PlanJson) -> Comparison {
    let total = |f: fn(&PlanJson) -> f64| Change { before: f(before), now: f(now) };
    let totals = vec![
        ("acres flown", total(|p| p.sprayed_acres)),
        ("dollars", total(|p| p.cost)),
        ("crew hours", total(|p| p.crew_hours)),
        ("volunteer hours", total(|p| p.volunteer_hours)),
        ("favoured acres expected over tolerance", total(|p| p.expected_host_acres_over_tolerance.in_sample)),
    ];
    let old: BTreeMap<&str, &BlockJson> = before.blocks.iter().map(|b| (b.id.as_str(), b)).collect();
    let pairs = now.blocks.iter().filter_map(|b| old.get(b.id.as_str()).map(|o| (*o, b)));
    Comparison { totals, blocks: pairs.filter(|(o, b)| o.option != b.option).map(|(o, b)| change(o, b)).collect() }
}

fn change(old: &BlockJson, new: &BlockJson) -> BlockChange {
    let of = |f: fn(&BlockJson) -> f64| Change { before: f(old), now: f(new) };
    BlockChange {
        block: new.id.clone(),
        before: old.option.clone(),
        now: new.option.clone(),
        sprayed_acres: of(|b| b.sprayed_acres),
        cost: of(|b| b.cost),
        crew_hours: of(|b| b.crew_hours),
        volunteer_hours: of(|b| b.volunteer_hours),
        chance_over: of(|b| b.chance_over_tolerance),
    }
}
