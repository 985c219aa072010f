//! How likely a sample is, for a given spring.
//!
//! - Instars: shares of instars and pupae among all larvae and pupae; counts clump (Dirichlet-multinomial), some are
//!   misread, and where hardly any larvae are about it is unlikely to find one.
//! - Under bands: pupae among the larvae and pupae that hide there, which are those from the fourth instar on. Larvae go
//!   back up at night and pupae stay, so that a catch clumps far more than larvae picked from the trees.
//! - First hatch: the heat at which it is seen lies around the heat of the 10 % point, and fell between the last look
//!   without hatch (or a few days before) and the day it was seen.
//! - Leaves: the heat at the end of the day lies around the heat at which leaves of that oak have the rated size.

use statrs::function::gamma::ln_gamma;

use super::super::axis::Year;
use super::super::biology::Biology;
use super::super::course::Course;
use super::super::hatch::Hatch;
use super::super::leaf::Leaves;
use crate::types::chance::normal_cdf;
use crate::types::{FieldSample, LeafHost, Parameters, Problem, SampleId, Seen};

/// Least likelihood told apart from none.
const LEAST: f64 = 1e-300;

/// The parameters of sampling.
#[derive(Clone, Debug, PartialEq)]
pub(in super::super) struct SampleModel {
    hatch_error: f64,
    looked: f64,
    clumping: f64,
    band_clumping: f64,
    misread: f64,
    findable: f64,
    leaf_error: f64,
    /// Chance that a sample is wrong.
    pub(super) wrong: f64,
    /// Chance below which a sample is flagged.
    pub(super) flag: f64,
    /// Leaves, by host.
    leaves: Leaves,
}

impl From<&Parameters> for SampleModel {
    fn from(parameters: &Parameters) -> Self {
        let read = |name: &str| parameters.number(&format!("timing.sample.{name}"));
        Self {
            hatch_error: read("hatch-error").max(1.0),
            looked: read("hatch-looked").max(1.0),
            clumping: read("clumping").clamp(0.001, 0.9),
            band_clumping: read("bands-clumping").clamp(0.001, 0.9),
            misread: read("misread").clamp(1e-6, 0.5),
            findable: read("findable").max(1e-9),
            leaf_error: (read("leaf-error") / 1.8).max(0.5),
            wrong: read("wrong").clamp(1e-6, 0.5),
            flag: read("flag"),
            leaves: Leaves::read(parameters, &mut Vec::new()),
        }
    }
}

/// One sample as the model reads it.
#[derive(Clone, Debug, PartialEq)]
pub(in super::super) struct Look {
    pub(super) id: SampleId,
    /// Day from 1 January.
    pub(in super::super) day: usize,
    /// Degrees C warmer than the station.
    pub(in super::super) offset: f64,
    pub(super) what: What,
}

/// What was seen.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum What {
    /// First hatch: not yet at the end of the given day.
    Hatch { not_yet: usize },
    /// No hatch.
    None,
    /// Counts, their number, mean stage, and the variance of stages.
    Instars { counts: [f64; 7], total: f64, mean: f64, variance: f64 },
    /// Late larvae and pupae under bands.
    Bands { late: f64, pupae: f64 },
    /// Heat at which leaves have the rated size: mean and spread between springs.
    Leaf { mean: f64, spread: f64 },
}

/// How a sample looks from one possible spring.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Seeming {
    /// Log likelihood, up to a constant of the sample.
    pub(super) log: f64,
    /// Chance of a lower value than the one seen; for "no hatch", chance of seeing none.
    pub(super) below: f64,
}

impl SampleModel {
    /// Reads a sample. `all` are searched for an earlier look without hatch at the same place.
    ///
    /// # Errors
    /// Why it cannot be used.
    pub(super) fn look(&self, sample: &FieldSample, all: &[&FieldSample], offset: f64) -> Result<Look, Box<Problem>> {
        let day = |s: &FieldSample| s.date.day_of_year() as usize - 1;
        let what = match &sample.seen {
            Seen::NoHatch => What::None,
            Seen::FirstHatch => {
                let here = |s: &&&FieldSample| (&s.block, &s.place) == (&sample.block, &sample.place);
                let before = |s: &&&FieldSample| s.seen == Seen::NoHatch && s.date < sample.date;
                let last = all.iter().filter(here).filter(before).map(|s| day(s)).max();
                What::Hatch { not_yet: last.unwrap_or_else(|| day(sample).saturating_sub(self.looked as usize)) }
            }
            Seen::Instars(counts) => match counts.mean() {
                None => return Err(unused("it has no larvae or pupae.", "Count at least one, or remove it.")),
                Some(mean) => {
                    let (counts, total) = (counts.0.map(f64::from), f64::from(counts.total()));
                    let variance = (1_u32..).zip(counts).map(|(i, n)| n * (f64::from(i) - mean).powi(2)).sum::<f64>();
                    What::Instars { counts, total, mean, variance: variance / total }
                }
            },
            Seen::UnderBands { late: 0, pupae: 0 } => {
                return Err(unused("it has no larvae or pupae.", "Count at least one, or remove it."));
            }
            Seen::UnderBands { late, pupae } => What::Bands { late: f64::from(*late), pupae: f64::from(*pupae) },
            Seen::Leaf { host, size } => self.leaf(*host, size.value())?,
        };
        Ok(Look { id: sample.id.clone(), day: day(sample), offset, what })
    }

    fn leaf(&self, host: LeafHost, size: f64) -> Result<What, Box<Problem>> {
        let mark = self.leaves.mark(host, size).ok_or_else(|| {
            let (low, high) = self.leaves.sizes(host);
            let (low, high) = (100.0 * low, 100.0 * high);
            unused(
                &format!("a leaf size of {:.0} % cannot be set against heat.", 100.0 * size),
                &format!("It is kept but not used: leaves tell the date from {low:.0} to {high:.0} % of final size."),
            )
        })?;
        Ok(What::Leaf { mean: mark.mean, spread: mark.spread })
    }

    /// How a look seems in one spring.
    pub(super) fn seeming(&self, look: &Look, spring: &Spring<'_>) -> Seeming {
        match &look.what {
            What::Hatch { not_yet } => {
                let by = |heat: f64| normal_cdf((heat - spring.hatch.heat(0.1)) / self.hatch_error);
                let (from, to) = (spring.year.egg.end_of(*not_yet), spring.year.egg.end_of(look.day));
                // Heat itself is not known closer than this.
                let seen = by(to + 0.5) - by(from - 0.5);
                Seeming { log: libm::log(seen.max(LEAST)), below: by(0.5 * (from + to)) }
            }
            What::None => {
                let heat = spring.year.egg.end_of(look.day);
                let none = normal_cdf((spring.hatch.heat(0.1) - heat) / self.hatch_error);
                Seeming { log: libm::log(none.max(LEAST)), below: none }
            }
            What::Instars { counts, total, mean, .. } => {
                let (shares, found) = self.instars(look.day, spring);
                let log = self.counts(counts, *total, &shares) + libm::log(found / (found + self.findable));
                let (middle, variance) = moments(&shares);
                let spread = (variance / total * (1.0 + (total - 1.0) * self.clumping) + 1e-4).sqrt();
                Seeming { log, below: normal_cdf((mean - middle) / spread) }
            }
            What::Bands { late, pupae } => {
                let (share, hidden) = self.pupae_under_bands(look.day, spring);
                let log = self.two_counts(*late, *pupae, share) + libm::log(hidden / (hidden + self.findable));
                let (total, seen) = (late + pupae, pupae / (late + pupae));
                let clumped = 1.0 + (total - 1.0) * self.band_clumping;
                let spread = (share * (1.0 - share) / total * clumped + 1e-4).sqrt();
                Seeming { log, below: normal_cdf((seen - share) / spread) }
            }
            What::Leaf { mean, spread } => {
                let off = (spring.year.leaf.end_of(look.day) - mean - spring.leaf_z * spread) / self.leaf_error;
                Seeming { log: -0.5 * off * off, below: normal_cdf(off) }
            }
        }
    }

    /// Shares among larvae and pupae as they would be written down, and the share of all that are larvae or pupae.
    pub(super) fn instars(&self, day: usize, spring: &Spring<'_>) -> ([f64; 7], f64) {
        let all = spring.course().stages_on(day);
        let found: f64 = all[1..=7].iter().sum::<f64>().max(1e-12);
        let true_shares: [f64; 7] = if found > 1e-12 {
            std::array::from_fn(|i| all[i + 1] / found)
        } else {
            // Before the first egg or after the last pupa: the nearest stage.
            std::array::from_fn(|i| f64::from(u8::from(i == if all[0] > 0.5 { 0 } else { 6 })))
        };
        (true_shares.map(|share| (1.0 - self.misread) * share + self.misread / 7.0), found)
    }

    /// Share of pupae among those that hide under bands, as it would be written down, and the share of all that hide.
    fn pupae_under_bands(&self, day: usize, spring: &Spring<'_>) -> (f64, f64) {
        let all = spring.course().stages_on(day);
        let hidden: f64 = all[4..=7].iter().sum::<f64>().max(1e-12);
        let share = if hidden > 1e-12 {
            all[7] / hidden
        } else {
            // Before the first fourth instar or after the last pupa.
            f64::from(u8::from(all[..4].iter().sum::<f64>() < 0.5))
        };
        ((1.0 - self.misread) * share + self.misread / 2.0, hidden)
    }

    /// Beta-binomial, up to the binomial coefficient.
    fn two_counts(&self, late: f64, pupae: f64, share: f64) -> f64 {
        let whole = (1.0 - self.band_clumping) / self.band_clumping;
        let (a, b) = (whole * share, whole * (1.0 - share));
        let part = |n: f64, of: f64| if n > 0.0 { ln_gamma(n + of) - ln_gamma(of) } else { 0.0 };
        part(pupae, a) + part(late, b) + ln_gamma(whole) - ln_gamma(whole + late + pupae)
    }

    /// Dirichlet-multinomial, up to the multinomial coefficient.
    fn counts(&self, counts: &[f64; 7], total: f64, shares: &[f64; 7]) -> f64 {
        let whole = (1.0 - self.clumping) / self.clumping;
        let seen = counts.iter().zip(shares).filter(|(n, _)| **n > 0.0);
        let sum: f64 = seen.map(|(n, share)| ln_gamma(n + whole * share) - ln_gamma(whole * share)).sum();
        sum + ln_gamma(whole) - ln_gamma(whole + total)
    }
}

/// Mean and variance of stages.
pub(super) fn moments(shares: &[f64; 7]) -> (f64, f64) {
    let mean: f64 = (1_u32..).zip(shares).map(|(i, p)| f64::from(i) * p).sum();
    let variance = (1_u32..).zip(shares).map(|(i, p)| (f64::from(i) - mean).powi(2) * p).sum();
    (mean, variance)
}

/// One possible spring at one place.
pub(super) struct Spring<'a> {
    pub(super) biology: &'a Biology,
    pub(super) year: &'a Year,
    pub(super) hatch: Hatch,
    pub(super) scale: f64,
    pub(super) leaf_z: f64,
}

impl<'a> Spring<'a> {
    pub(super) fn course(&self) -> Course<'a> {
        Course::new(self.biology, self.year, self.hatch, self.scale, self.leaf_z)
    }
}

fn unused(what: &str, remedy: &str) -> Box<Problem> {
    Box::new(Problem::notice("timing.sample-unused", what, remedy))
}

#[cfg(test)]
mod tests {
    use super::SampleModel;
    use crate::types::Parameters;

    /// SciPy 1.17.1, betabinom.logpmf(k, 35, 7/3 s, 7/3 (1 - s)): for k = 4 -2.968490 (s = 0.2) and -4.142585 (s = 0.6); for
    /// k = 0 -1.455071 and -4.889830. The binomial coefficient falls out of the difference.
    #[test]
    fn counts_under_bands_are_beta_binomial() {
        let model = SampleModel::from(&Parameters::defaults());
        for (pupae, expected) in [(4.0, 1.174_095_840_2), (0.0, 3.434_758_187_9)] {
            let difference = model.two_counts(35.0 - pupae, pupae, 0.2) - model.two_counts(35.0 - pupae, pupae, 0.6);
            assert!((difference - expected).abs() < 1e-9, "{pupae} {difference}");
        }
    }
}
