//! Bare outlines, such as buildings or land without access, read to keep off them. They go into no record.

use crownhold::types::{Problem, Records};
use geo::MultiPolygon;

use super::job::Job;
use super::report::Kind;
use super::{Input, Wishes, kinds, places, reading};

/// Outlines as they were read.
#[derive(Clone, Debug, Default)]
pub struct Outlines {
    /// In the programme's system.
    pub shapes: Vec<MultiPolygon<f64>>,
    /// What to look at.
    pub notes: Vec<Problem>,
}

/// The outlines of a layer in the programme's system, and remarks. Its columns do not matter.
///
/// # Errors
/// Whatever cannot be read: no outlines, an unknown coordinate system, places far from the city.
pub fn outlines(input: &Input, wishes: &Wishes, records: &Records) -> Result<Outlines, Vec<Problem>> {
    // The reader wants a kind for its messages on shapes.
    let mut job = Job::new(Kind::NoSpray, &input.name, wishes, records);
    let read = reading::read(&mut job, input).and_then(|table| {
        let shapes = match table.spatial {
            true => places::outlines(&mut job, &table, |row| format!("row {}", table.number(row)))?,
            false => Vec::new(),
        };
        if shapes.iter().all(Option::is_none) {
            kinds::note_none(&mut job, &table, kinds::Needed::Outlines);
        }
        Some(shapes)
    });
    let problems = job.report.problems;
    match read {
        Some(shapes) if !problems.iter().any(Problem::is_error) => {
            Ok(Outlines { shapes: shapes.into_iter().flatten().collect(), notes: problems })
        }
        _ => Err(problems),
    }
}
