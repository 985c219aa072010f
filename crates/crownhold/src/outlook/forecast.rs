//! The untreated forecast.

use super::{Curve, Outlook, Trend, per_acre, residuals, trend, trend_shift};
use crate::Setting;
use crate::survey::Density;
use crate::types::chance::{normal, stream, uniform};
use crate::types::{Block, Draws, HostClass, Parameters, PastSeason, Problem, Records};

/// The season if nothing is done.
///
/// # Errors
/// When canopy or host mix of a block is not known: every such block is listed.
pub fn forecast(records: &Records, density: &Density, setting: &Setting) -> Result<Outlook, Vec<Problem>> {
    known_hosts(&records.blocks)?;
    let curve = Curve::of(&records.parameters);
    let residual = residuals(records.blocks.len(), &records.parameters, setting);
    let mut parts: [Vec<Vec<f64>>; 4] = Default::default();
    for (b, block) in records.blocks.iter().enumerate() {
        let last = last_season(records, block);
        let seen = density.draws.block(b);
        let heading = trend(seen, last.and_then(|p| p.density).map(|d| d.as_per_hectare()));
        let shift = trend_shift(heading, &records.parameters);
        let lost: Vec<f64> =
            seen.iter().zip(residual.block(b)).map(|(d, r)| curve.loss(per_acre(*d), shift, *r)).collect();
        let dead = dead_trees(records, block, last, &lost);
        let loss = money_lost(records, block, &lost, &dead, setting);
        let next = next_density(records, b, seen, &lost, heading, setting);
        for (part, values) in parts.iter_mut().zip([lost, dead, loss, next]) {
            part.push(values);
        }
    }
    let [lost, dead, loss, next] = parts.map(|p| Draws::from_blocks(p, setting.draws));
    let blocks = records.blocks.iter().map(|b| b.id.clone()).collect();
    Ok(Outlook { blocks, defoliation: lost, dead_trees: dead, loss, next_density: next })
}

/// Every block needs its canopy share and host mix.
fn known_hosts(blocks: &[Block]) -> Result<(), Vec<Problem>> {
    let missing: Vec<Problem> = blocks
        .iter()
        .filter(|b| b.canopy.is_none() || b.hosts.is_none())
        .map(|b| {
            let what = match (b.canopy, b.hosts) {
                (None, None) => "Canopy share and host mix are not known.",
                (None, _) => "The canopy share is not known.",
                _ => "The host mix is not known.",
            };
            Problem::error("O-001", what, "Import it (blocks or areas), or import the tree inventory for the host mix.")
                .item(format!("block {}", b.id))
                .expected("shares between 0 and 1")
        })
        .collect();
    if missing.is_empty() { Ok(()) } else { Err(missing) }
}

/// What is known of the season before, the latest first.
pub(crate) fn last_season<'a>(records: &'a Records, block: &Block) -> Option<&'a PastSeason> {
    records.past.iter().rfind(|p| p.block == block.id && p.season == records.programme.season - 1)
}

/// Susceptible trees of a block: as many as the inventory has, or as its host canopy suggests if that is more
/// (inventories hold public trees only).
pub fn host_trees(records: &Records, block: &Block) -> f64 {
    let counted = records
        .trees
        .iter()
        .filter(|t| t.block.as_ref() == Some(&block.id) && t.class == Some(HostClass::Susceptible))
        .count() as f64;
    let per_acre = records.parameters.number("outlook.host_trees_per_canopy_acre");
    counted.max(block.host_area().map_or(0.0, |a| a.as_acres() * per_acre))
}

/// Deaths over three years beyond the usual, by how hard the tree is stripped this year and was last year.
fn dead_trees(records: &Records, block: &Block, last: Option<&PastSeason>, lost: &[f64]) -> Vec<f64> {
    let p = &records.parameters;
    let rate = |name: &str| p.number(name);
    let (light, moderate, severe) =
        (rate("outlook.mortality.light"), rate("outlook.mortality.moderate"), rate("outlook.mortality.severe"));
    let before = last.and_then(|l| l.defoliation).map_or(0.0, |d| d.value());
    let trees = host_trees(records, block);
    lost.iter()
        .map(|d| {
            let rate = if *d > 0.5 && before > 0.5 {
                severe
            } else if *d > 0.5 || (*d > 0.3 && before > 0.3) {
                moderate
            } else {
                light
            };
            trees * (rate - light)
        })
        .collect()
}

fn money_lost(records: &Records, block: &Block, lost: &[f64], dead: &[f64], setting: &Setting) -> Vec<f64> {
    let removal = records.parameters.value("outlook.cost.removal");
    let nuisance = records.parameters.number("outlook.cost.nuisance") * f64::from(block.dwellings.unwrap_or(0));
    lost.iter()
        .zip(dead)
        .enumerate()
        .map(|(i, (d, trees))| {
            let price = removal.quantile(uniform(&mut stream(setting.seed, "outlook.removal", i as u64)));
            trees * price + if *d > 0.3 { nuisance * d } else { 0.0 }
        })
        .collect()
}

/// ln N(t+1) = ln N(t) + growth + sd·e, the growth by the phase of the population.
fn next_density(
    records: &Records,
    block: usize,
    seen: &[f64],
    lost: &[f64],
    heading: Trend,
    setting: &Setting,
) -> Vec<f64> {
    let mut rng = stream(setting.seed, "outlook.growth", block as u64);
    let spread = records.parameters.number("outlook.growth.spread");
    seen.iter()
        .zip(lost)
        .map(|(n, d)| grown(*n, growth(*d, heading, &records.parameters), spread, normal(&mut rng)))
        .collect()
}

/// A density one year on.
fn grown(now: f64, growth: f64, spread: f64, z: f64) -> f64 {
    now * libm::exp(growth + spread * z)
}

fn growth(lost: f64, heading: Trend, p: &Parameters) -> f64 {
    p.number(match heading {
        _ if lost > 0.5 => "outlook.growth.collapse",
        Trend::Rising => "outlook.growth.rising",
        _ => "outlook.growth.usual",
    })
}

#[cfg(test)]
mod tests {
    use super::grown;

    /// Arithmetic: 500 per acre, growth ln 0.8327, spread 1.0771: median 416.4, 80 % 104.7 to 1,655.6.
    #[test]
    fn a_year_of_growth() {
        let at = |z| grown(500.0, 0.8327_f64.ln(), 1.0771, z);
        assert!((at(0.0) - 416.35).abs() < 0.1);
        assert!((at(-1.281_551_6) - 104.7).abs() < 0.1 && (at(1.281_551_6) - 1655.6).abs() < 1.0);
    }
}
