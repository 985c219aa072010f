//! Files from disk into a programme, all or nothing.

use std::path::Path;

use crownhold::types::{Problem, Records};
use crownhold_data::formats::shares::{TreeWeight, shares_from_trees};
use crownhold_data::formats::{self, DateOrder, Input, Kind, Part, Report, Wishes};
use crownhold_data::store::{ProgrammeFile, StoreError};

use crate::trouble::Trouble;

/// Reads a file, and for a shapefile the parts lying beside it.
///
/// # Errors
/// When the file cannot be read.
pub fn input(path: &Path) -> Result<Input, Trouble> {
    let name = file_name(path);
    let mut parts = vec![part(path)?];
    if extension(path) == "shp" {
        for beside in ["dbf", "shx", "prj", "cpg"] {
            let exact = path.with_extension(beside);
            let other = path.with_extension(beside.to_uppercase());
            if let Some(found) = [exact, other].into_iter().find(|p| p.is_file()) {
                parts.push(part(&found)?);
            }
        }
    }
    Ok(Input { name, parts })
}

fn part(path: &Path) -> Result<Part, Trouble> {
    let bytes = std::fs::read(path).map_err(|e| Trouble::file(path, &e))?;
    Ok(Part { name: file_name(path), bytes })
}

fn file_name(path: &Path) -> String {
    path.file_name().map_or_else(|| path.display().to_string(), |n| n.to_string_lossy().into_owned())
}

fn extension(path: &Path) -> String {
    path.extension().map(|e| e.to_string_lossy().to_lowercase()).unwrap_or_default()
}

/// Wishes written as "field=column", or "field=unit".
///
/// # Errors
/// For the first one without "=".
pub fn pairs<S: AsRef<str>>(all: &[S]) -> Result<Vec<(String, String)>, Trouble> {
    all.iter()
        .map(|p| {
            let p = p.as_ref();
            let (field, column) = p.split_once('=').ok_or_else(|| {
                Trouble::one(Problem::error("A-061", format!("\"{p}\" cannot be used."), "").expected("field=column"))
            })?;
            Ok((field.trim().to_owned(), column.trim().to_owned()))
        })
        .collect()
}

/// The order of day and month by its word.
///
/// # Errors
/// When it is another word.
pub fn date_order(word: &str) -> Result<DateOrder, Trouble> {
    match word.trim().to_lowercase().as_str() {
        "month-first" => Ok(DateOrder::MonthFirst),
        "day-first" => Ok(DateOrder::DayFirst),
        other => Err(Trouble::one(
            Problem::error("A-062", format!("\"{other}\" is not a date order."), "")
                .expected("month-first or day-first"),
        )),
    }
}

/// Minutes ahead of universal time.
///
/// # Errors
/// When it is no offset.
pub fn offset(text: &str) -> Result<i16, Trouble> {
    formats::utc_offset(text).ok_or_else(|| {
        Trouble::one(
            Problem::error("A-063", format!("\"{text}\" is not an offset from universal time."), "")
                .expected("such as -04:00 for Eastern daylight time"),
        )
    })
}

/// Why nothing was taken over.
enum Refused {
    Report(Box<Report>),
    Store(StoreError),
}

impl From<StoreError> for Refused {
    fn from(error: StoreError) -> Self {
        Self::Store(error)
    }
}

/// A tree inventory, or blocks laid over one, give the host mix of blocks that have none.
fn host_mix(kind: Kind, records: &mut Records) -> Vec<Problem> {
    if !matches!(kind, Kind::Trees | Kind::Blocks) || records.blocks.is_empty() || records.trees.is_empty() {
        return Vec::new();
    }
    formats::place_trees(records);
    if records.blocks.iter().all(|b| b.hosts.is_some()) {
        return Vec::new();
    }
    shares_from_trees(records, TreeWeight::Diameter, false)
}

/// Imports one input as one operation. A report with errors means that the file is unchanged.
///
/// # Errors
/// When the programme file cannot be opened or changed.
pub fn import(
    programme: &Path,
    kind: Kind,
    input: &Input,
    wishes: &Wishes,
    author: &str,
    when: &str,
) -> Result<Report, Trouble> {
    let mut file = ProgrammeFile::open(programme)?;
    let what = format!("imported {} from {}", kind.word(), input.name);
    let outcome = file.change(author, when, &what, |records| {
        let mut report = formats::import(kind, input, wishes, records);
        if report.has_errors() {
            return Err(Refused::Report(Box::new(report)));
        }
        report.problems.extend(host_mix(kind, records));
        Ok(report)
    });
    let report = match outcome {
        Ok(report) => report,
        Err(Refused::Report(report)) => *report,
        Err(Refused::Store(error)) => return Err(error.into()),
    };
    file.close()?;
    Ok(report)
}
