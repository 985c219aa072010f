//! Where to count: plots per stratum or block, and balanced random places for them.

use std::collections::BTreeMap;
use std::path::Path;
use std::sync::Arc;

use crownhold::survey::design::allocation::{Stratum, allocate, deviation, plots_for, precision};
use crownhold::survey::design::places::{Ground, draw};
use crownhold::survey::stopping::wald::WaldRule;
use crownhold::types::chance::splitmix;
use crownhold::types::{
    Area, Block, BlockId, MassesPerArea, NoSprayKind, Plot, PlotId, PlotMethod, Problem, Records, StratumId,
};
use crownhold_data::formats::{Input, Outlines, PlaceToGo, ToLonLat, Wishes, block_at, outlines, places_to_gpx};
use geo::{BoundingRect as _, Intersects as _, MultiPolygon, Point, Rect};
use rayon::prelude::*;

use super::{By, Done, act, ids};
use crate::trouble::Trouble;

/// No design has more plots than this.
pub const MOST_PLOTS: usize = 2_000;

/// What the design is for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Aim {
    /// This many plots, shared out over the strata.
    Plots(usize),
    /// This relative standard error of the mean of all strata, as a share.
    Precision(f64),
    /// A decision on every block between the two densities of the stop rule.
    Threshold,
}

/// What is asked.
#[derive(Clone, Debug, PartialEq)]
pub struct DesignWords {
    /// Aim.
    pub aim: Aim,
    /// Seed of the places.
    pub seed: u64,
    /// Least plots in a stratum.
    pub least: usize,
    /// Replacement places for each stratum (with a threshold: each block).
    pub spare: usize,
    /// Least distance between places, metres.
    pub apart: f64,
    /// Ground to keep off beside water, in the programme's system.
    pub off: Arc<KeepOff>,
}

/// Outlines that no plot may touch, such as buildings and land without access.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct KeepOff {
    /// The file that they came from; empty: none.
    pub file: String,
    /// Outlines.
    pub shapes: Vec<MultiPolygon<f64>>,
    /// What to look at in the file.
    pub notes: Vec<Problem>,
}

impl KeepOff {
    /// Reads a layer of outlines.
    ///
    /// # Errors
    /// When it cannot be read.
    pub fn read(input: &Input, wishes: &Wishes, records: &Records) -> Result<Self, Trouble> {
        let Outlines { shapes, notes } = outlines(input, wishes, records)?;
        Ok(Self { file: input.name.clone(), shapes, notes })
    }
}

/// One stratum of the design.
#[derive(Clone, Debug)]
pub struct StratumDesign {
    /// Its name.
    pub id: StratumId,
    /// Blocks in it.
    pub blocks: usize,
    /// Ground on which plots may lie.
    pub area: Area,
    /// Density expected.
    pub expected: MassesPerArea,
    /// Blocks whose density of an earlier season it rests on; 0: the expectation of the parameters.
    pub known_blocks: usize,
    /// Plots wished for.
    pub plots: usize,
    /// Places found for them; fewer when the ground does not hold them.
    pub placed: usize,
}

/// A place proposed.
#[derive(Clone, Debug)]
pub struct Proposed {
    /// Plot number; replacements carry that of their stratum or block with a letter.
    pub id: String,
    /// Block.
    pub block: BlockId,
    /// Stratum.
    pub stratum: StratumId,
    /// Where, programme's own system.
    pub place: Point<f64>,
    /// Only to be used when a plot of the same stratum (block) cannot be counted; first come first.
    pub replacement: bool,
}

/// The design.
#[derive(Clone, Debug)]
pub struct Design {
    /// Strata.
    pub strata: Vec<StratumDesign>,
    /// Relative standard error expected of the mean of all strata, when strata were allocated.
    pub precision: Option<f64>,
    /// Plots per block for a decision.
    pub per_block: Option<usize>,
    /// Places, plots first within each stratum.
    pub places: Vec<Proposed>,
    /// Plot area.
    pub plot: Area,
    /// What should be known.
    pub notes: Vec<Problem>,
}

/// Works a design out; nothing is written.
///
/// # Errors
/// Without blocks, or when the aim cannot be met.
pub fn design(records: &Records, words: &DesignWords) -> Result<Design, Trouble> {
    if records.blocks.is_empty() {
        let problem = Problem::error("D-001", "There are no blocks.", "Import blocks, or cut them from a boundary.");
        return Err(Trouble::one(problem));
    }
    let plot = Area::acres(records.parameters.number("survey.plot"));
    let water = records.no_spray.iter().filter(|a| a.kind == NoSprayKind::Water).map(|a| &a.shape);
    let off = OffGround::of(water.chain(&words.off.shapes));
    // A circle of the plot's area stays inside its block and off water and all else that is kept off.
    let margin = (plot.as_square_metres() / std::f64::consts::PI).sqrt();
    let grounds: Vec<Ground> = records.blocks.par_iter().map(|b| off.ground(b, margin)).collect();
    let mut strata = strata(records, &grounds);
    // As in the count model: of an area searched, the share that is found.
    let seen = plot * records.parameters.number("survey.detection");
    let numbers: Vec<Stratum> = strata.iter().map(|s| in_numbers(s, records, seen)).collect();
    let mut design = Design {
        strata: Vec::new(),
        precision: None,
        per_block: None,
        places: Vec::new(),
        plot,
        notes: notes(&strata, &words.off),
    };
    match words.aim {
        Aim::Threshold => {
            let n = plots_to_decide(records, seen)?;
            design.per_block = Some(n);
            strata.iter_mut().for_each(|s| s.design.plots = n * s.members.len());
        }
        Aim::Plots(_) | Aim::Precision(_) => {
            let n = how_many(words, &numbers)?;
            let shared = allocate(&numbers, n, words.least);
            design.precision = Some(precision(&numbers, &shared));
            strata.iter_mut().zip(shared).for_each(|(s, n)| s.design.plots = n);
        }
    }
    place_all(records, words, &grounds, &mut strata, &mut design);
    design.strata = strata.into_iter().map(|s| s.design).collect();
    Ok(design)
}

/// What is kept off, with the box around each outline: a city has tens of thousands of buildings.
struct OffGround<'a>(Vec<(Rect<f64>, &'a MultiPolygon<f64>)>);

impl<'a> OffGround<'a> {
    fn of(shapes: impl Iterator<Item = &'a MultiPolygon<f64>>) -> Self {
        Self(shapes.filter_map(|s| Some((s.bounding_rect()?, s))).collect())
    }

    fn ground(&self, block: &Block, margin: f64) -> Ground {
        let Some(around) = block.shape.bounding_rect() else { return Ground::of(&block.shape, &[], margin) };
        let near = self.0.iter().filter(|(bounds, _)| bounds.intersects(&around));
        let near: Vec<MultiPolygon<f64>> =
            near.filter(|(_, s)| s.intersects(&block.shape)).map(|(_, s)| (*s).clone()).collect();
        Ground::of(&block.shape, &near, margin)
    }
}

/// A stratum under way: what is shown, and positions of its blocks with ground.
struct Members {
    design: StratumDesign,
    members: Vec<usize>,
    densities: Vec<f64>,
}

/// Strata with their ground and what earlier seasons say of them.
fn strata(records: &Records, grounds: &[Ground]) -> Vec<Members> {
    let last: BTreeMap<&BlockId, (i16, f64)> = records
        .past
        .iter()
        .filter_map(|p| p.density.map(|d| (&p.block, (p.season, d.as_per_square_metre()))))
        .fold(BTreeMap::new(), |mut all, (block, found)| {
            let kept = all.entry(block).or_insert(found);
            if found.0 > kept.0 {
                *kept = found;
            }
            all
        });
    let expected = MassesPerArea::per_acre(records.parameters.number("survey.prior.level"));
    let mut by_name: BTreeMap<StratumId, Vec<usize>> = BTreeMap::new();
    for (i, block) in records.blocks.iter().enumerate().filter(|(i, _)| grounds[*i].area() > 0.0) {
        by_name.entry(records.stratum_of(block)).or_default().push(i);
    }
    by_name
        .into_iter()
        .map(|(id, members)| {
            let densities: Vec<f64> =
                members.iter().filter_map(|i| last.get(&records.blocks[*i].id).map(|l| l.1)).collect();
            let mean = densities.iter().sum::<f64>() / densities.len().max(1) as f64;
            let known = mean > 0.0;
            let design = StratumDesign {
                id,
                blocks: members.len(),
                area: Area::square_metres(members.iter().map(|i| grounds[*i].area()).sum()),
                expected: if known { MassesPerArea::per_square_metre(mean) } else { expected },
                known_blocks: if known { densities.len() } else { 0 },
                plots: 0,
                placed: 0,
            };
            Members { design, members, densities: if known { densities } else { Vec::new() } }
        })
        .collect()
}

/// Mean and deviation on a plot: negative binomial within blocks, and how much last year's blocks differed.
fn in_numbers(stratum: &Members, records: &Records, seen: Area) -> Stratum {
    let a = seen.as_square_metres();
    let mean = stratum.design.expected.as_per_square_metre() * a;
    let n = stratum.densities.len() as f64;
    let between = if n > 1.0 {
        stratum.densities.iter().map(|d| (d * a - mean) * (d * a - mean)).sum::<f64>() / (n - 1.0)
    } else {
        0.0
    };
    let within = deviation(mean, records.parameters.number("survey.k"));
    let deviation = (within * within + between).sqrt();
    Stratum { area: stratum.design.area.as_square_metres(), mean, deviation, cost: 1.0 }
}

fn notes(strata: &[Members], off: &KeepOff) -> Vec<Problem> {
    let without = strata.iter().filter(|s| s.design.known_blocks == 0).count();
    let mut out = Vec::new();
    if without > 0 {
        let what = format!("{without} strata have no density of an earlier season.");
        out.push(Problem::notice("A-171", what, "The expectation of the parameters was taken for them."));
    }
    let remedy = "Use the replacement places, in their order, where a plot cannot be counted.";
    out.push(match off.file.as_str() {
        "" => Problem::notice(
            "A-172",
            "Water is kept off; buildings and land without access are not known to the programme.",
            format!("{remedy} Or give a layer of them to keep off."),
        ),
        file => {
            let outlines = off.shapes.len();
            Problem::notice("A-172", format!("Water and the {outlines} outlines of {file} are kept off."), remedy)
        }
    });
    out.extend(off.notes.iter().cloned());
    out
}

fn how_many(words: &DesignWords, strata: &[Stratum]) -> Result<usize, Trouble> {
    let refuse = |what: String, expected: &str| {
        Err(Trouble::one(Problem::error("A-170", what, "Correct it.").expected(expected)))
    };
    match words.aim {
        Aim::Plots(n) if n < strata.len() || n > MOST_PLOTS => {
            refuse(format!("{n} plots for {} strata.", strata.len()), "at least one plot a stratum, at most 2,000")
        }
        Aim::Plots(n) => Ok(n),
        Aim::Precision(d) => match plots_for(strata, d, words.least, MOST_PLOTS) {
            Some(n) => Ok(n),
            None => refuse(format!("{:.1} % takes more than 2,000 plots.", 100.0 * d), "a greater standard error"),
        },
        Aim::Threshold => Ok(0),
    }
}

/// Plots of a fixed sample that tells the two densities of the stop rule apart; the rule itself mostly needs fewer.
fn plots_to_decide(records: &Records, seen: Area) -> Result<usize, Trouble> {
    let number = |name: &str| records.parameters.number(name);
    let rule = WaldRule {
        low: MassesPerArea::per_acre(number("survey.stop.low")),
        high: MassesPerArea::per_acre(number("survey.stop.high")),
        k: number("survey.k"),
        alpha: number("survey.stop.alpha"),
        beta: number("survey.stop.beta"),
        plot: seen,
        least: 1,
        most: number("survey.stop.most") as u32,
    };
    rule.plan()?;
    rule.plots_enough().map(|n| n as usize).ok_or_else(|| {
        let what = "More than 300 plots a block would be needed to tell the two densities of the stop rule apart.";
        Trouble::one(Problem::error("A-170", what, "Take densities further apart (survey.stop.low, survey.stop.high)."))
    })
}

fn place_all(records: &Records, words: &DesignWords, grounds: &[Ground], strata: &mut [Members], design: &mut Design) {
    let mut taken: Vec<String> = records.plots.iter().map(|p| p.id.to_string()).collect();
    for (s, stratum) in strata.iter_mut().enumerate() {
        let groups: Vec<Vec<usize>> = match words.aim {
            Aim::Threshold => stratum.members.iter().map(|m| vec![*m]).collect(),
            _ => vec![stratum.members.clone()],
        };
        let wished = stratum.design.plots / groups.len().max(1);
        for (g, members) in groups.iter().enumerate() {
            let parts = members.iter().flat_map(|m| grounds[*m].shape.0.iter().cloned());
            let ground = Ground { shape: MultiPolygon(parts.collect()) };
            // Plots that are there, and places drawn for other strata.
            let drawn = design.places.iter().map(|p| p.place);
            let there: Vec<Point<f64>> = records.plots.iter().filter_map(|p| p.place).chain(drawn).collect();
            let seed = splitmix(words.seed ^ splitmix((s as u64) << 32 | g as u64));
            let places = draw(&ground, wished, words.spare, words.apart, &there, seed);
            stratum.design.placed += places.chosen.len();
            let chosen = places.chosen.into_iter().map(|p| (p, false));
            let spare = places.replacements.into_iter().map(|p| (p, true));
            let (of, mut spares) = (replaced(records, words, stratum, members), 0);
            for (place, replacement) in chosen.chain(spare) {
                let Some(block) = block_at(&records.blocks, place) else { continue };
                let id = if replacement {
                    spares += 1;
                    format!("{of}-R{spares}")
                } else {
                    let next = ids::next(taken.iter().map(String::as_str), "P001");
                    taken.push(next.clone());
                    next
                };
                design.places.push(Proposed { id, block, stratum: stratum.design.id.clone(), place, replacement });
            }
        }
    }
}

/// Whose replacements they are: the block's when every block is drawn by itself, else the stratum's.
fn replaced(records: &Records, words: &DesignWords, stratum: &Members, members: &[usize]) -> String {
    match (words.aim, members) {
        (Aim::Threshold, [block]) => records.blocks[*block].id.to_string(),
        _ => stratum.design.id.to_string(),
    }
}

/// The places as GPX, plots first within each stratum.
///
/// # Errors
/// When the programme's system cannot be turned into longitude and latitude.
pub fn gpx(records: &Records, design: &Design) -> Result<Vec<u8>, Trouble> {
    let to = ToLonLat::new(records.programme.epsg)?;
    let places: Vec<PlaceToGo> = design
        .places
        .iter()
        .filter_map(|p| {
            let kind = if p.replacement { "replacement" } else { "plot" };
            let note = format!("block {}, {}", p.block, p.stratum);
            Some(PlaceToGo { name: p.id.clone(), note, kind: kind.to_owned(), place: to.place(p.place)? })
        })
        .collect();
    places_to_gpx(&places).map_err(|e| Trouble::one(Problem::error("A-002", e, "")))
}

/// Writes the plots of a design into the programme: plots that nobody has visited yet. Replacements are not written.
///
/// # Errors
/// As [`design`], or when the file cannot be written.
pub fn add(path: &Path, words: &DesignWords, by: By<'_>) -> Result<(Design, Done), Trouble> {
    let mut made = None;
    let done = act(path, by, |records| {
        let design = design(records, words)?;
        let area = Some(design.plot);
        let new = design.places.iter().filter(|p| !p.replacement).map(|p| Plot {
            id: PlotId::new(&p.id),
            block: p.block.clone(),
            place: Some(p.place),
            method: PlotMethod::FixedRadius,
            area,
        });
        let before = records.plots.len();
        records.plots.extend(new);
        let added = records.plots.len() - before;
        records.plots.sort_by(|a, b| a.id.cmp(&b.id));
        made = Some(design);
        Ok(Done::new(format!("{added} planned plots added"), ""))
    })?;
    Ok((made.expect("the change was made"), done))
}
