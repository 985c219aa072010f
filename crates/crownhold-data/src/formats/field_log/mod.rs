//! The field log from sheets: visits to bands and scraping, one row a visit.

pub(super) mod bands;
pub(super) mod scraping;

use std::collections::BTreeSet;

use crownhold::types::{BlockId, Hours, LogId, Problem};
use jiff::civil::Date;

use super::areas;
use super::cells;
use super::columns::{Columns, Field};
use super::job::Job;
use super::table::Table;

/// Columns of band visits.
pub(super) const BANDS: &[Field] = bands::FIELDS;
/// Columns of scraping.
pub(super) const SCRAPING: &[Field] = scraping::FIELDS;

/// What is the same for both: a day, a block of the programme, an id.
struct Rows<'t> {
    table: &'t Table,
    known: BTreeSet<BlockId>,
    blocks: Vec<Option<BlockId>>,
    given: Vec<String>,
    date_at: usize,
    /// Ids with the rows they stand in.
    ids: Vec<(String, u64)>,
    taken: BTreeSet<String>,
}

impl<'t> Rows<'t> {
    fn new(job: &Job<'_>, table: &'t Table, columns: &Columns, date: &Field, block: &Field, id: &Field) -> Self {
        let text = |field: &Field, row| cells::text(table, columns, field, row).map(str::to_owned);
        Self {
            table,
            known: job.draft.blocks.iter().map(|b| b.id.clone()).collect(),
            blocks: (0..table.len()).map(|row| text(block, row).map(BlockId::new)).collect(),
            given: (0..table.len()).map(|row| text(id, row).unwrap_or_default()).collect(),
            date_at: columns.get(date.name).map_or(0, |column| column.at),
            ids: Vec::new(),
            taken: BTreeSet::new(),
        }
    }

    /// Day and block of a row; what is missing is told.
    fn placed(&self, job: &mut Job<'_>, row: usize, day: Option<Date>) -> Option<(Date, BlockId)> {
        let number = self.table.number(row);
        let lacks = |what: &str, column: &str| {
            Problem::error("I-280", what, "Fill the cell in, or take the row out.").row(number).column(column)
        };
        // A date that cannot be read was told already.
        if day.is_none() && cells::is_blank(self.table.cell(row, self.date_at)) {
            job.note(lacks("The row has no date.", "date"));
        }
        match &self.blocks[row] {
            None => {
                job.note(lacks("The row has no block.", "block"));
                None
            }
            Some(block) if !self.known.contains(block) => {
                areas::unknown_block(job, block, number);
                None
            }
            Some(block) => day.map(|day| (day, block.clone())),
        }
    }

    /// The made id, numbered where the same day and place come again: two crews, or two visits.
    fn free(&self, made: &str) -> LogId {
        let numbered = |n: usize| if n == 1 { made.to_owned() } else { format!("{made} ({n})") };
        let taken = |id: &String| self.taken.contains(id);
        LogId::new((1..).map(numbered).find(|id| !taken(id)).unwrap_or_default())
    }

    /// The row's own id, or the one made from day and place.
    fn id(&mut self, row: usize, made: &str) -> LogId {
        let id = if self.given[row].is_empty() { self.free(made) } else { LogId::new(&self.given[row]) };
        self.taken.insert(id.to_string());
        self.ids.push((id.to_string(), self.table.number(row)));
        id
    }
}

/// Hours of a cell; below 0 is an error that names the row.
fn spent(
    job: &mut Job<'_>,
    table: &Table,
    row: usize,
    value: Option<f64>,
    (column, per_hour): (&str, f64),
) -> Option<Hours> {
    let value = value?;
    if value < 0.0 {
        let what = format!("{value} is no time.");
        let problem = Problem::error("I-283", what, "Correct the cell.").row(table.number(row)).column(column);
        job.note(problem.expected("a number, 0 or more"));
        return None;
    }
    Some(Hours::hours(value / per_hour))
}
