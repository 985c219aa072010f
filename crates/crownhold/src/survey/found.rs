//! What share of the masses is found, measured on the spot.
//!
//! Detection: one person counts and marks every mass with chalk, another looks again without being told how many there are,
//! and notes how many they found and how many of these bear a mark. The marked share of what the second found is the share
//! that the first finds (the reasoning of Lincoln 1930 for marked birds, from memory). Masses that both miss
//! because they are hard to see make the share look higher than it is.
//!
//! On trees: a lot is searched whole, and the masses on trees are told from those elsewhere.

use statrs::function::beta::inv_beta_reg;

use crate::types::Value;

/// 5 %, middle and 95 % of a share, from `hits` of `of`, by Jeffreys' Beta(hits + 1/2, of - hits + 1/2). Masses of one place
/// tend to be found or missed together; with few places the range is too narrow.
///
/// `None` unless 0 < `hits` <= `of`.
pub fn share(hits: u32, of: u32) -> Option<[f64; 3]> {
    if hits == 0 || hits > of {
        return None;
    }
    let (a, b) = (f64::from(hits) + 0.5, f64::from(of - hits) + 0.5);
    Some([0.05, 0.5, 0.95].map(|p| inv_beta_reg(a, b, p)))
}

/// Share of the masses that a counter finds, from a marked recount: of `found` masses that the second person found, `marked`
/// bore the first person's mark.
pub fn detection(found: u32, marked: u32) -> Option<Value> {
    share(marked, found).map(|[low, middle, high]| Value::Lognormal(low, middle, high))
}

/// Masses per mass on trees, from lots that were searched whole: `all` masses, `on_trees` of them on trees.
pub fn per_mass_on_trees(all: u32, on_trees: u32) -> Option<Value> {
    share(on_trees, all).map(|[low, middle, high]| Value::Lognormal(1.0 / high, 1.0 / middle, 1.0 / low))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// `scipy.stats.beta(34.5, 6.5).ppf([0.05, 0.5, 0.95])`, SciPy 1.17.1.
    #[test]
    fn a_recount() {
        let Some(Value::Lognormal(low, middle, high)) = detection(40, 34) else { panic!("a range") };
        for (got, want) in [(low, 0.740_009_57), (middle, 0.847_037_97), (high, 0.923_834_51)] {
            assert!((got - want).abs() < 1e-7, "{got} {want}");
        }
        assert_eq!(detection(40, 0), None);
        assert_eq!(detection(3, 4), None);
    }

    #[test]
    fn more_masses_than_on_trees() {
        let Some(Value::Lognormal(low, middle, high)) = per_mass_on_trees(100, 74) else { panic!("a range") };
        assert!(1.0 < low && low < middle && middle < high && (1.3..1.4).contains(&middle), "{low} {middle} {high}");
    }
}
