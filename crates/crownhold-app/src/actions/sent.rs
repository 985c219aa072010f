//! Visits as a phone sends them: many at once, perhaps hours after the work, perhaps twice.
//!
//! Each carries the id that the phone gave it when it was saved there, so that one that comes again is told from a new
//! one. All that can be taken are taken as one operation; the others are told one by one and stay on the phone.

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

use crownhold::types::{
    BandVisit, BandWork, BlockId, Catch, Hours, LogId, Problem, Records, RoundWork, ScrapingVisit, Tree, TreeId,
};
use crownhold_data::formats::{block_at, place_from_lon_lat};
use geo::Point;
use jiff::ToSpan as _;
use jiff::civil::Date;

use super::{By, Done, act};
use crate::trouble::Trouble;

/// Most visits in one sending.
pub const MOST: usize = 1000;
/// Length of the id that a phone gives.
const ID: std::ops::RangeInclusive<usize> = 16..=40;
/// A phone's day may be ahead of the desk's by its time zone.
const AHEAD: i8 = 1;

/// A visit as sent.
#[derive(Clone, Debug, PartialEq)]
pub struct Sent {
    /// Given by the phone; letters, digits and hyphens.
    pub id: String,
    /// Day.
    pub day: Date,
    /// What was done; `None` where the word that was sent is not known.
    pub work: Option<RoundWork>,
    /// The tree, where it was one.
    pub tree: Option<TreeId>,
    /// The block, where the tree is on no list.
    pub block: Option<BlockId>,
    /// Counts in the order of [`Catch::NAMES`]; for scraping masses taken from the ground, taken higher up, and left.
    pub counts: [u32; 6],
    /// Minutes of all together.
    pub minutes: Option<f64>,
    /// Who was there.
    pub who: String,
    /// Free text.
    pub note: String,
    /// Longitude and latitude where the phone stood, degrees.
    pub at: Option<(f64, f64)>,
}

/// What became of one.
#[derive(Clone, Debug, PartialEq)]
pub enum Taken {
    /// It stands in the log now.
    Kept,
    /// It stood there before.
    Already,
    /// It does not stand there, because of this.
    Refused(Box<Problem>),
}

/// Takes visits into the log as one operation. Every one sent has its answer, in order.
///
/// # Errors
/// When there are too many at once, or the file cannot be changed: none is taken then.
pub fn take(path: &Path, sent: &[Sent], today: Date, by: By<'_>) -> Result<Vec<Taken>, Trouble> {
    if sent.len() > MOST {
        let what = format!("{} visits were sent at once.", sent.len());
        return Err(Trouble::one(Problem::error("R-011", what, format!("Send {MOST} at most."))));
    }
    let mut answers = Vec::new();
    act(path, by, |records| {
        let judged = judge_all(records, sent, today);
        answers = judged.iter().map(|j| j.clone().err().unwrap_or(Taken::Kept)).collect();
        Ok(Done::new(enter(records, sent, judged), ""))
    })?;
    Ok(answers)
}

/// A visit that can be taken: what was done, and where.
#[derive(Clone)]
struct Fit {
    work: RoundWork,
    block: BlockId,
    place: Option<Point<f64>>,
}

/// Puts what was judged fit into the log; says what was done.
fn enter(records: &mut Records, sent: &[Sent], judged: Vec<Result<Fit, Taken>>) -> String {
    let (mut new, mut blocks) = (0, BTreeSet::new());
    for (one, fit) in sent.iter().zip(judged).filter_map(|(one, j)| Some((one, j.ok()?))) {
        blocks.insert(fit.block.to_string());
        new += 1;
        push(records, one, fit);
    }
    records.log.bands.sort_by(|a, b| a.id.cmp(&b.id));
    records.log.scraping.sort_by(|a, b| a.id.cmp(&b.id));
    let names: Vec<String> = blocks.into_iter().collect();
    format!("{new} {} sent from a phone ({})", if new == 1 { "visit" } else { "visits" }, names.join(", "))
}

fn judge_all(records: &Records, sent: &[Sent], today: Date) -> Vec<Result<Fit, Taken>> {
    let wanted: BTreeSet<&TreeId> = sent.iter().filter_map(|s| s.tree.as_ref()).collect();
    let block_of = |t: &'_ Tree| Some((t.id.clone(), t.block.clone()?));
    let trees: BTreeMap<TreeId, BlockId> =
        records.trees.iter().filter(|t| wanted.contains(&t.id)).filter_map(block_of).collect();
    let mut seen = BTreeSet::new();
    let mut one = |s: &Sent| {
        let fit = judge(records, &trees, s, today)?;
        // The same visit twice in one sending.
        if seen.insert(s.id.clone()) { Ok(fit) } else { Err(Taken::Already) }
    };
    sent.iter().map(&mut one).collect()
}

fn judge(records: &Records, trees: &BTreeMap<TreeId, BlockId>, one: &Sent, today: Date) -> Result<Fit, Taken> {
    let refuse = |code, what: String, remedy: &str| Err(Taken::Refused(Problem::error(code, what, remedy).into()));
    let plain = |c: char| c.is_ascii_alphanumeric() || c == '-';
    if !ID.contains(&one.id.len()) || !one.id.chars().all(plain) {
        let what = "The visit's own number is not one that a phone gives.";
        return refuse("R-012", what.to_owned(), "Report it with the model of the phone.");
    }
    match is_known(records, one) {
        Some(true) => return Err(Taken::Already),
        Some(false) => {
            let what = "A visit of the same number with other figures is in the log.";
            return refuse("R-015", what.to_owned(), "Show it to the manager: the log has the first one.");
        }
        None => {}
    }
    let Some(work) = one.work else {
        return refuse(
            "R-017",
            "The desk does not know this work.".to_owned(),
            "Open the form anew, and enter it again.",
        );
    };
    if one.day > today.saturating_add(AHEAD.days()) {
        let what = format!("The visit is of {}, which has not come yet.", one.day);
        return refuse("R-013", what, "Put the phone's date right, and enter it again.");
    }
    let place = one.at.and_then(|(lon, lat)| place_from_lon_lat(lon, lat, records.programme.epsg).ok());
    let of_tree = one.tree.as_ref().and_then(|t| trees.get(t)).cloned();
    let named = || one.block.clone().filter(|id| records.block_index(id).is_some());
    let around = || block_at(&records.blocks, place?);
    let Some(block) = of_tree.or_else(named).or_else(around) else {
        let tree = one.tree.as_ref().map_or("no tree".to_owned(), |t| format!("tree {t}"));
        let what = format!("No block of the programme is known for it ({tree}).");
        return refuse("R-014", what, "Enter it again with the name of its block.");
    };
    Ok(Fit { work, block, place })
}

/// Does the log have a visit of that id, and is it the same?
fn is_known(records: &Records, one: &Sent) -> Option<bool> {
    let (log, id) = (&records.log, LogId::new(&one.id));
    let bands = || {
        let visit = &log.bands[log.bands.binary_search_by(|v| v.id.cmp(&id)).ok()?];
        Some(visit.date == one.day && visit.found.counts() == one.counts)
    };
    let scraping = || {
        let visit = &log.scraping[log.scraping.binary_search_by(|v| v.id.cmp(&id)).ok()?];
        Some(visit.date == one.day && [visit.low, visit.high, visit.left] == one.counts[..3])
    };
    bands().or_else(scraping)
}

fn push(records: &mut Records, one: &Sent, fit: Fit) {
    let Fit { work, block, place } = fit;
    let (id, tree, hours) = (LogId::new(&one.id), one.tree.clone(), one.minutes.map(Hours::minutes));
    let (who, note) = (one.who.clone(), one.note.clone());
    let work = match work {
        RoundWork::Scrape | RoundWork::ScrapeHigh => {
            let [low, high, left, ..] = one.counts;
            let visit =
                ScrapingVisit { id, date: one.day, block, tree, low, high, left, trees: 1, hours, who, place, note };
            records.log.scraping.push(visit);
            return;
        }
        RoundWork::PutUp => BandWork::PutUp,
        RoundWork::Serve => BandWork::Look,
        RoundWork::TakeDown => BandWork::TakeDown,
    };
    let found = Catch::from_counts(one.counts);
    let visit = BandVisit { id, date: one.day, block, tree, work, bands: 1, found, hours, who, place, note };
    records.log.bands.push(visit);
}

/// What of the rounds' work is in the log for a day: trees with what was done there.
pub fn done_on(records: &Records, day: Date) -> BTreeMap<TreeId, Vec<RoundWork>> {
    let mut done: BTreeMap<TreeId, Vec<RoundWork>> = BTreeMap::new();
    for visit in records.log.bands.iter().filter(|v| v.date == day) {
        let work = match visit.work {
            BandWork::Look => RoundWork::Serve,
            BandWork::PutUp => RoundWork::PutUp,
            BandWork::TakeDown => RoundWork::TakeDown,
        };
        if let Some(tree) = &visit.tree {
            done.entry(tree.clone()).or_default().push(work);
        }
    }
    for visit in records.log.scraping.iter().filter(|v| v.date == day) {
        if let Some(tree) = &visit.tree {
            // Where nothing was found it is not known from where it was looked for.
            let works: &[RoundWork] = match (visit.low, visit.high) {
                (0, 0) => &[RoundWork::Scrape, RoundWork::ScrapeHigh],
                (_, 0) => &[RoundWork::Scrape],
                (0, _) => &[RoundWork::ScrapeHigh],
                _ => &[RoundWork::Scrape, RoundWork::ScrapeHigh],
            };
            done.entry(tree.clone()).or_default().extend(works);
        }
    }
    done
}
