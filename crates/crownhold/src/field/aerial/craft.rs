//! The aircraft of the job, from the parameters.

use crate::types::{Dose, Hours, Length, Parameters, Problem, Speed, Strength, Volume, VolumePerArea};

/// Feet in a statute mile.
const FEET_PER_MILE: f64 = 5_280.0;

/// What an aircraft does and carries.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Aircraft {
    /// Over ground, while spraying.
    pub speed: Speed,
    /// Width of a pass.
    pub swath: Length,
    /// Mix per area.
    pub rate: VolumePerArea,
    /// Btk per area.
    pub dose: Dose,
    /// Potency of the product.
    pub strength: Strength,
    /// Usable tank.
    pub tank: Volume,
    /// One turn.
    pub turn: Hours,
    /// Filling the tank once.
    pub load: Hours,
    /// From the loading place to a block, one way.
    pub ferry: Length,
    /// Speed on that way.
    pub ferry_speed: Speed,
    /// Flying time of one suitable morning.
    pub morning: Hours,
}

impl Aircraft {
    /// From the programme's parameters.
    ///
    /// # Errors
    /// Every parameter that is zero where the job divides by it.
    pub fn read(parameters: &Parameters) -> Result<Self, Vec<Problem>> {
        let dividing = ["speed", "swath", "rate", "strength", "tank", "ferry_speed", "morning"];
        let names = dividing.iter().map(|name| format!("aircraft.{name}"));
        let wrong: Vec<Problem> = names.filter(|n| parameters.number(n) <= 0.0).map(|n| zero(&n)).collect();
        if !wrong.is_empty() {
            return Err(wrong);
        }
        let number = |name: &str| parameters.number(&format!("aircraft.{name}"));
        Ok(Self {
            speed: Speed::miles_per_hour(number("speed")),
            swath: Length::feet(number("swath")),
            rate: VolumePerArea::gallons_per_acre(number("rate")),
            dose: Dose::biu_per_acre(number("dose")),
            strength: Strength::biu_per_gallon(number("strength")),
            tank: Volume::gallons(number("tank")),
            turn: Hours::minutes(number("turn") / 60.0),
            load: Hours::minutes(number("load")),
            ferry: Length::feet(number("ferry") * FEET_PER_MILE),
            ferry_speed: Speed::miles_per_hour(number("ferry_speed")),
            morning: Hours::hours(number("morning")),
        })
    }
}

fn zero(name: &str) -> Problem {
    let remedy = format!("crownhold parameters FILE --set {name}=VALUE --source \"the contractor\"");
    Problem::error("field.aircraft", format!("The parameter {name} is 0."), remedy).item(name.to_owned())
}
