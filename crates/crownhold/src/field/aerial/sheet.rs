//! Loads, minutes and mornings of the aerial job.

use geo::Area as _;

use super::calibrate::{Calibration, Output, Product, calibrate};
use super::craft::Aircraft;
use super::ground::SprayBlock;
use super::passes::{Pass, lay_passes};
use crate::types::{Area, Hours, Volume};

/// How one spray block is flown, for one application.
#[derive(Clone, Debug, PartialEq)]
pub struct Sheet {
    /// The block.
    pub block: SprayBlock,
    /// Ground to be sprayed.
    pub area: Area,
    /// Length of open booms times swath: what the passes put the mix on, overlap and overhang included.
    pub put_on: Area,
    /// Mix for the ground to be sprayed.
    pub mix: Volume,
    /// Product in it; `None` when dose and rate cannot both be had.
    pub product: Option<Volume>,
    /// Heading, degrees clockwise from grid north, 0 to below 180.
    pub heading: f64,
    /// Passes in flying order.
    pub passes: Vec<Pass>,
    /// Tanks of mix that the passes put out.
    pub loads: u32,
    /// On the passes.
    pub flying: Hours,
    /// Between them.
    pub turns: Hours,
    /// To and from the loading place.
    pub ferry: Hours,
    /// Filling the tank.
    pub loading: Hours,
}

impl Sheet {
    /// Everything together.
    pub fn total(&self) -> Hours {
        self.flying + self.turns + self.ferry + self.loading
    }
}

/// The whole job.
#[derive(Clone, Debug, PartialEq)]
pub struct Job {
    /// The gear's figures.
    pub gear: Calibration,
    /// Sheets, in block order.
    pub sheets: Vec<Sheet>,
    /// Hours of all applications.
    pub hours: Hours,
    /// Suitable mornings that they take.
    pub mornings: u32,
}

/// Lays one spray block out.
///
/// Minutes as the trade reckons them: metres on the passes by speed, one turn fewer than passes, there and back for
/// every load, and the filling (first principles; Quantick 1985, from memory).
pub fn sheet(block: SprayBlock, craft: &Aircraft) -> Sheet {
    let speed = craft.speed.as_metres_per_second();
    let turn = craft.turn.as_minutes() * 60.0;
    let seconds = |passes: usize, metres: f64| metres / speed + turn * passes.saturating_sub(1) as f64;
    let (heading, passes) = lay_passes(&block.shape, &block.kept_off, craft.swath.as_metres(), seconds);
    let open: f64 = passes.iter().map(Pass::sprayed_length).sum();
    let flown: f64 = passes.iter().map(|p| p.length).sum();
    let area = Area::square_metres(block.shape.unsigned_area());
    let put_on = Area::square_metres(open * craft.swath.as_metres());
    let mix = |on: Area| Volume::litres(craft.rate.as_litres_per_hectare() * on.as_hectares());
    // The last drop of rounding takes no further flight.
    let loads = (mix(put_on) / craft.tank - 1e-6).ceil().max(1.0);
    let there = craft.ferry.as_metres() / craft.ferry_speed.as_metres_per_second();
    Sheet {
        area,
        put_on,
        mix: mix(area),
        product: gear(craft).mix.and_then(|m| m.product_in(mix(area))),
        heading,
        loads: loads as u32,
        flying: Hours::minutes(flown / speed / 60.0),
        turns: Hours::minutes(turn * passes.len().saturating_sub(1) as f64 / 60.0),
        ferry: Hours::minutes(loads * 2.0 * there / 60.0),
        loading: craft.load * loads,
        passes,
        block,
    }
}

fn gear(craft: &Aircraft) -> Calibration {
    let product = Product { dose: craft.dose, strength: craft.strength };
    calibrate(craft.speed, craft.swath, Output::Rate(craft.rate), Some(product))
}

/// All spray blocks, and the mornings they take. A morning that is begun counts whole.
pub fn job(blocks: Vec<SprayBlock>, craft: &Aircraft) -> Job {
    let sheets: Vec<Sheet> = blocks.into_iter().map(|b| sheet(b, craft)).collect();
    let hours: Hours = sheets.iter().map(|s| s.total() * f64::from(s.block.flights)).sum();
    let mornings = (hours / craft.morning - 1e-9).ceil().max(0.0) as u32;
    Job { gear: gear(craft), sheets, hours, mornings }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::types::{Length, Parameters};
    use geo::{MultiPolygon, Rect, coord};

    fn field(width: f64, height: f64) -> SprayBlock {
        let far = coord! { x: Length::feet(width).as_metres(), y: Length::feet(height).as_metres() };
        let shape = MultiPolygon(vec![Rect::new(coord! { x: 0.0, y: 0.0 }, far).to_polygon()]);
        SprayBlock { id: "S1".into(), blocks: vec![], flights: 1, warmth: 0.0, shape, kept_off: MultiPolygon(vec![]) }
    }

    fn near(got: f64, want: f64, tolerance: f64) {
        assert!((got - want).abs() <= tolerance, "{got}, expected {want}");
    }

    /// Science notes on tactics, oracle 22: 400 acres at 120 mph, 75 ft, turns of 45 s, 10 miles at 140 mph, 8 min.
    #[test]
    fn four_hundred_acres() {
        let s = sheet(field(5_280.0, 3_300.0), &Aircraft::read(&Parameters::defaults()).unwrap());
        assert_eq!((s.passes.len(), s.loads, s.heading), (44, 1, 90.0));
        near(s.flying.as_minutes(), 22.0, 0.1);
        near(s.turns.as_minutes(), 32.25, 0.1);
        near(s.ferry.as_minutes(), 8.57, 0.1);
        near(s.loading.as_minutes(), 8.0, 0.1);
        near(s.total().as_minutes(), 70.8, 0.1);
        near(s.area.as_acres() / s.total().as_hours(), 338.9, 0.1);
        near(s.mix.as_gallons(), 200.0, 0.1);
    }

    /// Oracle 23: a square of 50 acres, and why small blocks cost more.
    #[test]
    fn fifty_acres() {
        let side = (50.0_f64 * 43_560.0).sqrt();
        let s = sheet(field(side, side), &Aircraft::read(&Parameters::defaults()).unwrap());
        assert_eq!(s.passes.len(), 20);
        near(s.total().as_minutes(), 33.6, 0.1);
        near(s.area.as_acres() / s.total().as_hours(), 89.2, 0.1);
    }

    #[test]
    fn mornings_count_every_application() {
        let craft = Aircraft::read(&Parameters::defaults()).unwrap();
        let twice = SprayBlock { flights: 2, ..field(5_280.0, 3_300.0) };
        let made = job(vec![twice, field(5_280.0, 3_300.0)], &craft);
        near(made.hours.as_minutes(), 3.0 * 70.8, 0.3);
        assert_eq!(made.mornings, 2);
    }
}
