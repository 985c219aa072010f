//! What a plan says of itself in sentences.

use crownhold::timing::WindowKind;
use crownhold_print::wording::count;
use jiff::ToSpan;

use crate::actions::plan::Made;
use crate::actions::plans::Kept;
use crate::desk::state::Season;

/// Once the day of the notices has gone by, no flight is planned any more: said, because the window is still ahead.
pub(super) fn too_late(season: &Season) -> Option<String> {
    let window = season.timing()?.window(WindowKind::AerialBtk)?;
    let lead = season.records.parameters.number("aerial.notice_days") as i64;
    let by = window.opens_among_those_that_do(0.1)?.checked_sub(lead.days()).ok()?;
    let last = window.closes_among_those_that_do(0.95)?;
    let w = season.wording();
    (by < season.today && season.today <= last).then(|| {
        format!(
            "A flight needs its notices {lead} days ahead, which was {}. A plan made from now on may leave flights out for that \
             reason; a block's card says so.",
            w.date(by)
        )
    })
}

pub(super) fn sentence(season: &Season, made: &Made, kept: &Kept, treated: usize) -> String {
    let w = season.wording();
    let risk = &made.plan.risk;
    let rule = &kept.plan.rule_of_thumb;
    let area = |acres: f64| w.area(crownhold::types::Area::acres(acres));
    let worst = match made.wishes.robust {
        true => {
            " Every option was judged by the worst of three seasons: as forecast, early hatch, weak bands; so are the chances below."
        }
        false => "",
    };
    format!(
        "{treated} of {} blocks are treated, {} flown. Favoured-tree canopy expected to lose more leaf than tolerated falls from {} to {}; \
         in {} the chance stays above the one accepted. Flying by the action threshold alone would take {} and leave {}.{worst}",
        made.plan.blocks.len(),
        w.area(made.plan.sprayed()),
        w.area(risk.untreated),
        w.area(risk.out_of_sample.unwrap_or(risk.in_sample)),
        count(above_accepted(made), "block", "blocks"),
        area(rule.sprayed_acres),
        area(rule.expected_host_acres_over_tolerance),
    )
}

/// Blocks whose chance stays above the one accepted for their land use.
pub(super) fn above_accepted(made: &Made) -> usize {
    let both = made.plan.blocks.iter().zip(&made.stages.options.blocks);
    both.filter(|(b, o)| b.chance_over > o.accepted_chance).count()
}
