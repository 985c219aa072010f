//! `next-plots --json`.

use serde::Serialize;

use super::round;
use crate::actions::survey_work::NextPlot;

/// Blocks by what one more plot would save, the most first.
#[derive(Serialize, Debug)]
pub struct NextPlotsJson {
    seed: u64,
    draws: usize,
    blocks: Vec<NextJson>,
}

#[derive(Serialize, Debug)]
struct NextJson {
    id: String,
    saves_acres: f64,
    /// ln of the 95 % over the 5 % point of the density.
    log_range: f64,
}

impl NextPlotsJson {
    /// From what was found.
    pub fn new(found: &[NextPlot], seed: u64, draws: usize) -> Self {
        let one = |n: &NextPlot| NextJson {
            id: n.block.to_string(),
            saves_acres: round(n.worth.as_acres()),
            log_range: round(n.doubt),
        };
        Self { seed, draws, blocks: found.iter().map(one).collect() }
    }
}
