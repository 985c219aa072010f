//! What is kept back in February for what spring will show.
//!
//! A plan is made in February on autumn's counts. In spring hatch and the first bands tell each block's density anew, with an
//! error of their own, and ground sprays and bands can still be added where it turns out worse; flights cannot, their contract
//! is signed. A [`Policy`] says what February promises. [`likely`] and [`Looks::options`] turn a look in spring into chances
//! to decide by.

use super::{Groups, Limits, Plan};
use crate::tactics::{Bundle, Chances, Flying, Options};
use crate::types::chance::{Stream, normal};
use crate::types::parameters::{Default, Known, Value};
use crate::types::{Draws, HoursSupply, Money, Period, Tactic};

pub(crate) const DEFAULTS: &[Default] = &[
    Default(
        "reserve.look_error",
        Value::Number(0.5),
        "log standard deviation",
        "error of what hatch and the first bands tell in spring of a block's density",
        Known::Assumption,
        "about a factor of 1.6 either way; no published figure was found for a few bands and looks in a block",
    ),
    Default(
        "reserve.springs",
        Value::Number(60.0),
        "springs",
        "springs that every way to plan is tried on",
        Known::Assumption,
        "enough to tell a twentieth of the harm; more take longer",
    ),
    Default(
        "reserve.foreseen",
        Value::Number(10.0),
        "springs",
        "springs that February's plan with spring in view is made for",
        Known::Assumption,
        "others than those it is tried on; more take longer",
    ),
];

/// What a plan of February promises, and what is decided in spring.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Policy {
    /// Share of the money, and of the hours of spring and summer, that February may not use.
    pub kept_back: f64,
    /// Are bands and ground sprays only planned with, and decided in spring? If not they are promised like the rest.
    pub open: bool,
    /// Is February's plan made for what will be seen, some springs being tried beforehand?
    pub foreseen: bool,
}

impl Policy {
    /// The ways that are tried.
    pub const ALL: [Self; 7] = [
        Self { kept_back: 0.0, open: false, foreseen: false },
        Self { kept_back: 0.15, open: false, foreseen: false },
        Self { kept_back: 0.3, open: false, foreseen: false },
        Self { kept_back: 0.0, open: true, foreseen: false },
        Self { kept_back: 0.15, open: true, foreseen: false },
        Self { kept_back: 0.3, open: true, foreseen: false },
        Self { kept_back: 0.0, open: true, foreseen: true },
    ];

    /// What February may use.
    pub fn february(self, limits: &Limits) -> Limits {
        let left = 1.0 - self.kept_back;
        let hours = |h: &HoursSupply| match h.period {
            Period::Winter => h.clone(),
            Period::Spring | Period::Summer => HoursSupply { hours: h.hours * left, ..h.clone() },
        };
        Limits {
            budget: limits.budget.map(|b| Money::dollars(b.as_dollars() * left)),
            hours: limits.hours.iter().map(hours).collect(),
            ..limits.clone()
        }
    }

    /// May a block get this in spring, when February planned that?
    pub fn leaves(self, planned: &Bundle, now: &Bundle) -> bool {
        let promised = |t: &&Tactic| !(self.open && is_of_spring(**t));
        let kept = planned.tactics().iter().filter(promised).all(|t| now.has(*t));
        let added = now.tactics().iter().filter(|t| !planned.has(**t)).all(|t| is_of_spring(*t));
        kept && added && planned.flights() == now.flights()
    }

    /// The options of spring: those that February's plan leaves. What is flown is settled by then, so its spray blocks are no
    /// question any more, and their setting up is paid: see [`settled`].
    pub fn in_spring(self, options: &Options, plan: &Plan) -> Options {
        let mut left = Options { flying: Flying::default(), ..options.clone() };
        for (block, planned) in left.blocks.iter_mut().zip(&plan.blocks) {
            for option in block.options.iter_mut().filter(|o| !self.leaves(&planned.bundle, &o.bundle)) {
                option.barred.push("February's plan leaves no way to it.".to_owned());
            }
        }
        left
    }
}

/// Money for setting up and turns of the spray blocks of February's plan.
pub fn settled(options: &Options, plan: &Plan) -> Money {
    let choice: Vec<usize> = plan.blocks.iter().map(|b| b.option).collect();
    Money::dollars(Groups::new(options, &choice).money())
}

/// Can it still be decided in spring?
pub fn is_of_spring(tactic: Tactic) -> bool {
    matches!(tactic, Tactic::Bands | Tactic::GroundBtk)
}

/// Weights of a block's draws after a look that told the ln of its density with a normal error; they sum to 1.
pub fn likely(draws: &[f64], told: f64, error: f64) -> Vec<f64> {
    let off = |d: &f64| (libm::log(d.max(1e-9)) - told) / error;
    let scores: Vec<f64> = draws.iter().map(|d| -0.5 * off(d) * off(d)).collect();
    let best = scores.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let weights: Vec<f64> = scores.iter().map(|s| libm::exp(s - best)).collect();
    let sum: f64 = weights.iter().sum();
    weights.into_iter().map(|w| w / sum).collect()
}

/// What the looks of one spring tell of every block: ln of masses per hectare.
#[derive(Clone, Debug, PartialEq)]
pub struct Looks(Vec<f64>);

impl Looks {
    /// Looks at a city whose densities, masses per hectare, are those of one draw.
    pub fn at(truth: &Draws, draw: usize, error: f64, rng: &mut Stream) -> Self {
        let of = |b| libm::log(truth.at(draw, b).max(1e-9)) + error * normal(rng);
        Self((0..truth.blocks()).map(of).collect())
    }

    /// The options with the chances that these looks leave. What is seen in one block tells of that block only.
    pub fn options(&self, options: &Options, density: &Draws, chances: &Chances, error: f64) -> Options {
        let mut seen = options.clone();
        for (b, block) in seen.blocks.iter_mut().enumerate() {
            let weights = likely(density.block(b), self.0[b], error);
            for (o, option) in block.options.iter_mut().enumerate() {
                option.chance_over = chances.of(b, o).iter().zip(&weights).map(|(c, w)| c * w).sum();
            }
        }
        seen
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn bundle(tactics: &[Tactic]) -> Bundle {
        Bundle::new(tactics.to_vec())
    }

    #[test]
    fn spring_adds_bands_and_ground_sprays_only() {
        use Tactic::{AerialOnce, Bands, GroundBtk, Scraping};
        let [promised, .., open] = Policy::ALL;
        let planned = bundle(&[Scraping, Bands]);
        assert!(promised.leaves(&planned, &bundle(&[Scraping, Bands, GroundBtk])));
        assert!(!promised.leaves(&planned, &bundle(&[Scraping])));
        assert!(open.leaves(&planned, &bundle(&[Scraping])));
        for policy in [promised, open] {
            assert!(!policy.leaves(&planned, &bundle(&[Bands])), "scraping is done");
            assert!(!policy.leaves(&planned, &bundle(&[Scraping, Bands, AerialOnce])), "no contract");
            assert!(!policy.leaves(&bundle(&[AerialOnce]), &Bundle::WATCH), "the contract is signed");
            assert!(!policy.leaves(&Bundle::WATCH, &bundle(&[Scraping])), "too late to scrape");
        }
    }

    /// Two draws a factor e apart, looked at with error 1 and seen at the lower: odds of exp(1/2).
    #[test]
    fn a_look_makes_near_draws_likelier() {
        let weights = likely(&[1.0, std::f64::consts::E], 0.0, 1.0);
        assert!((weights[0] / weights[1] - libm::exp(0.5)).abs() < 1e-12);
        assert!((weights.iter().sum::<f64>() - 1.0).abs() < 1e-12);
        // Seen far from all draws: the nearest.
        let far = likely(&[1.0, 2.0], 80.0, 0.1);
        assert!(far[1] > 0.999_999);
    }
}
