//! The public page: how it is set, which street lies where, and what residents send in.

use std::path::Path;

use crownhold::types::{BlockId, Problem, Records};
use crownhold_data::town::{Sighting, Street, TownFile, TownSettings, read_streets};
use jiff::ToSpan as _;
use jiff::civil::Date;

use crate::trouble::Trouble;

/// What a report can be about; the words of a language are found under `sight-...`.
pub const SIGHTS: [&str; 5] = ["egg masses", "caterpillars", "moths", "bare trees", "something else"];
/// Longest place and note, characters.
const LONGEST: (usize, usize) = (120, 400);
/// Longest time for which reports may be kept, days.
const KEPT_AT_MOST: u16 = 1_095;

/// Sets the page.
///
/// # Errors
/// When the plan is none that is kept, or the days are none or too many.
pub fn set(programme: &Path, settings: &TownSettings) -> Result<(), Trouble> {
    if let Some(id) = settings.plan {
        super::plans::load_number(programme, id)?;
    }
    if !(1..=KEPT_AT_MOST).contains(&settings.keep_days) {
        let what = format!("Reports cannot be kept for {} days.", settings.keep_days);
        return Err(Trouble::one(Problem::error("A-430", what, "").expected(format!("1 to {KEPT_AT_MOST} days"))));
    }
    Ok(TownFile::open(programme)?.set(settings)?)
}

/// Takes a table of streets in place of the one before; gives how many stretches it holds.
///
/// # Errors
/// Every fault of the table; then the streets are left as they were.
pub fn take_streets(programme: &Path, records: &Records, file: &str, bytes: &[u8]) -> Result<usize, Trouble> {
    let streets = read_streets(file, bytes, |id| records.block_index(&BlockId::new(id)).is_some())?;
    TownFile::open(programme)?.set_streets(&streets)?;
    Ok(streets.len())
}

/// How the page is set, and its streets; hidden and none where nobody set it up.
///
/// # Errors
/// When the file beside the programme is something else.
pub fn town(programme: &Path) -> Result<(TownSettings, Vec<Street>), Trouble> {
    if !TownFile::beside(programme).exists() {
        return Ok((TownSettings::default(), Vec::new()));
    }
    let file = TownFile::open(programme)?;
    Ok((file.settings()?, file.streets()?))
}

/// What residents sent in and is still kept.
///
/// # Errors
/// When the file cannot be read.
pub fn sightings(programme: &Path, today: Date) -> Result<Vec<Sighting>, Trouble> {
    if !TownFile::beside(programme).exists() {
        return Ok(Vec::new());
    }
    Ok(TownFile::open(programme)?.sightings(today)?)
}

/// Forgets a report.
///
/// # Errors
/// When there is none of that number.
pub fn remove(programme: &Path, id: i64) -> Result<(), Trouble> {
    if TownFile::open(programme)?.remove(id)? {
        return Ok(());
    }
    Err(Trouble::one(Problem::error("A-431", "There is no such report.", "It may have been deleted after its time.")))
}

/// What is wrong with a report, field by field; the names are those of the fields.
pub fn faults(s: &Sighting) -> Vec<&'static str> {
    let length = |text: &str| text.trim().chars().count();
    let year_ago = s.sent.checked_sub(1.year()).unwrap_or(s.sent);
    let mut wrong = Vec::new();
    if !SIGHTS.contains(&s.what.as_str()) {
        wrong.push("what");
    }
    if !(3..=LONGEST.0).contains(&length(&s.place)) {
        wrong.push("where");
    }
    if s.seen > s.sent || s.seen < year_ago {
        wrong.push("when");
    }
    if length(&s.note) > LONGEST.1 {
        wrong.push("note");
    }
    wrong
}

/// Keeps a report that has no faults.
///
/// # Errors
/// When the file cannot be written.
pub fn keep(programme: &Path, s: &Sighting) -> Result<(), Trouble> {
    let tidy = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ");
    TownFile::open(programme)?.add(&Sighting { place: tidy(&s.place), note: tidy(&s.note), ..s.clone() })?;
    Ok(())
}

/// A place that was found.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Found {
    /// Street with its numbers, or the block's own name.
    pub name: String,
    /// The neighbourhood; blank where none is known.
    pub neighbourhood: String,
    /// Block.
    pub block: BlockId,
}

/// Places whose street, block or neighbourhood has every word of a text; a number must lie among a stretch's house
/// numbers, where it has any.
pub fn find(records: &Records, streets: &[Street], text: &str) -> Vec<Found> {
    let text = text.to_lowercase().replace(',', " ");
    let (numbers, words): (Vec<&str>, Vec<&str>) =
        text.split_whitespace().partition(|w| w.bytes().all(|b| b.is_ascii_digit()));
    if words.is_empty() {
        return Vec::new();
    }
    let number = numbers.first().and_then(|n| n.parse::<u32>().ok());
    let has = |of: &str| words.iter().all(|w| of.to_lowercase().contains(w));
    let mut found = Vec::new();
    for s in streets.iter().filter(|s| number.is_none_or(|n| is_among(&s.numbers, n))) {
        let Some(at) = records.block_index(&s.block) else { continue };
        let place = records.blocks[at].neighbourhood.as_deref().unwrap_or_default();
        if has(&format!("{} {place}", s.name)) {
            found.push(Found { name: s.written(), neighbourhood: place.to_owned(), block: s.block.clone() });
        }
    }
    if found.is_empty() {
        for b in &records.blocks {
            let neighbourhood = b.neighbourhood.clone().unwrap_or_default();
            if has(&format!("{} {neighbourhood}", b.name)) {
                found.push(Found { name: b.name.clone(), neighbourhood, block: b.id.clone() });
            }
        }
    }
    found
}

/// Does a house number lie in "101-199"? Numbers written otherwise hold every house.
fn is_among(numbers: &str, n: u32) -> bool {
    let ends: Vec<u32> = numbers.split(['-', '–']).filter_map(|p| p.trim().parse().ok()).collect();
    match ends[..] {
        [from, to] => (from..=to).contains(&n),
        _ => true,
    }
}

#[cfg(test)]
mod tests {
    use crownhold::pellwood::{pellwood, streets};
    use crownhold_data::town::{Sighting, Street};
    use jiff::civil::date;

    use super::{faults, find, is_among};

    fn all() -> (crownhold::types::Records, Vec<Street>) {
        let records = pellwood(1, 2027);
        let list = streets(&records.blocks);
        (records, list.into_iter().map(|(name, numbers, block)| Street { name, numbers, block }).collect())
    }

    #[test]
    fn a_house_is_found_in_its_block() {
        let (records, streets) = all();
        let found = find(&records, &streets, "312 ferry street");
        assert_eq!(found.len(), 1, "{found:?}");
        assert_eq!(found[0].block.as_str(), "F03");
        assert!(find(&records, &streets, "ferry").len() > 5);
        assert!(find(&records, &streets, "alder row").len() > 5, "a neighbourhood holds its streets");
        assert!(find(&records, &[], "a07").iter().any(|f| f.block.as_str() == "A07"));
        assert!(find(&records, &streets, "312").is_empty() && find(&records, &streets, " ").is_empty());
        assert!(find(&records, &streets, "no such way").is_empty());
    }

    #[test]
    fn numbers_lie_between_their_ends() {
        assert!(is_among("101-199", 150) && !is_among("101-199", 200) && is_among("even side", 7));
    }

    #[test]
    fn every_fault_of_a_report() {
        let good = Sighting {
            id: 0,
            sent: date(2027, 6, 1),
            seen: date(2027, 5, 30),
            what: "moths".into(),
            block: None,
            place: "12 Ferry Street".into(),
            note: String::new(),
        };
        assert!(faults(&good).is_empty());
        let bad =
            Sighting { seen: date(2027, 6, 2), what: "bears".into(), place: "x".into(), note: "n".repeat(401), ..good };
        assert_eq!(faults(&bad), ["what", "where", "when", "note"]);
    }
}
