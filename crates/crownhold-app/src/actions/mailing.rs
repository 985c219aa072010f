//! Whom to write to before flights: the city's own list of addresses or parcels, cut to what lies near.

use std::fs::File;
use std::io::Write as _;
use std::path::Path;

use crownhold::field::{Told, notice_reach, notices_due, within_reach};
use crownhold::timing::Timing;
use crownhold::types::{Audience, BlockId, Length, Problem, Records};
use crownhold_data::formats::{Addresses, Input, Wishes, addresses, mailing_csv};
use jiff::civil::Date;

use crate::trouble::Trouble;

/// A list cut to what lies near.
#[derive(Clone, Debug)]
pub struct Mailing {
    /// The list it was made from.
    pub file: String,
    /// Whom it is of.
    pub audience: Audience,
    /// How far from flown blocks somebody is told.
    pub reach: Length,
    /// Last day; none without dates.
    pub by: Option<Date>,
    /// Rows of the list that was given.
    pub given: usize,
    /// Those that are told.
    pub told: Vec<Told>,
    /// What to look at.
    pub notes: Vec<Problem>,
    /// The list as CSV.
    pub csv: Vec<u8>,
}

impl Mailing {
    /// How many of them lie in flown blocks.
    pub fn inside(&self) -> usize {
        self.told.iter().filter(|t| t.distance.as_metres() == 0.0).count()
    }
    /// Writes the list to a file that is not there yet.
    ///
    /// # Errors
    /// When there is a file of that name, or it cannot be written.
    pub fn write(&self, path: &Path) -> Result<(), Trouble> {
        let mut file = File::create_new(path).map_err(|e| Trouble::file(path, &e))?;
        file.write_all(&self.csv).map_err(|e| {
            // Half a list would pass for a whole one; the error that matters is the one from writing.
            let _ = std::fs::remove_file(path);
            Trouble::file(path, &e)
        })
    }
}

/// Cuts a list to the addresses within reach of what is flown.
///
/// # Errors
/// When nothing is flown, or the list cannot be read.
pub fn mailing(
    records: &Records,
    flown: &[BlockId],
    timing: Option<&Timing>,
    audience: Audience,
    list: &Input,
    wishes: &Wishes,
) -> Result<Mailing, Trouble> {
    if flown.is_empty() {
        return Err(Trouble::one(Problem::error("A-235", "The plan flies no block.", "Nobody has to be written to.")));
    }
    let read: Addresses = addresses(list, wishes, records)?;
    let reach = notice_reach(audience, &records.parameters);
    let due = notices_due(records, flown, timing);
    let by = due.iter().find(|d| d.audience == audience).and_then(|d| d.by);
    let told = within_reach(records, flown, &read.places, reach);
    let csv = mailing_csv(&read, &told, by, records.programme.units);
    Ok(Mailing { file: list.name.clone(), audience, reach, by, given: read.len(), told, notes: read.notes, csv })
}
