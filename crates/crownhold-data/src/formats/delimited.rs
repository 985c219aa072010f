//! Comma, semicolon and tab separated text to a table.

use crownhold::types::Problem;

use super::job::Job;
use super::table::Table;
use super::text;

const DELIMITERS: [char; 4] = [',', ';', '\t', '|'];
/// How many lines are looked at to find the delimiter.
const SNIFFED: usize = 30;

/// Reads a text table; `None` after an error was noted.
pub(super) fn read(job: &mut Job<'_>, bytes: &[u8]) -> Option<Table> {
    let text = match text::decode(bytes) {
        Ok((text, note)) => {
            if let Some(note) = note {
                job.note(note);
            }
            text
        }
        Err(problem) => {
            job.note(*problem);
            return None;
        }
    };
    let (body, told) = told_delimiter(&text);
    let delimiter = told.unwrap_or_else(|| sniff(body));
    if delimiter != ',' {
        let name = if delimiter == '\t' { "tabs".to_owned() } else { format!("\"{delimiter}\"") };
        job.note(Problem::notice("I-113", format!("The cells are separated by {name}."), "They were read so."));
    }
    rows(job, body, delimiter, u64::from(told.is_some()))
}

/// Spreadsheets may write "sep=;" as a first line.
fn told_delimiter(text: &str) -> (&str, Option<char>) {
    let (first, rest) = text.split_once('\n').unwrap_or((text, ""));
    match first.trim_end().strip_prefix("sep=").map(|s| s.chars().collect::<Vec<_>>()) {
        Some(chars) if chars.len() == 1 => (rest, Some(chars[0])),
        _ => (text, None),
    }
}

/// The delimiter that splits most of the first lines into as many cells as the header line.
fn sniff(text: &str) -> char {
    let lines: Vec<&str> = text.lines().filter(|l| !l.trim().is_empty()).take(SNIFFED).collect();
    let score = |delimiter: char| {
        let cells = |line: &str| outside_quotes(line, delimiter);
        let header = lines.first().map_or(0, |l| cells(l));
        let alike = lines.iter().filter(|l| cells(l) == header).count();
        if header == 0 { (0, 0) } else { (alike, header) }
    };
    // The first of equals wins, so a comma is taken when nothing speaks for another.
    let mut best = (',', score(','));
    for delimiter in DELIMITERS {
        let found = score(delimiter);
        if found > best.1 {
            best = (delimiter, found);
        }
    }
    best.0
}

fn outside_quotes(line: &str, delimiter: char) -> usize {
    let mut quoted = false;
    line.chars()
        .filter(|c| {
            quoted ^= *c == '"';
            !quoted && *c == delimiter
        })
        .count()
}

fn rows(job: &mut Job<'_>, body: &str, delimiter: char, skipped: u64) -> Option<Table> {
    let mut reader = csv::ReaderBuilder::new()
        .delimiter(delimiter as u8)
        .flexible(true)
        .has_headers(false)
        .from_reader(body.as_bytes());
    let mut record = csv::StringRecord::new();
    let mut table: Option<Table> = None;
    let (mut blank, mut short) = (0, 0);
    while reader.read_record(&mut record).is_ok_and(|more| more) {
        let line = skipped + record.position().map_or(0, csv::Position::line);
        if record.iter().all(|c| c.trim().is_empty()) {
            blank += 1;
            continue;
        }
        let Some(table) = table.as_mut() else {
            let headless = headless(&record);
            let names = if headless { numbered(&record) } else { header(job, &record) };
            let mut new = Table::new(names, false);
            new.delimiter = delimiter;
            if headless {
                new.push(line, record.iter(), None);
            }
            table = Some(new);
            continue;
        };
        let width = table.columns.len();
        if record.iter().skip(width).any(|c| !c.trim().is_empty()) {
            job.note(
                Problem::error(
                    "I-114",
                    format!("The row has {} cells, the header {width}.", record.len()),
                    "Put cells that hold the separator into quotes, or give the extra column a name.",
                )
                .row(line)
                .expected(format!("{width} cells")),
            );
        }
        short += usize::from(record.len() < width);
        table.push(line, record.iter(), None);
    }
    told_counts(job, blank, short);
    let table = table.filter(|t| !t.is_empty());
    if table.is_none() {
        job.note(Problem::error("I-103", "The file has a header line but no rows.", "Export it again with its rows."));
    }
    table
}

fn told_counts(job: &mut Job<'_>, blank: usize, short: usize) {
    if blank > 0 {
        job.note(Problem::notice(
            "I-115",
            format!("Rows with nothing but separators: {blank}."),
            "They were left out.",
        ));
    }
    if short > 0 {
        let what = format!("Rows with fewer cells than the header: {short}.");
        job.note(Problem::notice("I-116", what, "The missing cells were taken as blank."));
    }
}

/// Column names, without the unnamed ones that spreadsheets add at the end.
fn header(job: &mut Job<'_>, record: &csv::StringRecord) -> Vec<String> {
    let mut names: Vec<String> = record.iter().map(|c| c.trim().to_owned()).collect();
    let named = names.iter().rposition(|n| !n.is_empty()).map_or(0, |i| i + 1);
    if named < names.len() {
        let what = format!("Columns at the end of the header line without a name: {}.", names.len() - named);
        job.note(Problem::notice("I-117", what, "They were left out; anything written in them is an error."));
        names.truncate(named);
    }
    names
}

/// Names for a file without a header line.
fn numbered(record: &csv::StringRecord) -> Vec<String> {
    (1..=record.len()).map(|i| format!("column {i}")).collect()
}

/// The public by-element weather layout comes without a header line.
/// Station, day, element, value: "USC00200230,20240101,TMAX,17".
fn headless(record: &csv::StringRecord) -> bool {
    let all = |cell: Option<&str>, n: usize, f: fn(&u8) -> bool| {
        cell.is_some_and(|c| c.len() == n && c.bytes().all(|b| f(&b)))
    };
    all(record.get(0), 11, u8::is_ascii_alphanumeric)
        && all(record.get(1), 8, u8::is_ascii_digit)
        && all(record.get(2), 4, u8::is_ascii_alphanumeric)
}
