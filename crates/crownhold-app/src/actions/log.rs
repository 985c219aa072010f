//! The field log: each entry is one operation in the history, and can be undone; a closed application record can not.

use std::path::Path;

use crownhold::types::{Application, BandVisit, BlockId, LogId, NoticeSent, Problem, Records, ScrapingVisit};
use jiff::civil::Date;

use super::{By, Done, act, refuse};
use crate::trouble::Trouble;

/// Adds a visit to bands. One without an id gets the next free number of its year.
///
/// # Errors
/// Everything that is wrong with it at once, each with its column.
pub fn add_bands(path: &Path, visit: &BandVisit, by: By<'_>) -> Result<Done, Trouble> {
    act(path, by, |records| {
        let mut visit = visit.clone();
        visit.id = given_or_free(&visit.id, visit.date, records.log.bands.iter().map(|v| &v.id));
        let mut wrong = unknown_blocks(records, std::slice::from_ref(&visit.block));
        if visit.bands == 0 {
            wrong.push(
                Problem::error("A-252", "No band was looked under.", "Write how many: one at least.").column("bands"),
            );
        }
        refuse(wrong)?;
        let done = Done::new(
            format!(
                "bands in {} on {}: {} insects under {}",
                visit.block,
                visit.date,
                visit.found.insects(),
                visit.bands
            ),
            visit.id.as_str(),
        );
        records.log.bands.push(visit);
        records.log.bands.sort_by(|a, b| a.id.cmp(&b.id));
        Ok(done)
    })
}

/// Takes a visit to bands out.
///
/// # Errors
/// When there is none of that id.
pub fn remove_bands(path: &Path, id: &LogId, by: By<'_>) -> Result<Done, Trouble> {
    act(path, by, |records| {
        let at = records.log.bands.iter().position(|v| &v.id == id).ok_or_else(|| missing("band visit", id))?;
        let gone = records.log.bands.remove(at);
        Ok(Done::new(format!("band visit {} removed ({} on {})", gone.id, gone.block, gone.date), gone.id.as_str()))
    })
}

/// Adds scraping. Where the count is not closed it is kept all the same, with a warning: it was done.
///
/// # Errors
/// When the block is not known, or nothing was done.
pub fn add_scraping(path: &Path, visit: &ScrapingVisit, by: By<'_>) -> Result<Done, Trouble> {
    act(path, by, |records| {
        let mut visit = visit.clone();
        visit.id = given_or_free(&visit.id, visit.date, records.log.scraping.iter().map(|v| &v.id));
        let mut wrong = unknown_blocks(records, std::slice::from_ref(&visit.block));
        if visit.low == 0 && visit.high == 0 && visit.left == 0 && visit.trees == 0 {
            let remedy = "Write the masses taken off, or the trees gone over without finding any.";
            wrong.push(Problem::error("A-253", "Nothing is written down.", remedy).column("low"));
        }
        refuse(wrong)?;
        let masses = visit.low.saturating_add(visit.high);
        let done =
            Done::new(format!("scraped in {} on {}: {masses} masses", visit.block, visit.date), visit.id.as_str());
        let open = records.blocks.iter().any(|b| b.id == visit.block && b.survey_closed.is_none());
        records.log.scraping.push(visit);
        records.log.scraping.sort_by(|a, b| a.id.cmp(&b.id));
        Ok(done.with(open.then(not_counted)))
    })
}

/// Scraping before the count is closed hides a block's density.
fn not_counted() -> Problem {
    Problem::notice(
        "A-254",
        "The block's egg-mass count is not closed: what was scraped is missing from it.",
        "Add it to the count, and close the count before more is scraped.",
    )
}

/// Takes scraping out.
///
/// # Errors
/// When there is none of that id.
pub fn remove_scraping(path: &Path, id: &LogId, by: By<'_>) -> Result<Done, Trouble> {
    act(path, by, |records| {
        let at =
            records.log.scraping.iter().position(|v| &v.id == id).ok_or_else(|| missing("entry of scraping", id))?;
        let gone = records.log.scraping.remove(at);
        Ok(Done::new(format!("scraping {} removed ({} on {})", gone.id, gone.block, gone.date), gone.id.as_str()))
    })
}

/// Adds notices that went out.
///
/// # Errors
/// When a block is not known, or none went out.
pub fn add_notice(path: &Path, notice: &NoticeSent, by: By<'_>) -> Result<Done, Trouble> {
    act(path, by, |records| {
        let mut notice = notice.clone();
        notice.id = given_or_free(&notice.id, notice.date, records.log.notices.iter().map(|n| &n.id));
        let mut wrong = unknown_blocks(records, &notice.blocks);
        if notice.number == 0 {
            wrong.push(Problem::error("A-255", "None went out.", "Write how many went out.").column("number"));
        }
        refuse(wrong)?;
        let done = Done::new(
            format!("notices of {}: {} by {} to {}", notice.date, notice.number, notice.means, notice.audience),
            notice.id.as_str(),
        );
        records.log.notices.push(notice);
        records.log.notices.sort_by(|a, b| a.id.cmp(&b.id));
        Ok(done)
    })
}

/// Takes notices out.
///
/// # Errors
/// When there are none of that id.
pub fn remove_notice(path: &Path, id: &LogId, by: By<'_>) -> Result<Done, Trouble> {
    act(path, by, |records| {
        let at = records.log.notices.iter().position(|n| &n.id == id).ok_or_else(|| missing("entry of notices", id))?;
        let gone = records.log.notices.remove(at);
        Ok(Done::new(format!("notices {} of {} removed", gone.id, gone.date), gone.id.as_str()))
    })
}

/// Writes an application record: a new one, or an open one anew.
///
/// # Errors
/// When a block is not known, or the record is closed.
pub fn write_application(path: &Path, record: &Application, by: By<'_>) -> Result<Done, Trouble> {
    act(path, by, |records| {
        let mut record = record.clone();
        refuse(unknown_blocks(records, &record.blocks))?;
        record.id = given_or_free(&record.id, record.date, records.log.applications.iter().map(|a| &a.id));
        let all = &mut records.log.applications;
        let last = all.iter().rposition(|a| a.id == record.id);
        match last {
            Some(at) if all[at].closed.is_some() => return Err(closed(&record.id)),
            Some(at) => {
                (record.version, record.reason) = (all[at].version, all[at].reason.clone());
                record.closed = None;
                all[at] = record.clone();
            }
            None => {
                (record.version, record.reason, record.closed) = (1, String::new(), None);
                all.push(record.clone());
                all.sort_by(|a, b| (&a.id, a.version).cmp(&(&b.id, b.version)));
            }
        }
        Ok(Done::new(format!("application record {} written ({})", record.id, record.date), record.id.as_str()))
    })
}

/// Closes an application record: from then on it can only be amended.
///
/// # Errors
/// When there is no open one of that id, or a field that regulators ask for is blank; all of them are named.
pub fn close_application(path: &Path, id: &LogId, today: Date, by: By<'_>) -> Result<Done, Trouble> {
    act(path, by, |records| {
        let at = last_version(records, id)?;
        let record = &mut records.log.applications[at];
        if record.closed.is_some() {
            return Err(closed(id));
        }
        refuse(blanks(record))?;
        record.closed = Some((today, by.author.to_owned()));
        Ok(Done::new(format!("application record {id} closed"), id.as_str()))
    })
}

/// Opens the next version of a closed record, beside the closed one.
///
/// # Errors
/// When there is no closed one of that id, or no reason is given.
pub fn amend_application(path: &Path, id: &LogId, reason: &str, by: By<'_>) -> Result<Done, Trouble> {
    act(path, by, |records| {
        let at = last_version(records, id)?;
        let record = records.log.applications[at].clone();
        if record.closed.is_none() {
            let what = format!("Application record {id} is still open.");
            return Err(Trouble::one(Problem::error("A-258", what, "Write on it; only closed ones are amended.")));
        }
        let reason = reason.trim();
        if reason.is_empty() {
            let remedy = "Say in a few words what was wrong.";
            return Err(Trouble::one(Problem::error("A-259", "There is no reason.", remedy).column("reason")));
        }
        let next = Application { version: record.version + 1, reason: reason.to_owned(), closed: None, ..record };
        records.log.applications.insert(at + 1, next);
        Ok(Done::new(format!("application record {id} opened again: {reason}"), id.as_str()))
    })
}

fn last_version(records: &Records, id: &LogId) -> Result<usize, Trouble> {
    records.log.applications.iter().rposition(|a| &a.id == id).ok_or_else(|| missing("application record", id))
}

fn closed(id: &LogId) -> Trouble {
    let what = format!("Application record {id} is closed.");
    Trouble::one(Problem::error("A-257", what, "Amend it: both versions are kept."))
}

/// Fields that regulators ask for and that are blank.
pub fn blanks(a: &Application) -> Vec<Problem> {
    let texts = [
        ("product", "product", &a.product),
        ("registration", "registration number", &a.registration),
        ("formulation", "formulation", &a.formulation),
        ("rate", "rate", &a.rate),
        ("total", "total of product used", &a.total),
        ("applicator", "applicator", &a.applicator),
        ("licence", "licence number", &a.licence),
        ("craft", "aircraft or gear", &a.craft),
    ];
    let known = [
        ("from", "start", a.from.is_some()),
        ("to", "end", a.to.is_some()),
        ("area", "area", a.area.is_some()),
        ("wind", "wind speed", a.wind.is_some()),
        ("wind_from", "wind direction", a.wind_from.is_some()),
        ("temperature", "temperature", a.temperature.is_some()),
        ("humidity", "relative humidity", a.humidity.is_some()),
        ("place", "place", !a.place.trim().is_empty() || !a.blocks.is_empty()),
    ];
    let blank_texts =
        texts.into_iter().filter(|(.., text)| text.trim().is_empty()).map(|(field, name, _)| (field, name));
    let unknown = known.into_iter().filter(|(.., there)| !there).map(|(field, name, _)| (field, name));
    let problem = |(field, name): (&str, &str)| {
        Problem::error("A-256", format!("The {name} is blank."), "Fill it in; regulators ask for it.").column(field)
    };
    let mut all: Vec<Problem> = blank_texts.chain(unknown).map(problem).collect();
    if a.from.zip(a.to).is_some_and(|(from, to)| to <= from) {
        all.push(Problem::error("A-256", "The end is not after the start.", "Correct the times.").column("to"));
    }
    all
}

fn missing(what: &str, id: &LogId) -> Trouble {
    Trouble::one(Problem::error("A-250", format!("There is no {what} \"{id}\"."), "Use an id of the list."))
}

fn unknown_blocks(records: &Records, blocks: &[BlockId]) -> Vec<Problem> {
    let unknown = blocks.iter().filter(|id| records.block_index(id).is_none());
    let problem = |id: &BlockId| {
        let what = if id.as_str().is_empty() {
            "The block is blank.".to_owned()
        } else {
            format!("There is no block \"{id}\".")
        };
        Problem::error("A-251", what, "Use the id of a block of this programme.").column("block")
    };
    unknown.map(problem).collect()
}

/// The id given, or the next free number of the year.
fn given_or_free<'a>(given: &LogId, date: Date, taken: impl Iterator<Item = &'a LogId> + Clone) -> LogId {
    if !given.as_str().is_empty() {
        return given.clone();
    }
    let year = date.year();
    let prefix = format!("{year}-");
    let used = |id: &LogId| id.as_str().strip_prefix(&prefix)?.parse::<u32>().ok();
    let next = taken.filter_map(used).max().unwrap_or(0) + 1;
    LogId::new(format!("{prefix}{next:04}"))
}
