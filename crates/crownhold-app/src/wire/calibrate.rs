//! `calibrate --json`.

use crownhold::field::aerial::calibrate::{Mix, Product};
use crownhold::types::{Flow, VolumePerArea};
use serde::Serialize;

use super::{ProblemJson, round};
use crate::actions::calibrate::Calibrated;

/// Calibration in both unit systems.
#[derive(Serialize, Debug)]
pub struct CalibrationJson {
    speed_mph: f64,
    speed_km_per_hour: f64,
    swath_feet: f64,
    swath_metres: f64,
    acres_per_minute: f64,
    hectares_per_minute: f64,
    gallons_per_minute: f64,
    litres_per_minute: f64,
    gallons_per_acre: f64,
    litres_per_hectare: f64,
    product: Option<ProductJson>,
    caution: &'static str,
    notices: Vec<ProblemJson>,
}

#[derive(Serialize, Debug)]
struct ProductJson {
    dose_biu_per_acre: f64,
    dose_biu_per_hectare: f64,
    strength_biu_per_gallon: f64,
    strength_biu_per_litre: f64,
    gallons_per_acre: f64,
    fluid_ounces_per_acre: f64,
    litres_per_hectare: f64,
    gallons_per_minute: f64,
    litres_per_minute: f64,
    share: f64,
    fits: bool,
    water_share: Option<f64>,
    water_gallons_per_acre: Option<f64>,
    water_litres_per_hectare: Option<f64>,
    water_gallons_per_minute: Option<f64>,
    water_litres_per_minute: Option<f64>,
}

impl CalibrationJson {
    /// The answer of `calibrate`.
    pub fn new(c: &Calibrated, caution: &'static str) -> Self {
        let f = &c.figures;
        Self {
            speed_mph: round(c.speed.as_miles_per_hour()),
            speed_km_per_hour: round(c.speed.as_kilometres_per_hour()),
            swath_feet: round(c.swath.as_feet()),
            swath_metres: round(c.swath.as_metres()),
            acres_per_minute: round(f.area_per_minute.as_acres()),
            hectares_per_minute: round(f.area_per_minute.as_hectares()),
            gallons_per_minute: round(f.flow.as_gallons_per_minute()),
            litres_per_minute: round(f.flow.as_litres_per_minute()),
            gallons_per_acre: round(f.rate.as_gallons_per_acre()),
            litres_per_hectare: round(f.rate.as_litres_per_hectare()),
            product: c.product.zip(f.mix).map(|(p, m)| ProductJson::new(p, m, f.flow)),
            caution,
            notices: c.notices.iter().map(ProblemJson::from).collect(),
        }
    }
}

impl ProductJson {
    fn new(product: Product, mix: Mix, flow: Flow) -> Self {
        let water = |read: fn(VolumePerArea) -> f64| mix.water.map(|w| round(read(w)));
        let water_flow = mix.water.map(|_| (flow - mix.product_flow).max(Flow::ZERO));
        Self {
            dose_biu_per_acre: round(product.dose.as_biu_per_acre()),
            dose_biu_per_hectare: round(product.dose.as_biu_per_hectare()),
            strength_biu_per_gallon: round(product.strength.as_biu_per_gallon()),
            strength_biu_per_litre: round(product.strength.as_biu_per_litre()),
            gallons_per_acre: round(mix.product.as_gallons_per_acre()),
            fluid_ounces_per_acre: round(mix.product.as_fluid_ounces_per_acre()),
            litres_per_hectare: round(mix.product.as_litres_per_hectare()),
            gallons_per_minute: round(mix.product_flow.as_gallons_per_minute()),
            litres_per_minute: round(mix.product_flow.as_litres_per_minute()),
            share: round(mix.share),
            fits: mix.fits(),
            water_share: mix.water.map(|_| round((1.0 - mix.share).max(0.0))),
            water_gallons_per_acre: water(VolumePerArea::as_gallons_per_acre),
            water_litres_per_hectare: water(VolumePerArea::as_litres_per_hectare),
            water_gallons_per_minute: water_flow.map(|w| round(w.as_gallons_per_minute())),
            water_litres_per_minute: water_flow.map(|w| round(w.as_litres_per_minute())),
        }
    }
}
