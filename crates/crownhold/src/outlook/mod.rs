//! What happens if nothing is done: foliage lost, trees killed, money, and next autumn's masses.
//!
//! The defoliation curve is logistic in the log of density with a residual of its own; its defaults are an
//! assumption (no published coefficients could be read) and reproduce only the trade's anchor lines. A
//! programme should refit it to its own pairs of count and defoliation. The residual of a block is drawn
//! once and used for every option of that block, so that options differ by what they do, not by luck.

mod defaults;
mod forecast;

pub(crate) use forecast::last_season;
pub use forecast::{forecast, host_trees};

pub(crate) use defaults::DEFAULTS;

use crate::Setting;
use crate::types::chance::{normal, normal_cdf, stream};
use crate::types::draws::share;
use crate::types::quantity::SQUARE_METRES_PER_ACRE;
use crate::types::{BlockId, Draws, LandUse, Parameters};

/// The untreated season, draws x blocks.
#[derive(Clone, Debug, PartialEq)]
pub struct Outlook {
    /// Blocks, in order.
    pub blocks: Vec<BlockId>,
    /// Share of favoured-host foliage lost.
    pub defoliation: Draws,
    /// Host trees that will die of it over three years, beyond the usual.
    pub dead_trees: Draws,
    /// Loss in money: removals and nuisance.
    pub loss: Draws,
    /// Next autumn's density, egg masses per hectare.
    pub next_density: Draws,
}

/// The defoliation curve: logit(loss) = slope (ln x - ln midpoint) + shift + residual.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Curve {
    /// Masses per acre at which half the favoured foliage is lost.
    pub midpoint: f64,
    /// Steepness on the log scale.
    pub slope: f64,
    /// Standard deviation of the residual on the logit scale.
    pub residual: f64,
}

impl Curve {
    /// The programme's curve.
    pub fn of(parameters: &Parameters) -> Self {
        Self {
            midpoint: parameters.number("outlook.curve.midpoint"),
            slope: parameters.number("outlook.curve.slope"),
            residual: parameters.number("outlook.curve.residual"),
        }
    }
    /// Chance of losing more than `tolerance` at a density (masses per acre) and shift, over the residual.
    pub fn chance_over(&self, per_acre: f64, shift: f64, tolerance: f64) -> f64 {
        if per_acre <= 0.0 {
            return 0.0;
        }
        let line = libm::log(tolerance / (1.0 - tolerance));
        let centre = self.slope * libm::log(per_acre / self.midpoint) + shift;
        normal_cdf((centre - line) / self.residual.max(1e-9))
    }
    /// Share of favoured foliage lost at a density (masses per acre), a shift for the trend (logits) and a
    /// standard normal residual.
    pub fn loss(&self, per_acre: f64, shift: f64, residual: f64) -> f64 {
        if per_acre <= 0.0 {
            return 0.0;
        }
        let logit = self.slope * libm::log(per_acre / self.midpoint) + shift + self.residual * residual;
        1.0 / (1.0 + libm::exp(-logit))
    }
}

/// Masses per acre of a density in masses per hectare.
pub fn per_acre(per_hectare: f64) -> f64 {
    per_hectare * SQUARE_METRES_PER_ACRE / 10_000.0
}

/// Standard normal residual of every block's defoliation, draws x blocks. A part of its variance is common to the
/// whole city in a draw: a season with much disease is one everywhere, so bad luck does not average out over blocks.
pub fn residuals(blocks: usize, parameters: &Parameters, setting: &Setting) -> Draws {
    let common = parameters.number("outlook.curve.common_share").clamp(0.0, 1.0);
    let mut rng = stream(setting.seed, "outlook.season", 0);
    let season: Vec<f64> = (0..setting.draws).map(|_| common.sqrt() * normal(&mut rng)).collect();
    let draw = |b: usize| {
        let mut rng = stream(setting.seed, "outlook.residual", b as u64);
        season.iter().map(|s| s + (1.0 - common).sqrt() * normal(&mut rng)).collect()
    };
    Draws::from_blocks((0..blocks).map(draw).collect(), setting.draws)
}

/// Where a block's population is heading.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Trend {
    /// Almost surely below last autumn.
    Falling,
    /// Not known, or about the same.
    Unclear,
    /// More likely than not above twice last autumn.
    Rising,
}

/// The trend of a block, decided once from all its draws: two noisy counts of a steady population differ, so a
/// fall is believed only at 90 %, and a doubling when it is more likely than not. A counted zero last year and
/// anything now is a rise.
pub fn trend(draws: &[f64], last_year_per_hectare: Option<f64>) -> Trend {
    match last_year_per_hectare {
        Some(last) if share(draws, |d| d < last) > 0.9 => Trend::Falling,
        Some(last) if share(draws, |d| d > 2.0 * last) > 0.5 => Trend::Rising,
        _ => Trend::Unclear,
    }
}

/// Shift of the curve for the trend: falling populations do less damage at the same density, rising ones more.
pub fn trend_shift(trend: Trend, parameters: &Parameters) -> f64 {
    match trend {
        Trend::Falling => parameters.number("outlook.trend.falling"),
        Trend::Rising => parameters.number("outlook.trend.rising"),
        Trend::Unclear => 0.0,
    }
}

/// The parameter of a land use: `prefix` + its short name.
pub fn by_land_use(parameters: &Parameters, prefix: &str, land_use: LandUse) -> f64 {
    let name = match land_use {
        LandUse::Residential => "residential",
        LandUse::Park => "park",
        LandUse::School => "school",
        LandUse::Woodland => "woodland",
        LandUse::Timber => "timber",
        LandUse::Other => "other",
    };
    parameters.number(&format!("{prefix}.{name}"))
}

#[cfg(test)]
mod tests {
    use super::{Curve, Trend, trend};
    use crate::types::Parameters;

    /// Arithmetic of the stated default curve; the anchor lines it was made to meet (250 per acre just under
    /// 30 %) are those of Michigan State and Ohio extension.
    #[test]
    fn default_curve() {
        let curve = Curve::of(&Parameters::defaults());
        for (x, want) in [(100.0, 0.1429), (250.0, 0.2941), (500.0, 0.4545), (1000.0, 0.6250)] {
            assert!((curve.loss(x, 0.0, 0.0) - want).abs() < 1e-3);
        }
        assert!((curve.loss(500.0, -0.7, 0.0) - 0.2927).abs() < 1e-3);
        let z = 1.281_551_565_544_6;
        assert!((curve.loss(500.0, 0.0, -z) - 0.152).abs() < 1e-3);
        assert!((curve.loss(500.0, 0.0, z) - 0.795).abs() < 1e-3);
        assert_eq!(curve.loss(0.0, 0.0, 3.0), 0.0);
    }

    #[test]
    fn trend_moves_the_curve() {
        let now = [400.0, 500.0, 600.0];
        assert_eq!(trend(&now, None), Trend::Unclear);
        assert_eq!(trend(&now, Some(550.0)), Trend::Unclear);
        assert_eq!(trend(&now, Some(800.0)), Trend::Falling);
        assert_eq!(trend(&now, Some(100.0)), Trend::Rising);
        assert_eq!(trend(&now, Some(0.0)), Trend::Rising);
    }

    /// The chance over a tolerance is the share of residuals that carry the loss over it.
    #[test]
    fn chance_is_the_tail_of_the_residual() {
        let curve = Curve::of(&Parameters::defaults());
        let n = 20_000;
        let over = (0..n).filter(|i| {
            let z = crate::types::chance::normal_quantile((f64::from(*i) + 0.5) / f64::from(n));
            curve.loss(180.0, -0.3, z) > 0.4
        });
        assert!((curve.chance_over(180.0, -0.3, 0.4) - over.count() as f64 / f64::from(n)).abs() < 1e-4);
        assert_eq!(curve.chance_over(0.0, 0.0, 0.4), 0.0);
        assert_eq!(curve.chance_over(9.0, 0.0, 1.0), 0.0);
    }
}
