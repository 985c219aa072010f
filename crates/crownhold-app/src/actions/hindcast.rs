//! How good the dates would have been in past years.

use std::path::Path;

use crownhold::Setting;
use crownhold::timing::hindcast::{Hindcast, Observation, Truth, hindcast};
use crownhold::types::{Parameters, Problem, Programme, Records, UnitSystem, WeatherSeries};
use crownhold_data::formats::{self, Input, Kind, Wishes};

use super::import::input;
use crate::trouble::Trouble;

/// Dates a year that are simulated for each event.
pub const REPLICATES: usize = 200;

/// A hindcast with what it was judged against.
#[derive(Clone, Debug)]
pub struct Judged {
    /// The scores.
    pub hindcast: Hindcast,
    /// The file of dates seen; none where the model's own dates were taken.
    pub seen_in: Option<String>,
}

/// What forecasts are judged against.
#[derive(Clone, Copy, Debug)]
pub enum Against<'a> {
    /// A file of dates seen: year, event, date.
    Seen(&'a Input),
    /// The model's own date of the whole year.
    Own,
    /// Dates drawn by the model for the whole year.
    Simulated,
}

/// Weather with the parameters of its programme; plain weather files have the defaults.
#[derive(Clone, Debug)]
pub struct Source {
    /// Stations in order.
    pub weather: Vec<WeatherSeries>,
    /// Parameters.
    pub parameters: Parameters,
    /// What the reading of the file has to tell.
    pub notes: Vec<Problem>,
}

/// Reads a programme file, or a weather file in any layout that can be imported.
///
/// # Errors
/// When the file cannot be read.
pub fn source(path: &Path, wishes: &Wishes) -> Result<Source, Trouble> {
    let file = input(path)?;
    if file.parts.iter().any(|part| part.bytes.starts_with(b"SQLite format 3\0")) {
        let records = super::records(path)?;
        return Ok(Source { weather: records.weather, parameters: records.parameters, notes: Vec::new() });
    }
    let (weather, notes) = weather(&file, wishes)?;
    Ok(Source { weather, parameters: Parameters::defaults(), notes })
}

/// Reads weather the way an import would, into a programme that is thrown away.
///
/// # Errors
/// When the file cannot be understood.
pub fn weather(file: &Input, wishes: &Wishes) -> Result<(Vec<WeatherSeries>, Vec<Problem>), Trouble> {
    let programme =
        Programme { name: String::new(), season: 0, epsg: 32_616, units: UnitSystem::Metric, invented: false };
    let mut records = Records::empty(programme);
    let wishes = Wishes { station: wishes.station.clone().or(Some("this file".to_owned())), ..wishes.clone() };
    let report = formats::import(Kind::Weather, file, &wishes, &mut records);
    if report.has_errors() {
        return Err(report.problems.into());
    }
    Ok((records.weather, report.problems))
}

/// Judges the forecasts of past years.
///
/// # Errors
/// When the file of dates cannot be understood, or there is too little weather.
pub fn judged(source: &Source, against: Against<'_>, setting: &Setting) -> Result<Hindcast, Trouble> {
    let mut notes = source.notes.clone();
    let mut seen: Vec<Observation> = Vec::new();
    if let Against::Seen(file) = against {
        let (dates, remarks) = formats::observed_dates(file, &Wishes::default())?;
        seen = dates;
        notes.extend(remarks);
    }
    let truth = match against {
        Against::Seen(_) => Truth::Observed(&seen),
        Against::Own => Truth::Model,
        Against::Simulated => Truth::Simulated(REPLICATES),
    };
    let mut judged = hindcast(&source.weather, &source.parameters, truth, setting)?;
    judged.notes.splice(0..0, notes);
    Ok(judged)
}
