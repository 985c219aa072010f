//! Cells to values: numbers with decimal commas, quantities with units, shares, yes and no.

use crownhold::types::{Area, Length, MassesPerArea, Problem, Share};

use super::columns::{Column, Columns, Field, need_unit};
use super::job::Job;
use super::table::Table;
use super::words::{Found, rows};

/// How a column writes a comma inside a number.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Comma {
    /// There is none, or it parts thousands.
    Thousands,
    /// It is the decimal mark.
    Decimal,
    /// Could be either.
    Open,
}

/// Words that stand for a blank.
const BLANKS: [&str; 9] = ["", "na", "n/a", "nan", "null", "none", "-", "--", "."];

/// Does the cell say nothing?
pub(super) fn is_blank(cell: &str) -> bool {
    BLANKS.iter().any(|b| cell.eq_ignore_ascii_case(b))
}

fn comma_use<'c>(cells: impl Iterator<Item = &'c str>, delimiter: char) -> Comma {
    let mut seen = false;
    for cell in cells.filter(|c| c.contains(',')) {
        let groups: Vec<&str> = cell.split(',').collect();
        let last = groups[groups.len() - 1];
        if cell.rfind('.') > cell.rfind(',') || groups.len() > 2 {
            return Comma::Thousands;
        }
        if last.contains('.') || last.len() != 3 || groups[0].trim_start_matches('-').len() > 3 || groups[0] == "0" {
            return Comma::Decimal;
        }
        seen = true;
    }
    match (seen, delimiter) {
        (false, _) | (true, ',') => Comma::Thousands,
        _ => Comma::Open,
    }
}

fn number(cell: &str, comma: Comma) -> Option<f64> {
    let mut text = cell.trim().replace(['\u{a0}', ' ', '\'', '$'], "").replace('\u{2212}', "-");
    match comma {
        Comma::Decimal => text = text.replace('.', "").replace(',', "."),
        _ => text = text.replace(',', ""),
    }
    if comma == Comma::Decimal && !cell.contains(',') && cell.contains('.') {
        text = cell.trim().to_owned();
    }
    let plain = text.strip_suffix('%').unwrap_or(&text);
    plain.parse().ok().filter(|v: &f64| v.is_finite())
}

/// The numbers of a column, one per row; blank cells are `None`, unreadable ones are noted as errors.
pub(super) fn numbers(job: &mut Job<'_>, table: &Table, column: &Column) -> Vec<Option<f64>> {
    numbers_or_words(job, table, column, &[])
}

/// As [`numbers`], with words that stand for a number or for a blank.
pub(super) fn numbers_or_words(
    job: &mut Job<'_>,
    table: &Table,
    column: &Column,
    words: &[(&str, Option<f64>)],
) -> Vec<Option<f64>> {
    let cells = || (0..table.len()).map(|r| table.cell(r, column.at));
    let comma = comma_use(cells(), table.delimiter);
    match comma {
        Comma::Open => {
            let what = "A comma in these numbers could part thousands or be the decimal mark.";
            let remedy = "Write the numbers with a decimal point and without thousands marks.";
            job.note(Problem::error("I-206", what, remedy).column(column.header.clone()));
        }
        Comma::Decimal => {
            let note = Problem::repaired("I-118", "The numbers have decimal commas.", "They were read so.");
            job.note(note.column(column.header.clone()));
        }
        Comma::Thousands => {}
    }
    let mut values = Vec::with_capacity(table.len());
    let mut strange = Found::default();
    for row in 0..table.len() {
        let cell = table.cell(row, column.at);
        if let Some((_, meant)) = words.iter().find(|(w, _)| cell.eq_ignore_ascii_case(w)) {
            values.push(*meant);
            continue;
        }
        let value = if is_blank(cell) { None } else { number(cell, comma) };
        if value.is_none() && !is_blank(cell) {
            strange.add(format!("\"{cell}\""), table.number(row));
        }
        values.push(value);
    }
    if let Some(first) = strange.first() {
        let what = format!("Not a number: {}.", strange.listed());
        let problem = Problem::error("I-207", what, "Correct the cells.").row(first).column(column.header.clone());
        job.note(problem.expected("a number, or a blank cell"));
    }
    values
}

/// An error about one cell.
pub(super) fn bad_cell(code: &'static str, what: String, table: &Table, row: usize, column: &Column) -> Problem {
    Problem::error(code, what, "Correct the cell.").row(table.number(row)).column(column.header.clone())
}

/// Numbers of a field that may be missing altogether.
pub(super) fn maybe_numbers(job: &mut Job<'_>, table: &Table, columns: &Columns, field: &Field) -> Vec<Option<f64>> {
    match columns.get(field.name).cloned() {
        Some(column) => numbers(job, table, &column),
        None => vec![None; table.len()],
    }
}

/// Whole numbers that are not negative.
pub(super) fn counts(job: &mut Job<'_>, table: &Table, columns: &Columns, field: &Field) -> Vec<Option<u32>> {
    let values = maybe_numbers(job, table, columns, field);
    let Some(column) = columns.get(field.name) else { return vec![None; table.len()] };
    let mut whole = Vec::with_capacity(values.len());
    for (row, value) in values.into_iter().enumerate() {
        let fits = value.filter(|v| v.fract() == 0.0 && (0.0..=4e9).contains(v));
        if let (Some(v), None) = (value, fits) {
            let what = format!("{v} is not a count.");
            job.note(bad_cell("I-208", what, table, row, column).expected("a whole number, 0 or more"));
        }
        whole.push(fits.map(|v| v as u32));
    }
    whole
}

/// Counts of a search, where a blank and a zero are different things. "none" is neither: nobody can say
/// whether it was searched. What is not a count is told once for each way it is written.
pub(super) fn searched(job: &mut Job<'_>, table: &Table, columns: &Columns, field: &Field) -> Vec<Option<u32>> {
    let Some(column) = columns.get(field.name) else { return vec![None; table.len()] };
    let mut strange = Found::default();
    let mut whole = Vec::with_capacity(table.len());
    for row in 0..table.len() {
        let cell = table.cell(row, column.at);
        let fits = number(cell, Comma::Thousands).filter(|v| v.fract() == 0.0 && (0.0..=4e9).contains(v));
        if fits.is_none() && is_said(cell) {
            strange.add(format!("\"{cell}\""), table.number(row));
        }
        whole.push(fits.map(|v| v as u32));
    }
    for (word, at) in strange.words() {
        let what = format!("{word} is not a count ({}).", rows(at));
        let remedy = "Write 0 if the plot was searched and nothing found; leave all counts blank if it was not.";
        let problem = Problem::error("I-208", what, remedy).row(at[0]).column(column.header.clone());
        job.note(problem.expected("a whole number, 0 or more"));
    }
    whole
}

/// Does a cell of [`searched`] hold something, be it a count or not?
pub(super) fn is_said(cell: &str) -> bool {
    !is_blank(cell) || cell.eq_ignore_ascii_case("none")
}

/// Shares. Percent when the header or a "%" says so, or when some values lie above 1 (then it is noted).
pub(super) fn shares(job: &mut Job<'_>, table: &Table, columns: &Columns, field: &Field) -> Vec<Option<Share>> {
    let values = maybe_numbers(job, table, columns, field);
    let Some(column) = columns.get(field.name) else { return vec![None; table.len()] };
    let highest = values.iter().flatten().copied().fold(0.0, f64::max);
    let marked = (0..table.len()).any(|r| table.cell(r, column.at).ends_with('%'));
    let percent = match column.unit {
        Some(unit) => unit == "%",
        None => marked || highest > 1.0,
    };
    if percent && column.unit.is_none() && !marked {
        let what = format!("The values go up to {highest}.");
        job.note(Problem::notice("I-209", what, "They were read as percent.").column(column.header.clone()));
    }
    let mut shares = Vec::with_capacity(values.len());
    for (row, value) in values.into_iter().enumerate() {
        let share = value.map(|v| if percent { v / 100.0 } else { v });
        let fits = share.and_then(Share::new);
        if let (Some(v), None) = (value, fits) {
            let what = format!("{v} is not a share.");
            let expected = if percent { "0 to 100 percent" } else { "0 to 1" };
            job.note(bad_cell("I-208", what, table, row, column).expected(expected));
        }
        shares.push(fits);
    }
    shares
}

/// What is made of a number in a unit.
type Make<T> = fn(f64, &str) -> Option<T>;

fn quantities<T>(
    job: &mut Job<'_>,
    table: &Table,
    columns: &Columns,
    field: &Field,
    lowest: f64,
    make: Make<T>,
) -> Vec<Option<T>> {
    let none = || (0..table.len()).map(|_| None).collect();
    let Some(column) = columns.get(field.name).cloned() else { return none() };
    let values = numbers(job, table, &column);
    let Some(unit) = need_unit(job, field, &column, &values) else { return none() };
    let mut made = Vec::with_capacity(values.len());
    for (row, value) in values.into_iter().enumerate() {
        let low = value.filter(|v| *v < lowest);
        if let Some(v) = low {
            let what = format!("{v} is too small for {}.", field.name);
            job.note(bad_cell("I-208", what, table, row, &column).expected(format!("{lowest} or more")));
        }
        made.push(value.filter(|v| *v >= lowest).and_then(|v| make(v, unit)));
    }
    made
}

/// Lengths that are not negative, in the unit the header or the user states.
pub(super) fn lengths(job: &mut Job<'_>, table: &Table, columns: &Columns, field: &Field) -> Vec<Option<Length>> {
    quantities(job, table, columns, field, 0.0, length)
}

/// Heights above sea level: lengths that may be a little below it.
pub(super) fn heights(job: &mut Job<'_>, table: &Table, columns: &Columns, field: &Field) -> Vec<Option<Length>> {
    quantities(job, table, columns, field, -1000.0, length)
}

/// Ground areas.
pub(super) fn grounds(job: &mut Job<'_>, table: &Table, columns: &Columns, field: &Field) -> Vec<Option<Area>> {
    quantities(job, table, columns, field, 0.0, area)
}

/// Egg-mass densities.
pub(super) fn densities(
    job: &mut Job<'_>,
    table: &Table,
    columns: &Columns,
    field: &Field,
) -> Vec<Option<MassesPerArea>> {
    quantities(job, table, columns, field, 0.0, |v, unit| match unit {
        "per acre" => Some(MassesPerArea::per_acre(v)),
        "per ha" => Some(MassesPerArea::per_hectare(v)),
        _ => None,
    })
}

/// A length by the unit names of the reports.
pub(super) fn length(value: f64, unit: &str) -> Option<Length> {
    match unit {
        "mm" => Some(Length::centimetres(value / 10.0)),
        "cm" => Some(Length::centimetres(value)),
        "m" => Some(Length::metres(value)),
        "in" => Some(Length::inches(value)),
        "ft" => Some(Length::feet(value)),
        _ => None,
    }
}

/// An area by the unit names of the reports.
pub(super) fn area(value: f64, unit: &str) -> Option<Area> {
    match unit {
        "m2" => Some(Area::square_metres(value)),
        "ha" => Some(Area::hectares(value)),
        "acres" => Some(Area::acres(value)),
        "ft2" => Some(Area::square_feet(value)),
        _ => None,
    }
}

/// The text of a field in a row; `None` when blank or without a column.
pub(super) fn text<'t>(table: &'t Table, columns: &Columns, field: &Field, row: usize) -> Option<&'t str> {
    columns.get(field.name).map(|c| table.cell(row, c.at)).filter(|c| !is_blank(c))
}

/// Yes and no in the ways people write them.
pub(super) fn yes(cell: &str) -> Option<bool> {
    match cell.to_lowercase().as_str() {
        "yes" | "y" | "true" | "t" | "1" | "x" => Some(true),
        "no" | "n" | "false" | "f" | "0" => Some(false),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn commas_are_read_by_the_whole_column() {
        let comma = |cells: &[&str], d| comma_use(cells.iter().copied(), d);
        assert_eq!(comma(&["1,5", "2,000"], ';'), Comma::Decimal);
        assert_eq!(comma(&["1,500", "2,000"], ';'), Comma::Open);
        assert_eq!(comma(&["1,500", "2,000"], ','), Comma::Thousands);
        assert_eq!(comma(&["1,234.5"], ';'), Comma::Thousands);
        assert_eq!(comma(&["0,125"], ';'), Comma::Decimal);
        assert_eq!(number("1.234,5", Comma::Decimal), Some(1234.5));
        assert_eq!(number("12.5", Comma::Decimal), Some(12.5));
        assert_eq!(number("1,234.5", Comma::Thousands), Some(1234.5));
        assert_eq!(number("$1,200", Comma::Thousands), Some(1200.0));
        assert_eq!(number("inf", Comma::Thousands), None);
    }
}
