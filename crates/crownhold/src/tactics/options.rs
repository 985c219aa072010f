//! All options of all blocks.

use rayon::prelude::*;

use super::bars::{Case, bars};
use super::cost::{Site, bill};
use super::effect::{Effects, Ground};
use super::flying::{Flying, bar_the_narrow, bar_the_parted, bar_the_small, sprayable};
use super::larvae::{Larvae, Model};
use super::{BlockOption, BlockOptions, Bundle, Options, RuleOfThumb};
use crate::Setting;
use crate::outlook::{by_land_use, host_trees};
use crate::survey::{Density, DensityMethod};
use crate::timing::Timing;
use crate::types::draws::mean;
use crate::types::{Area, Length, Money, Records, Share, Tactic};

/// The bundles considered, "watch" first. Scraping and flying once go together because scraping is done
/// before the flight is certain; bands with a second flight would only count the survivors.
fn bundles() -> Vec<Bundle> {
    use Tactic::{AerialOnce, AerialTwice, Bands, GroundBtk, Scraping};
    let sets: [&[Tactic]; 14] = [
        &[],
        &[Scraping],
        &[Bands],
        &[GroundBtk],
        &[AerialOnce],
        &[AerialTwice],
        &[Scraping, Bands],
        &[Scraping, GroundBtk],
        &[Bands, GroundBtk],
        &[Scraping, Bands, GroundBtk],
        &[Scraping, AerialOnce],
        &[Bands, AerialOnce],
        &[Scraping, Bands, AerialOnce],
        &[Scraping, AerialTwice],
    ];
    sets.iter().map(|s| Bundle::new(s.to_vec())).collect()
}

/// The options of every block. Without a timing, no option is barred for being late.
///
/// Blocks must have their canopy and host mix, as [`crate::outlook::forecast`] checks.
pub fn options(records: &Records, density: &Density, timing: Option<&Timing>, setting: &Setting) -> Options {
    let model = Model::of(records, timing, setting);
    let bundles = bundles();
    let mut blocks: Vec<BlockOptions> = (0..records.blocks.len())
        .into_par_iter()
        .map(|b| block_options(b, records, density, timing, setting, &model, &bundles))
        .collect();
    let ground = sprayable(records, &model.off);
    let flying = Flying::of(&ground, &records.parameters);
    let feet = |name| Length::feet(records.parameters.number(name));
    let (width, units) = (feet("aerial.least_width"), records.programme.units);
    bar_the_narrow(&mut blocks, &ground, &flying, width, units);
    bar_the_parted(&mut blocks, &ground, [width, feet("aerial.most_gap")], units);
    bar_the_small(&mut blocks, &flying, units);
    Options { blocks, flying, draws: setting.draws, seed: setting.seed }
}

fn block_options(
    b: usize,
    records: &Records,
    density: &Density,
    timing: Option<&Timing>,
    setting: &Setting,
    model: &Model,
    bundles: &[Bundle],
) -> BlockOptions {
    let block = &records.blocks[b];
    let p = &records.parameters;
    let draws = density.draws.block(b);
    let ground = Ground::of(block, model.no_spray[b], draws, p);
    let site = Site {
        ground,
        area: block.area(),
        sprayable: block.area() * ground.sprayable,
        host_trees: host_trees(records, block),
    };
    let decisions = records.decisions.iter().filter(|d| d.block == block.id).collect();
    let plots = density.blocks[b].1.plots;
    let case = Case { block, site: &site, density: draws, plots, decisions, timing, parameters: p, setting };
    let tolerance = by_land_use(p, "outlook.tolerance", block.land_use);
    let larvae = Larvae::of(b, records, draws, &ground, model);
    let options = bundles
        .iter()
        .map(|bundle| {
            let surviving = larvae.surviving(bundle);
            let (cost, labour, sprayed) = sum_of_bills(bundle, &site, &model.effects, p);
            BlockOption {
                bundle: bundle.clone(),
                barred: bars(bundle, &case),
                cost,
                labour,
                sprayed,
                chance_over: larvae.chance_over(&surviving, tolerance, &model.curve),
                expected_defoliation: mean(&larvae.lost(&surviving, &model.curve)),
                larvae_removed: 1.0 - mean(&surviving),
            }
        })
        .collect();
    BlockOptions {
        block: block.id.clone(),
        neighbourhood: block.neighbourhood.clone(),
        host_area: block.host_area().unwrap_or(Area::ZERO),
        tolerance: Share::clamped(tolerance),
        accepted_chance: by_land_use(p, "outlook.accepted_chance", block.land_use),
        no_spray_share: model.no_spray[b],
        options,
    }
}

fn sum_of_bills(
    bundle: &Bundle,
    site: &Site,
    effects: &Effects,
    p: &crate::types::Parameters,
) -> (Money, Vec<super::Labour>, Area) {
    let mut total = (Money::ZERO, Vec::new(), Area::ZERO);
    for tactic in bundle.tactics() {
        let bill = bill(*tactic, site, effects, p);
        total.0 = total.0 + bill.money;
        total.1.extend(bill.labour);
        total.2 = total.2 + bill.sprayed;
    }
    total
}

/// The rule of thumb beside which a plan is judged: fly once over every surveyed block that may be flown and whose
/// estimate stands above its action threshold, and do nothing else.
pub fn threshold_rule(records: &Records, density: &Density, options: &Options) -> RuleOfThumb {
    let once = Bundle::new(vec![Tactic::AerialOnce]);
    let mut rule = RuleOfThumb { flown: Area::ZERO, over_tolerance: Area::ZERO };
    for (b, block) in options.blocks.iter().enumerate() {
        let (_, found) = &density.blocks[b];
        let threshold = by_land_use(&records.parameters, "threshold", records.blocks[b].land_use);
        let meant = found.method == DensityMethod::OwnPlots && found.estimate.as_per_acre() > threshold;
        let flight = block.options.iter().find(|o| meant && o.bundle == once && o.allowed());
        let taken = flight.unwrap_or(&block.options[0]);
        rule.flown = rule.flown + taken.sprayed;
        rule.over_tolerance = rule.over_tolerance + block.host_area * taken.chance_over;
    }
    rule
}
