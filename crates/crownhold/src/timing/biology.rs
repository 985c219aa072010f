//! The parameters of this room, read once, checked, and turned into tables.

use super::degree_days::{Curve, Cutoff, HeatMethod, StartDay};
use super::hatch::Hatch;
use super::leaf::Leaves;
use super::stages::{Chain, StageLengths};
use crate::types::quantity::celsius;
use crate::types::{Parameters, Problem, Value};

/// What the insect and the oaks need.
#[derive(Clone, Debug)]
pub(super) struct Biology {
    /// How egg heat is counted; its start may be moved.
    pub(super) egg_heat: HeatMethod,
    /// How larval heat is counted.
    pub(super) larva_heat: HeatMethod,
    /// How leaf heat is counted.
    pub(super) leaf_heat: HeatMethod,
    /// Hatch over egg heat.
    pub(super) hatch: Hatch,
    /// Uncertainty of the mean of hatch, degree-days C.
    pub(super) hatch_error: f64,
    /// January and February mean above which egg heat starts in March, degrees C.
    pub(super) warm_winter: f64,
    /// The stages.
    pub(super) chain: Chain,
    /// Uncertainty of the common factor on all stage lengths: mean and spread.
    pub(super) scale: (f64, f64),
    /// Leaves.
    pub(super) leaves: Leaves,
}

impl Biology {
    /// Reads the parameters.
    ///
    /// # Errors
    /// Every parameter whose value makes no sense here.
    pub(super) fn read(parameters: &Parameters) -> Result<Self, Vec<Problem>> {
        let mut wrong = Vec::new();
        let lengths = stage_lengths(parameters, &mut wrong);
        let leaves = Leaves::read(parameters, &mut wrong);
        let (mean, spread) = normal(parameters.value("timing.hatch.heat"));
        let hatch_error = parameters.number("timing.hatch.error");
        let scale = normal(parameters.value("timing.stage.scale"));
        refuse_unless(spread > 0.0, "timing.hatch.heat", "a spread above 0", &mut wrong);
        refuse_unless(hatch_error >= 0.0, "timing.hatch.error", "0 or more", &mut wrong);
        refuse_unless(scale.0 > 0.0, "timing.stage.scale", "a mean above 0", &mut wrong);
        let (base, upper) = (parameters.number("timing.larva.base"), parameters.number("timing.larva.upper"));
        let larva_heat = HeatMethod::new(Curve::SingleSine, base, Some(upper), Cutoff::Horizontal, StartDay::JANUARY);
        let larva_heat = match larva_heat {
            Ok(method) if wrong.is_empty() => method,
            other => {
                wrong.extend(other.err().into_iter().flatten().map(|problem| problem.item("timing.larva.upper")));
                return Err(wrong);
            }
        };
        Ok(Self {
            egg_heat: HeatMethod::above(Curve::SingleSine, parameters.number("timing.egg.base")),
            larva_heat,
            leaf_heat: HeatMethod::above(Curve::SingleSine, celsius(parameters.number("timing.leaf.base"))),
            hatch: Hatch { mean, spread },
            hatch_error,
            warm_winter: parameters.number("timing.hatch.warm-winter"),
            chain: Chain::new(&lengths),
            scale,
            leaves,
        })
    }
}

/// Mean and spread; a single number has none.
fn normal(value: Value) -> (f64, f64) {
    match value {
        Value::Normal(mean, spread) => (mean, spread),
        other => (other.centre(), 0.0),
    }
}

pub(super) fn refuse_unless(holds: bool, name: &str, expected: &str, wrong: &mut Vec<Problem>) {
    if !holds {
        wrong.push(
            Problem::error("timing.parameter", format!("the value of {name} makes no sense."), "Change or restore it.")
                .item(name)
                .expected(expected),
        );
    }
}

fn stage_lengths(parameters: &Parameters, wrong: &mut Vec<Problem>) -> StageLengths {
    let mut read = |name: &str| {
        let name = format!("timing.stage.{name}");
        let heat = parameters.number(&name);
        // The tables are as long as all stages together in steps of the shortest: a stage of nearly nothing
        // beside the others would make them endless.
        refuse_unless((5.0..=2000.0).contains(&heat), &name, "5 to 2000 degree-days C", wrong);
        heat
    };
    let lengths = StageLengths {
        instars: [read("instar-1"), read("instar-2"), read("instar-3"), read("instar-4")],
        male: [read("instar-5-male"), read("pupa-male"), read("adult-male")],
        female: [read("instar-5-female"), read("instar-6-female"), read("pupa-female"), read("adult-female")],
        substages: parameters.number("timing.stage.substages"),
    };
    let name = "timing.stage.substages";
    refuse_unless((4.0..=200.0).contains(&lengths.substages), name, "4 to 200", wrong);
    lengths
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn values_that_make_no_sense_are_named_all_at_once() {
        let mut parameters = Parameters::defaults();
        for (name, value) in
            [("timing.stage.instar-1", 0.0), ("timing.stage.substages", 1.0), ("timing.larva.upper", 2.0)]
        {
            assert!(parameters.set(name, Value::Number(value), "test"));
        }
        let wrong = Biology::read(&parameters).unwrap_err();
        let items: Vec<_> = wrong.iter().filter_map(|p| p.place.item.as_deref()).collect();
        assert_eq!(items, ["timing.stage.instar-1", "timing.stage.substages", "timing.larva.upper"]);
    }
}
