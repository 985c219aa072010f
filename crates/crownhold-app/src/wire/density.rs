//! `survey --json`.

use crownhold::survey::{Density, DensityEstimate};
use crownhold::types::{MassesPerArea, Records};
use serde::Serialize;

use super::{ProblemJson, problems, round};

/// Densities of all blocks and strata.
#[derive(Serialize, Debug)]
pub struct SurveyJson {
    level: f64,
    dispersion: DispersionJson,
    /// How densities vary over space; null where blocks lean on their stratum only.
    space: Option<SpaceJson>,
    /// Regression estimate from timed walks; null where fewer than three blocks have walks and plots.
    walks: Option<WalksJson>,
    new_share: Option<NewShareJson>,
    blocks: Vec<EstimateJson>,
    strata: Vec<EstimateJson>,
    notes: Vec<ProblemJson>,
}

#[derive(Serialize, Debug)]
struct DispersionJson {
    k: f64,
    low: f64,
    high: f64,
    plots: Option<usize>,
}

/// Masses per acre; `r2` is the share of the spread that goes with the walks.
#[derive(Serialize, Debug)]
struct WalksJson {
    blocks: usize,
    blocks_with_plots: usize,
    per_acre_for_each_mass: f64,
    r2: f64,
    mean_per_acre: f64,
    standard_error: f64,
}

/// 5 %, middle and 95 % of what was learned.
#[derive(Serialize, Debug)]
struct SpaceJson {
    spread: [f64; 3],
    length_m: [f64; 3],
    block: [f64; 3],
    plots_without_masses: usize,
    expected_without_masses: f64,
}

#[derive(Serialize, Debug)]
struct NewShareJson {
    new: u32,
    old: u32,
    share: f64,
    low: f64,
    high: f64,
}

#[derive(Serialize, Debug)]
struct EstimateJson {
    id: String,
    plots: usize,
    masses: f64,
    masses_per_acre: f64,
    low: f64,
    high: f64,
    level: f64,
    masses_per_hectare: f64,
    method: &'static str,
    #[serde(skip_serializing_if = "Option::is_none")]
    draws: Option<DrawsJson>,
    #[serde(skip_serializing_if = "Option::is_none")]
    against_last: Option<AgainstLastJson>,
}

/// This season's density over the last one's.
#[derive(Serialize, Debug)]
struct AgainstLastJson {
    last_per_acre: f64,
    p05: f64,
    p50: f64,
    p95: f64,
}

#[derive(Serialize, Debug)]
struct DrawsJson {
    mean_per_acre: f64,
    p05_per_acre: f64,
    p50_per_acre: f64,
    p95_per_acre: f64,
}

impl SurveyJson {
    /// From the densities of a programme.
    pub fn new(d: &Density, records: &Records) -> Self {
        let per_acre = |v: f64| round(MassesPerArea::per_hectare(v).as_per_acre());
        let draws = |b: usize| DrawsJson {
            mean_per_acre: per_acre(d.draws.mean(b)),
            p05_per_acre: per_acre(d.draws.quantile(b, 0.05)),
            p50_per_acre: per_acre(d.draws.quantile(b, 0.5)),
            p95_per_acre: per_acre(d.draws.quantile(b, 0.95)),
        };
        Self {
            level: d.level,
            dispersion: DispersionJson {
                k: round(d.dispersion.k),
                low: round(d.dispersion.range.0),
                high: round(d.dispersion.range.1),
                plots: d.dispersion.plots,
            },
            space: d.space.map(|s| SpaceJson {
                spread: s.spread.map(round),
                length_m: s.length.map(round),
                block: s.block.map(round),
                plots_without_masses: s.empty.0,
                expected_without_masses: round(s.empty.1),
            }),
            walks: d.walks.map(|walks| {
                let acre = |v: f64| round(MassesPerArea::per_square_metre(1.0).as_per_acre() * v);
                WalksJson {
                    blocks: walks.blocks,
                    blocks_with_plots: walks.line.both,
                    per_acre_for_each_mass: acre(walks.line.slope),
                    r2: round(walks.line.r2),
                    mean_per_acre: acre(walks.density.0),
                    standard_error: acre(walks.density.1),
                }
            }),
            new_share: d.new_share.map(|s| NewShareJson {
                new: s.new,
                old: s.old,
                share: round(s.share),
                low: round(s.low),
                high: round(s.high),
            }),
            blocks: d
                .blocks
                .iter()
                .enumerate()
                .map(|(b, (id, e))| EstimateJson {
                    draws: Some(draws(b)),
                    against_last: d.against_last(records, b).map(|a| AgainstLastJson {
                        last_per_acre: round(a.last.as_per_acre()),
                        p05: round(a.times[0]),
                        p50: round(a.times[1]),
                        p95: round(a.times[2]),
                    }),
                    ..estimate(id.as_str(), e, d.level)
                })
                .collect(),
            strata: d.strata.iter().map(|(id, e)| estimate(id.as_str(), e, d.level)).collect(),
            notes: problems(&d.notes),
        }
    }
}

fn estimate(id: &str, e: &DensityEstimate, level: f64) -> EstimateJson {
    EstimateJson {
        id: id.to_owned(),
        plots: e.plots,
        masses: round(e.masses),
        masses_per_acre: round(e.estimate.as_per_acre()),
        low: round(e.low.as_per_acre()),
        high: round(e.high.as_per_acre()),
        level,
        masses_per_hectare: round(e.estimate.as_per_hectare()),
        method: e.method.word(),
        draws: None,
        against_last: None,
    }
}
