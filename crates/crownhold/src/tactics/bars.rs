//! Why an option may not be taken on a block. Every reason is a sentence for the manager.

use jiff::ToSpan;

use super::Bundle;
use super::cost::{Site, ground_trees};
use crate::Setting;
use crate::outlook::{by_land_use, per_acre};
use crate::timing::{Timing, WindowKind};
use crate::types::draws::share;
use crate::types::{Block, Consent, DecisionRule, FixedDecision, Parameters, Tactic};

/// The end of the one reason that a few more plots take away.
pub(super) const COUNT_FIRST: &str = "Count first.";

/// What the reasons are judged from.
pub(super) struct Case<'a> {
    pub block: &'a Block,
    pub site: &'a Site,
    /// Density draws, masses per hectare.
    pub density: &'a [f64],
    /// Plots of its own.
    pub plots: usize,
    pub decisions: Vec<&'a FixedDecision>,
    pub timing: Option<&'a Timing>,
    pub parameters: &'a Parameters,
    pub setting: &'a Setting,
}

pub(super) fn bars(bundle: &Bundle, case: &Case<'_>) -> Vec<String> {
    let mut reasons: Vec<String> = bundle.tactics().iter().flat_map(|t| tactic_bars(*t, case)).collect();
    reasons.extend(case.decisions.iter().filter_map(|d| decision_bar(bundle, d)));
    reasons.dedup();
    reasons
}

fn tactic_bars(tactic: Tactic, case: &Case<'_>) -> Vec<String> {
    let mut reasons = Vec::new();
    match case.block.consent {
        Consent::Refused => reasons.push("Consent was refused.".to_owned()),
        Consent::Pending if tactic != Tactic::Scraping && tactic != Tactic::Bands => {
            reasons.push("Consent to spray is still pending.".to_owned());
        }
        _ => {}
    }
    if case.site.host_trees < 1.0 {
        reasons.push("There are no susceptible trees.".to_owned());
    }
    match tactic {
        Tactic::Scraping if case.block.survey_closed.is_none() => {
            reasons.push("The egg-mass count is not closed; scraping now would hide the density.".to_owned());
        }
        Tactic::GroundBtk => reasons.extend(ground_bars(case)),
        Tactic::AerialOnce | Tactic::AerialTwice => reasons.extend(aerial_bars(case)),
        _ => {}
    }
    reasons.extend(too_late(tactic, case));
    reasons
}

fn ground_bars(case: &Case<'_>) -> Vec<String> {
    let mut reasons = Vec::new();
    let most = case.parameters.number("ground.most_trees");
    let trees = ground_trees(case.site);
    if trees > most {
        reasons.push(format!("{trees:.0} trees are more than ground gear can finish in time ({most:.0})."));
    }
    if case.site.ground.sprayable < 0.01 {
        reasons.push("The whole block is a no-spray area.".to_owned());
    }
    reasons
}

fn aerial_bars(case: &Case<'_>) -> Vec<String> {
    let p = case.parameters;
    let mut reasons = Vec::new();
    let least_plots = p.number("aerial.least_plots");
    if (case.plots as f64) < least_plots {
        let counted =
            if case.plots == 0 { "Nobody counted here".to_owned() } else { format!("{} plots here", case.plots) };
        reasons.push(format!("{counted}; a flight needs at least {least_plots:.0} of its own. {COUNT_FIRST}"));
    }
    if case.site.ground.sprayable < 0.01 {
        reasons.push("The whole block is a no-spray area.".to_owned());
    }
    let least_canopy = p.number("aerial.least_canopy");
    let canopy = case.block.canopy.map_or(0.0, |c| c.value());
    if canopy < least_canopy {
        reasons.push(format!("Canopy covers {:.0} %; flights need {:.0} %.", 100.0 * canopy, 100.0 * least_canopy));
    }
    let threshold = by_land_use(p, "threshold", case.block.land_use);
    let above = share(case.density, |d| per_acre(d) > threshold);
    if above < p.number("aerial.threshold_chance") {
        reasons.push(format!(
            "Below the action threshold: the chance of more than {threshold:.0} egg masses per acre is {:.0} %.",
            100.0 * above
        ));
    }
    reasons
}

/// A tactic whose window has most likely gone by, or a flight whose notices can no longer go out in time.
fn too_late(tactic: Tactic, case: &Case<'_>) -> Option<String> {
    let (kind, lead) = match tactic {
        Tactic::Scraping => (WindowKind::Scraping, 0),
        Tactic::Bands => (WindowKind::Bands, 0),
        Tactic::GroundBtk => (WindowKind::GroundBtk, 0),
        Tactic::AerialOnce | Tactic::AerialTwice => {
            (WindowKind::AerialBtk, case.parameters.number("aerial.notice_days") as i64)
        }
    };
    let window = case.timing?.window(kind)?;
    let open = window.chance_open_after(Some(case.setting.today.saturating_add(lead.days())));
    (open < 0.5).then(|| {
        let chance = format!("{:.0} %", 100.0 * open);
        if lead == 0 {
            format!("Its window has most likely closed or does not open this season (chance that it is still open: {chance}).")
        } else {
            format!("Notices need {lead} days, and the chance that the window is still open then is {chance}.")
        }
    })
}

fn decision_bar(bundle: &Bundle, decision: &FixedDecision) -> Option<String> {
    let note = if decision.note.is_empty() { String::new() } else { format!(" ({})", decision.note) };
    match &decision.rule {
        DecisionRule::Take(key) if bundle.key() != *key => Some(format!("Decided: this block gets {key}{note}.")),
        DecisionRule::Never(tactic) if bundle.has(*tactic) => Some(format!("Decided: never {tactic} here{note}.")),
        DecisionRule::NeverFly if bundle.flies() => Some(format!("Decided: never fly here{note}.")),
        DecisionRule::AlwaysFly if !bundle.flies() => Some(format!("Decided: always fly here{note}.")),
        _ => None,
    }
}
