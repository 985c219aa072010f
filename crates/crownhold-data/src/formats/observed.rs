//! Dates seen in the field: year, event, date. They judge forecasts and go into no record.

use std::collections::BTreeMap;

use crownhold::timing::Event;
use crownhold::timing::hindcast::{Observation, event_named};
use crownhold::types::{Problem, Programme, Records, UnitSystem};
use jiff::civil::Date;

use super::areas::fields;
use super::cells;
use super::columns::{Columns, Field, Measure};
use super::dates::dates;
use super::job::Job;
use super::report::Kind;
use super::table::Table;
use super::words::choices;
use super::{Input, Wishes, reading};

fields! {
    /// Year; may be left away, since the date has it.
    YEAR = "year", Plain, ["year", "season", "yr", "spring"];
    /// What was seen.
    EVENT = "event", Plain, ["event", "stage", "what", "phase", "phenophase"];
    /// When.
    DATE = "date", Plain, ["date", "day", "seen", "observed", "when"];
}

/// Reads a table of dates seen. With the dates come remarks; with any error there are only problems, all of them.
///
/// # Errors
/// Whatever cannot be read, with row and column: no column for event or date, words that are no event, dates of another
/// year than the row's, an event twice in a year.
pub fn observed_dates(input: &Input, wishes: &Wishes) -> Result<(Vec<Observation>, Vec<Problem>), Vec<Problem>> {
    let programme =
        Programme { name: String::new(), season: 0, epsg: 32_616, units: UnitSystem::Metric, invented: false };
    // The reader wants a kind for its messages on shapes, of which there are none here.
    let mut job = Job::new(Kind::Weather, &input.name, wishes, &Records::empty(programme));
    let seen = reading::read(&mut job, input).map(|table| take(&mut job, &table)).unwrap_or_default();
    let problems = job.report.problems;
    if problems.iter().any(Problem::is_error) { Err(problems) } else { Ok((seen, problems)) }
}

fn take(job: &mut Job<'_>, table: &Table) -> Vec<Observation> {
    let columns = Columns::find(job, table, FIELDS);
    let needed = [&EVENT, &DATE].map(|field| columns.need(job, table, field).cloned());
    let [Some(event_column), Some(date_column)] = needed else { return Vec::new() };
    let words: Vec<&str> = Event::ALL.iter().map(|event| event.word()).collect();
    let events = choices(job, table, &columns, &EVENT, event_named, &words);
    let days = dates(job, table, &date_column);
    let years = cells::counts(job, table, &columns, &YEAR);
    let mut rows: BTreeMap<(Event, i16), u64> = BTreeMap::new();
    let mut seen = Vec::new();
    for row in 0..table.len() {
        let number = table.number(row);
        for (cell, column) in [(&event_column, "event"), (&date_column, "date")] {
            if cells::is_blank(table.cell(row, cell.at)) {
                let what = format!("The row has no {column}.");
                let problem = Problem::error("I-901", what, "Fill the cell in, or take the row out.");
                job.note(problem.row(number).column(cell.header.clone()));
            }
        }
        let (Some(event), Some(date)) = (events[row], days[row]) else { continue };
        note_other_year(job, years[row], date, number);
        if let Some(first) = rows.insert((event, date.year()), number) {
            let what = format!("\"{event}\" stands twice for {}, in rows {first} and {number}.", date.year());
            let problem = Problem::error("I-903", what, "Keep the one that stands for the station, or their middle.");
            job.note(problem.row(number).expected("one date for an event and year"));
        }
        seen.push(Observation { event, date });
    }
    seen
}

fn note_other_year(job: &mut Job<'_>, year: Option<u32>, date: Date, row: u64) {
    if year.is_some_and(|year| i64::from(year) != i64::from(date.year())) {
        let what = format!("The year is {} and the date {date}.", year.unwrap_or_default());
        let problem = Problem::error("I-902", what, "Correct one of them.").row(row).column(YEAR.name);
        job.note(problem.expected("the year of the date"));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str) -> Result<(Vec<Observation>, Vec<Problem>), Vec<Problem>> {
        observed_dates(&Input::single("seen.csv", text), &Wishes::default())
    }

    #[test]
    fn dates_by_many_names() {
        let read =
            read("year,event,date\n2013,hatch,2013-05-01\n2013,Red Oak Budbreak,2013-05-05\n2014,L2,2014-05-20\n");
        let events: Vec<Event> = read.unwrap_or_default().0.iter().map(|seen| seen.event).collect();
        assert_eq!(events, [Event::HatchHalf, Event::RedOakBudbreak, Event::SecondInstar]);
    }

    #[test]
    fn all_problems_at_once_with_their_rows() {
        let text =
            "year,event,date\n2013,robins,2013-05-01\n2012,hatch,2013-05-01\n2013,hatch 50 %,2013-05-09\n2013,pupae,\n";
        let said: Vec<String> = read(text).err().unwrap_or_default().iter().map(ToString::to_string).collect();
        for part in
            ["\"robins\"", "row 2", "I-902 (seen.csv, row 3", "I-903 (seen.csv, row 4", "I-901 (seen.csv, row 5"]
        {
            assert!(said.iter().any(|line| line.contains(part)), "{part}: {said:#?}");
        }
    }
}
