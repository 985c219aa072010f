//! Learning from the field: samples bend the ensemble by Bayes.
//!
//! Unknown are half hatch, the common factor on stage lengths, the lateness of leaves (all in spreads from their
//! prior mean) and, where days are missing, the past year that stands in. Points are drawn from a wide start and
//! then from normal distributions fitted to what is likely for all samples together, for each alone and for all
//! but one; every answer re-weights the same points (balance heuristic), so that none rests on a few of them.
//!
//! Each sample may be wrong with a small chance and then says nothing. Samples that agree outvote one that does
//! not; two that contradict each other leave both possible. Nothing is met halfway.
//!
//! Not for: larvae that are sick, starving or have eaten Btk, which develop late.

mod likelihood;
mod pool;
mod verdict;

use std::collections::BTreeSet;

use jiff::civil::Date;

use super::axis::Year;
use super::biology::Biology;
use super::ensemble::Draw;
use super::years::Turns;
use super::{Event, EventDates, Window};
use crate::types::{FieldSample, Parameters, Problem, SampleId};

pub(super) use likelihood::{Look, SampleModel};
use pool::Pool;

/// The events that are shown per sample.
pub const MARKED: [Event; 3] = [Event::HatchHalf, Event::ThirdInstar, Event::RedOakLeaf];

/// Fewer members than this, counted by their weights, make ranges ragged.
const ENOUGH_MEMBERS: f64 = 200.0;

/// What the field samples have changed.
#[derive(Clone, Debug, PartialEq)]
pub struct Learned {
    /// Event dates without any sample, in the order of [`Timing::events`](super::Timing::events).
    pub prior: Vec<EventDates>,
    /// Windows without any sample.
    pub prior_windows: Vec<Window>,
    /// What became of each sample, by date.
    pub samples: Vec<SampleVerdict>,
    /// How many equally likely members the dates with samples are worth.
    pub effective_members: f64,
}

/// Why a sample is flagged.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Flag {
    /// It does not fit the other samples; they outvote it.
    Outvoted,
    /// It does not fit the other samples, and either side may be right.
    Contradicts,
    /// It is far outside what this spring allows by the model, and no other sample bears it out.
    Unlikely,
    /// Its instars are too far apart for one place on one day.
    Mixed,
}

impl Flag {
    /// What it means and what to do.
    pub fn words(self) -> &'static str {
        match self {
            Self::Outvoted => {
                "it does not fit the other samples and hardly counts. Check its day, place and stages, or look again there."
            }
            Self::Contradicts => {
                "it does not fit the other samples, and either may be right: the dates keep both possible. Look again before \
                 acting on them."
            }
            Self::Unlikely => {
                "it lies far outside what this spring's heat allows, and no other sample bears it out. Check its day and \
                 stages, and look at a second place."
            }
            Self::Mixed => {
                "its instars are too far apart for one place on one day. Two places or two days may have been put together, or \
                 another caterpillar counted in."
            }
        }
    }
}

/// How far a sample alone moves an event.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Moved {
    /// Which.
    pub event: Event,
    /// Median with all samples less the median without this one, days; positive is later. `None` when the event
    /// may not come about.
    pub days: Option<f64>,
    /// 5, 50 and 95 % dates if this sample were the only one.
    pub alone: [Option<Date>; 3],
}

/// What became of a sample.
#[derive(Clone, Debug, PartialEq)]
pub struct SampleVerdict {
    /// Which.
    pub sample: SampleId,
    /// Chance that a sample is at least as far out as this one, by the forecast without samples.
    pub beside_forecast: f64,
    /// The same, given all other samples; `None` for an only one.
    pub beside_others: Option<f64>,
    /// Chance that it is wrong as it stands.
    pub wrong: f64,
    /// Why it is flagged, if it is.
    pub flag: Option<Flag>,
    /// What it does to [`MARKED`] events.
    pub moved: Vec<Moved>,
}

/// What is needed to learn.
pub(super) struct School<'a> {
    pub(super) biology: &'a Biology,
    pub(super) model: &'a SampleModel,
    /// The station's years; also what stands at offset 0.
    pub(super) years: &'a [Year],
    /// Years at each offset that a sample has; one year only where the days up to the last sample are known.
    pub(super) at: &'a [(f64, Vec<Year>)],
    pub(super) looks: &'a [Look],
    pub(super) turns: &'a Turns,
    pub(super) season: i16,
    pub(super) seed: u64,
}

/// The members that the samples leave, and what became of the samples.
pub(super) struct Lesson {
    pub(super) draws: Vec<Draw>,
    pub(super) samples: Vec<SampleVerdict>,
    pub(super) effective: f64,
    pub(super) notes: Vec<Problem>,
}

impl School<'_> {
    /// Takes the samples in.
    pub(super) fn learn(&self, draws: usize) -> Lesson {
        let pool = Pool::fill(self);
        let weights = pool.weights(pool::Which::All);
        let effective = pool::effective(&weights);
        let samples = verdict::verdicts(self, &pool);
        let mut notes: Vec<Problem> = samples.iter().filter_map(flag_note).collect();
        if effective < ENOUGH_MEMBERS {
            let what = format!("after the field samples the dates rest on the worth of {effective:.0} members.");
            let remedy =
                "Their ranges are ragged. Look at the flagged samples first; if none is wrong, take further samples.";
            notes.push(
                Problem::notice("timing.few-members", what, remedy).expected(format!("{ENOUGH_MEMBERS:.0} or more")),
            );
        }
        Lesson { draws: pool.resample(&weights, draws, self), samples, effective, notes }
    }

    /// The years in which looks at one offset fall.
    fn years_at(&self, offset: f64) -> &[Year] {
        self.at.iter().find(|(at, _)| *at == offset).map_or(self.years, |(_, years)| years)
    }

    /// Do the looks fall in days that every member shares?
    fn one_past(&self) -> bool {
        self.at.iter().all(|(_, years)| years.len() == 1)
    }
}

fn flag_note(verdict: &SampleVerdict) -> Option<Problem> {
    let flag = verdict.flag?;
    let code = match flag {
        Flag::Outvoted | Flag::Contradicts => "timing.sample-disagrees",
        Flag::Unlikely => "timing.sample-unlikely",
        Flag::Mixed => "timing.sample-mixed",
    };
    let (what, remedy) = flag.words().split_once(". ").unwrap_or((flag.words(), ""));
    Some(Problem::notice(code, format!("{what}."), remedy).item(format!("sample {}", verdict.sample)))
}

/// The samples of this season up to today, by date.
pub(super) fn of_season(samples: &[FieldSample], season: i16, today: Date) -> Vec<&FieldSample> {
    let mut used: Vec<&FieldSample> = samples.iter().filter(|s| s.date.year() == season && s.date <= today).collect();
    used.sort_by(|a, b| (a.date, &a.id).cmp(&(b.date, &b.id)));
    used
}

/// What the model makes of samples; those it cannot use are said.
pub(super) fn looks(
    samples: &[&FieldSample],
    offset_of: impl Fn(&FieldSample) -> f64,
    model: &SampleModel,
) -> (Vec<Look>, Vec<Problem>) {
    let (mut looks, mut notes) = (Vec::new(), Vec::new());
    for sample in samples {
        match model.look(sample, samples, offset_of(sample)) {
            Ok(look) => looks.push(look),
            Err(note) => notes.push(note.item(format!("sample {}", sample.id))),
        }
    }
    (looks, notes)
}

/// The offsets of looks, each once.
pub(super) fn offsets(looks: &[Look]) -> Vec<f64> {
    let tenths: BTreeSet<i64> = looks.iter().map(|look| (look.offset * 10.0).round() as i64).collect();
    tenths.into_iter().map(|t| t as f64 / 10.0).collect()
}

impl SampleModel {
    /// Reads the parameters.
    pub(super) fn read(parameters: &Parameters) -> Self {
        Self::from(parameters)
    }
}

#[cfg(test)]
mod tests;
