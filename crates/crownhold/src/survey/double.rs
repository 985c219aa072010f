//! Double sampling: a quick index everywhere, plots in some of the blocks, and the line between them.
//!
//! Timed walks go with density, but how closely differs between habitats and people (Fleischer et al. 1991), so there
//! is no line to ship: it is fitted anew on the blocks that have both. The regression estimate is that of survey sampling
//! (Cochran, Sampling Techniques, 3rd ed., section 12.6). The count model over space uses the same index as a covariate,
//! block by block; this is the check by hand, and the answer for the walked blocks together.

use std::collections::BTreeMap;

use super::counts::{PlotCount, visits_used};
use crate::types::draws::mean;
use crate::types::{PlotMethod, Records};

/// A line between index and density, fitted where both are known.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Line {
    /// Density for each mass of the index.
    pub slope: f64,
    /// Share of the spread of densities that goes with the index.
    pub r2: f64,
    /// Blocks with both.
    pub both: usize,
    mean_x: f64,
    mean_y: f64,
    residual: f64,
    spread_x: f64,
}

impl Line {
    /// Least squares on (index, density); `None` for fewer than three pairs or an index that never changes.
    pub fn fit(pairs: &[(f64, f64)]) -> Option<Self> {
        let n = pairs.len() as f64;
        let (mean_x, mean_y) = (mean_of(pairs, |p| p.0), mean_of(pairs, |p| p.1));
        let sum = |f: &dyn Fn(&(f64, f64)) -> f64| pairs.iter().map(f).sum::<f64>();
        let xx = sum(&|p| (p.0 - mean_x) * (p.0 - mean_x));
        let xy = sum(&|p| (p.0 - mean_x) * (p.1 - mean_y));
        let yy = sum(&|p| (p.1 - mean_y) * (p.1 - mean_y));
        if pairs.len() < 3 || xx <= 0.0 {
            return None;
        }
        let slope = xy / xx;
        let left = (yy - slope * xy).max(0.0);
        let r2 = if yy > 0.0 { 1.0 - left / yy } else { 0.0 };
        Some(Self { slope, r2, both: pairs.len(), mean_x, mean_y, residual: left / (n - 2.0), spread_x: xx })
    }

    /// Mean density where the index was taken on `all` blocks, and its standard error.
    pub fn estimate(&self, all: &[f64]) -> (f64, f64) {
        let (n, n_all, mean_all) = (self.both as f64, all.len() as f64, mean(all));
        let away = mean_all - self.mean_x;
        let spread_all = all.iter().map(|x| (x - mean_all) * (x - mean_all)).sum::<f64>() / (n_all - 1.0).max(1.0);
        let variance =
            self.residual * (1.0 / n + away * away / self.spread_x) + self.slope * self.slope * spread_all / n_all;
        (self.mean_y + self.slope * away, variance.sqrt())
    }
}

fn mean_of(pairs: &[(f64, f64)], of: impl Fn(&(f64, f64)) -> f64) -> f64 {
    mean(&pairs.iter().map(of).collect::<Vec<_>>())
}

/// What walks tell of the blocks walked, together.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Walked {
    /// The line.
    pub line: Line,
    /// Blocks walked.
    pub blocks: usize,
    /// Mean density of the blocks walked, masses per square metre, and its standard error.
    pub density: (f64, f64),
}

/// New masses on each index plot of a kind, as the mean for each block of the records.
pub fn index(records: &Records, kind: PlotMethod) -> Vec<Option<f64>> {
    let mut found: BTreeMap<&str, Vec<f64>> = BTreeMap::new();
    for (plot, visit) in visits_used(records, &mut Vec::new()) {
        if plot.method == kind {
            let new: f64 = visit.counts.iter().map(|c| f64::from(c.new)).sum();
            found.entry(plot.block.as_str()).or_default().push(new);
        }
    }
    records.blocks.iter().map(|b| found.get(b.id.as_str()).map(|all| mean(all))).collect()
}

/// The regression estimate from timed walks; `None` where fewer than three blocks have walks and plots.
pub fn walked(records: &Records, plots: &[PlotCount]) -> Option<Walked> {
    let walks = index(records, PlotMethod::TimedWalk);
    let on_plots = |b: usize| {
        let own: Vec<&PlotCount> = plots.iter().filter(|p| p.block == b).collect();
        let area: f64 = own.iter().map(|p| p.area).sum();
        (area > 0.0).then(|| own.iter().map(|p| p.masses).sum::<f64>() / area)
    };
    let both: Vec<(f64, f64)> =
        walks.iter().enumerate().filter_map(|(b, walk)| Some(((*walk)?, on_plots(b)?))).collect();
    let all: Vec<f64> = walks.into_iter().flatten().collect();
    let line = Line::fit(&both)?;
    Some(Walked { line, blocks: all.len(), density: line.estimate(&all) })
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    /// science/survey.md 1.5, arithmetic of the stated formula.
    #[test]
    fn the_regression_estimate() {
        let x = [2.0, 5.0, 0.0, 8.0, 12.0, 3.0, 20.0, 6.0];
        let y = [60.0, 140.0, 0.0, 300.0, 420.0, 80.0, 700.0, 200.0];
        let pairs: Vec<(f64, f64)> = x.into_iter().zip(y).collect();
        let line = Line::fit(&pairs).unwrap();
        assert!((line.slope - 35.8621).abs() < 1e-4, "{}", line.slope);
        let (middle, error) = line.estimate(&[5.0; 40]);
        assert!((middle - 165.776).abs() < 1e-3, "{middle}");
        // Without spread in the index only the line's own error is left.
        let bare = (line.residual * (1.0 / 8.0 + 4.0 / line.spread_x)).sqrt();
        assert!((line.mean_x - 7.0).abs() < 1e-12 && (error - bare).abs() < 1e-9);
        assert!(Line::fit(&pairs[..2]).is_none() && Line::fit(&[(1.0, 2.0); 5]).is_none());
    }
}
