//! How many plots, and how they are shared out over strata.
//!
//! Neyman's allocation: n_h proportional to A_h s_h / sqrt(c_h), with A the area, s the standard deviation between
//! plots and c the cost of a plot (Neyman 1934, JRSS 97:558-625; Cochran, Sampling Techniques, 5.5). s comes from
//! last year's counts where there are any.

/// A stratum to be counted.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stratum {
    /// Ground on which plots may lie, any unit, the same for all.
    pub area: f64,
    /// Expected mean per plot.
    pub mean: f64,
    /// Standard deviation between plots.
    pub deviation: f64,
    /// Cost of a plot, any unit, the same for all.
    pub cost: f64,
}

impl Stratum {
    /// How much an average plot here adds to the doubt, per root of its cost.
    fn weight(&self) -> f64 {
        self.area * self.deviation / self.cost.sqrt()
    }
}

/// Standard deviation of negative binomial counts.
pub fn deviation(mean: f64, k: f64) -> f64 {
    (mean + mean * mean / k).sqrt()
}

/// Shares `plots` out over the strata, at least `least` in each of them (fewer in all are raised to that). Whole numbers
/// by the greatest gain: each further plot goes where it lowers the variance of the total most for its cost, which
/// for equal costs is the exact optimum in whole numbers (Wright 2012, The American Statistician 66:217-224).
pub fn allocate(strata: &[Stratum], plots: usize, least: usize) -> Vec<usize> {
    let least = least.max(1);
    let mut given = vec![least; strata.len()];
    // Variance of the total is sum w²/n; the n+1st plot lowers it by w²/(n(n+1)).
    let gain = |s: &Stratum, n: usize| s.weight() * s.weight() / (n * (n + 1)) as f64;
    for _ in least * strata.len()..plots {
        let best = (0..strata.len())
            .max_by(|a, b| gain(&strata[*a], given[*a]).total_cmp(&gain(&strata[*b], given[*b])).then(b.cmp(a)));
        match best {
            Some(at) => given[at] += 1,
            None => break,
        }
    }
    given
}

/// Relative standard error of the mean over all strata with these plots; infinite when a stratum has none or nothing
/// is expected anywhere.
pub fn precision(strata: &[Stratum], plots: &[usize]) -> f64 {
    let total: f64 = strata.iter().map(|s| s.area * s.mean).sum();
    let variance: f64 = strata
        .iter()
        .zip(plots)
        .map(|(s, n)| {
            let w = s.area * s.deviation;
            if w > 0.0 { w * w / *n as f64 } else { 0.0 }
        })
        .sum();
    if total > 0.0 { variance.sqrt() / total } else { f64::INFINITY }
}

/// The fewest plots, shared out by [`allocate`], whose relative standard error is `wished` or less; `None` when `most`
/// are not enough.
pub fn plots_for(strata: &[Stratum], wished: f64, least: usize, most: usize) -> Option<usize> {
    let enough = |n: usize| precision(strata, &allocate(strata, n, least)) <= wished;
    let (mut low, mut high) = (least.max(1) * strata.len(), most);
    if strata.is_empty() || low > high || !enough(high) {
        return None;
    }
    while low < high {
        let middle = low + (high - low) / 2;
        if enough(middle) { high = middle } else { low = middle + 1 }
    }
    Some(low)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn stratum(area: f64, deviation: f64, cost: f64) -> Stratum {
        Stratum { area, mean: 5.0, deviation, cost }
    }

    /// Cochran, Sampling Techniques, 5.5: n_h is proportional to A s / sqrt(c). Here 1·2 : 3·4/2 = 1 : 3.
    #[test]
    fn neyman_with_costs() {
        let strata = [stratum(1.0, 2.0, 1.0), stratum(3.0, 4.0, 4.0)];
        assert_eq!(allocate(&strata, 40, 1), [10, 30]);
        assert_eq!(allocate(&strata, 3, 5), [5, 5]);
    }

    /// No other way of sharing 9 plots over three strata has a smaller variance (all tried).
    #[test]
    fn the_best_in_whole_numbers() {
        let strata = [stratum(2.0, 1.0, 1.0), stratum(1.0, 5.0, 1.0), stratum(4.0, 0.7, 1.0)];
        let own = precision(&strata, &allocate(&strata, 9, 1));
        for a in 1..8 {
            for b in 1..9 - a {
                assert!(precision(&strata, &[a, b, 9 - a - b]) >= own - 1e-12);
            }
        }
    }

    /// One stratum: the usual (1/m + 1/k)/D², 18.56 at m 6.25, k 1 and 25 %, so 19 plots.
    #[test]
    fn plots_for_a_precision() {
        let one = [Stratum { area: 7.0, mean: 6.25, deviation: deviation(6.25, 1.0), cost: 1.0 }];
        assert_eq!(plots_for(&one, 0.25, 1, 100), Some(19));
        assert_eq!(plots_for(&one, 0.25, 1, 18), None);
    }
}
