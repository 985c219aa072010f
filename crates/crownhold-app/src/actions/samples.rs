//! Field samples of spring: one look is one operation in the history, and can be undone.

use std::path::Path;

use crownhold::types::{BlockId, Catch, FieldSample, InstarCounts, Problem, Records, SampleId, Seen};
use jiff::civil::Date;

use super::{By, Done, act, refuse};
use crate::trouble::Trouble;

/// Adds a sample. One without an id gets the next free number of its year.
///
/// # Errors
/// Everything that is wrong with it at once, each with its column.
pub fn add(path: &Path, sample: &FieldSample, by: By<'_>) -> Result<Done, Trouble> {
    act(path, by, |records| {
        let mut sample = sample.clone();
        if sample.id.as_str().is_empty() {
            sample.id = free_id(records, sample.date.year());
        }
        let mut wrong = problems(records, &sample);
        if records.samples.iter().any(|s| s.id == sample.id) {
            let what = format!("There is a sample \"{}\" already.", sample.id);
            wrong.push(Problem::error("A-161", what, "Give it another number, or leave it blank.").column("id"));
        }
        refuse(wrong)?;
        let done = Done::new(format!("field sample {} added: {}", sample.id, words(&sample)), sample.id.as_str());
        put(records, sample);
        Ok(done)
    })
}

/// Puts other values in a sample's place; its id stays.
///
/// # Errors
/// When there is no such sample, or something is wrong with the values.
pub fn correct(path: &Path, sample: &FieldSample, by: By<'_>) -> Result<Done, Trouble> {
    act(path, by, |records| {
        let at = place(records, &sample.id)?;
        refuse(problems(records, sample))?;
        records.samples.remove(at);
        put(records, sample.clone());
        Ok(Done::new(format!("field sample {} corrected: {}", sample.id, words(sample)), sample.id.as_str()))
    })
}

/// Takes a sample out.
///
/// # Errors
/// When there is no such sample.
pub fn remove(path: &Path, id: &SampleId, by: By<'_>) -> Result<Done, Trouble> {
    act(path, by, |records| {
        let at = place(records, id)?;
        let sample = records.samples.remove(at);
        Ok(Done::new(format!("field sample {} removed", sample.id), sample.id.as_str()))
    })
}

/// A sample in a few words.
pub fn words(sample: &FieldSample) -> String {
    match &sample.seen {
        Seen::FirstHatch => "first hatch seen".to_owned(),
        Seen::NoHatch => "no hatch yet".to_owned(),
        Seen::Instars(counts) => {
            let of = |(name, n): (&&str, &u32)| (*n > 0).then(|| format!("{n} {name}"));
            let all: Vec<String> =
                crownhold::types::InstarCounts::STAGES.iter().zip(&counts.0).filter_map(of).collect();
            all.join(", ")
        }
        Seen::UnderBands { late, pupae } => format!("under bands {late} larvae from L4 on, {pupae} pupae"),
        Seen::Leaf { host, size } => format!("{host} leaves at {:.0} %", 100.0 * size.value()),
    }
}

/// Lets the dates learn from what was found under the bands of a block on a day: a sample of its own, made anew when more
/// visits of that day come in.
///
/// # Errors
/// When nothing that hides under bands was found there on that day.
pub fn learn_from_bands(path: &Path, block: &BlockId, date: Date, by: By<'_>) -> Result<Done, Trouble> {
    act(path, by, |records| {
        let visits = records.log.bands.iter().filter(|v| v.block == *block && v.date == date);
        let found = visits.fold(Catch::default(), |all, v| all.and(v.found));
        let seen = Seen::under_bands(InstarCounts([0, 0, 0, found.large, 0, 0, found.pupae])).ok_or_else(|| {
            let what = format!("On {date} no larva from the fourth instar on and no pupa was found in block {block}.");
            Trouble::one(Problem::error("A-165", what, "Choose a day and block with such a catch."))
        })?;
        let id = SampleId::new(format!("{date} bands {block}"));
        let observer = by.author.to_owned();
        let note = "from the log of bands".to_owned();
        let sample = FieldSample { id, date, block: Some(block.clone()), place: String::new(), observer, seen, note };
        let done =
            Done::new(format!("dates learn from bands in {block} on {date}: {}", words(&sample)), sample.id.as_str());
        records.samples.retain(|s| s.id != sample.id);
        put(records, sample);
        Ok(done)
    })
}

fn put(records: &mut Records, sample: FieldSample) {
    records.samples.push(sample);
    records.samples.sort_by(|a, b| a.id.cmp(&b.id));
}

fn place(records: &Records, id: &SampleId) -> Result<usize, Trouble> {
    records.samples.iter().position(|s| &s.id == id).ok_or_else(|| {
        let what = format!("There is no field sample \"{id}\".");
        Trouble::one(Problem::error("A-160", what, "Use an id of the list."))
    })
}

fn free_id(records: &Records, year: i16) -> SampleId {
    let taken = |n: usize| SampleId::new(format!("{year}-{n:02}"));
    let free = |n: &usize| records.samples.iter().all(|s| s.id != taken(*n));
    taken((1..).find(free).unwrap_or(1))
}

fn problems(records: &Records, sample: &FieldSample) -> Vec<Problem> {
    let mut wrong = Vec::new();
    if let Some(block) = sample.block.as_ref().filter(|id| records.block_index(id).is_none()) {
        let what = format!("There is no block \"{block}\".");
        wrong.push(
            Problem::error("A-162", what, "Use the id of a block of this programme, or leave it blank.")
                .column("block"),
        );
    }
    if sample.seen.counts().is_some_and(|counts| counts.total() == 0) {
        wrong
            .push(Problem::error("A-163", "Nothing is counted.", "Count at least one larva or pupa.").column("counts"));
    }
    wrong
}
