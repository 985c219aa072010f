//! Draws x blocks: how every uncertain stage result is passed on.

/// A table of draws: for each block, the same number of draws; draw `i` of every block belongs together.
#[derive(Clone, Debug, PartialEq)]
pub struct Draws {
    draws: usize,
    /// Block after block, so that one block's draws are one slice.
    values: Vec<f64>,
}

impl Draws {
    /// From one vector of draws per block.
    ///
    /// # Panics
    /// If the blocks do not all have the same number of draws, or there are none.
    pub fn from_blocks(blocks: Vec<Vec<f64>>, draws: usize) -> Self {
        assert!(draws > 0, "at least one draw");
        assert!(blocks.iter().all(|b| b.len() == draws), "every block has the same number of draws");
        Self { draws, values: blocks.concat() }
    }
    /// How many draws each block has.
    pub fn draws(&self) -> usize {
        self.draws
    }
    /// How many blocks.
    pub fn blocks(&self) -> usize {
        self.values.len() / self.draws
    }
    /// The draws of one block.
    pub fn block(&self, block: usize) -> &[f64] {
        &self.values[block * self.draws..(block + 1) * self.draws]
    }
    /// One draw of one block.
    pub fn at(&self, draw: usize, block: usize) -> f64 {
        self.values[block * self.draws + draw]
    }
    /// Mean of one block's draws.
    pub fn mean(&self, block: usize) -> f64 {
        mean(self.block(block))
    }
    /// Quantile of one block's draws, by linear interpolation between order statistics.
    pub fn quantile(&self, block: usize, p: f64) -> f64 {
        quantile(self.block(block), p)
    }
    /// The sum over all blocks, draw by draw: draw `i` of every block belongs together.
    pub fn totals(&self) -> Vec<f64> {
        (0..self.draws).map(|d| (0..self.blocks()).map(|b| self.at(d, b)).sum()).collect()
    }
    /// The same shape with every value changed.
    pub fn map(&self, f: impl Fn(f64) -> f64) -> Self {
        Self { draws: self.draws, values: self.values.iter().map(|v| f(*v)).collect() }
    }
}

/// Mean of a list; 0 for an empty one.
pub fn mean(values: &[f64]) -> f64 {
    if values.is_empty() { 0.0 } else { values.iter().sum::<f64>() / values.len() as f64 }
}

/// Share of the values for which a condition holds.
pub fn share(values: &[f64], holds: impl Fn(f64) -> bool) -> f64 {
    values.iter().filter(|v| holds(**v)).count() as f64 / values.len().max(1) as f64
}

/// Quantile by linear interpolation between order statistics (the "type 7" of Hyndman & Fan 1996).
///
/// # Panics
/// If the list is empty.
pub fn quantile(values: &[f64], p: f64) -> f64 {
    let mut sorted = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    let at = p.clamp(0.0, 1.0) * (sorted.len() - 1) as f64;
    let low = at.floor() as usize;
    let high = at.ceil() as usize;
    sorted[low] + (sorted[high] - sorted[low]) * (at - low as f64)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn quantiles_interpolate() {
        let v = [4.0, 1.0, 3.0, 2.0];
        assert_eq!(quantile(&v, 0.0), 1.0);
        assert_eq!(quantile(&v, 0.5), 2.5);
        assert_eq!(quantile(&v, 1.0), 4.0);
    }
}
