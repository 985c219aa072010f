//! The density between the plots: a map of squares, finer than blocks.
//!
//! Each square is the density at its middle, for itself: neighbours are not drawn together, so squares must not be added up to
//! blocks; the draws of blocks are there for that.

use geo::Point;

use super::doubt::Doubt;
use super::estimate::{strata, usable_plots};
use super::spatial::{self, Spatial, cells_in, town};
use super::{NewShare, counts};
use crate::Setting;
use crate::types::draws::{quantile, share};
use crate::types::quantity::SQUARE_METRES_PER_ACRE;
use crate::types::{Length, MassesPerArea, Problem, Records};

/// Most squares: more would not be seen, and their draws fill the memory.
const MOST: f64 = 4_000.0;

/// The map.
#[derive(Clone, Debug)]
pub struct FineMap {
    /// Side of a square.
    pub side: Length,
    /// Squares, block by block.
    pub squares: Vec<Square>,
}

/// One square of the map.
#[derive(Clone, Debug)]
pub struct Square {
    /// Its middle.
    pub middle: Point<f64>,
    /// Position of its block in the records.
    pub block: usize,
    /// Draws, masses per hectare.
    draws: Vec<f64>,
}

impl Square {
    /// Density that a share `p` of the draws lies below.
    pub fn quantile(&self, p: f64) -> MassesPerArea {
        MassesPerArea::per_hectare(quantile(&self.draws, p))
    }

    /// Chance of more than a density.
    pub fn chance_above(&self, density: MassesPerArea) -> f64 {
        share(&self.draws, |d| d > density.as_per_hectare())
    }
}

/// Side of the squares: the one asked for, wider where that would be too many.
fn side_for(records: &Records, asked: Length) -> f64 {
    let ground: f64 = records.blocks.iter().map(|b| b.area().as_square_metres()).sum();
    asked.as_metres().max((ground / MOST).sqrt())
}

/// The map between the plots, of squares of about `side`; the parameter's where it is `None`.
///
/// # Errors
/// When there is no usable count, or too few plots have a place for the model over space.
pub fn fine_map(records: &Records, side: Option<Length>, setting: &Setting) -> Result<FineMap, Vec<Problem>> {
    let level = records.parameters.number("survey.level");
    let new_share: Option<NewShare> = counts::new_share(&counts::visits_used(records, &mut Vec::new()), level);
    let plots = usable_plots(records, new_share, &mut Vec::new())?;
    let (_, stratum) = strata(records);
    let survey = town::survey(records, &plots, &stratum).ok_or_else(|| vec![without_space(records)])?;
    let level = records.parameters.number("survey.prior.level") / SQUARE_METRES_PER_ACRE;
    let (levels, rest) = town::priors(&records.parameters, level);
    let asked = side.unwrap_or(Length::metres(records.parameters.number("survey.space.cell")));
    let side = side_for(records, asked);
    let places = squares(records, &survey, side);
    let drawn = Spatial::fit(&survey, levels, rest)
        .and_then(|fitted| fitted.place_draws(&places, setting.draws, setting.seed))
        .ok_or_else(|| vec![without_space(records)])?;
    let doubt = Doubt::of(records, &plots, new_share, setting);
    let squares = places
        .iter()
        .zip(drawn.density)
        .map(|(at, mut draws)| {
            doubt.spread_over(&mut draws, at.block);
            Square { middle: Point::new(at.place[0], at.place[1]), block: at.block, draws }
        })
        .collect();
    Ok(FineMap { side: Length::metres(side), squares })
}

/// A site in the middle of every square, with what is known of its block.
fn squares(records: &Records, survey: &spatial::Survey, side: f64) -> Vec<spatial::kernel::Site> {
    records
        .blocks
        .iter()
        .zip(&survey.points)
        .flat_map(|(block, own)| {
            let like = own[0].clone();
            cells_in(&block.shape, side).into_iter().map(move |place| spatial::kernel::Site { place, ..like.clone() })
        })
        .collect()
}

fn without_space(records: &Records) -> Problem {
    let least = records.parameters.number("survey.space.least_plots");
    Problem::error(
        "D-003",
        format!(
            "The density between the plots is not known: at least {least:.0} plots with a place are needed, and half of all."
        ),
        "Give every plot its place; until then there are figures for whole blocks only.",
    )
}
