//! Photos of visits: kept beside the programme, one a visit.

use std::collections::BTreeSet;
use std::path::Path;

use crownhold::types::{LogId, Problem, Records};
use crownhold_data::photos::PhotoFile;

use super::By;
use crate::trouble::Trouble;

/// Largest photo, bytes: a phone makes it smaller before it sends it.
pub const LARGEST: usize = 2 << 20;
/// How every JPEG file begins.
const JPEG: [u8; 3] = [0xff, 0xd8, 0xff];

/// Keeps the photo of a visit that is in the log; a second one of it changes nothing.
///
/// # Errors
/// When it is no JPEG, too large, or of no visit.
pub fn keep(programme: &Path, records: &Records, visit: &LogId, jpeg: &[u8], by: By<'_>) -> Result<(), Trouble> {
    let refuse = |what: &str, remedy: &str| Err(Trouble::one(Problem::error("R-016", what, remedy)));
    if !jpeg.starts_with(&JPEG) || jpeg.len() > LARGEST {
        return refuse("This is no photo that the log takes: JPEG, 2 MB at most.", "Take another one.");
    }
    if !visits(records).contains(visit) {
        return refuse("The photo's visit is not in the log.", "Send the visit first.");
    }
    Ok(PhotoFile::open(programme)?.keep(visit, by.author, by.when, jpeg)?)
}

/// The photo of a visit, if there is one.
///
/// # Errors
/// When the file cannot be read.
pub fn of(programme: &Path, visit: &LogId) -> Result<Option<Vec<u8>>, Trouble> {
    match PhotoFile::open_if_there(programme)? {
        Some(photos) => Ok(photos.of(visit)?),
        None => Ok(None),
    }
}

/// Visits with a photo; none where the file cannot be read, which is told when the desk starts.
pub fn all(programme: &Path) -> BTreeSet<LogId> {
    let photos = PhotoFile::open_if_there(programme).ok().flatten();
    photos.and_then(|photos| photos.visits().ok()).unwrap_or_default()
}

/// Forgets photos of visits that are no longer in the log; how many.
///
/// # Errors
/// When the file cannot be written.
pub fn forget_removed(programme: &Path, records: &Records) -> Result<usize, Trouble> {
    if !PhotoFile::beside(programme).exists() {
        return Ok(0);
    }
    let kept = visits(records).into_iter().cloned().collect();
    Ok(PhotoFile::open(programme)?.forget_but(&kept)?)
}

fn visits(records: &Records) -> BTreeSet<&LogId> {
    let log = &records.log;
    log.bands.iter().map(|v| &v.id).chain(log.scraping.iter().map(|v| &v.id)).collect()
}
