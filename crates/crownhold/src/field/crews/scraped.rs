//! What scraping took off, and how much of the block that was.

use super::caught::TakenShare;
use crate::types::{Area, BlockId, Hours, ScrapingVisit};

/// Scraping of one block over a winter.
#[derive(Clone, Debug, PartialEq)]
pub struct ScrapingSeason {
    /// Block.
    pub block: BlockId,
    /// Visits.
    pub visits: usize,
    /// Masses taken off from the ground.
    pub low: u32,
    /// Masses taken off with pole or ladder.
    pub high: u32,
    /// Masses seen and left.
    pub left: u32,
    /// Hours of the visits that tell them.
    pub hours: Hours,
    /// Masses an hour, over the visits that tell hours.
    pub rate: Option<f64>,
    /// Share of the block's masses that was taken off.
    pub share: Option<TakenShare>,
}

impl ScrapingSeason {
    /// All masses taken off.
    pub fn taken(&self) -> u32 {
        self.low.saturating_add(self.high)
    }
    /// Of the masses that were seen, the share taken off.
    pub fn of_seen(&self) -> Option<f64> {
        let seen = self.taken().saturating_add(self.left);
        (seen > 0).then(|| f64::from(self.taken()) / f64::from(seen))
    }
}

/// Sums up one block's scraping. `density` are draws of its new masses per hectare before anything was scraped.
pub fn scraping_season(block: &BlockId, visits: &[&ScrapingVisit], area: Area, density: &[f64]) -> ScrapingSeason {
    let sum = |of: fn(&ScrapingVisit) -> u32| visits.iter().fold(0_u32, |all, v| all.saturating_add(of(v)));
    let timed: Vec<&&ScrapingVisit> = visits.iter().filter(|v| v.hours.is_some_and(|h| h.as_hours() > 0.0)).collect();
    let hours: f64 = timed.iter().filter_map(|v| v.hours).map(Hours::as_hours).sum();
    let timed_masses: f64 = timed.iter().map(|v| f64::from(v.low) + f64::from(v.high)).sum();
    let taken = f64::from(sum(|v| v.low)) + f64::from(sum(|v| v.high));
    let masses: Vec<f64> = density.iter().map(|d| d * area.as_hectares()).collect();
    ScrapingSeason {
        block: block.clone(),
        visits: visits.len(),
        low: sum(|v| v.low),
        high: sum(|v| v.high),
        left: sum(|v| v.left),
        hours: Hours::hours(hours),
        rate: (hours > 0.0).then(|| timed_masses / hours),
        share: TakenShare::of(taken, &masses),
    }
}
