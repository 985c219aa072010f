//! Blocks for a city that has none: a grid laid over its boundary, water cut out.

use std::collections::{BTreeMap, BTreeSet};

use crownhold::types::{Area, Block, BlockId, Programme, Records, Share};
use geo::line_measures::LengthMeasurable as _;
use geo::{Area as _, BooleanOps as _, BoundingRect as _, Euclidean, LineString, MultiPolygon, Polygon, unary_union};

use super::job::Job;
use super::report::{Kind, Report};
use super::{Input, Wishes, blocks, places, reading};

/// The form of a cell.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CellShape {
    /// Squares along the axes of the programme's system.
    Square,
    /// Hexagons with a corner to the north.
    Hexagon,
}

/// What grid is wanted.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Grid {
    /// Area of a whole cell.
    pub cell: Area,
    /// Its form.
    pub shape: CellShape,
    /// Cells cut to less than this share of a whole one are joined to a neighbour.
    pub least: Share,
}

/// A cell by row from the south and column from the west.
type Cell = (i64, i64);

/// The outlines of a file as one shape in the programme's system: a boundary, or water.
///
/// The report holds the problems; the shape is `None` when there is an error.
pub fn outline(input: &Input, wishes: &Wishes, programme: &Programme) -> (Option<MultiPolygon<f64>>, Report) {
    let mut empty = Records::empty(programme.clone());
    let mut job = Job::new(Kind::Blocks, &input.name, wishes, &empty);
    let table = reading::read(&mut job, input);
    let outlines = table.and_then(|t| places::outlines(&mut job, &t, |r| format!("shape {}", r + 1)));
    let all: Vec<MultiPolygon<f64>> = outlines.into_iter().flatten().flatten().collect();
    let report = job.finish(&mut empty);
    let shape = (!report.has_errors() && !all.is_empty()).then(|| unary_union(&all));
    (shape, report)
}

/// Blocks from a boundary: cells of the grid, cut to the boundary and free of water.
///
/// The grid starts at the south-west corner of the boundary's box. Ids are row (from the north) and
/// column (from the west): "R03C07". A cell cut to less than `grid.least` of a whole one is joined to the
/// touching cell with which it shares most border, smallest first; a small piece that touches no other
/// (an island) stays a block. Canopy, hosts, use, owner and consent stay unknown.
/// The cost grows with the number of cells times the corners of the boundary.
///
/// # Panics
/// If the cell area is zero.
pub fn blocks_from_boundary(boundary: &MultiPolygon<f64>, water: &MultiPolygon<f64>, grid: Grid) -> Vec<Block> {
    let size = grid.cell.as_square_metres();
    assert!(size > 0.0, "a cell has an area");
    let land = if water.0.is_empty() { boundary.clone() } else { boundary.difference(water) };
    let mut pieces: BTreeMap<Cell, MultiPolygon<f64>> = BTreeMap::new();
    for (cell, outline) in cells(&land, size, grid.shape) {
        let piece = land.intersection(&outline);
        if piece.unsigned_area() > 1.0 {
            pieces.insert(cell, piece);
        }
    }
    join_small(&mut pieces, size * grid.least.value(), grid.shape);
    named(pieces)
}

/// Every cell that may touch the land. Corners are whole multiples of one step, so that neighbours meet
/// without gaps.
fn cells(land: &MultiPolygon<f64>, size: f64, shape: CellShape) -> Vec<(Cell, Polygon<f64>)> {
    let Some(frame) = land.bounding_rect() else { return Vec::new() };
    let (low, high) = (frame.min(), frame.max());
    let (step_x, step_y) = match shape {
        CellShape::Square => (size.sqrt(), size.sqrt()),
        CellShape::Hexagon => {
            let side = (size * 2.0 / (3.0 * 3f64.sqrt())).sqrt();
            (side * 3f64.sqrt() / 2.0, side / 2.0)
        }
    };
    let corner = |(k, m): (i64, i64)| (low.x + k as f64 * step_x, low.y + m as f64 * step_y);
    let (wide, tall) = ((high.x - low.x) / step_x, (high.y - low.y) / step_y);
    let (columns, rows) = match shape {
        CellShape::Square => (wide.ceil() as i64, tall.ceil() as i64),
        CellShape::Hexagon => ((wide / 2.0).ceil() as i64 + 1, (tall / 3.0).ceil() as i64 + 1),
    };
    let all = (0..rows).flat_map(|r| (0..columns).map(move |c| (r, c)));
    all.map(|cell| {
        let ring: Vec<(f64, f64)> = lattice(cell, shape).into_iter().map(corner).collect();
        (cell, Polygon::new(LineString::from(ring), Vec::new()))
    })
    .collect()
}

/// Corners of a cell on the lattice of steps, counter-clockwise.
fn lattice((row, column): Cell, shape: CellShape) -> Vec<(i64, i64)> {
    match shape {
        CellShape::Square => vec![(column, row), (column + 1, row), (column + 1, row + 1), (column, row + 1)],
        CellShape::Hexagon => {
            let (k, m) = (2 * column + row.rem_euclid(2), 3 * row);
            vec![(k, m - 2), (k + 1, m - 1), (k + 1, m + 1), (k, m + 2), (k - 1, m + 1), (k - 1, m - 1)]
        }
    }
}

fn neighbours((row, column): Cell, shape: CellShape) -> Vec<Cell> {
    match shape {
        CellShape::Square => vec![(row - 1, column), (row, column - 1), (row, column + 1), (row + 1, column)],
        CellShape::Hexagon => {
            let shift = row.rem_euclid(2) - 1;
            let beside = [(row, column - 1), (row, column + 1)];
            let above = [row - 1, row + 1].into_iter().flat_map(|r| [(r, column + shift), (r, column + shift + 1)]);
            beside.into_iter().chain(above).collect()
        }
    }
}

/// Joins pieces below the least area to a neighbour, smallest first.
fn join_small(pieces: &mut BTreeMap<Cell, MultiPolygon<f64>>, least: f64, shape: CellShape) {
    // Which cells a piece has swallowed, so that their neighbours count as its own.
    let mut owner: BTreeMap<Cell, Cell> = pieces.keys().map(|c| (*c, *c)).collect();
    let mut islands: BTreeSet<Cell> = BTreeSet::new();
    loop {
        let area = |p: &MultiPolygon<f64>| p.unsigned_area();
        let small = pieces.iter().filter(|(c, p)| area(p) < least && !islands.contains(c));
        let Some(cell) = small.min_by(|a, b| area(a.1).total_cmp(&area(b.1))).map(|(c, _)| *c) else { return };
        let members = owner.iter().filter(|(_, o)| **o == cell).map(|(c, _)| *c);
        let around: BTreeSet<Cell> = members
            .flat_map(|m| neighbours(m, shape))
            .filter_map(|n| owner.get(&n).copied())
            .filter(|o| *o != cell)
            .collect();
        let piece = pieces[&cell].clone();
        let touching = around.into_iter().map(|n| (n, shared_border(&piece, &pieces[&n])));
        let best = touching.filter(|(_, border)| *border > 0.01).max_by(|a, b| a.1.total_cmp(&b.1));
        let Some((into, _)) = best else {
            islands.insert(cell);
            continue;
        };
        let joined = pieces[&into].union(&piece);
        pieces.insert(into, joined);
        pieces.remove(&cell);
        owner.values_mut().filter(|o| **o == cell).for_each(|o| *o = into);
    }
}

/// Length of common border: what the outlines lose when the two are joined, halved.
fn shared_border(one: &MultiPolygon<f64>, other: &MultiPolygon<f64>) -> f64 {
    let around = |shape: &MultiPolygon<f64>| -> f64 {
        let rings = shape.0.iter().flat_map(|p| std::iter::once(p.exterior()).chain(p.interiors()));
        rings.map(|r| r.length(&Euclidean)).sum()
    };
    (around(one) + around(other) - around(&one.union(other))) / 2.0
}

fn named(pieces: BTreeMap<Cell, MultiPolygon<f64>>) -> Vec<Block> {
    let top = pieces.keys().map(|c| c.0).max().unwrap_or(0);
    let west = pieces.keys().map(|c| c.1).min().unwrap_or(0);
    let digits = |n: i64| n.to_string().len().max(2);
    let bottom = pieces.keys().map(|c| c.0).min().unwrap_or(0);
    let east = pieces.keys().map(|c| c.1).max().unwrap_or(0);
    let (wr, wc) = (digits(top - bottom + 1), digits(east - west + 1));
    let id = |(row, column): Cell| BlockId::new(format!("R{:0wr$}C{:0wc$}", top - row + 1, column - west + 1));
    let mut blocks: Vec<Block> = pieces.into_iter().map(|(cell, shape)| blocks::bare(id(cell), shape)).collect();
    blocks.sort_by(|a, b| a.id.cmp(&b.id));
    blocks
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use geo::{Rect, coord};

    fn rectangle(x: f64, y: f64, w: f64, h: f64) -> MultiPolygon<f64> {
        MultiPolygon(vec![Rect::new(coord! { x: x, y: y }, coord! { x: x + w, y: y + h }).to_polygon()])
    }

    fn grid(shape: CellShape, least: f64) -> Grid {
        Grid { cell: Area::square_metres(10_000.0), shape, least: Share::new(least).unwrap() }
    }

    /// By hand: 250 x 200 m in cells of 100 m is 2 rows of 2 whole cells and a half; halves stay at 25 %.
    #[test]
    fn squares_by_hand() {
        let none = MultiPolygon(Vec::new());
        let made = blocks_from_boundary(&rectangle(0.0, 0.0, 250.0, 200.0), &none, grid(CellShape::Square, 0.25));
        let ids: Vec<_> = made.iter().map(|b| b.id.to_string()).collect();
        assert_eq!(ids, ["R01C01", "R01C02", "R01C03", "R02C01", "R02C02", "R02C03"]);
        // 210 m wide: the last column is 10 m, a tenth of a cell, and goes to its neighbour.
        let made = blocks_from_boundary(&rectangle(0.0, 0.0, 210.0, 200.0), &none, grid(CellShape::Square, 0.25));
        assert_eq!(made.len(), 4);
        let areas: Vec<f64> = made.iter().map(|b| b.area().as_square_metres().round()).collect();
        assert_eq!(areas, [10_000.0, 11_000.0, 10_000.0, 11_000.0]);
    }

    /// Nothing of the land is lost or counted twice, whatever the form: areas add up to boundary minus water.
    #[test]
    fn cells_cover_the_land_once() {
        let (boundary, water) = (rectangle(13.0, 7.0, 977.0, 733.0), rectangle(300.0, -50.0, 90.0, 600.0));
        let land = boundary.difference(&water).unsigned_area();
        for shape in [CellShape::Square, CellShape::Hexagon] {
            let made = blocks_from_boundary(&boundary, &water, grid(shape, 0.3));
            let sum: f64 = made.iter().map(|b| b.area().as_square_metres()).sum();
            assert!((sum - land).abs() < 1.0, "{shape:?}: {sum} of {land}");
            assert!(made.iter().all(|b| b.area().as_square_metres() >= 3_000.0), "{shape:?}");
        }
    }
}
