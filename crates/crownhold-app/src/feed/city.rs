//! Blocks, no-spray areas and plots.

use std::collections::BTreeMap;

use crownhold::outlook::by_land_use;
use crownhold::survey::counts::visits_used;
use crownhold::tactics::no_spray_buffer;
use crownhold::types::{Block, Length, MassesPerArea, NoSprayArea, Plot, Records, Visit};
use crownhold_print::wording::{Wording, number};
use geo::{BoundingRect, InteriorPoint};
use serde::Serialize;

use super::{Globe, Position};
use crate::actions::chain::Stages;
use crate::trouble::Trouble;
use crate::wire::round;

/// Quantiles of the density draws that are sent, 0 % and 100 % among them: enough to read a chance to a percent or two.
const QUANTILES: usize = 41;

/// The city as the map draws it.
#[derive(Serialize, Debug)]
#[serde(rename_all = "camelCase")]
pub struct CityFeed {
    /// "us" or "metric", for the scale bar.
    units: &'static str,
    /// "acre" or "hectare", after "egg masses per".
    per_area: &'static str,
    /// West, south, east, north; `None` without a block.
    bounds: Option<[f64; 4]>,
    blocks: Collection<BlockFeed>,
    no_spray: Collection<NoSprayFeed>,
    plots: Collection<PlotFeed>,
}

#[derive(Serialize, Debug)]
struct Collection<P> {
    r#type: &'static str,
    features: Vec<Feature<P>>,
}

#[derive(Serialize, Debug)]
struct Feature<P> {
    r#type: &'static str,
    geometry: Geometry,
    properties: P,
}

#[derive(Serialize, Debug)]
#[serde(tag = "type", content = "coordinates")]
enum Geometry {
    MultiPolygon(Vec<Vec<Vec<Position>>>),
    Point(Position),
}

#[derive(Serialize, Debug)]
struct BlockFeed {
    id: String,
    name: String,
    r#use: &'static str,
    area: String,
    consent: &'static str,
    neighbourhood: Option<String>,
    /// Plots with their centre in the block's own list.
    plots: usize,
    /// A point inside, for a label.
    label: Option<Position>,
    #[serde(flatten)]
    season: Option<SeasonFeed>,
}

/// What the stages say of a block. Densities are new egg masses per `per_area`.
#[derive(Serialize, Debug)]
struct SeasonFeed {
    method: &'static str,
    estimate: f64,
    low: f64,
    high: f64,
    /// Quantiles of the density draws in even steps from 0 to 1.
    q: Vec<f64>,
    /// Action threshold of the land use.
    threshold: f64,
    /// Expected share of favoured foliage lost if nothing is done.
    loss: f64,
    /// Chance of losing more than the tolerance if nothing is done.
    chance: f64,
    tolerance: f64,
}

#[derive(Serialize, Debug)]
struct NoSprayFeed {
    id: String,
    kind: &'static str,
    /// Distance kept, as a text.
    buffer: String,
    /// The area's own distance; `None` where that of its kind applies.
    #[serde(rename = "bufferMetres")]
    buffer_metres: Option<f64>,
    note: String,
}

#[derive(Serialize, Debug)]
struct PlotFeed {
    id: String,
    block: String,
    method: &'static str,
    area: Option<String>,
    visited: bool,
    /// New masses within reach at the visit that counts.
    new: Option<u32>,
    /// All that was counted then, in words.
    found: Option<String>,
}

/// The city; without stages, without densities and outlook.
///
/// # Errors
/// When a shape cannot be brought to longitude and latitude.
pub fn city(records: &Records, stages: Option<&Stages>) -> Result<CityFeed, Trouble> {
    let (globe, wording) = (Globe::of(records)?, Wording::new(records.programme.units));
    let blocks = blocks(records, stages, &globe, wording)?;
    let areas =
        records.no_spray.iter().map(|area| no_spray(area, records, &globe, wording)).collect::<Result<_, _>>()?;
    Ok(CityFeed {
        units: if wording.is_us() { "us" } else { "metric" },
        per_area: if wording.is_us() { "acre" } else { "hectare" },
        bounds: bounds(records, &globe)?,
        blocks: collection(blocks),
        no_spray: collection(areas),
        plots: collection(plots(records, &globe, wording)?),
    })
}

fn collection<P>(features: Vec<Feature<P>>) -> Collection<P> {
    Collection { r#type: "FeatureCollection", features }
}

fn feature<P>(geometry: Geometry, properties: P) -> Feature<P> {
    Feature { r#type: "Feature", geometry, properties }
}

/// Of all corners of the blocks: the box of a projected shape is not the box of its longitudes.
fn bounds(records: &Records, globe: &Globe) -> Result<Option<[f64; 4]>, Trouble> {
    let mut all: Option<[f64; 4]> = None;
    for rect in records.blocks.iter().filter_map(|b| b.shape.bounding_rect()) {
        let (low, high) = (rect.min(), rect.max());
        for (x, y) in [(low.x, low.y), (low.x, high.y), (high.x, low.y), (high.x, high.y)] {
            let [lon, lat] = globe.position(x, y)?;
            let [w, s, e, n] = all.unwrap_or([lon, lat, lon, lat]);
            all = Some([w.min(lon), s.min(lat), e.max(lon), n.max(lat)]);
        }
    }
    Ok(all)
}

fn blocks(
    records: &Records,
    stages: Option<&Stages>,
    globe: &Globe,
    wording: Wording,
) -> Result<Vec<Feature<BlockFeed>>, Trouble> {
    let mut plots: BTreeMap<&str, usize> = BTreeMap::new();
    records.plots.iter().for_each(|p| *plots.entry(p.block.as_str()).or_default() += 1);
    let one = |(b, block): (usize, &Block)| {
        let label = block.shape.interior_point().map(|p| globe.position(p.x(), p.y())).transpose()?;
        let properties = BlockFeed {
            id: block.id.to_string(),
            name: block.name.clone(),
            r#use: block.land_use.word(),
            area: wording.area(block.area()),
            consent: block.consent.word(),
            neighbourhood: block.neighbourhood.clone(),
            plots: plots.get(block.id.as_str()).copied().unwrap_or(0),
            label,
            season: stages.map(|s| season(records, s, b, wording)),
        };
        Ok(feature(Geometry::MultiPolygon(globe.shape(&block.shape)?), properties))
    };
    records.blocks.iter().enumerate().map(one).collect()
}

fn season(records: &Records, stages: &Stages, b: usize, wording: Wording) -> SeasonFeed {
    let shown = |d: MassesPerArea| three_figures(if wording.is_us() { d.as_per_acre() } else { d.as_per_hectare() });
    let (_, found) = &stages.density.blocks[b];
    let mut draws = stages.density.draws.block(b).to_vec();
    draws.sort_by(f64::total_cmp);
    let threshold = by_land_use(&records.parameters, "threshold", records.blocks[b].land_use);
    let options = &stages.options.blocks[b];
    SeasonFeed {
        method: found.method.word(),
        estimate: shown(found.estimate),
        low: shown(found.low),
        high: shown(found.high),
        q: (0..QUANTILES).map(|i| shown(MassesPerArea::per_hectare(of_sorted(&draws, i)))).collect(),
        threshold: shown(MassesPerArea::per_acre(threshold)),
        loss: round(stages.outlook.defoliation.mean(b)),
        chance: round(options.options[0].chance_over),
        tolerance: round(options.tolerance.value()),
    }
}

/// Quantile `i` of [`QUANTILES`], by linear interpolation between order statistics as in `types::draws`.
fn of_sorted(sorted: &[f64], i: usize) -> f64 {
    let at = i as f64 / (QUANTILES - 1) as f64 * (sorted.len() - 1) as f64;
    let (low, high) = (at.floor() as usize, at.ceil() as usize);
    sorted[low] + (sorted[high] - sorted[low]) * (at - low as f64)
}

/// Three figures are more than any density is known to, and keep the feed small.
fn three_figures(value: f64) -> f64 {
    if value <= 0.0 {
        return 0.0;
    }
    let unit = 10f64.powi(2 - value.log10().floor() as i32);
    round((value * unit).round() / unit)
}

fn no_spray(
    area: &NoSprayArea,
    records: &Records,
    globe: &Globe,
    wording: Wording,
) -> Result<Feature<NoSprayFeed>, Trouble> {
    let properties = NoSprayFeed {
        id: area.id.to_string(),
        kind: area.kind.word(),
        buffer_metres: area.buffer.map(|b| round(b.as_metres())),
        buffer: distance(no_spray_buffer(area, &records.parameters), wording),
        note: area.note.clone(),
    };
    Ok(feature(Geometry::MultiPolygon(globe.shape(&area.shape)?), properties))
}

fn distance(length: Length, wording: Wording) -> String {
    if wording.is_us() {
        format!("{} ft", number(length.as_feet()))
    } else {
        format!("{} m", number(length.as_metres()))
    }
}

/// Plots that have a place.
fn plots(records: &Records, globe: &Globe, wording: Wording) -> Result<Vec<Feature<PlotFeed>>, Trouble> {
    let visits: BTreeMap<&str, &Visit> =
        visits_used(records, &mut Vec::new()).into_iter().map(|(p, v)| (p.id.as_str(), v)).collect();
    let one = |plot: &Plot| {
        let at = plot.place?;
        let visit = visits.get(plot.id.as_str()).copied();
        let properties = PlotFeed {
            id: plot.id.to_string(),
            block: plot.block.to_string(),
            method: plot.method.word(),
            area: plot.area.map(|a| wording.plot_area(a)),
            visited: visit.is_some(),
            new: visit.map(|v| v.counts.iter().map(|c| c.new).sum()),
            found: visit.map(found),
        };
        Some(globe.position(at.x(), at.y()).map(|p| feature(Geometry::Point(p), properties)))
    };
    records.plots.iter().filter_map(one).collect()
}

/// "3 new, 1 old, 2 out of reach"
fn found(visit: &Visit) -> String {
    let (mut new, mut old, mut high) = (0, 0, 0);
    for count in &visit.counts {
        new += count.new;
        old += count.old;
        high += count.out_of_reach;
    }
    format!("{new} new, {old} old, {high} out of reach")
}
