//! Rows, cells and shapes: the one form every file is read into.
//!
//! Cells of a table lie one after another in a single string, so that a file of 200 MB needs about
//! twice its size in memory and not a small allocation for every cell.

use geo::Geometry;

use super::crs::Crs;

/// A shape as it was read, not yet checked.
#[derive(Clone, Debug, PartialEq)]
pub struct Shape {
    /// The geometry, in the file's own system.
    pub geometry: Geometry<f64>,
    /// Rings whose last point was not their first; they were closed on reading.
    pub unclosed: usize,
}

/// What a file says about its coordinate system.
#[derive(Clone, Debug, Default)]
pub enum Declared {
    /// Nothing, and the layout has no place for it (CSV).
    #[default]
    NoPlace,
    /// Nothing, although the layout has a place for it (no .prj).
    Missing,
    /// This one.
    Known(Crs),
    /// Something that could not be understood; the text says what.
    Unclear(String),
}

/// Rows with named columns and, for map layers, a shape each.
#[derive(Clone, Debug, Default)]
pub struct Table {
    /// Column headers as the file has them.
    pub columns: Vec<String>,
    /// Coordinate system the file declares.
    pub declared: Declared,
    /// The character between cells (a comma for layouts that have none).
    pub delimiter: char,
    /// Does the layout carry shapes?
    pub spatial: bool,
    text: String,
    ends: Vec<usize>,
    numbers: Vec<u64>,
    shapes: Vec<Option<Shape>>,
}

impl Table {
    /// An empty table.
    pub fn new(columns: Vec<String>, spatial: bool) -> Self {
        Self { columns, spatial, delimiter: ',', ..Self::default() }
    }

    /// Adds a row. `number` is what the user's program calls it: the line of a text file, the place of
    /// a feature in its layer. Missing cells are blank; cells beyond the columns are left out.
    pub fn push<'c>(&mut self, number: u64, cells: impl IntoIterator<Item = &'c str>, shape: Option<Shape>) {
        let mut filled = 0;
        for cell in cells.into_iter().take(self.columns.len()) {
            self.text.push_str(cell.trim());
            self.ends.push(self.text.len());
            filled += 1;
        }
        self.ends.extend(std::iter::repeat_n(self.text.len(), self.columns.len() - filled));
        self.numbers.push(number);
        if self.spatial {
            self.shapes.push(shape);
        }
    }

    /// How many rows.
    pub fn len(&self) -> usize {
        self.numbers.len()
    }

    /// No rows?
    pub fn is_empty(&self) -> bool {
        self.numbers.is_empty()
    }

    /// What the user's program calls this row.
    pub fn number(&self, row: usize) -> u64 {
        self.numbers[row]
    }

    /// A cell without surrounding blanks; empty when blank.
    pub fn cell(&self, row: usize, column: usize) -> &str {
        let at = row * self.columns.len() + column;
        let start = if at == 0 { 0 } else { self.ends[at - 1] };
        &self.text[start..self.ends[at]]
    }

    /// The shape of a row.
    pub fn shape(&self, row: usize) -> Option<&Shape> {
        self.shapes.get(row).and_then(Option::as_ref)
    }
}
