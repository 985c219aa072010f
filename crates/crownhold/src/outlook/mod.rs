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
use crate::types::chance::{normal, stream};
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

/// Standard normal residual of every block's defoliation, draws x blocks.
pub fn residuals(blocks: usize, setting: &Setting) -> Draws {
    let draw = |b: usize| {
        let mut rng = stream(setting.seed, "outlook.residual", b as u64);
        (0..setting.draws).map(|_| normal(&mut rng)).collect()
    };
    Draws::from_blocks((0..blocks).map(draw).collect(), setting.draws)
}

/// Shift of the curve for the trend: falling populations do less damage at the same density, rising ones more.
pub fn trend_shift(per_hectare: f64, last_year_per_hectare: Option<f64>, parameters: &Parameters) -> f64 {
    match last_year_per_hectare {
        Some(last) if last > 0.0 && per_hectare < last => parameters.number("outlook.trend.falling"),
        Some(last) if last > 0.0 && per_hectare > 2.0 * last => parameters.number("outlook.trend.rising"),
        _ => 0.0,
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
    use super::{Curve, trend_shift};
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
        let p = Parameters::defaults();
        assert_eq!(trend_shift(500.0, None, &p), 0.0);
        assert!(trend_shift(500.0, Some(800.0), &p) < 0.0);
        assert!(trend_shift(500.0, Some(100.0), &p) > 0.0);
    }
}
