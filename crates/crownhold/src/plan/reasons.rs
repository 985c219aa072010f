//! Why a block got its option, and what the next best one lacked, in sentences for a council.
//!
//! Each sentence is read off the same comparison the plan was made by: a single change on this block,
//! everything else as it is. "Better" and "worse" go by the aims in their order: less host area
//! beyond the accepted chance, then less sprayed area, then less money.

use super::RunnerUp;
use super::standing::{Graded, Refusal, Standing, Swap};
use super::words;
use crate::tactics::{BlockOption, BlockOptions};
use crate::types::{Area, UnitSystem};

/// A chance this little over the accepted one counts as within it.
const CHANCE_TOLERANCE: f64 = 1e-12;

/// Why block number `b` got its option, and its runner-up (none when the block has only one option).
pub fn explain(standing: &Standing<'_>, b: usize, units: UnitSystem) -> (String, Option<RunnerUp>) {
    let case = Case::new(standing, b, units);
    (case.why(), case.runner_up())
}

/// One block, its chosen option and the others with what they would do.
struct Case<'a> {
    block: &'a BlockOptions,
    chosen: &'a BlockOption,
    others: Vec<(&'a BlockOption, Swap)>,
    /// Least area of a spray block.
    least: Area,
    units: UnitSystem,
}

impl<'a> Case<'a> {
    fn new(standing: &Standing<'a>, b: usize, units: UnitSystem) -> Self {
        let block = &standing.options.blocks[b];
        let position = standing.choice[b];
        let mut others: Vec<(&BlockOption, Swap)> = (0..block.options.len())
            .filter(|&o| o != position)
            .map(|o| (&block.options[o], standing.swap(b, o)))
            .collect();
        // Best first; the sort is stable, so equals stay in the order of the options.
        others.sort_by(|(_, a), (_, b)| order(a.change, b.change));
        Self { block, chosen: &block.options[position], others, least: standing.options.flying.least, units }
    }

    fn why(&self) -> String {
        let watched = self.chosen.bundle.tactics().is_empty();
        match (watched, self.within(self.chosen)) {
            (true, true) => self.watched_within(),
            (true, false) => self.watched_over(),
            (false, true) => self.held(),
            (false, false) => self.lowered(),
        }
    }

    fn within(&self, option: &BlockOption) -> bool {
        option.chance_over <= self.block.accepted_chance + CHANCE_TOLERANCE
    }

    /// "losing more than 40 % of its foliage"
    fn loss(&self) -> String {
        format!("losing more than {} of its foliage", words::percent(self.block.tolerance.value()))
    }

    fn chance_and_accepted(&self) -> (String, String) {
        words::percents(self.chosen.chance_over, self.block.accepted_chance)
    }

    fn watched_within(&self) -> String {
        let (chance, accepted) = self.chance_and_accepted();
        format!(
            "Watched: even untreated, the chance of {} is {chance}, within the {accepted} accepted here.",
            self.loss()
        )
    }

    fn watched_over(&self) -> String {
        let (chance, accepted) = self.chance_and_accepted();
        let barrier = self.barrier();
        if self.block.accepted_chance > 0.0 {
            let loss = self.loss();
            format!(
                "Left over its accepted chance: untreated, the chance of {loss} is {chance}; {accepted} is accepted here. {barrier}"
            )
        } else {
            format!("Watched: untreated, the chance of {} is {chance}. {barrier}", self.loss())
        }
    }

    fn held(&self) -> String {
        let (chance, accepted) = self.chance_and_accepted();
        let untreated = &self.block.options[0];
        let flies = self.chosen.bundle.flies();
        let lead = if flies {
            words::flown(&self.chosen.bundle)
        } else {
            format!("Held by {}", words::bundle(&self.chosen.bundle))
        };
        let mut text = format!("{lead}: {chance} chance of {}, within the {accepted} accepted here", self.loss());
        text += &format!("; untreated it would be {}.", words::percent(untreated.chance_over));
        if self.within(untreated) && !untreated.allowed() {
            text += &format!(" Watching alone is barred: {}", sentences(&untreated.barred));
        } else if flies {
            text += &format!(" {}", self.without_flying());
        } else {
            text += " No flight needed.";
        }
        text
    }

    fn lowered(&self) -> String {
        let untreated = self.block.options[0].chance_over;
        let chance = self.chosen.chance_over;
        let lead = if self.chosen.bundle.flies() {
            words::flown(&self.chosen.bundle)
        } else {
            words::bundle_first(&self.chosen.bundle)
        };
        let (from, to) = words::percents(untreated, chance);
        let mut text = format!("{lead}: the chance of {} falls from {from} to {to}", self.loss());
        if self.block.accepted_chance > 0.0 {
            let (_, accepted) = self.chance_and_accepted();
            text += &format!(", still over the {accepted} accepted here");
        }
        if self.chosen.bundle.flies() {
            text += &format!(". {}", self.without_flying());
        } else {
            text.push('.');
        }
        format!("{text} {}", self.barrier())
    }

    /// What could be had on the ground, for a block that is flown.
    fn without_flying(&self) -> String {
        let ground = || self.others.iter().filter(|(o, _)| !o.bundle.flies());
        let Some((option, swap)) = ground().find(|(o, _)| o.allowed()) else {
            let reasons: Vec<String> = ground().flat_map(|(o, _)| o.barred.clone()).collect();
            return match reasons.is_empty() {
                true => "There is no option without a flight.".to_owned(),
                false => format!("Everything without a flight is barred: {}", sentences(&reasons)),
            };
        };
        let name = words::bundle(&option.bundle);
        let chance = words::percent(option.chance_over);
        if option.bundle.tactics().is_empty() {
            return "Nothing that may be done on the ground would help.".to_owned();
        }
        if self.within(option) && !swap.refused.is_empty() {
            return format!("Without flying, {name} would hold it at {chance}, but {}.", self.refusals(option, swap));
        }
        format!("Without flying, {name} would leave {chance}.")
    }

    /// Why it is not better still.
    fn barrier(&self) -> String {
        let better = || self.others.iter().filter(|(_, s)| s.change.host < 0);
        if let Some((option, swap)) = better().find(|(o, _)| o.allowed()) {
            return format!("{} {}", words::bundle_first(&option.bundle), self.would_be_better(option, swap));
        }
        let mut reasons: Vec<String> = Vec::new();
        for reason in better().flat_map(|(o, _)| &o.barred) {
            if !reasons.contains(reason) {
                reasons.push(reason.clone());
            }
        }
        match reasons.is_empty() {
            true => "No option does better.".to_owned(),
            false => format!("Every option that would help more is barred: {}", sentences(&reasons)),
        }
    }

    /// "would leave 35 %, but ..." (no subject: the caller names the option).
    fn would_be_better(&self, option: &BlockOption, swap: &Swap) -> String {
        let (leaves, _) = words::percents(option.chance_over, self.chosen.chance_over);
        if swap.refused.is_empty() {
            return format!("would leave {leaves} and would fit; the search was stopped before it came to that.");
        }
        format!("would leave {leaves}, but {}.", self.refusals(option, swap))
    }

    fn refusals(&self, option: &BlockOption, swap: &Swap) -> String {
        let one = |refusal: &Refusal| match refusal {
            Refusal::Barred => format!("it is barred: {}", sentences(&option.barred).trim_end_matches('.')),
            Refusal::Money(short) => format!("it needs {} more than is left", words::dollars(*short)),
            Refusal::Sprayed(over) => {
                let over = words::area(Area::square_metres(*over), self.units);
                format!("it goes {over} over the area that may be sprayed")
            }
            Refusal::SmallSprayBlock(area) => {
                let area = words::area(Area::square_metres(*area), self.units);
                let least = words::area(self.least, self.units);
                match option.bundle.flights() > self.chosen.bundle.flights() {
                    true => format!("its spray block would be only {area}; {least} is the least"),
                    false => format!("only {area} would be left of the spray block around it; {least} is the least"),
                }
            }
            Refusal::Hours { short, period, open } => {
                let whose = if *open { "hours" } else { "crew hours" };
                format!("{} are missing in {period}", words::hours(*short).replace("hours", whose))
            }
        };
        swap.refused.iter().map(one).collect::<Vec<_>>().join(", and ")
    }

    fn runner_up(&self) -> Option<RunnerUp> {
        // An option that would have been a gain was refused: that is what the council asks about first.
        let gain = self.others.iter().find(|(_, s)| s.change.is_gain());
        let allowed = || self.others.iter().find(|(o, _)| o.allowed());
        let (option, swap) = gain.or_else(allowed).or_else(|| self.others.first())?;
        Some(RunnerUp { bundle: option.bundle.clone(), why_not: self.why_not(option, swap) })
    }

    fn why_not(&self, option: &BlockOption, swap: &Swap) -> String {
        if !option.allowed() {
            return format!("Barred: {}", sentences(&option.barred));
        }
        let Graded { host, sprayed, cost } = swap.change;
        if host < 0 {
            return format!("It {}", self.would_be_better(option, swap));
        }
        if swap.change.is_gain() {
            let saved = if sprayed < 0 { "spray less" } else { "cost less" };
            return format!("It would {saved}, but {}.", self.refusals(option, swap));
        }
        if host > 0 {
            let (leaves, now) = words::percents(option.chance_over, self.chosen.chance_over);
            return format!("It would leave {leaves} instead of {now}.");
        }
        if sprayed > 0 {
            let more = words::area(Area::square_metres(sprayed as f64), self.units);
            return format!("It would spray {more} more from the air, for no gain that counts here.");
        }
        match cost > super::standing::MONEY_TOLERANCE {
            true => format!("It would cost {} more, for no gain that counts here.", words::dollars(cost)),
            false => "It makes no difference by any of the three aims.".to_owned(),
        }
    }
}

fn order(a: Graded, b: Graded) -> std::cmp::Ordering {
    a.host.cmp(&b.host).then(a.sprayed.cmp(&b.sprayed)).then(a.cost.total_cmp(&b.cost))
}

/// Sentences one after another, each once, ending in a full stop.
fn sentences(all: &[String]) -> String {
    let mut seen: Vec<&str> = Vec::new();
    for s in all.iter().map(|s| s.trim().trim_end_matches('.')).filter(|s| !s.is_empty()) {
        if !seen.contains(&s) {
            seen.push(s);
        }
    }
    format!("{}.", seen.join("; "))
}
