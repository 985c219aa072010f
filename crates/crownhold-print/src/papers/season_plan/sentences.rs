//! The sentences of the plan. Figures in them are number ids, so that a sentence and a table cannot disagree.

use crownhold::plan::Status;
use crownhold::tactics::Bundle;
use crownhold::types::Tactic;
use serde_json::{Value, json};

use super::inputs::{BlockRow, SeasonPlanInputs};
use crate::charts::OutlookBar;
use crate::numbers::{classes, date_range, window_span};
use crate::wording::{count, listed, percent};

/// A sentence in pieces: plain words, figures by id, and notes that go to the foot of the page.
#[derive(Default)]
struct Sentence(Vec<Value>);

impl Sentence {
    fn say(mut self, words: impl AsRef<str>) -> Self {
        self.0.push(json!({ "words": words.as_ref() }));
        self
    }
    fn figure(mut self, id: &str) -> Self {
        self.0.push(json!({ "id": id }));
        self
    }
    fn note(mut self, sentence: &Value) -> Self {
        self.0.push(json!({ "note": sentence }));
        self
    }
    fn done(self) -> Value {
        Value::Array(self.0)
    }
}

/// The plan in four sentences: what, how much from the air, what it costs, what risk is left.
pub fn four(inputs: &SeasonPlanInputs<'_>, rows: &[BlockRow<'_>]) -> Value {
    Value::Array(vec![what(inputs, rows), flown(inputs), cost(inputs), risk(inputs)])
}

fn what(inputs: &SeasonPlanInputs<'_>, rows: &[BlockRow<'_>]) -> Value {
    let acts: Vec<String> = Tactic::ALL
        .iter()
        .rev()
        .map(|t| (t, rows.iter().filter(|r| r.plan.bundle.has(*t)).count()))
        .filter(|(_, n)| *n > 0)
        .map(|(t, n)| format!("{} in {n}", t.word()))
        .collect();
    let start = Sentence::default()
        .say("Of ")
        .figure("P-all-blocks")
        .say(format!(" in {}, the plan treats ", inputs.records.programme.name));
    let start = start.figure("P-blocks");
    let rest = rows.iter().any(|r| r.plan.bundle == Bundle::WATCH);
    match (acts.is_empty(), rest) {
        (true, _) => start.say("; every block is watched.").done(),
        (false, true) => start.say(format!(" ({}) and watches the rest.", listed(&acts))).done(),
        (false, false) => start.say(format!(" ({}).", listed(&acts))).done(),
    }
}

fn flown(inputs: &SeasonPlanInputs<'_>) -> Value {
    let start = Sentence::default().say("It sprays ").figure("P-sprayed").say(" from the air, repeats counted");
    match inputs.over_threshold {
        Some(_) => start
            .say(
                "; flying once over every counted block whose estimate is over its action threshold and that may be \
                 flown would take ",
            )
            .figure("P-over-threshold")
            .say(" and leave ")
            .figure("P-over-threshold-risk")
            .say(" of favoured-tree canopy expected to lose too much leaf.")
            .done(),
        None => start.say(".").done(),
    }
}

fn cost(inputs: &SeasonPlanInputs<'_>) -> Value {
    let start = Sentence::default().say("It costs ").figure("P-cost");
    let start = match inputs.records.resources.budget {
        Some(_) => start.say(" of the ").figure("P-budget").say(" set aside"),
        None => start,
    };
    start
        .say(", and takes ")
        .figure("P-crew-hours")
        .say(" from crews and ")
        .figure("P-volunteer-hours")
        .say(" from volunteers.")
        .done()
}

fn risk(inputs: &SeasonPlanInputs<'_>) -> Value {
    let risk = &inputs.plan.risk;
    let again = risk.out_of_sample.is_some();
    let start = Sentence::default()
        .say("With the plan, ")
        .figure(if again { "P-risk-new" } else { "P-risk" })
        .say(" of favoured-tree canopy are expected to lose more leaf than tolerated");
    let start = match (again, risk.range) {
        (true, Some(_)) => {
            start.say("; nine seasons in ten lie between ").figure("P-risk-low").say(" and ").figure("P-risk-high")
        }
        (true, None) => start,
        (false, _) => start.say(" (mean of the seasons that the plan was made on)"),
    };
    let start = match risk.worst_tenth.filter(|_| again) {
        Some(_) => start.say("; the worst season in ten comes to ").figure("P-risk-worst").say(" on average"),
        None => start,
    };
    let start = match risk.standard_error {
        Some(_) => start.say(".").note(&simulation(risk.fresh_draws)),
        None => start.say("."),
    };
    start
        .say(" If nothing were done, it would be ")
        .figure("P-risk-untreated")
        .say(". In ")
        .figure("P-above-accepted")
        .say(" the chance stays above the one accepted for the land use.")
        .done()
}

/// The note on how exactly the risk is reckoned.
fn simulation(draws: usize) -> Value {
    Sentence::default()
        .say("Mean of ")
        .say(count(draws, "simulated season", "simulated seasons"))
        .say(" that the plan was not made on; error of the simulation: ")
        .figure("P-risk-error")
        .say(".")
        .done()
}

/// How far the plan is proven.
pub fn proof(inputs: &SeasonPlanInputs<'_>) -> Value {
    let start = match inputs.plan.status {
        Status::Optimal => {
            "Proven for the draws used, within the gap named here: under the limits given, no plan leaves less risk; none with that risk sprays less; none with both costs less. Another seed can change some blocks' options. Gap between plan and proof: at most "
        }
        Status::Feasible => "Not proven to be the best: the search was stopped. Gap between plan and proof: at most ",
    };
    Sentence::default()
        .say(start)
        .figure("P-gap")
        .say(format!(". Made on {}, seed {}.", count(inputs.plan.draws, "draw", "draws"), inputs.plan.seed))
        .done()
}

/// The untreated season in one sentence.
pub fn untreated(inputs: &SeasonPlanInputs<'_>) -> Value {
    let trees = inputs.outlook.dead_trees.blocks() > 0;
    let start = Sentence::default()
        .say("Without any treatment, ")
        .figure("P-risk-untreated")
        .say(" of favoured-tree canopy would be expected to lose more leaf than tolerated");
    if !trees {
        return start.say(".").done();
    }
    start
        .say("; over three years ")
        .figure("O-dead-trees")
        .say(" would die of it, and removals and nuisance would cost ")
        .figure("O-loss")
        .say(". Of trees and money these are medians, with the 5 to 95 % range in brackets.")
        .done()
}

/// "5 blocks aerial Btk twice (A2), 12 blocks watch (W)": the map in words.
pub fn class_counts(rows: &[BlockRow<'_>]) -> String {
    let parts: Vec<String> = classes(rows)
        .iter()
        .map(|(style, members)| {
            format!("{} {} ({})", count(members.len(), "block", "blocks"), members[0].plan.bundle.key(), style.code)
        })
        .collect();
    if parts.is_empty() { "No blocks.".to_owned() } else { format!("{}.", listed(&parts)) }
}

/// The dates chart in words.
pub fn dates_alt(inputs: &SeasonPlanInputs<'_>) -> String {
    let w = inputs.wording();
    let events = inputs.timing.events.iter().map(|e| format!("{} {}", e.event, date_range(w, &e.dates)));
    let windows = inputs.timing.windows.iter().map(|win| format!("{} window {}", win.kind, window_span(w, win)));
    let all: Vec<String> = events.chain(windows).collect();
    format!("Season dates as 5 to 95 % bars with the median, and working windows. {}.", listed(&all))
}

/// The outlook chart in words.
pub fn outlook_alt(bars: &[OutlookBar]) -> String {
    let worst: Vec<String> = bars.iter().take(5).map(|b| format!("{} {}", b.label, percent(b.mean))).collect();
    if worst.is_empty() {
        return "Foliage loss if nothing is done: no blocks.".to_owned();
    }
    format!(
        "Foliage loss if nothing is done, 5 to 95 % bars by block with the mean. Highest means: {}.",
        listed(&worst)
    )
}

/// What the dates rest on.
pub fn timing_basis(inputs: &SeasonPlanInputs<'_>) -> String {
    let t = inputs.timing;
    let w = inputs.wording();
    let years = match (t.years.first(), t.years.last()) {
        (Some(a), Some(b)) => {
            format!("the same weeks of {} ({a} to {b})", count(t.years.len(), "past year", "past years"))
        }
        _ => "no past years".to_owned(),
    };
    format!("Station {}. Heat seen up to {}; after that, {years}.", t.station, w.date(t.issued))
}
