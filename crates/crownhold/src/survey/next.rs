//! What one more plot would be worth to the plan.
//!
//! A count is worth something when it can change what is done. For every block with something at stake a choice is made
//! between leaving it and acting, whichever is expected to cost less, both in the same unit. The count of one more plot
//! is imagined from the draws; each class of counts makes some draws likelier, in its own block and in blocks whose
//! draws move with it; the choices are made again. What they then cost less, on average over the classes, is the worth of
//! the plot (expected value of sample information; Raiffa & Schlaifer 1961). Limits of money and hours are not in it: it
//! ranks blocks for the next plot, it is no forecast of savings.

use rayon::prelude::*;

use crate::types::Draws;

/// What is at stake in a block, all in one unit.
#[derive(Clone, Debug, PartialEq)]
pub struct Stake {
    /// Position of the block.
    pub block: usize,
    /// What acting costs, whatever the density.
    pub act: f64,
    /// What is lost in each draw when it is left alone.
    pub left: Vec<f64>,
    /// What is lost in each draw in spite of acting.
    pub acted: Vec<f64>,
}

impl Stake {
    /// Expected cost of the better choice when draws weigh so much.
    fn better(&self, weights: &[f64]) -> f64 {
        let sum: f64 = weights.iter().sum();
        let cost = |values: &[f64]| weights.iter().zip(values).map(|(w, v)| w * v).sum::<f64>();
        cost(&self.left).min(cost(&self.acted) + self.act * sum)
    }
}

/// Upper ends of the classes of counts; the last one has no end.
const CLASSES: [usize; 8] = [0, 1, 3, 6, 11, 20, 40, 80];

/// Worth of one more plot of `area` square metres in every block, in the stakes' unit; `k` is the dispersion of counts.
pub fn worth(density: &Draws, stakes: &[Stake], area: f64, k: f64) -> Vec<f64> {
    let logs: Vec<Vec<f64>> = (0..density.blocks())
        .map(|b| centred(density.block(b).iter().map(|d| libm::log(d.max(1e-12))).collect()))
        .collect();
    (0..density.blocks())
        .into_par_iter()
        .map(|b| {
            let moved: Vec<&Stake> = stakes.iter().filter(|s| move_together(&logs[b], &logs[s.block])).collect();
            worth_of(density.block(b), &moved, area, k)
        })
        .collect()
}

fn worth_of(density: &[f64], stakes: &[&Stake], area: f64, k: f64) -> f64 {
    let chances: Vec<Vec<f64>> = density.iter().map(|d| class_chances(d / 10_000.0 * area, k)).collect();
    let even = vec![1.0; density.len()];
    let now: f64 = stakes.iter().map(|s| s.better(&even)).sum();
    let then: f64 = (0..=CLASSES.len())
        .map(|class| {
            let weights: Vec<f64> = chances.iter().map(|c| c[class]).collect();
            stakes.iter().map(|s| s.better(&weights)).sum::<f64>()
        })
        .sum();
    (now - then).max(0.0) / density.len() as f64
}

fn centred(mut values: Vec<f64>) -> Vec<f64> {
    let middle = values.iter().sum::<f64>() / values.len() as f64;
    values.iter_mut().for_each(|v| *v -= middle);
    let length = values.iter().map(|v| v * v).sum::<f64>().sqrt().max(1e-12);
    values.iter_mut().for_each(|v| *v /= length);
    values
}

/// Do two blocks move together by more than chance makes draws look alike? Without this the many blocks that have
/// nothing to do with each other would add up to a worth that is not there.
fn move_together(a: &[f64], b: &[f64]) -> bool {
    let correlation: f64 = a.iter().zip(b).map(|(x, y)| x * y).sum();
    correlation.abs() > 3.5 / (a.len() as f64).sqrt()
}

/// Chance of each class of counts when a plot's mean is `mean`, by the recurrence of the negative binomial.
fn class_chances(mean: f64, k: f64) -> Vec<f64> {
    let ratio = mean / (mean + k);
    let mut chance = libm::pow(1.0 + mean / k, -k);
    let (mut y, mut all) = (0_usize, 0.0);
    let mut classes: Vec<f64> = CLASSES
        .iter()
        .map(|end| {
            let mut sum = 0.0;
            while y <= *end {
                sum += chance;
                chance *= ratio * (y as f64 + k) / (y as f64 + 1.0);
                y += 1;
            }
            all += sum;
            sum
        })
        .collect();
    classes.push((1.0 - all).max(0.0));
    classes
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn classes_add_up() {
        for (mean, k) in [(0.01, 0.3), (6.25, 1.0), (90.0, 0.5)] {
            let all = class_chances(mean, k);
            assert!((all.iter().sum::<f64>() - 1.0).abs() < 1e-12 && all.iter().all(|p| *p >= 0.0), "{all:?}");
        }
        // 1/40 acre at 250 per acre, k 1: 13.79 % of plots are empty.
        assert!((class_chances(6.25, 1.0)[0] - 0.137_931).abs() < 1e-6);
    }

    fn draws(of: impl Fn(usize) -> Vec<f64>) -> Draws {
        Draws::from_blocks((0..3).map(of).collect(), 400)
    }

    /// Block 0 is undecided, block 1 surely above, block 2 moves with block 0 and has nothing at stake.
    #[test]
    fn doubt_that_matters_is_worth_a_plot() {
        let spread = |i: usize| libm::exp(2.0 * (f64::from(((i * 77) % 400) as u16) / 399.0) - 1.0);
        let density = draws(|b| {
            (0..400)
                .map(|i| match b {
                    1 => 20_000.0 * libm::exp(0.05 * f64::from(((i * 31) % 400) as u16) / 400.0),
                    _ => 600.0 * spread(i),
                })
                .collect()
        });
        let stake = |block: usize| Stake {
            block,
            act: 10.0,
            left: density.block(block).iter().map(|d| if *d > 600.0 { 20.0 } else { 0.0 }).collect(),
            acted: vec![0.0; 400],
        };
        let worth = worth(&density, &[stake(0), stake(1)], 101.2, 1.0);
        assert!(worth[0] > 0.5 && worth[1] < 0.01, "{worth:?}");
        assert!((worth[2] - worth[0]).abs() < 1e-9, "what moves along tells as much: {worth:?}");
        // Knowing everything would save half of acting: no plot is worth more.
        assert!(worth[0] < 5.0, "{worth:?}");
    }
}
