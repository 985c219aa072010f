//! The egg-mass survey by hand: visits with their counts, and closing the count.

use std::collections::BTreeSet;
use std::path::Path;

use crownhold::types::{Block, BlockId, Count, Plot, Problem, Records, Substrate, Visit, VisitId};
use crownhold_print::wording::count as counted;
use jiff::ToSpan;
use jiff::civil::Date;

use super::{By, Done, act, refuse};
use crate::trouble::Trouble;

/// A visit as it is written down.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct VisitWords {
    /// Plot.
    pub plot: String,
    /// Day, year-month-day.
    pub date: String,
    /// Who counted.
    pub observer: String,
    /// One entry for each kind of substrate, or each tree tallied with a prism.
    pub counts: Vec<CountWords>,
    /// Free text.
    pub note: String,
}

/// A count as it is written down. A blank is not a zero.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct CountWords {
    /// On what; blank means everything together.
    pub substrate: String,
    /// New masses.
    pub new: String,
    /// Old masses.
    pub old: String,
    /// Masses out of reach.
    pub out_of_reach: String,
    /// Trunk diameter of a tallied tree with its unit, such as "11 in"; only on prism plots.
    pub trunk: String,
}

/// How old a visit may be that is written down now, days: one survey season and the year before it.
const OLDEST: i64 = 400;
/// More masses than this on one plot are possible, but rather a slip of the pen.
const MANY: u32 = 5_000;

/// Adds a visit; its number is made of plot, day and observer, as an import makes it.
///
/// # Errors
/// Every fault at once: plot, day, counts, or the same visit written down already.
pub fn add_visit(path: &Path, words: &VisitWords, today: Date, by: By<'_>) -> Result<Done, Trouble> {
    act(path, by, |records| add(records, words, today))
}

/// Adds many visits as one operation, or none of them. Every problem names its plot as the item.
///
/// # Errors
/// As [`add_visit`], for all visits at once; and when there are none.
pub fn add_visits(path: &Path, all: &[VisitWords], today: Date, by: By<'_>) -> Result<Done, Trouble> {
    if all.is_empty() {
        let remedy = "Fill in at least one row; write 0 where no mass was seen.";
        return Err(Trouble::one(Problem::error("A-147", "Nothing was filled in.", remedy)));
    }
    act(path, by, |records| {
        let (mut problems, mut notices) = (Vec::new(), Vec::new());
        for words in all {
            let of_plot = |p: Problem| p.item(format!("plot {}", words.plot.trim()));
            match add(records, words, today) {
                Ok(done) => notices.extend(done.notices.into_iter().map(of_plot)),
                Err(trouble) => problems.extend(trouble.problems.into_iter().map(of_plot)),
            }
        }
        refuse(problems)?;
        Ok(Done::new(format!("{} added", counted(all.len(), "visit", "visits")), "").with(notices))
    })
}

fn add(records: &mut Records, words: &VisitWords, today: Date) -> Result<Done, Trouble> {
    let (visit, notices) = read(records, words, None, today)?;
    if records.visits.iter().any(|v| v.id == visit.id) {
        let what = format!("The visit of plot {} on {} by this observer is there already.", visit.plot, visit.date);
        let problem = Problem::error("A-104", what, "Correct that visit, or name another observer.");
        return Err(Trouble::one(problem.item(format!("visit {}", visit.id))));
    }
    let done =
        Done::new(format!("visit of plot {} on {}: {}", visit.plot, visit.date, told(&visit)), visit.id.as_str());
    records.visits.push(visit);
    records.visits.sort_by(|a, b| a.id.cmp(&b.id));
    Ok(done.with(notices))
}

/// Puts other words in the place of a visit; it keeps its number.
///
/// # Errors
/// As [`add_visit`], and when there is no such visit.
pub fn correct_visit(path: &Path, id: &str, words: &VisitWords, today: Date, by: By<'_>) -> Result<Done, Trouble> {
    act(path, by, |records| {
        let at = visit_at(records, id)?;
        let id = records.visits[at].id.clone();
        let (visit, notices) = read(records, words, Some(id.clone()), today)?;
        let what = format!("visit {id} corrected: plot {}, {}, {}", visit.plot, visit.date, told(&visit));
        records.visits[at] = visit;
        Ok(Done::new(what, id.as_str()).with(notices))
    })
}

/// Takes a visit out.
///
/// # Errors
/// When there is no such visit.
pub fn delete_visit(path: &Path, id: &str, by: By<'_>) -> Result<Done, Trouble> {
    act(path, by, |records| {
        let at = visit_at(records, id)?;
        let visit = records.visits.remove(at);
        let what = format!("visit {} deleted (plot {}, {}, {})", visit.id, visit.plot, visit.date, told(&visit));
        Ok(Done::new(what, visit.id.as_str()))
    })
}

fn visit_at(records: &Records, id: &str) -> Result<usize, Trouble> {
    let id = VisitId::new(id);
    records.visits.iter().position(|v| v.id == id).ok_or_else(|| {
        Trouble::one(Problem::error(
            "A-103",
            format!("There is no visit \"{id}\"."),
            "Choose one of the plot's visits.",
        ))
    })
}

fn told(visit: &Visit) -> String {
    let sum = |f: fn(&Count) -> u32| visit.counts.iter().map(f).sum::<u32>();
    format!("{} new, {} old, {} out of reach", sum(|c| c.new), sum(|c| c.old), sum(|c| c.out_of_reach))
}

/// A visit from its words, and what should be looked at.
fn read(
    records: &Records,
    words: &VisitWords,
    id: Option<VisitId>,
    today: Date,
) -> Result<(Visit, Vec<Problem>), Trouble> {
    let mut problems = Vec::new();
    let wanted = words.plot.trim();
    let plot = records.plots.iter().find(|p| p.id.as_str().eq_ignore_ascii_case(wanted));
    if plot.is_none() {
        let what = format!("There is no plot \"{wanted}\".");
        problems.push(Problem::error("A-100", what, "Name a plot of the programme, or add it first.").column("plot"));
    }
    let date = day(&words.date, today).map_err(|p| problems.extend(p)).ok();
    let counts = counts(words, plot, &mut problems);
    let (Some(plot), Some(date), false) = (plot, date, problems.iter().any(Problem::is_error)) else {
        return Err(problems.into());
    };
    problems.extend(closed(records, plot, date));
    let observer = words.observer.trim().to_owned();
    let id = id.unwrap_or_else(|| match observer.is_empty() {
        true => VisitId::new(format!("{}/{date}", plot.id)),
        false => VisitId::new(format!("{}/{date}/{observer}", plot.id)),
    });
    Ok((Visit { id, plot: plot.id.clone(), date, observer, counts, note: words.note.trim().to_owned() }, problems))
}

fn day(text: &str, today: Date) -> Result<Date, Vec<Problem>> {
    let wrong = |what: String, remedy: &str| Err(vec![Problem::error("A-101", what, remedy).column("date")]);
    let Ok(date) = text.trim().parse::<Date>() else {
        let what = format!("\"{}\" is not a day.", text.trim());
        return wrong(what, "Write it as year-month-day, such as 2026-11-14.");
    };
    if date > today {
        return wrong(format!("{date} is still to come."), "Write the day of the count.");
    }
    if date < today.saturating_sub(OLDEST.days()) {
        let what = format!("{date} is more than {OLDEST} days ago.");
        return wrong(what, "Check the year; counts of earlier seasons are imported.");
    }
    Ok(date)
}

fn counts(words: &VisitWords, plot: Option<&Plot>, problems: &mut Vec<Problem>) -> Vec<Count> {
    if words.counts.is_empty() {
        problems.push(Problem::error("A-102", "Nothing was counted.", "Write 0 where none were seen.").column("new"));
    }
    let mut all: Vec<Count> = Vec::new();
    for entry in &words.counts {
        let Some(count) = count(entry, plot, problems) else { continue };
        if count.dbh.is_none() && all.iter().any(|c| c.substrate == count.substrate && c.dbh.is_none()) {
            let what = format!("\"{}\" stands there twice.", count.substrate);
            problems.push(Problem::error("A-106", what, "Put the two together.").column("substrate"));
        }
        all.push(count);
    }
    all
}

fn count(entry: &CountWords, plot: Option<&Plot>, problems: &mut Vec<Problem>) -> Option<Count> {
    let before = problems.len();
    let substrate = match entry.substrate.trim() {
        "" => Some(Substrate::All),
        word => Substrate::from_word(word),
    };
    if substrate.is_none() {
        let all = Substrate::ALL.iter().map(|s| s.word()).collect::<Vec<_>>().join(", ");
        let what = format!("\"{}\" is not a substrate.", entry.substrate.trim());
        problems.push(Problem::error("A-105", what, "Use one of those.").column("substrate").expected(all));
    }
    let numbers = [("new", &entry.new), ("old", &entry.old), ("out of reach", &entry.out_of_reach)]
        .map(|(name, text)| masses(name, text, problems));
    let dbh = trunk(&entry.trunk, plot).map_err(|p| problems.extend(p)).ok().flatten();
    if problems[before..].iter().any(Problem::is_error) {
        return None;
    }
    let [new, old, out_of_reach] = numbers;
    Some(Count { substrate: substrate?, dbh, new: new?, old: old?, out_of_reach: out_of_reach? })
}

fn masses(name: &str, text: &str, problems: &mut Vec<Problem>) -> Option<u32> {
    let number = text.trim().parse::<u32>().ok();
    match number {
        None => {
            let what = match text.trim() {
                "" => format!("The number of {name} masses is blank; a blank is not a zero."),
                other => format!("\"{other}\" is not a number of {name} masses."),
            };
            let problem = Problem::error("A-102", what, "Write 0 if none were seen.").column(name);
            problems.push(problem.expected("a whole number, 0 or more"));
        }
        Some(many) if many > MANY => {
            let problem = Problem::notice("A-107", format!("{many} {name} masses on one plot."), "Check the number.");
            problems.push(problem.column(name));
        }
        Some(_) => {}
    }
    number
}

/// The diameter of a tallied tree, which only prism plots have.
fn trunk(text: &str, plot: Option<&Plot>) -> Result<Option<crownhold::types::Length>, Vec<Problem>> {
    if text.trim().is_empty() {
        return Ok(None);
    }
    let wrong = |what: String, remedy: &str| Err(vec![Problem::error("A-108", what, remedy).column("trunk")]);
    let prism = plot.is_none_or(|p| matches!(p.method, crownhold::types::PlotMethod::Prism { .. }));
    match (super::plots::length(text), prism) {
        (Some(_), false) => wrong("Trunks are measured on prism plots only.".to_owned(), "Leave the diameter out."),
        (Some(length), true) if length.as_metres() < 4.0 => Ok(Some(length)),
        _ => wrong(format!("\"{}\" is not a trunk diameter.", text.trim()), "Write it with its unit, such as 11 in."),
    }
}

/// A count that comes after the block was closed may find what scraping left; one from before changes what was closed.
fn closed(records: &Records, plot: &Plot, date: Date) -> Option<Problem> {
    let day = records.blocks.iter().find(|b| b.id == plot.block)?.survey_closed?;
    let what = if date > day {
        format!(
            "The count of block {} was closed on {day}, before this visit: it may show what scraping left.",
            plot.block
        )
    } else {
        format!("The count of block {} was closed on {day}; this visit changes its density.", plot.block)
    };
    Some(Problem::notice("A-109", what, "Look at the block's plan again.").item(format!("plot {}", plot.id)))
}

/// Closes the count of blocks on a day; "all" means every block. They may be scraped from then on.
///
/// # Errors
/// Every block that is not there.
pub fn close_count(path: &Path, blocks: &[String], day: Date, by: By<'_>) -> Result<Done, Trouble> {
    let what = format!("count closed on {day}: {}", blocks.join(", "));
    each(path, blocks, what, by, |block| block.survey_closed = Some(day))
}

/// Opens the count of blocks again. Nothing is scraped there until it is closed.
///
/// # Errors
/// Every block that is not there.
pub fn reopen_count(path: &Path, blocks: &[String], by: By<'_>) -> Result<Done, Trouble> {
    each(path, blocks, format!("count opened again: {}", blocks.join(", ")), by, |block| block.survey_closed = None)
}

/// `item` of the answer is how many blocks it was.
fn each(path: &Path, blocks: &[String], what: String, by: By<'_>, f: impl Fn(&mut Block)) -> Result<Done, Trouble> {
    let wanted: BTreeSet<String> = blocks.iter().map(|b| b.trim().to_lowercase()).collect();
    let all = wanted.contains("all");
    act(path, by, |records| {
        let plain = |id: &BlockId| id.as_str().to_lowercase();
        let known: BTreeSet<String> = records.blocks.iter().map(|b| plain(&b.id)).collect();
        let unknown = wanted.iter().filter(|w| !all && !known.contains(*w)).map(|w| {
            Problem::error("A-040", format!("There is no block \"{w}\"."), "Name blocks of the programme, or all.")
        });
        super::refuse(unknown.collect())?;
        let mut changed = 0;
        for block in records.blocks.iter_mut().filter(|b| all || wanted.contains(&plain(&b.id))) {
            f(block);
            changed += 1;
        }
        Ok(Done::new(what, changed.to_string()))
    })
}
