//! `aerial --json`.

use crownhold::field::aerial::Sheet;
use serde::Serialize;

use super::{ProblemJson, round};
use crate::actions::aerial::Aerial;

/// The aerial job.
#[derive(Serialize, Debug)]
pub struct AerialJson {
    speed_mph: f64,
    swath_feet: f64,
    swath_metres: f64,
    gallons_per_acre: f64,
    litres_per_hectare: f64,
    acres_per_minute: f64,
    gallons_per_minute: f64,
    litres_per_minute: f64,
    spray_blocks: Vec<SheetJson>,
    hours: f64,
    mornings_needed: u32,
    chance_of_enough_mornings: Option<f64>,
    files: Vec<String>,
    caution: &'static str,
    notices: Vec<ProblemJson>,
}

#[derive(Serialize, Debug)]
struct SheetJson {
    id: String,
    blocks: Vec<String>,
    flights: u32,
    degrees_warmer: f64,
    acres: f64,
    hectares: f64,
    acres_put_on: f64,
    gallons: f64,
    litres: f64,
    product_gallons: Option<f64>,
    product_litres: Option<f64>,
    heading: f64,
    passes: usize,
    loads: u32,
    minutes_spraying: f64,
    minutes_turning: f64,
    minutes_ferry: f64,
    minutes_loading: f64,
    minutes: f64,
}

impl AerialJson {
    /// The answer of `aerial`.
    pub fn new(made: &Aerial, files: Vec<String>, caution: &'static str) -> Self {
        let (craft, job) = (&made.craft, &made.job);
        Self {
            speed_mph: round(craft.speed.as_miles_per_hour()),
            swath_feet: round(craft.swath.as_feet()),
            swath_metres: round(craft.swath.as_metres()),
            gallons_per_acre: round(craft.rate.as_gallons_per_acre()),
            litres_per_hectare: round(craft.rate.as_litres_per_hectare()),
            acres_per_minute: round(job.gear.area_per_minute.as_acres()),
            gallons_per_minute: round(job.gear.flow.as_gallons_per_minute()),
            litres_per_minute: round(job.gear.flow.as_litres_per_minute()),
            spray_blocks: job.sheets.iter().map(SheetJson::new).collect(),
            hours: round(job.hours.as_hours()),
            mornings_needed: job.mornings,
            chance_of_enough_mornings: made.chance().map(round),
            files,
            caution,
            notices: made.notices.iter().map(ProblemJson::from).collect(),
        }
    }
}

impl SheetJson {
    fn new(s: &Sheet) -> Self {
        Self {
            id: s.block.id.clone(),
            blocks: s.block.blocks.iter().map(ToString::to_string).collect(),
            flights: s.block.flights,
            degrees_warmer: round(s.block.warmth),
            acres: round(s.area.as_acres()),
            hectares: round(s.area.as_hectares()),
            acres_put_on: round(s.put_on.as_acres()),
            gallons: round(s.mix.as_gallons()),
            litres: round(s.mix.as_litres()),
            product_gallons: s.product.map(|p| round(p.as_gallons())),
            product_litres: s.product.map(|p| round(p.as_litres())),
            heading: round(s.heading),
            passes: s.passes.len(),
            loads: s.loads,
            minutes_spraying: round(s.flying.as_minutes()),
            minutes_turning: round(s.turns.as_minutes()),
            minutes_ferry: round(s.ferry.as_minutes()),
            minutes_loading: round(s.loading.as_minutes()),
            minutes: round(s.total().as_minutes()),
        }
    }
}
