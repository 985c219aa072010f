//! Dates as people write them. The order of day and month is read from the whole column or asked for.

use crownhold::types::Problem;
use jiff::civil::{Date, date};

use super::cells::is_blank;
use super::columns::Column;
use super::job::Job;
use super::table::Table;
use super::words::Found;

/// Which comes first in dates written with strokes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DateOrder {
    /// 3/4/2026 is the fourth of March.
    MonthFirst,
    /// 3/4/2026 is the third of April.
    DayFirst,
}

/// One cell, as far as it can be read alone.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Cell {
    Blank,
    Fixed(Date),
    /// A spreadsheet's day number.
    Serial(Date),
    /// Two small numbers and a year.
    Open(i8, i8, i16),
    Bad,
}

/// The dates of a column, one per row; blank cells are `None`, unreadable ones are noted as errors.
pub(super) fn dates(job: &mut Job<'_>, table: &Table, column: &Column) -> Vec<Option<Date>> {
    let cells: Vec<Cell> = (0..table.len()).map(|r| read(table.cell(r, column.at))).collect();
    let serials = cells.iter().filter(|c| matches!(c, Cell::Serial(_))).count();
    if serials > 0 {
        let what = format!("Dates that are spreadsheet day numbers: {serials}.");
        job.note(Problem::repaired("I-119", what, "They were counted from 1899-12-30.").column(column.header.clone()));
    }
    let order = order(job, &cells, table, column);
    let mut dates = Vec::with_capacity(cells.len());
    let mut strange = Found::default();
    for (row, cell) in cells.into_iter().enumerate() {
        let value = match (cell, order) {
            (Cell::Fixed(d) | Cell::Serial(d), _) => Some(d),
            (Cell::Open(a, b, year), Some(DateOrder::MonthFirst)) => Date::new(year, a, b).ok(),
            (Cell::Open(a, b, year), Some(DateOrder::DayFirst)) => Date::new(year, b, a).ok(),
            _ => None,
        };
        let undecided = matches!(cell, Cell::Open(..)) && order.is_none();
        if value.is_none() && cell != Cell::Blank && !undecided {
            strange.add(format!("\"{}\"", table.cell(row, column.at)), table.number(row));
        }
        dates.push(value);
    }
    if let Some(first) = strange.first() {
        let what = format!("Not a date: {}.", strange.listed());
        let problem = Problem::error("I-212", what, "Correct the cells.").row(first).column(column.header.clone());
        job.note(problem.expected("a date such as 2026-10-03"));
    }
    dates
}

/// The order that the whole column shows. Both orders, or neither, is an error unless the user said it.
fn order(job: &mut Job<'_>, cells: &[Cell], table: &Table, column: &Column) -> Option<DateOrder> {
    if let Some(order) = job.wishes.date_order {
        return Some(order);
    }
    let open = || {
        cells.iter().enumerate().filter_map(|(i, c)| if let Cell::Open(a, b, _) = c { Some((i, *a, *b)) } else { None })
    };
    let (first, ..) = open().next()?;
    let day_first = open().find(|(_, a, _)| *a > 12).map(|(i, ..)| i);
    let month_first = open().find(|(_, _, b)| *b > 12).map(|(i, ..)| i);
    let quote = |row: usize| format!("\"{}\" (row {})", table.cell(row, column.at), table.number(row));
    let what = match (day_first, month_first) {
        (Some(_), None) => return Some(DateOrder::DayFirst),
        (None, Some(_)) => return Some(DateOrder::MonthFirst),
        (Some(a), Some(b)) => format!("Day and month change places: {} and {}.", quote(a), quote(b)),
        (None, None) => format!("Dates such as {} can be read two ways, and no row shows which.", quote(first)),
    };
    let remedy = "Write dates as 2026-10-03, or say --dates month-first or --dates day-first.";
    job.note(Problem::error("I-213", what, remedy).column(column.header.clone()));
    None
}

const MONTHS: [&str; 12] = ["jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"];

fn read(cell: &str) -> Cell {
    if is_blank(cell) {
        return Cell::Blank;
    }
    let cell = without_time(cell);
    if cell.bytes().all(|b| b.is_ascii_digit()) && cell.len() == 8 {
        return fixed(&cell[..4], &cell[4..6], &cell[6..]);
    }
    if let Ok(serial) = cell.parse::<f64>()
        && (20_000.0..80_000.0).contains(&serial)
    {
        let days = jiff::Span::new().days(serial.floor() as i64);
        return date(1899, 12, 30).checked_add(days).map_or(Cell::Bad, Cell::Serial);
    }
    let parts: Vec<&str> = cell.split(['-', '/', '.', ' ', ',']).filter(|p| !p.is_empty()).collect();
    match parts.as_slice() {
        [y, m, d] if y.len() == 4 && digits(y) => fixed(y, m, d),
        [a, b, y] if !digits(a) => named(a, b, y),
        [a, b, y] if !digits(b) => named(b, a, y),
        [a, b, y] => open(a, b, y, cell.contains('.')),
        _ => Cell::Bad,
    }
}

/// "2026-10-03T08:00:00Z" and "10/3/2026 8:00 AM" without their time.
fn without_time(cell: &str) -> &str {
    let cell = cell.split('T').next().filter(|c| c.len() == 10).unwrap_or(cell);
    match cell.split_once(' ') {
        Some((day, time)) if time.contains(':') => day,
        _ => cell,
    }
}

fn digits(text: &str) -> bool {
    text.bytes().all(|b| b.is_ascii_digit())
}

fn fixed(y: &str, m: &str, d: &str) -> Cell {
    let made = (|| Date::new(y.parse().ok()?, m.parse().ok()?, d.parse().ok()?).ok())();
    made.map_or(Cell::Bad, Cell::Fixed)
}

fn year(text: &str) -> Option<i16> {
    let year: i16 = text.parse().ok()?;
    Some(if text.len() <= 2 { 2000 + year } else { year })
}

fn named(month: &str, day: &str, y: &str) -> Cell {
    let lower = month.to_lowercase();
    let made = (|| {
        let month = MONTHS.iter().position(|m| lower.starts_with(m))? + 1;
        Date::new(year(y)?, month as i8, day.parse().ok()?).ok()
    })();
    made.map_or(Cell::Bad, Cell::Fixed)
}

/// With points the day comes first everywhere they are used; with strokes it depends.
fn open(a: &str, b: &str, y: &str, points: bool) -> Cell {
    match (a.parse::<i8>(), b.parse::<i8>(), year(y)) {
        (Ok(d), Ok(m), Some(y)) if points => Date::new(y, m, d).map_or(Cell::Bad, Cell::Fixed),
        (Ok(a), Ok(b), Some(y)) if a == b => Date::new(y, a, b).map_or(Cell::Bad, Cell::Fixed),
        (Ok(a), Ok(b), Some(y)) => Cell::Open(a, b, y),
        _ => Cell::Bad,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn dates_as_people_write_them() {
        let third = date(2026, 10, 3);
        for text in
            ["2026-10-03", "2026/10/3", "20261003", "Oct 3, 2026", "3-Oct-26", "3.10.2026", "2026-10-03T08:00:00Z"]
        {
            assert_eq!(read(text), Cell::Fixed(third), "{text}");
        }
        // Days from 1899-12-30 by Python 3.11: (date(2026, 10, 3) - date(1899, 12, 30)).days.
        assert_eq!(read("46298"), Cell::Serial(third));
        assert_eq!(read("10/3/2026 8:00 AM"), Cell::Open(10, 3, 2026));
        assert_eq!(read("2026-13-03"), Cell::Bad);
        assert_eq!(read("soon"), Cell::Bad);
        assert_eq!(read("n/a"), Cell::Blank);
    }
}
