//! What past seasons hold: counts autumn by autumn, what was done, and which blocks could be set against each other.
//!
//! Nothing here is an effect. Blocks are flown because they have many egg masses, so a plain difference between flown
//! and other blocks mixes the choice with the effect; [`pairs`] says whether there are others alike at all.

use std::collections::{BTreeMap, BTreeSet};

use crate::types::draws::quantile;
use crate::types::{Area, BlockId, MassesPerArea, PastSeason};

/// The word for a block in which nothing was done, as `Bundle::key` writes it.
const WATCH: &str = "watch";

/// Counted densities of one autumn, by block.
#[derive(Clone, Debug, PartialEq)]
pub struct Autumn {
    /// The season (year of the spring after) it was counted for.
    pub season: i16,
    /// Counted blocks; zero is a count.
    pub counted: BTreeMap<BlockId, MassesPerArea>,
}

impl Autumn {
    /// Quartiles and median over the counted blocks; `None` where none was.
    pub fn quartiles(&self) -> Option<[MassesPerArea; 3]> {
        let values: Vec<f64> = self.counted.values().map(|d| d.as_per_hectare()).collect();
        let at = |p| MassesPerArea::per_hectare(quantile(&values, p));
        (!values.is_empty()).then(|| [0.25, 0.5, 0.75].map(at))
    }
}

/// Autumns with counts, oldest first; `now` is this season's own-plot densities.
pub fn autumns(past: &[PastSeason], season: i16, now: &[(BlockId, MassesPerArea)]) -> Vec<Autumn> {
    let mut by_season: BTreeMap<i16, BTreeMap<BlockId, MassesPerArea>> = BTreeMap::new();
    for p in past.iter().filter(|p| p.season != season) {
        if let Some(density) = p.density {
            by_season.entry(p.season).or_default().insert(p.block.clone(), density);
        }
    }
    if !now.is_empty() {
        by_season.insert(season, now.iter().cloned().collect());
    }
    by_season.into_iter().map(|(season, counted)| Autumn { season, counted }).collect()
}

/// How counts changed from one autumn to the next, over the blocks counted in both.
#[derive(Clone, Debug, PartialEq)]
pub struct Change {
    /// Season of the first and of the second count.
    pub between: (i16, i16),
    /// Blocks counted in both.
    pub blocks: usize,
    /// Of these, blocks that had fewer the second time.
    pub fell: usize,
    /// Blocks in which none was found the first time; they have no ratio.
    pub from_nought: usize,
    /// Quartiles and median of second over first; `None` where no block has a ratio.
    pub ratio: Option<[f64; 3]>,
}

/// Changes between autumns that follow each other.
pub fn changes(autumns: &[Autumn]) -> Vec<Change> {
    let next = |pair: &&[Autumn]| pair[0].season + 1 == pair[1].season;
    autumns.windows(2).filter(next).map(|pair| change(&pair[0], &pair[1])).collect()
}

fn change(first: &Autumn, second: &Autumn) -> Change {
    let both: Vec<(f64, f64)> = first
        .counted
        .iter()
        .filter_map(|(block, before)| Some((before.as_per_hectare(), second.counted.get(block)?.as_per_hectare())))
        .collect();
    let ratios: Vec<f64> =
        both.iter().filter(|(before, _)| *before > 0.0).map(|(before, after)| after / before).collect();
    Change {
        between: (first.season, second.season),
        blocks: both.len(),
        fell: both.iter().filter(|(before, after)| after < before).count(),
        from_nought: both.len() - ratios.len(),
        ratio: (!ratios.is_empty()).then(|| [0.25, 0.5, 0.75].map(|p| quantile(&ratios, p))),
    }
}

/// What was done in one past season: one row a treatment.
#[derive(Clone, Debug, PartialEq)]
pub struct Done {
    /// The year of that spring.
    pub season: i16,
    /// Treatment as it was recorded; empty where it is not known.
    pub treatment: String,
    /// Blocks.
    pub blocks: usize,
    /// Sprayed from the air, repeats counted.
    pub sprayed: Area,
}

/// What was done, oldest first.
pub fn done(past: &[PastSeason]) -> Vec<Done> {
    let mut rows: BTreeMap<(i16, &str), (usize, Area)> = BTreeMap::new();
    for p in past {
        let row = rows.entry((p.season, p.treatment.as_str())).or_insert((0, Area::acres(0.0)));
        *row = (row.0 + 1, p.sprayed.map_or(row.1, |more| row.1 + more));
    }
    let row = |((season, treatment), (blocks, sprayed)): ((i16, &str), _)| Done {
        season,
        treatment: treatment.to_owned(),
        blocks,
        sprayed,
    };
    rows.into_iter().map(row).collect()
}

/// Blocks of one treatment in one season that have a count before and after, and untreated ones to set against them.
#[derive(Clone, Debug, PartialEq)]
pub struct Pairs {
    /// The year of that spring.
    pub season: i16,
    /// Treatment.
    pub treatment: String,
    /// Treated blocks counted before and after.
    pub treated: usize,
    /// Untreated blocks of the season counted before and after.
    pub untreated: usize,
    /// Untreated ones among them whose count before lies within the range of the treated.
    pub alike: usize,
}

/// What there is to set against each other; a treatment without any pair has a row with zero.
pub fn pairs(past: &[PastSeason], autumns: &[Autumn]) -> Vec<Pairs> {
    let after = |p: &PastSeason| autumns.iter().any(|a| a.season == p.season + 1 && a.counted.contains_key(&p.block));
    let before_of = |season: i16, treatment: &str| -> Vec<f64> {
        let of = |p: &&PastSeason| p.season == season && p.treatment == treatment && after(p);
        past.iter().filter(of).filter_map(|p| p.density).map(|d| d.as_per_hectare()).collect()
    };
    let treatments: BTreeSet<(i16, &str)> = past
        .iter()
        .filter(|p| p.treatment != WATCH && !p.treatment.is_empty())
        .map(|p| (p.season, p.treatment.as_str()))
        .collect();
    let row = |(season, treatment): (i16, &str)| {
        let (treated, untreated) = (before_of(season, treatment), before_of(season, WATCH));
        let low = treated.iter().copied().fold(f64::INFINITY, f64::min);
        let high = treated.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        Pairs {
            season,
            treatment: treatment.to_owned(),
            treated: treated.len(),
            untreated: untreated.len(),
            alike: untreated.iter().filter(|d| (low..=high).contains(*d)).count(),
        }
    };
    treatments.into_iter().map(row).collect()
}

/// Untreated blocks of past seasons with both a count before and a rating of the foliage lost: what a curve of this city
/// could be fitted to.
pub fn curve_pairs(past: &[PastSeason]) -> usize {
    past.iter().filter(|p| p.treatment == WATCH && p.density.is_some() && p.defoliation.is_some()).count()
}

/// This season's ratings of untreated blocks, and how many treated ones were rated: those do not compare with a forecast
/// of doing nothing.
pub fn untreated_ratings(past: &[PastSeason], season: i16) -> (Vec<PastSeason>, usize) {
    let rated = past.iter().filter(|p| p.season == season && p.defoliation.is_some());
    let (watched, treated): (Vec<&PastSeason>, Vec<_>) = rated.partition(|p| p.treatment == WATCH);
    (watched.into_iter().cloned().collect(), treated.len())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::types::Share;

    fn season(season: i16, block: &str, per_acre: f64, treatment: &str) -> PastSeason {
        PastSeason {
            season,
            block: BlockId::new(block),
            density: Some(MassesPerArea::per_acre(per_acre)),
            treatment: treatment.to_owned(),
            defoliation: Share::new(0.3),
            sprayed: (treatment != WATCH).then(|| Area::acres(10.0)),
        }
    }

    fn past() -> Vec<PastSeason> {
        vec![
            season(2025, "A", 400.0, "aerial Btk once"),
            season(2025, "B", 600.0, "aerial Btk once"),
            season(2025, "C", 500.0, WATCH),
            season(2025, "D", 50.0, WATCH),
            season(2025, "E", 0.0, ""),
            season(2026, "A", 100.0, WATCH),
            season(2026, "B", 600.0, WATCH),
            season(2026, "C", 1_000.0, WATCH),
            season(2026, "E", 10.0, WATCH),
        ]
    }

    /// Hand count: A, B, C and E are counted twice; ratios 0.25, 1 and 2; E has none.
    #[test]
    fn changes_use_blocks_counted_twice() {
        let changes = changes(&autumns(&past(), 2027, &[]));
        let want = Change { between: (2025, 2026), blocks: 4, fell: 1, from_nought: 1, ratio: Some([0.625, 1.0, 1.5]) };
        assert_eq!(changes, [want]);
    }

    /// D has no count after; C lies between A and B before.
    #[test]
    fn pairs_say_who_is_alike() {
        let past = past();
        let pairs = pairs(&past, &autumns(&past, 2027, &[]));
        let want = Pairs { season: 2025, treatment: "aerial Btk once".into(), treated: 2, untreated: 1, alike: 1 };
        assert_eq!(pairs, [want]);
    }

    #[test]
    fn this_autumn_counts_as_after() {
        let past = vec![season(2026, "A", 400.0, "bands"), season(2026, "B", 10.0, WATCH)];
        let now =
            [(BlockId::new("A"), MassesPerArea::per_acre(50.0)), (BlockId::new("B"), MassesPerArea::per_acre(9.0))];
        let autumns = autumns(&past, 2027, &now);
        let found = &pairs(&past, &autumns)[0];
        assert_eq!((found.treated, found.untreated, found.alike), (1, 1, 0));
        assert_eq!(autumns[1].quartiles().map(|q| q[1].as_per_acre().round()), Some(30.0));
    }

    #[test]
    fn treatments_are_summed_by_season() {
        let rows: Vec<_> =
            done(&past()).into_iter().map(|d| (d.season, d.treatment, d.blocks, d.sprayed.as_acres())).collect();
        assert_eq!(rows[0], (2025, String::new(), 1, 10.0));
        assert_eq!(rows[1], (2025, "aerial Btk once".to_owned(), 2, 20.0));
        assert_eq!(rows[2], (2025, WATCH.to_owned(), 2, 0.0));
    }

    #[test]
    fn treated_ratings_stand_aside() {
        let (ratings, treated) = untreated_ratings(&past(), 2025);
        assert_eq!((ratings.len(), treated), (2, 3));
        assert_eq!(curve_pairs(&past()), 6);
    }
}
