//! Words of a fixed list, as people write them: read surely, read by their likely meaning (and told), or
//! refused; each told once for a column, however often it stands there.

use std::collections::BTreeMap;

use crownhold::types::Problem;

use super::cells::is_blank;
use super::columns::{Column, Columns, Field};
use super::job::Job;
use super::table::Table;

/// A word that was understood.
pub(super) enum Word<T> {
    /// It can mean only this.
    Sure(T),
    /// It most likely means this; the text is what it was read as.
    Likely(T, String),
}

/// How many words, and rows of a word, are listed in one message.
const LISTED: usize = 8;

/// Words of a list of choices; `None` when blank, an error noted when not on the list.
pub(super) fn choices<T>(
    job: &mut Job<'_>,
    table: &Table,
    columns: &Columns,
    field: &Field,
    read: impl Fn(&str) -> Option<T>,
    list: &[&str],
) -> Vec<Option<T>> {
    readings(job, table, columns, field, |word| read(word).map(Word::Sure), list)
}

/// As [`choices`], for words of which some are read by their likely meaning.
pub(super) fn readings<T>(
    job: &mut Job<'_>,
    table: &Table,
    columns: &Columns,
    field: &Field,
    read: impl Fn(&str) -> Option<Word<T>>,
    list: &[&str],
) -> Vec<Option<T>> {
    let Some(column) = columns.get(field.name) else { return (0..table.len()).map(|_| None).collect() };
    let mut made = Vec::with_capacity(table.len());
    let (mut unknown, mut likely) = (Found::default(), Found::default());
    for row in 0..table.len() {
        let cell = table.cell(row, column.at);
        let word = if is_blank(cell) { None } else { read(cell) };
        made.push(match word {
            Some(Word::Sure(value)) => Some(value),
            Some(Word::Likely(value, meaning)) => {
                likely.add(format!("\"{cell}\" as {meaning}"), table.number(row));
                Some(value)
            }
            None => {
                if !is_blank(cell) {
                    unknown.add(format!("\"{cell}\""), table.number(row));
                }
                None
            }
        });
    }
    note_unknown(job, field, column, &unknown, list);
    note_likely(job, column, &likely);
    made
}

fn note_unknown(job: &mut Job<'_>, field: &Field, column: &Column, unknown: &Found, list: &[&str]) {
    let Some(first) = unknown.first() else { return };
    let what = format!("Not a known word for {}: {}.", field.name, unknown.listed());
    let problem = Problem::error("I-211", what, "Correct the cells.").row(first).column(column.header.clone());
    job.note(problem.expected(format!("one of: {}", list.join(", "))));
}

fn note_likely(job: &mut Job<'_>, column: &Column, likely: &Found) {
    let Some(first) = likely.first() else { return };
    let what = format!("Words read by their likely meaning: {}.", likely.listed());
    let remedy = "Correct them if they mean something else.";
    job.note(Problem::repaired("I-216", what, remedy).row(first).column(column.header.clone()));
}

/// Words, with the rows they stand in.
#[derive(Default)]
pub(super) struct Found(BTreeMap<String, Vec<u64>>);

impl Found {
    /// One more row with the word.
    pub fn add(&mut self, word: String, row: u64) {
        self.0.entry(word).or_default().push(row);
    }

    /// The first row of all.
    pub fn first(&self) -> Option<u64> {
        self.0.values().flatten().min().copied()
    }

    /// Each word with its rows.
    pub fn words(&self) -> impl Iterator<Item = (&String, &Vec<u64>)> {
        self.0.iter()
    }

    /// "maybe" (3 rows: 2, 5, 9), "asked" (row 4).
    pub fn listed(&self) -> String {
        let words: Vec<String> =
            self.0.iter().take(LISTED).map(|(word, at)| format!("{word} ({})", rows(at))).collect();
        let more = self.0.len().saturating_sub(LISTED);
        let tail = if more > 0 { format!(" and {more} more words") } else { String::new() };
        words.join(", ") + &tail
    }
}

/// "row 4", "3 rows: 2, 5, 9", "20 rows, first: 2, 3 ...".
pub(super) fn rows(at: &[u64]) -> String {
    let listed = at.iter().take(LISTED).map(u64::to_string).collect::<Vec<_>>().join(", ");
    match at.len() {
        1 => format!("row {listed}"),
        n if n <= LISTED => format!("{n} rows: {listed}"),
        n => format!("{n} rows, first: {listed}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rows_are_listed_shortly() {
        assert_eq!(rows(&[4]), "row 4");
        assert_eq!(rows(&[2, 5]), "2 rows: 2, 5");
        assert_eq!(rows(&(2..22).collect::<Vec<_>>()), "20 rows, first: 2, 3, 4, 5, 6, 7, 8, 9");
    }
}
