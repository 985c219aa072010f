//! Which trees are due on a day.

use std::collections::BTreeMap;

use jiff::civil::Date;

use crate::Setting;
use crate::field::crews::{ListedTree, Service, band_season, tree_list};
use crate::timing::Timing;
use crate::types::{Area, BandVisit, BandWork, Block, BlockId, Consent, Parameters, Records, RoundWork, TreeId};

/// How often bands are served on a day of the season.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Cadence {
    /// Too few hide under bands yet, or any more.
    Rest {
        /// Share of all insects from fourth instar to pupa.
        hiding: f64,
    },
    /// Every so many days.
    Every {
        /// Days from visit to visit.
        days: u32,
        /// The same share; `None` where there are no dates to go by.
        hiding: Option<f64>,
    },
}

/// From the stage shares of the day; daily where there are none.
pub fn cadence(timing: Option<&Timing>, date: Date, p: &Parameters) -> Cadence {
    let day = timing.and_then(|t| t.stages.iter().find(|day| day.date == date));
    let Some(hiding) = day.map(|day| day.shares[4..=7].iter().sum::<f64>()) else {
        return Cadence::Every { days: 1, hiding: None };
    };
    if hiding >= p.number("rounds.daily") {
        Cadence::Every { days: 1, hiding: Some(hiding) }
    } else if hiding >= p.number("rounds.begin") {
        Cadence::Every { days: (p.number("rounds.thin").round() as u32).max(1), hiding: Some(hiding) }
    } else {
        Cadence::Rest { hiding }
    }
}

/// A block's trees on a day.
#[derive(Clone, Debug, PartialEq)]
pub struct BlockDue {
    /// Block.
    pub block: BlockId,
    /// Trees to go to; none where the block is not due.
    pub trees: Vec<ListedTree>,
    /// Private trees kept back until their owner has agreed.
    pub not_asked: usize,
    /// Why it is due, or why it is not.
    pub because: String,
}

/// Trees of the given blocks that are due on the day of the setting.
pub fn due(
    records: &Records,
    blocks: &[BlockId],
    work: RoundWork,
    timing: Option<&Timing>,
    setting: &Setting,
) -> Vec<BlockDue> {
    let date = setting.today;
    let known = |id: &BlockId| records.blocks.iter().find(|b| b.id == *id);
    let one = |block: &Block| {
        let (is_due, because) = match work {
            RoundWork::Serve => service(records, block, timing, setting),
            RoundWork::Scrape | RoundWork::ScrapeHigh => scraping(block, date),
            RoundWork::PutUp | RoundWork::TakeDown => (true, "The plan has bands here.".to_owned()),
        };
        let asked = block.consent != Consent::Pending;
        let (trees, waiting): (Vec<_>, Vec<_>) =
            wanted(records, block, work, date).into_iter().partition(|t| t.public || asked);
        let trees = if is_due { trees } else { Vec::new() };
        BlockDue { block: block.id.clone(), trees, not_asked: waiting.len(), because }
    };
    blocks.iter().filter_map(known).map(one).collect()
}

/// The trees of a block that a kind of work goes to. Bands are put up where none hangs, and neither served nor taken down
/// where one has come down; where putting up was written down tree by tree, only those trees are served and taken down.
fn wanted(records: &Records, block: &Block, work: RoundWork, date: Date) -> Vec<ListedTree> {
    let hung = hung(records, block, date);
    let is_written = hung.values().any(|h| h.ever);
    let mut trees = tree_list(records, block).trees;
    match work {
        RoundWork::PutUp => trees.retain(|t| hung.get(&t.tree).is_none_or(|h| !h.now)),
        RoundWork::Serve | RoundWork::TakeDown => {
            trees.retain(|t| hung.get(&t.tree).map_or(!is_written, |h| h.now));
        }
        RoundWork::Scrape | RoundWork::ScrapeHigh => {}
    }
    trees
}

/// What is written down of a tree's band this year.
#[derive(Default)]
struct Hung {
    /// Was it ever put up?
    ever: bool,
    /// Does it hang?
    now: bool,
}

/// Trees of a block where bands were put up or taken down this year, by the end of a day.
fn hung<'r>(records: &'r Records, block: &Block, date: Date) -> BTreeMap<&'r TreeId, Hung> {
    let of_it = |v: &&BandVisit| v.block == block.id && v.date <= date && v.date.year() == date.year();
    let mut moved: Vec<&BandVisit> =
        records.log.bands.iter().filter(of_it).filter(|v| v.work != BandWork::Look).collect();
    moved.sort_by_key(|v| v.date);
    let mut hung: BTreeMap<&TreeId, Hung> = BTreeMap::new();
    for (tree, work) in moved.iter().filter_map(|v| Some((v.tree.as_ref()?, v.work))) {
        let of = hung.entry(tree).or_default();
        of.now = work == BandWork::PutUp;
        of.ever |= of.now;
    }
    hung
}

/// Nothing is scraped before the count of a block is closed.
fn scraping(block: &Block, date: Date) -> (bool, String) {
    match block.survey_closed {
        Some(closed) if closed <= date => (true, "Its count is closed.".to_owned()),
        _ => (false, "Its count is not closed: scraping now would spoil it.".to_owned()),
    }
}

fn service(records: &Records, block: &Block, timing: Option<&Timing>, setting: &Setting) -> (bool, String) {
    let (p, date) = (&records.parameters, setting.today);
    let before = |v: &&BandVisit| {
        v.work == BandWork::Look && v.block == block.id && v.date < date && v.date.year() == date.year()
    };
    let visits: Vec<&BandVisit> = records.log.bands.iter().filter(before).collect();
    // Only the advice is taken, which needs no density.
    let advice = (!visits.is_empty()).then(|| band_season(&visits, Area::ZERO, &[], timing, p, setting).advice.service);
    let thin = (p.number("rounds.thin").round() as u32).max(1);
    let (days, mut because) = match cadence(timing, date, p) {
        Cadence::Rest { hiding } => {
            return (
                false,
                format!("{:.0} % of the insects hide under bands by now: not worth a round.", 100.0 * hiding),
            );
        }
        Cadence::Every { days, hiding: Some(hiding) } => (days, format!("{:.0} % hide by now", 100.0 * hiding)),
        Cadence::Every { days, hiding: None } => (days, "No dates to go by".to_owned()),
    };
    let days = match advice {
        Some(Service::Wait) | None | Some(Service::Keep) => days,
        Some(Service::Raise) => {
            because += "; the bands are full";
            1
        }
        Some(Service::ThinOut) => {
            because += "; the catch falls";
            days.max(thin)
        }
        Some(Service::Stop) => return (false, "Its catch says that service no longer pays.".to_owned()),
    };
    because += &if days == 1 { ": every day.".to_owned() } else { format!(": every {days} days.") };
    match visits.iter().map(|v| v.date).max().map(|last| (last, (date - last).get_days())) {
        Some((last, gone)) if i64::from(gone) < i64::from(days) => {
            (false, format!("{because} Last looked at on {last}."))
        }
        _ => (true, because),
    }
}
