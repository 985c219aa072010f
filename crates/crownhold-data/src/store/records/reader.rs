//! Reads the cells of one row, noting every fault with its place.

use crownhold::types::{Area, Hours, Length, MassesPerArea, Money, Problem, Share};
use geo::{MultiLineString, MultiPolygon, Point};
use jiff::civil::{Date, Time};

use super::super::geometry;
use super::super::row::{Cell, Row, Table, shown};
use super::words::Choice;

/// Reads one row. Each reader gives the value, or notes a problem and gives a stand-in; rows with a problem
/// are never handed on, so a stand-in is never seen.
pub(super) struct Reader<'a> {
    table: &'a Table,
    key: &'a str,
    row: &'a Row,
    problems: &'a mut Vec<Problem>,
}

impl<'a> Reader<'a> {
    /// For a row with the key by which messages call it.
    pub(super) fn new(table: &'a Table, key: &'a str, row: &'a Row, problems: &'a mut Vec<Problem>) -> Self {
        Self { table, key, row, problems }
    }

    fn cell(&self, column: &str) -> &'a Cell {
        &self.row.cells[self.table.position(column)]
    }

    /// Notes a fault of this row.
    pub(super) fn fault(&mut self, code: &'static str, column: &str, what: String, expected: &str) {
        let remedy = match self.row.fid {
            Some(_) => "Correct it in the table, in the row with that fid.",
            None => "Correct it and try again; nothing was written.",
        };
        let problem = Problem::error(code, what, remedy)
            .column(column)
            .item(format!("{} {}", self.table.name, shown(self.key)).trim_end())
            .expected(expected);
        let fid = self.row.fid.and_then(|fid| u64::try_from(fid).ok());
        self.problems.push(match fid {
            Some(fid) => problem.row(fid),
            None => problem,
        });
    }

    fn missing(&mut self, column: &str, expected: &str) {
        self.fault("S-101", column, format!("{column} is empty."), expected);
    }

    fn wrong(&mut self, column: &str, expected: &str) {
        let what = format!("{column} is {}.", self.cell(column));
        self.fault("S-102", column, what, expected);
    }

    /// A text that may be missing; an empty one counts as missing.
    pub(super) fn text(&mut self, column: &str) -> Option<String> {
        match self.cell(column) {
            Cell::Null => None,
            Cell::Text(text) if text.trim().is_empty() => None,
            Cell::Text(text) => Some(text.clone()),
            Cell::Int(number) => Some(number.to_string()),
            Cell::Real(number) => Some(number.to_string()),
            Cell::Blob(_) => {
                self.wrong(column, "text");
                None
            }
        }
    }

    /// A text that must be there.
    pub(super) fn need_text(&mut self, column: &str) -> String {
        self.text(column).unwrap_or_else(|| {
            self.missing(column, "a name or number");
            String::new()
        })
    }

    /// A number within bounds (both included) that may be missing.
    pub(super) fn number(&mut self, column: &str, low: f64, high: f64, expected: &str) -> Option<f64> {
        let value = match self.cell(column) {
            Cell::Null => return None,
            Cell::Int(v) => *v as f64,
            Cell::Real(v) => *v,
            Cell::Text(text) if text.trim().is_empty() => return None,
            Cell::Text(_) | Cell::Blob(_) => f64::NAN,
        };
        if value.is_finite() && (low..=high).contains(&value) {
            return Some(value);
        }
        self.wrong(column, expected);
        None
    }

    /// A number within bounds that must be there.
    pub(super) fn need_number(&mut self, column: &str, low: f64, high: f64, expected: &str) -> f64 {
        if *self.cell(column) == Cell::Null {
            self.missing(column, expected);
        }
        self.number(column, low, high, expected).unwrap_or(low)
    }

    /// A whole number within bounds that may be missing.
    pub(super) fn whole<T: TryFrom<i64>>(&mut self, column: &str, expected: &str) -> Option<T> {
        let value = match self.cell(column) {
            Cell::Null => return None,
            Cell::Int(v) => Some(*v),
            Cell::Real(v) if v.fract() == 0.0 && v.abs() < 9e15 => Some(*v as i64),
            Cell::Real(_) | Cell::Text(_) | Cell::Blob(_) => None,
        };
        let value = value.and_then(|v| T::try_from(v).ok());
        if value.is_none() {
            self.wrong(column, expected);
        }
        value
    }

    /// A whole number that must be there.
    pub(super) fn need_whole<T: TryFrom<i64> + Default>(&mut self, column: &str, expected: &str) -> T {
        if *self.cell(column) == Cell::Null {
            self.missing(column, expected);
        }
        self.whole(column, expected).unwrap_or_default()
    }

    /// Yes or no (1 or 0); must be there.
    pub(super) fn flag(&mut self, column: &str) -> bool {
        match self.need_whole::<i64>(column, "1 for yes or 0 for no") {
            0 => false,
            1 => true,
            _ => {
                self.wrong(column, "1 for yes or 0 for no");
                false
            }
        }
    }

    /// A word of a fixed list that may be missing.
    pub(super) fn word<T: Choice>(&mut self, column: &str) -> Option<T> {
        let text = self.text(column)?;
        let found = T::from_word(&text);
        if found.is_none() {
            self.wrong(column, &one_of::<T>());
        }
        found
    }

    /// A word of a fixed list that must be there.
    pub(super) fn need_word<T: Choice>(&mut self, column: &str) -> T {
        let there = self.text(column).is_some();
        self.word(column).unwrap_or_else(|| {
            if !there {
                self.missing(column, &one_of::<T>());
            }
            T::ALL[0]
        })
    }

    /// A day that may be missing.
    pub(super) fn day(&mut self, column: &str) -> Option<Date> {
        let text = self.text(column)?;
        let day = text.trim().parse().ok();
        if day.is_none() {
            self.wrong(column, "a day written as YYYY-MM-DD");
        }
        day
    }

    /// A day that must be there.
    pub(super) fn need_day(&mut self, column: &str) -> Date {
        if self.text(column).is_none() {
            self.missing(column, "a day written as YYYY-MM-DD");
        }
        self.day(column).unwrap_or(Date::MIN)
    }

    /// A time of day that may be missing.
    pub(super) fn time(&mut self, column: &str) -> Option<Time> {
        let text = self.text(column)?;
        let time = Time::strptime("%H:%M", text.trim()).ok();
        if time.is_none() {
            self.wrong(column, "a time of day as 06:30");
        }
        time
    }

    /// A time of day that must be there.
    pub(super) fn need_time(&mut self, column: &str) -> Time {
        if self.text(column).is_none() {
            self.missing(column, "a time of day as 06:30");
        }
        self.time(column).unwrap_or(Time::midnight())
    }

    /// A share, 0 to 1.
    pub(super) fn share(&mut self, column: &str) -> Option<Share> {
        self.number(column, 0.0, 1.0, "a share between 0 and 1").and_then(Share::new)
    }

    /// A length in metres, not negative.
    pub(super) fn length(&mut self, column: &str) -> Option<Length> {
        self.number(column, 0.0, 1e7, "metres, not negative").map(Length::metres)
    }

    /// A height above sea level in metres. The bounds leave room around the lowest and highest land there is
    /// (about -430 and 8,849 m).
    pub(super) fn height(&mut self, column: &str) -> Option<Length> {
        self.number(column, -500.0, 9000.0, "metres above sea level, -500 to 9000").map(Length::metres)
    }

    /// An area in square metres, not negative.
    pub(super) fn area(&mut self, column: &str) -> Option<Area> {
        self.number(column, 0.0, f64::MAX, "square metres, not negative").map(Area::square_metres)
    }

    /// A density in masses per square metre, not negative.
    pub(super) fn density(&mut self, column: &str) -> Option<MassesPerArea> {
        self.number(column, 0.0, f64::MAX, "egg masses per square metre, not negative")
            .map(MassesPerArea::per_square_metre)
    }

    /// Money, not negative.
    pub(super) fn money(&mut self, column: &str) -> Option<Money> {
        self.number(column, 0.0, f64::MAX, "an amount of money, not negative").map(Money::dollars)
    }

    /// Hours, not negative; must be there.
    pub(super) fn need_hours(&mut self, column: &str) -> Hours {
        Hours::hours(self.need_number(column, 0.0, f64::MAX, "hours, not negative"))
    }

    /// An outline; must be there and not empty.
    pub(super) fn shape(&mut self) -> MultiPolygon<f64> {
        let expected = "a polygon or multipolygon of at least one closed ring";
        let read = self.geometry(expected, geometry::read_shape);
        if read.as_ref().is_some_and(|shape| shape.0.is_empty()) {
            self.missing("geom", expected);
        }
        read.unwrap_or_else(|| MultiPolygon(Vec::new()))
    }

    /// Lines that must be there.
    pub(super) fn lines(&mut self) -> MultiLineString<f64> {
        let expected = "a line or several of at least two points";
        let read = self.geometry(expected, geometry::read_lines);
        if read.as_ref().is_some_and(|lines| lines.0.is_empty()) {
            self.missing("geom", expected);
        }
        read.unwrap_or_else(|| MultiLineString(Vec::new()))
    }

    /// A point that may be missing.
    pub(super) fn point(&mut self) -> Option<Point<f64>> {
        if *self.cell("geom") == Cell::Null { None } else { self.geometry("a point", geometry::read_point) }
    }

    /// A point that must be there.
    pub(super) fn need_point(&mut self) -> Point<f64> {
        self.geometry("a point", geometry::read_point).unwrap_or_default()
    }

    fn geometry<T>(&mut self, expected: &str, read: impl Fn(&[u8]) -> Result<T, String>) -> Option<T> {
        let why = match self.cell("geom") {
            Cell::Blob(blob) => match read(blob) {
                Ok(value) => return Some(value),
                Err(why) => why,
            },
            Cell::Null => "is empty".to_owned(),
            other => format!("is {other}"),
        };
        self.fault("S-103", "geom", format!("the geometry {why}."), expected);
        None
    }
}

fn one_of<T: Choice>() -> String {
    let words: Vec<_> = T::ALL.iter().map(|c| c.word()).collect();
    format!("one of {}", words.join(", "))
}
