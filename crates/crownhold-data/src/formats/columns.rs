//! Which column is meant, and in which unit: headers of all sorts to fields.

use crownhold::types::Problem;

use super::job::Job;
use super::report::UsedColumn;
use super::table::Table;

/// What a field measures, and so which units its header may state.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Measure {
    /// A word, a number without unit, a date.
    Plain,
    /// A share of something, 0 to 1 or percent.
    Share,
    /// A length.
    Length,
    /// A ground area.
    Area,
    /// A temperature.
    Temperature,
    /// Rain.
    Rain,
    /// Snow on the ground.
    Snow,
    /// Wind.
    Speed,
    /// Egg masses per ground area.
    Density,
}

/// Units of a measure: the name used in reports, then the ways headers write it.
type Units = &'static [(&'static str, &'static [&'static str])];

impl Measure {
    fn units(self) -> Units {
        match self {
            Self::Plain => &[],
            Self::Share => &[
                ("%", &["pct", "percent", "perc", "pc"]),
                ("share", &["share", "fraction", "frac", "prop", "proportion"]),
            ],
            Self::Length => &[
                ("mm", &["mm", "millimetres", "millimeters"]),
                ("cm", &["cm", "centimetres", "centimeters"]),
                ("m", &["m", "metre", "metres", "meter", "meters"]),
                ("in", &["in", "inch", "inches"]),
                ("ft", &["ft", "foot", "feet", "usft"]),
            ],
            Self::Area => &[
                ("m2", &["m2", "sqm", "squaremetres", "squaremeters"]),
                ("ha", &["ha", "hectare", "hectares"]),
                ("acres", &["ac", "acre", "acres"]),
                ("ft2", &["ft2", "sqft", "sf", "squarefeet"]),
            ],
            Self::Temperature => &[
                ("C", &["c", "degc", "celsius", "degreesc", "degcelsius"]),
                ("F", &["f", "degf", "fahrenheit", "degreesf", "degfahrenheit"]),
                ("tenths of C", &["tenthsofc", "tenthsc", "tenthc", "dc", "01c"]),
            ],
            Self::Rain => &[
                ("mm", &["mm", "millimetres", "millimeters"]),
                ("in", &["in", "inch", "inches"]),
                ("tenths of mm", &["tenthsofmm", "tenthsmm", "01mm"]),
            ],
            Self::Snow => &[
                ("mm", &["mm", "millimetres", "millimeters"]),
                ("cm", &["cm", "centimetres", "centimeters"]),
                ("in", &["in", "inch", "inches"]),
            ],
            Self::Speed => &[
                ("m/s", &["ms", "mps", "metrespersecond", "meterspersecond", "msec"]),
                ("mph", &["mph", "mih", "milesperhour"]),
                ("km/h", &["kmh", "kph", "kmph", "kilometresperhour", "kilometersperhour"]),
                ("knots", &["knots", "knot", "kn", "kt", "kts"]),
            ],
            Self::Density => &[
                ("per acre", &["peracre", "perac", "emacre", "ac", "acre", "acres"]),
                ("per ha", &["perha", "perhectare", "ha", "hectare"]),
            ],
        }
    }

    fn unit(self, written: &str) -> Option<&'static str> {
        let written = joined(&words(written));
        self.units()
            .iter()
            .find(|(name, ways)| joined(&words(name)) == written || ways.contains(&written.as_str()))
            .map(|u| u.0)
    }

    fn unit_list(self) -> String {
        self.units().iter().map(|u| u.0).collect::<Vec<_>>().join(", ")
    }
}

/// A field: something a record needs, and how columns for it are called.
pub(super) struct Field {
    /// Name for `--map` and `--unit`.
    pub name: &'static str,
    /// What it measures.
    pub measure: Measure,
    /// Headers it goes by, in small letters without blanks or marks.
    pub ways: &'static [&'static str],
}

/// A field of a kind, for pages that say what is looked for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Heading {
    /// Its name, as in a wish field = column.
    pub field: &'static str,
    /// Headers it goes by, in small letters without blanks or marks; those that say most first.
    pub ways: &'static [&'static str],
    /// Units it can be in; empty for words, dates and plain numbers.
    pub units: Vec<&'static str>,
}

impl From<&Field> for Heading {
    fn from(field: &Field) -> Self {
        let units = field.measure.units().iter().map(|u| u.0).collect();
        Self { field: field.name, ways: field.ways, units }
    }
}

/// A column found for a field.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Column {
    /// Position in the table.
    pub at: usize,
    /// Header as written.
    pub header: String,
    /// Unit stated by the header or the user.
    pub unit: Option<&'static str>,
}

/// The words of a header in small letters: split at blanks, marks and inner capitals; "%" reads "pct".
fn words(header: &str) -> Vec<String> {
    let mut words: Vec<String> = Vec::new();
    let mut word = String::new();
    let mut before = ' ';
    for c in header.replace('\u{b2}', "2").chars() {
        let breaks = !c.is_alphanumeric() || (c.is_uppercase() && before.is_lowercase());
        if breaks && !word.is_empty() {
            words.push(std::mem::take(&mut word));
        }
        match c {
            '%' => words.push("pct".to_owned()),
            c if c.is_alphanumeric() => word.extend(c.to_lowercase()),
            _ => {}
        }
        before = c;
    }
    if !word.is_empty() {
        words.push(word);
    }
    words
}

fn joined(words: &[String]) -> String {
    words.concat()
}

/// Does a header name the field, how far down its list of names, and with which unit?
fn meets(field: &Field, header: &str) -> Option<(usize, Option<&'static str>)> {
    let words = words(header);
    let whole = joined(&words);
    let rank = |name: &str| field.ways.iter().position(|w| *w == name);
    if let Some(rank) = rank(&whole) {
        return Some((rank, None));
    }
    // The last one to four words may be the unit: "dbh_in", "Plot radius (ft)", "tmax tenths of C".
    (1..=4.min(words.len().saturating_sub(1))).find_map(|n| {
        let (front, back) = words.split_at(words.len() - n);
        let unit = field.measure.unit(&joined(back))?;
        rank(&joined(front)).map(|rank| (rank, Some(unit)))
    })
}

/// All fields of a kind matched with the columns of a table.
pub(super) struct Columns {
    found: Vec<(&'static str, Column)>,
}

impl Columns {
    /// Finds the columns; wishes go first. Notes wishes that name nothing, and the columns left over.
    pub fn find(job: &mut Job<'_>, table: &Table, fields: &'static [Field]) -> Self {
        let mut found: Vec<(&'static str, Column)> = Vec::new();
        for (name, header) in &job.wishes.map.clone() {
            if let Some(hit) = wished(job, table, fields, name, header) {
                found.push(hit);
            }
        }
        for field in fields {
            if found.iter().any(|(n, _)| *n == field.name) {
                continue;
            }
            let free = |at: usize| found.iter().all(|(_, c)| c.at != at);
            let hits = table.columns.iter().enumerate().filter(|(at, _)| free(*at)).filter_map(|(at, header)| {
                let (rank, unit) = meets(field, header)?;
                Some((rank, Column { at, header: header.clone(), unit }))
            });
            // Names that say most stand first in a field's list: "tree_id" goes before "fid".
            let hit = hits.min_by_key(|(rank, _)| *rank).map(|(_, column)| column);
            if let Some(column) = hit {
                found.push((field.name, column));
            }
        }
        apply_units(job, fields, &mut found);
        let used = |at: usize| found.iter().any(|(_, c)| c.at == at);
        job.report.unused =
            table.columns.iter().enumerate().filter(|(at, _)| !used(*at)).map(|(_, c)| c.clone()).collect();
        job.report.columns =
            found.iter().map(|(field, c)| UsedColumn { field, column: c.header.clone(), unit: c.unit }).collect();
        Self { found }
    }

    /// The column of a field.
    pub fn get(&self, field: &str) -> Option<&Column> {
        self.found.iter().find(|(n, _)| *n == field).map(|(_, c)| c)
    }

    /// These fields alone.
    pub fn only(&self, fields: &[&str]) -> Self {
        Self { found: self.found.iter().filter(|(name, _)| fields.contains(name)).cloned().collect() }
    }

    /// The column of a field that must be there; its absence is noted with what was seen.
    pub fn need(&self, job: &mut Job<'_>, table: &Table, field: &Field) -> Option<&Column> {
        let found = self.get(field.name);
        if found.is_none() {
            let seen = table.columns.join(", ");
            let what = format!("No column was found for the field \"{}\". The file has: {seen}.", field.name);
            let ways = field.ways.iter().take(6).copied().collect::<Vec<_>>().join(", ");
            job.note(
                Problem::error("I-201", what, format!("Name it with --map {}=COLUMN.", field.name))
                    .expected(format!("a column called, for example, {ways}")),
            );
        }
        found
    }
}

fn wished(
    job: &mut Job<'_>,
    table: &Table,
    fields: &'static [Field],
    name: &str,
    header: &str,
) -> Option<(&'static str, Column)> {
    let Some(field) = fields.iter().find(|f| f.name == name) else {
        let known = fields.iter().map(|f| f.name).collect::<Vec<_>>().join(", ");
        let what = format!("--map names the field \"{name}\", which {} do not have.", job.kind.word());
        job.note(Problem::error("I-202", what, "Use one of the fields.").expected(format!("one of: {known}")));
        return None;
    };
    let at = table
        .columns
        .iter()
        .position(|c| c == header)
        .or_else(|| table.columns.iter().position(|c| joined(&words(c)) == joined(&words(header))));
    let Some(at) = at else {
        let what = format!("--map names the column \"{header}\", which the file does not have.");
        let seen = table.columns.join(", ");
        job.note(Problem::error("I-203", what, "Use one of its columns.").expected(format!("one of: {seen}")));
        return None;
    };
    let words = words(&table.columns[at]);
    let unit = (1..=3.min(words.len())).rev().find_map(|n| field.measure.unit(&joined(&words[words.len() - n..])));
    Some((field.name, Column { at, header: table.columns[at].clone(), unit }))
}

fn apply_units(job: &mut Job<'_>, fields: &'static [Field], found: &mut [(&'static str, Column)]) {
    for (name, written) in &job.wishes.units.clone() {
        let Some(field) = fields.iter().find(|f| f.name == name && f.measure != Measure::Plain) else {
            let known =
                fields.iter().filter(|f| f.measure != Measure::Plain).map(|f| f.name).collect::<Vec<_>>().join(", ");
            let what = format!("--unit names the field \"{name}\", which has no unit here.");
            job.note(Problem::error("I-202", what, "Use one of the fields.").expected(format!("one of: {known}")));
            continue;
        };
        let Some(unit) = field.measure.unit(written) else {
            let what = format!("\"{written}\" is not a unit for {name}.");
            job.note(
                Problem::error("I-204", what, "Use one of the units.")
                    .expected(format!("one of: {}", field.measure.unit_list())),
            );
            continue;
        };
        if let Some((_, column)) = found.iter_mut().find(|(n, _)| n == name) {
            column.unit = Some(unit);
        }
    }
}

/// The unit of a column that cannot be read without one; its absence is noted with the values seen.
pub(super) fn need_unit(
    job: &mut Job<'_>,
    field: &Field,
    column: &Column,
    values: &[Option<f64>],
) -> Option<&'static str> {
    if column.unit.is_none() && values.iter().any(Option::is_some) {
        let known = values.iter().flatten().copied();
        let (low, high) = known.fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), v| (l.min(v), h.max(v)));
        let what = format!("The unit of {} is not stated (values {low} to {high}).", field.name);
        job.note(
            Problem::error("I-205", what, format!("Say it with --unit {}=UNIT, or in the header.", field.name))
                .column(column.header.clone())
                .expected(format!("one of: {}", field.measure.unit_list())),
        );
    }
    column.unit
}

#[cfg(test)]
mod tests {
    use super::*;

    const DBH: Field = Field { name: "dbh", measure: Measure::Length, ways: &["dbh", "diameter"] };

    #[test]
    fn headers_of_all_sorts() {
        let meets = |h| meets(&DBH, h).map(|(_, unit)| unit);
        assert_eq!(meets("DBH"), Some(None));
        assert_eq!(meets("dbh_in"), Some(Some("in")));
        assert_eq!(meets("Diameter (cm)"), Some(Some("cm")));
        assert_eq!(meets("dbhInches"), Some(Some("in")));
        assert_eq!(meets("height_ft"), None);
        assert_eq!(Measure::Share.unit("%"), Some("%"));
        assert_eq!(Measure::Area.unit("m\u{b2}"), Some("m2"));
        assert_eq!(Measure::Temperature.unit("\u{b0}F"), Some("F"));
        assert_eq!(Measure::Temperature.unit("tenths of C"), Some("tenths of C"));
    }
}
