//! The untreated season in figures: what the city loses, with ranges.

use crownhold::types::Draws;
use crownhold::types::draws::quantile;

use super::chain::Stages;

/// Where nine in ten of the draws lie, and their middle.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Range {
    /// 5 % point.
    pub low: f64,
    /// Median.
    pub middle: f64,
    /// 95 % point.
    pub high: f64,
}

impl Range {
    /// Of a list of draws.
    ///
    /// # Panics
    /// If the list is empty.
    pub fn of(draws: &[f64]) -> Self {
        // Sorted once: quantiles of a sorted list cost next to nothing.
        let mut sorted = draws.to_vec();
        sorted.sort_by(f64::total_cmp);
        Self { low: quantile(&sorted, 0.05), middle: quantile(&sorted, 0.5), high: quantile(&sorted, 0.95) }
    }
}

/// The whole city, if nothing is done.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Untreated {
    /// Blocks that lose more foliage than their land use tolerates.
    pub blocks_over: Range,
    /// Ground under susceptible crowns in them, acres.
    pub host_over: Range,
    /// Trees that die of it over three years, beyond the usual.
    pub dead_trees: Range,
    /// Removals and nuisance, dollars.
    pub loss: Range,
}

/// Sums over the blocks, draw by draw; a range of sums, not a sum of ranges.
pub fn untreated(stages: &Stages) -> Untreated {
    let options = &stages.options.blocks;
    let tolerances: Vec<f64> = options.iter().map(|o| o.tolerance.value()).collect();
    let host: Vec<f64> = options.iter().map(|o| o.host_area.as_acres()).collect();
    let defoliation = &stages.outlook.defoliation;
    Untreated {
        blocks_over: Range::of(&over(defoliation, &tolerances, &vec![1.0; host.len()])),
        host_over: Range::of(&over(defoliation, &tolerances, &host)),
        dead_trees: Range::of(&stages.outlook.dead_trees.totals()),
        loss: Range::of(&stages.outlook.loss.totals()),
    }
}

/// Draw by draw, the weights of the blocks that lose more than they tolerate.
fn over(defoliation: &Draws, tolerances: &[f64], weights: &[f64]) -> Vec<f64> {
    let lost = |d: usize| {
        let blocks = tolerances.iter().zip(weights).enumerate();
        blocks.filter(|(b, (tolerance, _))| defoliation.at(d, *b) > **tolerance).map(|(_, (_, weight))| weight).sum()
    };
    (0..defoliation.draws()).map(lost).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Hand count: draw 0 has both blocks over 0.4 and 0.5, draw 1 the second, draw 2 none.
    #[test]
    fn blocks_are_counted_draw_by_draw() {
        let draws = Draws::from_blocks(vec![vec![0.5, 0.3, 0.4], vec![0.6, 0.9, 0.5]], 3);
        assert_eq!(over(&draws, &[0.4, 0.5], &[1.0, 1.0]), [2.0, 1.0, 0.0]);
        assert_eq!(over(&draws, &[0.4, 0.5], &[10.0, 3.0]), [13.0, 3.0, 0.0]);
        assert_eq!(Range::of(&[1.0, 2.0, 3.0]), Range { low: 1.1, middle: 2.0, high: 2.9 });
    }
}
