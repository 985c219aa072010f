//! `crownhold blocks`

use std::path::Path;
use std::process::ExitCode;

use crownhold::types::{Area, Problem, Programme, Share};
use crownhold_data::formats::Wishes;
use crownhold_data::formats::grid::{CellShape, Grid, blocks_from_boundary, outline};
use crownhold_data::formats::shares::{TreeWeight, shares_from_trees};
use crownhold_data::store::ProgrammeFile;
use geo::MultiPolygon;

use super::{args, say};
use crate::actions::{author, import};
use crate::clock;
use crate::trouble::Trouble;

/// Cells cut to less than this share of a whole one are joined to a neighbour.
const LEAST_CELL: f64 = 0.25;

pub(super) fn run(a: &args::Blocks) -> Result<ExitCode, Trouble> {
    let grid = Grid { cell: area(&a.cell)?, shape: shape(&a.shape)?, least: Share::clamped(LEAST_CELL) };
    let canopy = a
        .canopy
        .map(|c| {
            let problem = || Problem::error("A-072", format!("--canopy is {c}."), "").expected("a share from 0 to 1");
            Share::new(c).ok_or_else(|| Trouble::one(problem()))
        })
        .transpose()?;
    let mut file = ProgrammeFile::open(&a.programme)?;
    let programme = file.read()?.programme;
    let boundary = read(&a.from, a.crs.as_deref(), &programme)?;
    let water = match &a.water {
        Some(path) => read(path, a.crs.as_deref(), &programme)?,
        None => MultiPolygon(Vec::new()),
    };
    let mut blocks = blocks_from_boundary(&boundary, &water, grid);
    blocks.iter_mut().for_each(|b| b.canopy = canopy);
    let made = blocks.len();
    let what = format!("{made} blocks cut from {}", a.from.display());
    let notes = file.change(&author(a.author.as_deref()), &clock::now(), &what, |records| {
        if !records.blocks.is_empty() {
            return Err(Trouble::one(Problem::error(
                "A-070",
                format!("The programme has {} blocks already.", records.blocks.len()),
                "Cutting a boundary is for programmes without blocks; start a new one or undo the import.",
            )));
        }
        records.blocks = blocks;
        crownhold_data::formats::place_trees(records);
        Ok(if records.trees.is_empty() { Vec::new() } else { shares_from_trees(records, TreeWeight::Diameter, false) })
    })?;
    file.close()?;
    say(&format!("{made} blocks made."));
    notes.iter().for_each(|p| say(&p.to_string()));
    say("Canopy, host mix, land use and consent that are still missing are listed by: crownhold check");
    Ok(ExitCode::SUCCESS)
}

fn read(path: &Path, crs: Option<&str>, programme: &Programme) -> Result<MultiPolygon<f64>, Trouble> {
    let wishes = Wishes { crs: crs.map(str::to_owned), ..Wishes::default() };
    let (shape, report) = outline(&import::input(path)?, &wishes, programme);
    report.problems.iter().filter(|p| !p.is_error()).for_each(|p| say(&p.to_string()));
    let Some(shape) = shape else {
        let mut errors: Vec<Problem> = report.problems.into_iter().filter(Problem::is_error).collect();
        if errors.is_empty() {
            let what = format!("{} holds no outline.", path.display());
            errors.push(
                Problem::error("A-074", what, "Give a polygon layer.").expected("GeoJSON, GeoPackage or Shapefile"),
            );
        }
        return Err(errors.into());
    };
    Ok(shape)
}

/// "10acre", "4 ha", "40000m2".
pub(super) fn area(text: &str) -> Result<Area, Trouble> {
    let split = text.find(|c: char| c.is_alphabetic()).unwrap_or(text.len());
    let (number, unit) = text.split_at(split);
    let value = number.trim().parse::<f64>().ok().filter(|v| v.is_finite() && *v > 0.0);
    let area = match (value, unit.trim().to_lowercase().as_str()) {
        (Some(v), "acre" | "acres" | "ac") => Some(Area::acres(v)),
        (Some(v), "ha" | "hectare" | "hectares") => Some(Area::hectares(v)),
        (Some(v), "m2") => Some(Area::square_metres(v)),
        _ => None,
    };
    area.ok_or_else(|| {
        Trouble::one(
            Problem::error("A-071", format!("\"{text}\" is not an area."), "")
                .expected("a number and acre, ha or m2, such as 10acre"),
        )
    })
}

fn shape(word: &str) -> Result<CellShape, Trouble> {
    match word.trim().to_lowercase().as_str() {
        "square" => Ok(CellShape::Square),
        "hexagon" => Ok(CellShape::Hexagon),
        _ => Err(Trouble::one(
            Problem::error("A-073", format!("\"{word}\" is not a cell shape."), "").expected("square or hexagon"),
        )),
    }
}
