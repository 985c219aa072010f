//! Leaves: the heat at which buds break and leaves reach a share of their final size.
//!
//! Worked out from public Harvard Forest records (daily temperatures HF001, leaf development HF003): single sine
//! above 50 F from 1 January. The spread is that between springs, and is taken as wholly common to all marks and
//! hosts of one spring, so that a mark never overtakes the one before it. Between marks the line is straight.
//! One site in central Massachusetts at 340 m: elsewhere, look at the trees.

use super::biology::refuse_unless;
use crate::types::{LeafHost, Parameters, Problem, Value};

/// One mark of a host: leaf size as a share of the final one, heat and its spread, degree-days C on the leaf axis.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct LeafMark {
    pub(super) size: f64,
    pub(super) mean: f64,
    pub(super) spread: f64,
}

impl LeafMark {
    /// Heat at the mark in a spring that is `z` spreads late.
    pub(super) fn heat(&self, z: f64) -> f64 {
        self.mean + z * self.spread
    }
}

/// The marks of every host, in the order of [`LeafHost::ALL`], rising.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Leaves(Vec<Vec<LeafMark>>);

/// Where the parameters of all hosts and marks stand.
const PARAMETERS: &str = "timing.leaf";
/// Sizes with a heat of their own; half of the buds open comes before them, at a size that is a parameter.
const RED_OAK: &[(f64, &str)] = &[(0.25, "25"), (0.4, "40"), (0.5, "50"), (0.75, "75")];
const OTHERS: &[(f64, &str)] = &[(0.4, "40"), (0.5, "50"), (0.75, "75")];

impl Leaves {
    /// Reads the parameters; marks that do not rise become problems.
    pub(super) fn read(parameters: &Parameters, wrong: &mut Vec<Problem>) -> Self {
        let budbreak = parameters.number("timing.sample.leaf-budbreak");
        refuse_unless((0.0..0.25).contains(&budbreak), "timing.sample.leaf-budbreak", "0 to under 0.25", wrong);
        Self(LeafHost::ALL.iter().map(|host| line(*host, budbreak, parameters, wrong)).collect())
    }

    /// The mark of a size, between those that have figures; `None` outside them.
    pub(super) fn mark(&self, host: LeafHost, size: f64) -> Option<LeafMark> {
        let marks = &self.0[host as usize];
        let pair = marks.windows(2).find(|pair| (pair[0].size..=pair[1].size).contains(&size))?;
        let along = (size - pair[0].size) / (pair[1].size - pair[0].size);
        let between = |a: f64, b: f64| a + along * (b - a);
        Some(LeafMark {
            size,
            mean: between(pair[0].mean, pair[1].mean),
            spread: between(pair[0].spread, pair[1].spread),
        })
    }

    /// Half of the buds are open.
    pub(super) fn budbreak(&self, host: LeafHost) -> LeafMark {
        self.0[host as usize][0]
    }

    /// The smallest and the largest size with a heat.
    pub(super) fn sizes(&self, host: LeafHost) -> (f64, f64) {
        let marks = &self.0[host as usize];
        (marks[0].size, marks[marks.len() - 1].size)
    }
}

fn line(host: LeafHost, budbreak: f64, parameters: &Parameters, wrong: &mut Vec<Problem>) -> Vec<LeafMark> {
    let name = |mark: &str| format!("{PARAMETERS}.{}-{mark}", host.word().replace(' ', "-"));
    // Sources count this heat in degrees F.
    let read = |size: f64, mark: &str| match parameters.value(&name(mark)) {
        Value::Normal(mean, spread) => LeafMark { size, mean: mean / 1.8, spread: spread / 1.8 },
        other => LeafMark { size, mean: other.centre() / 1.8, spread: 0.0 },
    };
    let sized = if host == LeafHost::RedOak { RED_OAK } else { OTHERS };
    let first = std::iter::once((budbreak, "budbreak"));
    let marks: Vec<(LeafMark, &str)> =
        first.chain(sized.iter().copied()).map(|(size, mark)| (read(size, mark), mark)).collect();
    for pair in marks.windows(2) {
        let expected = format!("more heat than {}", name(pair[0].1));
        refuse_unless(pair[1].0.mean >= pair[0].0.mean, &name(pair[1].1), &expected, wrong);
    }
    marks.into_iter().map(|(mark, _)| mark).collect()
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    fn leaves() -> Leaves {
        let mut wrong = Vec::new();
        let leaves = Leaves::read(&Parameters::defaults(), &mut wrong);
        assert_eq!(wrong, []);
        leaves
    }

    /// Red oak 25 % at 241 and 40 % at 271 degree-days F: 30 % is a third of the way.
    #[test]
    fn between_two_marks_the_line_is_straight() {
        let mark = leaves().mark(LeafHost::RedOak, 0.3).unwrap();
        assert!((mark.mean * 1.8 - 251.0).abs() < 1e-9, "{mark:?}");
        assert_eq!(leaves().mark(LeafHost::RedOak, 0.9), None);
    }

    /// Mean dates at Harvard Forest 1990-2014, 40 % of final size: day 133 sugar maple, 135 beech, 139 yellow birch,
    /// 141 red maple, 143 red oak, 148 white oak.
    #[test]
    fn hosts_follow_each_other_as_seen() {
        let heat = |host| leaves().mark(host, 0.4).unwrap().mean;
        let order = [
            LeafHost::SugarMaple,
            LeafHost::Beech,
            LeafHost::YellowBirch,
            LeafHost::RedMaple,
            LeafHost::RedOak,
            LeafHost::WhiteOak,
        ];
        assert!(order.windows(2).all(|pair| heat(pair[0]) < heat(pair[1])));
    }

    #[test]
    fn marks_that_fall_are_refused() {
        let mut parameters = Parameters::defaults();
        parameters.set("timing.leaf.red-oak-40", Value::Normal(100.0, 24.0), "test");
        let mut wrong = Vec::new();
        Leaves::read(&parameters, &mut wrong);
        assert_eq!(wrong.len(), 1, "{wrong:?}");
    }
}
