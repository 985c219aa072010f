//! The course of one season in one member: one year of weather with one draw of the parameters.
//!
//! Events are solved on the heat axis, not by stepping through days. A share of "all" counts eggs that have
//! not hatched with the others, so that a warmer year is never later: shares of the larvae alone would not
//! have that property, because late eggs join them.

use super::axis::Year;
use super::biology::Biology;
use super::hatch::{COHORTS, Hatch, cohort_shares, hatched_by_cohort};
use super::stages::{MOLTS, Molt, Passage, stage_shares};
use crate::types::LeafHost;
use crate::types::chance::normal_quantile;

/// A last Newton step shorter than this, degree-days C, leaves an error of about its square.
const CLOSE: f64 = 1e-4;

/// One season of one member. Days are counted from 0 on 1 January.
pub(super) struct Course<'a> {
    biology: &'a Biology,
    year: &'a Year,
    hatch: Hatch,
    /// Factor on all stage lengths.
    scale: f64,
    /// Spreads by which this spring's leaves are late.
    leaf_z: f64,
    /// Larval heat at which each cohort hatched.
    cohorts: [f64; COHORTS],
}

impl<'a> Course<'a> {
    pub(super) fn new(biology: &'a Biology, year: &'a Year, hatch: Hatch, scale: f64, leaf_z: f64) -> Self {
        Self { biology, year, hatch, scale, leaf_z, cohorts: hatch.cohorts(year) }
    }

    /// The day at whose end a share of all masses has hatched.
    pub(super) fn hatched(&self, share: f64) -> Option<usize> {
        self.year.egg.day_reaching(self.hatch.heat(share))
    }

    /// The day at whose end leaves of a host have reached a share of their final size; `None` also for a size without
    /// a heat.
    pub(super) fn leaf(&self, host: LeafHost, size: f64) -> Option<usize> {
        self.year.leaf.day_reaching(self.biology.leaves.mark(host, size)?.heat(self.leaf_z))
    }

    /// The day at whose end half of the buds of a host are open.
    pub(super) fn budbreak(&self, host: LeafHost) -> Option<usize> {
        self.year.leaf.day_reaching(self.biology.leaves.budbreak(host).heat(self.leaf_z))
    }

    /// The day at whose end a share of all has passed a molt; with several molts, the mean of their shares
    /// counts (one molt of each sex).
    pub(super) fn molted(&self, molts: &[Molt], share: f64) -> Option<usize> {
        self.heat_at(molts, share).and_then(|heat| self.year.larva.day_reaching(heat))
    }

    /// Egg heat at which half of all masses have hatched.
    #[cfg(test)]
    pub(super) fn half_hatch(&self) -> f64 {
        self.hatch.mean
    }

    /// The moment, in days since the start of 1 January, at which a share of all has passed a molt.
    pub(super) fn moment_molted(&self, molts: &[Molt], share: f64) -> Option<f64> {
        self.heat_at(molts, share).and_then(|heat| self.year.larva.moment_of(heat))
    }

    /// Larval heat at which the share has passed: Newton steps from the normal approximation, held inside a
    /// shrinking bracket.
    fn heat_at(&self, molts: &[Molt], share: f64) -> Option<f64> {
        let passages = || molts.iter().map(|molt| self.biology.chain.passage(*molt));
        let last = self.cohorts.iter().rev().find(|heat| heat.is_finite())?;
        let mut low = self.cohorts[0] + self.scale * passages().map(|p| p.earliest).fold(f64::INFINITY, f64::min);
        let mut high = last + self.scale * passages().map(|p| p.latest).fold(0.0, f64::max);
        if *last < self.cohorts[COHORTS - 1] && self.past(molts, high).0 < share {
            return None;
        }
        let mut heat = self.guess(molts, share).clamp(low, high);
        for _ in 0..80 {
            let (passed, density) = self.past(molts, heat);
            if passed < share {
                low = heat
            } else {
                high = heat
            }
            let newton = heat - (passed - share) / density;
            let next = if newton > low && newton < high { newton } else { 0.5 * (low + high) };
            if (next - heat).abs() < CLOSE {
                return Some(next);
            }
            heat = next;
        }
        Some(heat)
    }

    /// Larval heat at which the share has passed, if hatch and passage were both normal.
    fn guess(&self, molts: &[Molt], share: f64) -> f64 {
        let of = |f: fn(&Passage) -> f64| {
            molts.iter().map(|molt| f(self.biology.chain.passage(*molt))).sum::<f64>() / molts.len() as f64
        };
        let hatched: f64 = self.cohorts.iter().zip(cohort_shares()).map(|(at, weight)| at.min(1e4) * weight).sum();
        let spread = |at: &f64| (at.min(1e4) - hatched).powi(2);
        let variance: f64 = self.cohorts.iter().zip(cohort_shares()).map(|(at, weight)| spread(at) * weight).sum();
        let sd = (variance + self.scale * self.scale * of(|p| p.variance)).sqrt();
        hatched + self.scale * of(|p| p.mean) + sd * normal_quantile(share)
    }

    /// Share of all past the molts at this larval heat, and its density.
    fn past(&self, molts: &[Molt], heat: f64) -> (f64, f64) {
        let (mut share, mut density) = (0.0, 0.0);
        let per_heat = 1.0 / self.scale;
        for molt in molts {
            let passage = self.biology.chain.passage(*molt);
            for (hatched, weight) in self.cohorts.iter().zip(cohort_shares()) {
                let (s, d) = passage.both((heat - hatched) * per_heat);
                share += weight * s;
                density += weight * d;
            }
        }
        (share / molts.len() as f64, density * per_heat / molts.len() as f64)
    }

    /// Shares of the stages at the end of a day; they sum to 1.
    pub(super) fn stages_on(&self, day: usize) -> [f64; 10] {
        let hatched = self.hatch.share(self.year.egg.end_of(day));
        let heat = self.year.larva.end_of(day);
        let weights = hatched_by_cohort(hatched);
        let mut past = [0.0; MOLTS];
        for (passed, passage) in past.iter_mut().zip(self.biology.chain.passages()) {
            *passed = self.past_on_day(passage, heat, hatched, &weights);
        }
        stage_shares(hatched, &past)
    }

    fn past_on_day(&self, passage: &Passage, heat: f64, hatched: f64, weights: &[f64; COHORTS]) -> f64 {
        // Most days most molts are wholly before or behind; those need no sum.
        if heat - self.cohorts[0] <= self.scale * passage.earliest {
            return 0.0;
        }
        if heat - self.cohorts[COHORTS - 1] >= self.scale * passage.latest {
            return hatched;
        }
        let per_heat = 1.0 / self.scale;
        let along = |hatched_at: f64| passage.share((heat - hatched_at) * per_heat);
        self.cohorts.iter().zip(weights).filter(|(_, w)| **w > 0.0).map(|(at, weight)| weight * along(*at)).sum()
    }
}
