//! Calibration: from speed, swath and rate to the flow of the gear, and the share of product in the tank.
//!
//! The area covered in a time is speed times swath, the flow is that times the volume per area. In US units this is
//! the identity `gal/min = gal/ac x mph x ft / 495` (495 = 43,560 x 60 / 5,280), in metric ones
//! `ha/min = m x km/h / 600`. Nothing here knows a nozzle, a pressure or a label: it says what must come out, a catch
//! test says what does.

use crate::types::{Area, Dose, Flow, Length, Speed, Strength, Volume, VolumePerArea};

/// How much is put out: on the ground, or by the pump.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Output {
    /// Volume per area; the flow follows.
    Rate(VolumePerArea),
    /// Flow of the gear; the volume per area follows.
    Flow(Flow),
}

/// What the product must bring.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Product {
    /// Potency per area.
    pub dose: Dose,
    /// Potency of the product as bought.
    pub strength: Strength,
}

/// What calibration gives.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Calibration {
    /// Area covered in one minute of spraying.
    pub area_per_minute: Area,
    /// Flow with all nozzles open.
    pub flow: Flow,
    /// Volume of mix per area.
    pub rate: VolumePerArea,
    /// The product's part, where dose and strength were given.
    pub mix: Option<Mix>,
}

/// The product in the mix.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Mix {
    /// Product per area.
    pub product: VolumePerArea,
    /// Product per time.
    pub product_flow: Flow,
    /// Water per area; `None` when the product alone is more than the rate, so that dose and rate cannot both be had.
    pub water: Option<VolumePerArea>,
    /// Share of the mix that is product; above 1 when it does not fit.
    pub share: f64,
}

impl Mix {
    /// Does the dose fit into the rate?
    pub fn fits(&self) -> bool {
        self.water.is_some()
    }
    /// Product in a tank of mix.
    pub fn product_in(&self, tank: Volume) -> Option<Volume> {
        self.fits().then(|| tank * self.share)
    }
}

/// Rounding of unit conversions that must not turn "undiluted" into "does not fit".
const EQUAL: f64 = 1e-9;

/// Works the gear's figures out. All inputs are above zero.
///
/// # Panics
/// If an input is so small or large that the result is not finite.
pub fn calibrate(speed: Speed, swath: Length, output: Output, product: Option<Product>) -> Calibration {
    let per_second = speed.as_metres_per_second() * swath.as_metres();
    let area_per_minute = Area::square_metres(60.0 * per_second);
    let (rate, flow) = match output {
        Output::Rate(rate) => (rate, flow_of(rate, area_per_minute)),
        Output::Flow(flow) => {
            let per_area = flow.as_litres_per_minute() / area_per_minute.as_hectares();
            (VolumePerArea::litres_per_hectare(per_area), flow)
        }
    };
    let mix = product.map(|p| mix(p, rate, area_per_minute));
    Calibration { area_per_minute, flow, rate, mix }
}

fn flow_of(rate: VolumePerArea, area_per_minute: Area) -> Flow {
    Flow::litres_per_minute(rate.as_litres_per_hectare() * area_per_minute.as_hectares())
}

fn mix(product: Product, rate: VolumePerArea, area_per_minute: Area) -> Mix {
    let per_hectare = product.dose.as_biu_per_hectare() / product.strength.as_biu_per_litre();
    let volume = VolumePerArea::litres_per_hectare(per_hectare);
    let share = volume / rate;
    let water = (share <= 1.0 + EQUAL).then(|| (rate - volume).max(VolumePerArea::ZERO));
    Mix { product: volume, product_flow: flow_of(volume, area_per_minute), water, share }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn near(got: f64, want: f64, tolerance: f64) {
        assert!((got - want).abs() <= tolerance, "{got}, expected {want}");
    }

    /// Science notes on tactics, oracles 1 to 3: 43,560 x 60 / 5,280 = 495.
    #[test]
    fn american() {
        for (mph, feet, acres, gallons) in [(120.0, 75.0, 18.182, 9.091), (140.0, 150.0, 42.424, 21.212)] {
            let rate = Output::Rate(VolumePerArea::gallons_per_acre(0.5));
            let c = calibrate(Speed::miles_per_hour(mph), Length::feet(feet), rate, None);
            near(c.area_per_minute.as_acres(), acres, 0.001);
            near(c.area_per_minute.as_acres(), mph * feet / 495.0, 1e-9);
            near(c.flow.as_gallons_per_minute(), gallons, 0.001);
        }
    }

    /// Oracles 4 to 6: an extension problem, and two worked metric examples.
    #[test]
    fn from_the_flow_and_metric() {
        let flow = Output::Flow(Flow::gallons_per_minute(3.0));
        let c = calibrate(Speed::miles_per_hour(3.0), Length::feet(20.0), flow, None);
        near(c.rate.as_gallons_per_acre(), 24.75, 0.01);
        let rate = Output::Rate(VolumePerArea::litres_per_hectare(100.0));
        let c = calibrate(Speed::kilometres_per_hour(8.0), Length::metres(12.0), rate, None);
        near(c.area_per_minute.as_hectares(), 0.16, 0.001);
        near(c.flow.as_litres_per_minute(), 16.0, 0.001);
        let flow = Output::Flow(Flow::litres_per_minute(24.0));
        let c = calibrate(Speed::metres_per_minute(200.0), Length::metres(12.0), flow, None);
        near(c.rate.as_litres_per_hectare(), 100.0, 0.1);
    }

    fn mixed(gallons: f64, dose: f64, strength: f64) -> Mix {
        let rate = Output::Rate(VolumePerArea::gallons_per_acre(gallons));
        let product = Product { dose: Dose::biu_per_acre(dose), strength: Strength::biu_per_gallon(strength) };
        calibrate(Speed::miles_per_hour(140.0), Length::feet(150.0), rate, Some(product)).mix.expect("asked for")
    }

    /// Oracles 7 and 8: 64 fl oz of 76 BIU/gal is 38 BIU/ac; 0.75 gal of 48 is 36; 24 BIU of 48 is 64 fl oz.
    #[test]
    fn product_and_water() {
        let neat = mixed(0.5, 38.0, 76.0);
        near(neat.product.as_fluid_ounces_per_acre(), 64.0, 0.01);
        near(neat.water.expect("it fits").as_gallons_per_acre(), 0.0, 1e-9);
        near(mixed(0.75, 36.0, 48.0).product.as_gallons_per_acre(), 0.75, 0.01);
        let half = mixed(1.0, 24.0, 48.0);
        near(half.product.as_fluid_ounces_per_acre(), 64.0, 0.01);
        near(half.share, 0.5, 1e-12);
        near(half.product_in(Volume::gallons(400.0)).expect("it fits").as_gallons(), 200.0, 1e-9);
    }

    /// 36 BIU/ac of a 48 BIU/gal product is 0.75 gal/ac: more than half a gallon can hold.
    #[test]
    fn a_dose_that_does_not_fit() {
        let mix = mixed(0.5, 36.0, 48.0);
        assert!(!mix.fits() && mix.product_in(Volume::gallons(1.0)).is_none());
        near(mix.share, 1.5, 1e-12);
    }
}
