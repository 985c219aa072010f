//! Survey plots by hand.

use std::path::Path;

use crownhold::types::{Area, BlockId, Length, Plot, PlotId, PlotMethod, Problem, Records};
use crownhold_data::formats::{PLOT_AREAS, block_at, place_from_lon_lat, plot_in_words};
use geo::Point;

use super::{By, Done, act, block_named, ids};
use crate::trouble::Trouble;

/// A plot as it is written down.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct PlotWords {
    /// Its number; blank takes the next free one.
    pub id: String,
    /// Block; blank takes the one the place lies in.
    pub block: String,
    /// How it is counted: "fixed radius", "square", "whole lot", "prism", "timed walk", "burlap", "trap".
    pub method: String,
    /// Radius of a circle with its unit, such as "18.6 ft".
    pub radius: String,
    /// Side of a square with its unit.
    pub side: String,
    /// Counted area with its unit, such as "1/40 acre".
    pub area: String,
    /// Basal area factor of a prism, square feet per acre.
    pub factor: String,
    /// Where it lies.
    pub place: Option<Place>,
}

/// Where a plot lies.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Place {
    /// Longitude and latitude, degrees.
    LonLat(f64, f64),
    /// Easting and northing in the programme's system, metres.
    Projected(f64, f64),
}

/// Adds a plot.
///
/// # Errors
/// Every fault at once: number, block, place, method or size.
pub fn add_plot(path: &Path, words: &PlotWords, by: By<'_>) -> Result<Done, Trouble> {
    act(path, by, |records| {
        let (plot, notices) = read(records, words)?;
        let size = plot.area.map_or(String::new(), |a| format!(", {:.1} m2", a.as_square_metres()));
        let what = format!("plot {} added to block {}: {}{size}", plot.id, plot.block, plot.method.word());
        let done = Done::new(what, plot.id.as_str()).with(notices);
        records.plots.push(plot);
        records.plots.sort_by(|a, b| a.id.cmp(&b.id));
        Ok(done)
    })
}

/// Takes a plot out that was never visited.
///
/// # Errors
/// When there is no such plot, or it has visits.
pub fn delete_plot(path: &Path, id: &str, by: By<'_>) -> Result<Done, Trouble> {
    act(path, by, |records| {
        let id = PlotId::new(id);
        let Some(at) = records.plots.iter().position(|p| p.id == id) else {
            let problem =
                Problem::error("A-100", format!("There is no plot \"{id}\"."), "Name a plot of the programme.");
            return Err(Trouble::one(problem));
        };
        let visits = records.visits.iter().filter(|v| v.plot == id).count();
        if visits > 0 {
            let what = format!("Plot {id} has visits: {visits}.");
            return Err(Trouble::one(Problem::error(
                "A-114",
                what,
                "Delete its visits first, if they were a mistake.",
            )));
        }
        let plot = records.plots.remove(at);
        Ok(Done::new(format!("plot {id} deleted (block {})", plot.block), id.as_str()))
    })
}

fn read(records: &Records, words: &PlotWords) -> Result<(Plot, Vec<Problem>), Trouble> {
    let mut problems = Vec::new();
    let id = number(records, &words.id, &mut problems);
    let place = words.place.and_then(|p| place(records, p).map_err(|p| problems.extend(p)).ok());
    let block = block(records, &words.block, place, &mut problems);
    let counted = method(words).map_err(|p| problems.extend(p)).ok();
    match (block, counted, problems.iter().any(Problem::is_error)) {
        (Some(block), Some((method, area)), false) => Ok((Plot { id, block, place, method, area }, problems)),
        _ => Err(problems.into()),
    }
}

fn number(records: &Records, text: &str, problems: &mut Vec<Problem>) -> PlotId {
    if text.trim().is_empty() {
        return PlotId::new(ids::next(records.plots.iter().map(|p| p.id.as_str()), "P001"));
    }
    let id = PlotId::new(text);
    if records.plots.iter().any(|p| p.id.as_str().eq_ignore_ascii_case(id.as_str())) {
        let what = format!("There is a plot \"{id}\" already.");
        problems.push(Problem::error("A-110", what, "Give it another number, or leave it blank.").column("id"));
    }
    id
}

fn place(records: &Records, place: Place) -> Result<Point<f64>, Vec<Problem>> {
    match place {
        Place::LonLat(lon, lat) => place_from_lon_lat(lon, lat, records.programme.epsg),
        Place::Projected(x, y) if x.is_finite() && y.is_finite() => Ok(Point::new(x, y)),
        Place::Projected(x, y) => {
            Err(vec![Problem::error("A-111", format!("{x}, {y} is not a place."), "Give metres.")])
        }
    }
}

fn block(records: &Records, named: &str, place: Option<Point<f64>>, problems: &mut Vec<Problem>) -> Option<BlockId> {
    let lies_in = place.and_then(|p| block_at(&records.blocks, p));
    if named.trim().is_empty() {
        if lies_in.is_none() {
            let what = "The plot names no block and lies in none.";
            problems.push(Problem::error("A-111", what, "Name its block, or put it inside one.").column("block"));
        }
        return lies_in;
    }
    let named = match block_named(records, named) {
        Ok(id) => id,
        Err(trouble) => {
            problems.extend(trouble.problems);
            return None;
        }
    };
    if place.is_some() && lies_in.as_ref() != Some(&named) {
        let there = lies_in.map_or("in no block".to_owned(), |b| format!("in block {b}"));
        let what = format!("The plot names block {named} but lies {there}.");
        problems.push(Problem::notice("A-112", what, "The named block was taken; check the place."));
    }
    Some(named)
}

/// Not a method or size.
fn wrong<T>(what: String, column: &str, expected: &str) -> Result<T, Vec<Problem>> {
    Err(vec![Problem::error("A-113", what, "Correct it.").column(column).expected(expected)])
}

/// Method and counted area, from whichever of them are given.
fn method(words: &PlotWords) -> Result<(PlotMethod, Option<Area>), Vec<Problem>> {
    let named = named_method(words)?;
    let sized = size(words, named.map(|(method, _)| method))?;
    let method = named.or(sized).map_or(PlotMethod::FixedRadius, |(method, _)| method);
    let area = sized.or(named).and_then(|(_, area)| area);
    match area.map(Area::as_square_metres) {
        None if method.is_area_count() => {
            wrong(format!("A plot counted as {} needs its size.", method.word()), "area", "a number and its unit")
        }
        Some(a) if !(PLOT_AREAS.0..=PLOT_AREAS.1).contains(&a) => {
            wrong(format!("A plot of {a:.2} square metres."), "area", "1 to 200,000 square metres")
        }
        _ => Ok((method, area)),
    }
}

/// A method, and its counted area where it is known.
type Counted = (PlotMethod, Option<Area>);

fn named_method(words: &PlotWords) -> Result<Option<Counted>, Vec<Problem>> {
    let (word, factor) = (words.method.trim(), words.factor.trim());
    if word.is_empty() && factor.is_empty() {
        return Ok(None);
    }
    if factor.is_empty() && !word.eq_ignore_ascii_case("prism") {
        return match plot_in_words(word) {
            Some(found) => Ok(Some(found)),
            None => wrong(format!("\"{word}\" is not a way to count."), "method", WAYS),
        };
    }
    match factor.parse::<f64>().ok().filter(|f| (1.0..=200.0).contains(f)) {
        Some(basal_area_factor) => Ok(Some((PlotMethod::Prism { basal_area_factor }, None))),
        None => {
            let what = format!("\"{factor}\" is not a basal area factor.");
            wrong(what, "factor", "square feet per acre, such as 10")
        }
    }
}

const WAYS: &str = "fixed radius, square, whole lot, prism, timed walk, burlap, trap";

/// The one size that is given, with the form of plot it speaks of.
fn size(words: &PlotWords, method: Option<PlotMethod>) -> Result<Option<Counted>, Vec<Problem>> {
    let sizes = [("radius", &words.radius), ("side", &words.side), ("area", &words.area)];
    let given: Vec<_> = sizes.into_iter().filter(|(_, text)| !text.trim().is_empty()).collect();
    let [(name, text)] = given.as_slice() else {
        return if given.is_empty() {
            Ok(None)
        } else {
            wrong("More than one size is given.".to_owned(), "area", "one of radius, side and area")
        };
    };
    let other_form = matches!(
        (*name, method),
        ("radius", Some(PlotMethod::Square | PlotMethod::WholeLot))
            | ("side", Some(PlotMethod::FixedRadius | PlotMethod::WholeLot))
    );
    let squared = |l: Length, by: f64| Some(Area::square_metres(l.as_metres() * l.as_metres() * by));
    let read = match *name {
        "radius" => length(text).map(|l| (PlotMethod::FixedRadius, squared(l, std::f64::consts::PI))),
        "side" => length(text).map(|l| (PlotMethod::Square, squared(l, 1.0))),
        _ => plot_in_words(text).filter(|(_, area)| area.is_some()),
    };
    match read {
        Some(_) if other_form => wrong(format!("A plot of this form has no {name}."), name, "its area, with its unit"),
        Some(found) => Ok(Some(found)),
        None => wrong(format!("\"{}\" is not a {name}.", text.trim()), name, "a number and its unit"),
    }
}

/// A length above zero with its unit: m, cm, ft, in.
pub fn length(text: &str) -> Option<Length> {
    let text = text.trim().to_lowercase();
    let end = text.find(|c: char| !(c.is_ascii_digit() || c == '.'))?;
    let value: f64 = text[..end].parse().ok().filter(|v| *v > 0.0)?;
    Some(match text[end..].trim() {
        "m" | "metre" | "metres" | "meter" | "meters" => Length::metres(value),
        "cm" | "centimetre" | "centimetres" | "centimeter" | "centimeters" => Length::centimetres(value),
        "ft" | "foot" | "feet" | "'" => Length::feet(value),
        "in" | "inch" | "inches" | "\"" => Length::inches(value),
        _ => return None,
    })
}
