//! The values behind a figure of one block: its plots, its shares, its bill.

use crownhold::survey::counts::{corrected, visits_used};
use crownhold::types::{Block, BlockId, Records};
use crownhold_print::wording::{Wording, chance, grouped, percent};

use super::plan::Made;

/// What stands behind a block's figure, line by line; empty for a figure that is not of a block.
pub fn behind(id: &str, made: &Made, records: &Records) -> Vec<String> {
    let Some((block, end)) = id.rsplit_once('.') else { return Vec::new() };
    let Some(b) = records.block_index(&BlockId::new(block)) else { return Vec::new() };
    let w = Wording::new(records.programme.units);
    let mut lines = vec![ground(&records.blocks[b], w)];
    match end {
        "density" => lines.extend(plots(b, made, records, w)),
        "untreated" | "planned" => lines.extend(chances(b, made, w)),
        "cost" | "crew" | "volunteers" | "sprayed" => lines.extend(bill(b, made, w)),
        _ => {}
    }
    lines
}

fn ground(block: &Block, w: Wording) -> String {
    let share = |s: Option<f64>| s.map_or("not known".to_owned(), percent);
    format!(
        "{}, {}; canopy {}, susceptible {} of it",
        block.land_use,
        w.area(block.area()),
        share(block.canopy.map(|c| c.value())),
        share(block.hosts.map(|h| h.susceptible.value()))
    )
}

fn plots(b: usize, made: &Made, records: &Records, w: Wording) -> Vec<String> {
    let density = &made.stages.density;
    let (id, estimate) = &density.blocks[b];
    let share = density.new_share.map_or(1.0, |s| s.share);
    let mut lines: Vec<String> = visits_used(records, &mut Vec::new())
        .into_iter()
        .filter(|(plot, _)| plot.block == *id)
        .map(|(plot, visit)| {
            let sum = |f: fn(&crownhold::types::Count) -> u32| visit.counts.iter().map(f).sum::<u32>();
            format!(
                "plot {} ({}, {} m²), {}: {} new, {} old, {} out of reach, so {:.2} new",
                plot.id,
                plot.method.word(),
                plot.area.map_or("?".to_owned(), |a| format!("{:.1}", a.as_square_metres())),
                visit.date,
                sum(|c| c.new),
                sum(|c| c.old),
                sum(|c| c.out_of_reach),
                corrected(&visit.counts, share)
            )
        })
        .collect();
    lines.push(format!(
        "{:.2} new masses on {:.1} m²: {} per {}, {:.0} % interval {} to {} ({})",
        estimate.masses,
        estimate.area_square_metres,
        w.bare_density(estimate.estimate),
        w.per_area(),
        100.0 * density.level,
        w.bare_density(estimate.low),
        w.bare_density(estimate.high),
        estimate.method.word()
    ));
    lines
}

fn chances(b: usize, made: &Made, w: Wording) -> Vec<String> {
    let options = &made.stages.options.blocks[b];
    let chosen = &options.options[made.plan.blocks[b].option];
    let watch = &options.options[0];
    vec![
        format!("host area {}, tolerated loss {}", w.area(options.host_area), percent(options.tolerance.value())),
        format!(
            "untreated: expected loss {}, chance of more than tolerated {}",
            percent(watch.expected_defoliation),
            chance(watch.chance_over)
        ),
        format!(
            "{}: removes {} of the larvae, expected loss {}, chance {} (accepted {})",
            chosen.bundle,
            percent(chosen.larvae_removed),
            percent(chosen.expected_defoliation),
            chance(chosen.chance_over),
            chance(options.accepted_chance)
        ),
    ]
}

fn bill(b: usize, made: &Made, w: Wording) -> Vec<String> {
    let plan = &made.plan.blocks[b];
    let options = &made.stages.options.blocks[b];
    let chosen = &options.options[plan.option];
    let wage = made.limits.crew_wage.as_dollars();
    let mut lines = vec![format!(
        "{}: contract, product and materials ${}; {} crew hours at ${wage}; {} volunteer hours",
        chosen.bundle,
        grouped(chosen.cost.as_dollars()),
        grouped(plan.crew_hours.as_hours()),
        grouped(plan.volunteer_hours.as_hours())
    )];
    if chosen.bundle.flies() {
        let wages = wage * plan.crew_hours.as_hours();
        let share = plan.cost.as_dollars() - chosen.cost.as_dollars() - wages;
        lines.push(format!(
            "its share by area of setting up the spray block it lies in, and its turns there: ${}",
            grouped(share)
        ));
        lines.push(format!(
            "flown {} (no-spray share of the block {})",
            w.area(plan.sprayed),
            percent(options.no_spray_share)
        ));
    }
    lines
}
