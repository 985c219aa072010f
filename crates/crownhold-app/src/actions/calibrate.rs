//! Calibration from words.

use crownhold::field::aerial::calibrate::{Calibration, Output, Product, calibrate};
use crownhold::types::{Dose, Flow, Length, Problem, Speed, Strength, VolumePerArea};

use super::plots::length;
use crate::trouble::Trouble;

/// What is asked, in the words of the person.
#[derive(Clone, Debug, Default)]
pub struct CalibrateWords {
    /// Speed with its unit.
    pub speed: String,
    /// Swath with its unit.
    pub swath: String,
    /// Volume per area with its unit.
    pub rate: Option<String>,
    /// Flow with its unit; either this or the rate.
    pub flow: Option<String>,
    /// Potency per area.
    pub dose: Option<String>,
    /// Potency of the product.
    pub strength: Option<String>,
}

/// The answer with what it was worked out from.
#[derive(Clone, Debug)]
pub struct Calibrated {
    /// Speed over ground.
    pub speed: Speed,
    /// Width of a pass.
    pub swath: Length,
    /// Dose and strength, where given.
    pub product: Option<Product>,
    /// The figures.
    pub figures: Calibration,
    /// Was the rate or flow given in metric units?
    pub metric: bool,
    /// What to look at.
    pub notices: Vec<Problem>,
}

/// Fastest speed that is read as one, metres per second; nothing sprays faster.
const FASTEST: f64 = 200.0;
/// Widest swath, metres; wider ones are a slip of the pen.
const WIDEST_METRES: f64 = 500.0;

/// Works it out.
///
/// # Errors
/// Every option that is missing or cannot be read, with what is expected of it.
pub fn from_words(words: &CalibrateWords) -> Result<Calibrated, Trouble> {
    let mut problems = Vec::new();
    let speed = take(&mut problems, "speed", &words.speed, "a speed such as 140mph, 225km/h or 120kn", |t| {
        speed(t).filter(|s| s.as_metres_per_second() <= FASTEST)
    });
    let swath = take(&mut problems, "swath", &words.swath, "a width such as 150ft or 45m, at most 500 m", |t| {
        length(t).filter(|l| l.as_metres() <= WIDEST_METRES)
    });
    let output = output(words, &mut problems);
    let product = product(words, &mut problems);
    let (Some(speed), Some(swath), Some((output, metric)), true) = (speed, swath, output, problems.is_empty()) else {
        return Err(problems.into());
    };
    let figures = calibrate(speed, swath, output, product);
    let notices = figures.mix.filter(|m| !m.fits()).map(|m| too_strong(m.product, figures.rate)).into_iter().collect();
    Ok(Calibrated { speed, swath, product, figures, metric, notices })
}

fn take<T>(
    problems: &mut Vec<Problem>,
    option: &str,
    text: &str,
    expected: &str,
    read: impl Fn(&str) -> Option<T>,
) -> Option<T> {
    let value = read(text);
    if value.is_none() {
        let what = format!("--{option} is \"{text}\".");
        problems.push(Problem::error("A-230", what, "Correct it.").column(option).expected(expected));
    }
    value
}

/// The output, and whether it was given in metric units.
fn output(words: &CalibrateWords, problems: &mut Vec<Problem>) -> Option<(Output, bool)> {
    match (&words.rate, &words.flow) {
        (Some(text), None) => take(problems, "rate", text, "a rate such as 0.5gal/ac, 64floz/ac or 4.7L/ha", |t| {
            rate(t).map(|(rate, metric)| (Output::Rate(rate), metric))
        }),
        (None, Some(text)) => take(problems, "flow", text, "a flow such as 3gal/min or 24L/min", |t| {
            flow(t).map(|(flow, metric)| (Output::Flow(flow), metric))
        }),
        _ => {
            let problem = Problem::error("A-230", "Either --rate or --flow is needed.", "Give one of the two.");
            problems.push(problem.column("rate").expected("a rate such as 0.5gal/ac, or a flow such as 3gal/min"));
            None
        }
    }
}

fn product(words: &CalibrateWords, problems: &mut Vec<Problem>) -> Option<Product> {
    let (want_dose, want_strength) =
        ("a dose such as 36BIU/ac or 90BIU/ha", "a strength such as 48BIU/gal or 12.7BIU/L");
    let dose = words.dose.as_ref().and_then(|t| take(problems, "dose", t, want_dose, dose));
    let strength = words.strength.as_ref().and_then(|t| take(problems, "strength", t, want_strength, strength));
    let alone = match (&words.dose, &words.strength) {
        (Some(_), None) => Some(("strength", "--dose is given without --strength.", want_strength)),
        (None, Some(_)) => Some(("dose", "--strength is given without --dose.", want_dose)),
        _ => None,
    };
    if let Some((option, what, expected)) = alone {
        problems.push(Problem::error("A-230", what, "Give both, or neither.").column(option).expected(expected));
    }
    Some(Product { dose: dose?, strength: strength? })
}

fn too_strong(product: VolumePerArea, rate: VolumePerArea) -> Problem {
    let words =
        |v: VolumePerArea| format!("{:.3} gal/ac ({:.2} L/ha)", v.as_gallons_per_acre(), v.as_litres_per_hectare());
    let what = format!("The dose takes {} of product, but only {} are put out.", words(product), words(rate));
    let remedy = "Raise the rate, lower the dose or take a stronger product, within the label.";
    Problem::notice("A-231", what, remedy).column("rate").expected(format!("at least {}", words(product)))
}

/// A number above zero and its unit: small letters, no blanks.
fn number_and_unit(text: &str) -> Option<(f64, String)> {
    let plain: String = text.to_lowercase().chars().filter(|c| !c.is_whitespace()).collect();
    let end = plain.find(|c: char| !(c.is_ascii_digit() || c == '.'))?;
    let value: f64 = plain[..end].parse().ok().filter(|v: &f64| v.is_finite() && *v > 0.0 && *v < 1e6)?;
    Some((value, plain[end..].to_owned()))
}

fn speed(text: &str) -> Option<Speed> {
    let (value, unit) = number_and_unit(text)?;
    Some(match unit.as_str() {
        "mph" | "mi/h" => Speed::miles_per_hour(value),
        "km/h" | "kmh" | "kph" => Speed::kilometres_per_hour(value),
        "m/s" => Speed::metres_per_second(value),
        "m/min" => Speed::metres_per_minute(value),
        "kn" | "kt" | "kts" | "knots" => Speed::knots(value),
        _ => return None,
    })
}

/// "gal/ac" to ("gal", "ac"), in the short spellings.
fn parts(unit: &str) -> Option<(&'static str, &'static str)> {
    let (above, below) = unit.split_once('/')?;
    let short = |word: &str| {
        Some(match word {
            "gal" | "gallon" | "gallons" => "gal",
            "floz" | "fl.oz" | "fl.oz." | "oz" => "floz",
            "l" | "litre" | "litres" | "liter" | "liters" => "l",
            "biu" => "biu",
            "ac" | "acre" | "acres" => "ac",
            "ha" | "hectare" | "hectares" => "ha",
            "min" | "minute" => "min",
            _ => return None,
        })
    };
    Some((short(above)?, short(below)?))
}

fn rate(text: &str) -> Option<(VolumePerArea, bool)> {
    let (value, unit) = number_and_unit(text)?;
    Some(match parts(&unit)? {
        ("gal", "ac") => (VolumePerArea::gallons_per_acre(value), false),
        ("floz", "ac") => (VolumePerArea::fluid_ounces_per_acre(value), false),
        ("l", "ha") => (VolumePerArea::litres_per_hectare(value), true),
        _ => return None,
    })
}

fn flow(text: &str) -> Option<(Flow, bool)> {
    let (value, unit) = number_and_unit(text)?;
    Some(match parts(&unit)? {
        ("gal", "min") => (Flow::gallons_per_minute(value), false),
        ("l", "min") => (Flow::litres_per_minute(value), true),
        _ => return None,
    })
}

fn dose(text: &str) -> Option<Dose> {
    let (value, unit) = number_and_unit(text)?;
    Some(match parts(&unit)? {
        ("biu", "ac") => Dose::biu_per_acre(value),
        ("biu", "ha") => Dose::biu_per_hectare(value),
        _ => return None,
    })
}

fn strength(text: &str) -> Option<Strength> {
    let (value, unit) = number_and_unit(text)?;
    Some(match parts(&unit)? {
        ("biu", "gal") => Strength::biu_per_gallon(value),
        ("biu", "l") => Strength::biu_per_litre(value),
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    fn asked() -> CalibrateWords {
        let own = |t: &str| t.to_owned();
        CalibrateWords {
            speed: own("140 MPH"),
            swath: own("150 ft"),
            rate: Some(own("0.5 gal/acre")),
            ..Default::default()
        }
    }

    /// Every wrong option at once, each by its name.
    #[test]
    fn all_faults_at_once() {
        let words = CalibrateWords {
            speed: "140".to_owned(),
            swath: "0ft".to_owned(),
            rate: Some("0.5 gal/min".to_owned()),
            dose: Some("36BIU/ac".to_owned()),
            ..Default::default()
        };
        let faults = from_words(&words).unwrap_err().problems;
        let named: Vec<_> = faults.iter().filter_map(|p| p.place.column.as_deref()).collect();
        assert_eq!(named, ["speed", "swath", "rate", "strength"]);
        assert!(faults.iter().all(|p| !p.expected.is_empty()));
    }

    #[test]
    fn either_system_gives_the_same() {
        let us = from_words(&asked()).unwrap();
        let metric = CalibrateWords {
            speed: "225.30816km/h".to_owned(),
            swath: "45.72m".to_owned(),
            rate: Some("4.6769798 L/ha".to_owned()),
            ..Default::default()
        };
        let metric = from_words(&metric).unwrap();
        let gallons = |c: &Calibrated| c.figures.flow.as_gallons_per_minute();
        assert!((gallons(&us) - gallons(&metric)).abs() < 1e-5 && metric.metric && !us.metric);
    }

    #[test]
    fn a_dose_that_does_not_fit_is_told() {
        let words =
            CalibrateWords { dose: Some("36BIU/ac".to_owned()), strength: Some("48BIU/gal".to_owned()), ..asked() };
        let told = from_words(&words).unwrap();
        assert_eq!(told.notices[0].code, "A-231");
        assert!(told.notices[0].expected.contains("0.750 gal/ac"));
    }
}
