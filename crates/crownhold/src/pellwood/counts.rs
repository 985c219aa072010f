//! The invented survey: a true density for every block, plots, counts, and what happened in past seasons.

use geo::{BoundingRect, Centroid, Contains, Point};
use jiff::ToSpan;
use jiff::civil::Date;
use rand_pcg::Pcg64Mcg;

use super::land::Field;
use crate::outlook::Curve;
use crate::tactics::Bundle;
use crate::types::chance::{normal, stream, uniform};
use crate::types::{
    Area, Block, Count, LandUse, MassesPerArea, Parameters, PastSeason, Plot, PlotId, PlotMethod, Share, Substrate,
    Tactic, Visit, VisitId,
};

const PLOT_ACRES: f64 = 1.0 / 40.0;
const PLOTS: usize = 240;

/// True density of every block, the one the counts are drawn from.
pub fn truth(seed: u64, blocks: &[Block]) -> Vec<MassesPerArea> {
    let outbreak = outbreak(seed, blocks);
    blocks
        .iter()
        .enumerate()
        .map(|(b, block)| {
            let mut rng = stream(seed, "pellwood.truth", b as u64);
            let oak = block.hosts.map_or(0.0, |h| h.susceptible.value());
            let log = libm::log(150.0) + 1.2 * outbreak[b] + 1.6 * (oak - 0.4) + 0.35 * normal(&mut rng);
            MassesPerArea::per_acre(libm::exp(log))
        })
        .collect()
}

/// Where the population is up: a smooth field brought to mean 0 and spread 1 over the blocks, so that every
/// seed has its hot spots.
fn outbreak(seed: u64, blocks: &[Block]) -> Vec<f64> {
    let field = Field::new(seed, "pellwood.outbreak", 800.0);
    let raw: Vec<f64> = blocks.iter().map(|b| field.at(b.shape.centroid().unwrap_or(Point::new(0.0, 0.0)))).collect();
    let mean = crate::types::draws::mean(&raw);
    let spread = (raw.iter().map(|v| (v - mean) * (v - mean)).sum::<f64>() / raw.len() as f64).sqrt();
    raw.iter().map(|v| (v - mean) / spread).collect()
}

/// Plots and their visits. One block in seven has no plot.
pub(super) fn survey(seed: u64, season: i16, blocks: &[Block]) -> (Vec<Plot>, Vec<Visit>) {
    let truth = truth(seed, blocks);
    let mut rng = stream(seed, "pellwood.survey", 0);
    let surveyed: Vec<usize> = (0..blocks.len()).filter(|_| uniform(&mut rng) > 1.0 / 7.0).collect();
    let (mut plots, mut visits) = (Vec::new(), Vec::new());
    for i in 0..PLOTS {
        // Every surveyed block in turn, then the rest of the plots at random.
        let b = if i < surveyed.len() {
            surveyed[i]
        } else {
            surveyed[(uniform(&mut rng) * surveyed.len() as f64) as usize % surveyed.len()]
        };
        let id = format!("P{:03}", i + 1);
        plots.push(Plot {
            id: PlotId::new(&id),
            block: blocks[b].id.clone(),
            place: inside(&blocks[b], &mut rng),
            method: PlotMethod::FixedRadius,
            area: Some(Area::acres(PLOT_ACRES)),
        });
        let mean = truth[b].as_per_acre() * PLOT_ACRES;
        let day = Date::constant(season - 1, 9, 14).saturating_add(((uniform(&mut rng) * 58.0) as i64).days());
        visits.push(Visit {
            id: VisitId::new(format!("V{:03}", i + 1)),
            plot: PlotId::new(&id),
            date: day,
            observer: ["technician 1", "technician 2", "technician 3"][i % 3].to_owned(),
            counts: vec![count(mean, &mut rng)],
            note: String::new(),
        });
    }
    (plots, visits)
}

/// Negative binomial with k = 1 (a geometric count), spread over new, old and out of reach.
fn count(mean: f64, rng: &mut Pcg64Mcg) -> Count {
    let new = (libm::log(uniform(rng)) / libm::log(mean / (1.0 + mean))).floor().max(0.0) as u32;
    let mut part = |n: u32, share: f64| (0..n).filter(|_| uniform(rng) < share).count() as u32;
    let (new_low, old_all) = (part(new, 0.65), part(new, 0.35));
    let old_low = part(old_all, 0.65);
    Count {
        substrate: Substrate::All,
        dbh: None,
        new: new_low,
        old: old_low,
        out_of_reach: new - new_low + old_all - old_low,
    }
}

fn inside(block: &Block, rng: &mut Pcg64Mcg) -> Option<Point<f64>> {
    let bounds = block.shape.bounding_rect()?;
    (0..200)
        .map(|_| {
            Point::new(bounds.min().x + uniform(rng) * bounds.width(), bounds.min().y + uniform(rng) * bounds.height())
        })
        .find(|p| block.shape.contains(p))
}

/// The two seasons before: densities, what was flown, and the foliage lost.
pub(super) fn past_seasons(seed: u64, season: i16, blocks: &[Block]) -> Vec<PastSeason> {
    let truth = truth(seed, blocks);
    let curve = Curve::of(&Parameters::defaults());
    let mut past = Vec::new();
    for back in [2_i16, 1] {
        for (b, block) in blocks.iter().enumerate() {
            let mut rng = stream(seed, "pellwood.past", b as u64 * 4 + back as u64);
            let before = truth[b].as_per_acre() * libm::exp(-0.25 * f64::from(back) + 0.6 * normal(&mut rng));
            let wood = matches!(block.land_use, LandUse::Woodland | LandUse::Timber);
            let flown = before > if wood { 420.0 } else { 210.0 };
            let after = if flown { 0.25 * before } else { before };
            past.push(PastSeason {
                season: season - back,
                block: block.id.clone(),
                density: (uniform(&mut rng) < 0.7).then(|| MassesPerArea::per_acre(before)),
                treatment: if flown { Bundle::new(vec![Tactic::AerialOnce]).key() } else { Bundle::WATCH.key() },
                defoliation: Share::new(curve.loss(after, 0.0, normal(&mut rng))),
                sprayed: flown.then(|| block.area() * 0.95),
            });
        }
    }
    past
}
