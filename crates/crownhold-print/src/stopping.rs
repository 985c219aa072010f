//! The answer of a stop rule in words, the same in the terminal and on the desk.

use crownhold::survey::stopping::advice::{Advice, More};
use crownhold::survey::stopping::{End, Last, StopTable};
use crownhold::types::{Area, MassesPerArea};

use crate::wording::{Wording, chance, count, number};

/// What to do now: "stop: above" or "go on, about 4 more".
pub fn verdict(advice: &Advice, table: &StopTable) -> String {
    match (advice.end, advice.more) {
        (None, Some(more)) => format!("go on, about {}", plots_more(more)),
        (Some(end), _) => {
            let by = if advice.by_line { "" } else { " (last plot: the mean decides)" };
            match (end, table.last()) {
                (End::Below, _) => format!("stop: below{by}"),
                (End::Above, Last::Mean(_)) => format!("stop: above{by}"),
                (End::Above, Last::Nothing) => "stop: precise enough".to_owned(),
                (End::Open, _) => "stop: that was the last plot, and it is not as precise as wished".to_owned(),
            }
        }
        (None, None) => "go on".to_owned(),
    }
}

fn plots_more(more: More) -> String {
    let about = more.mean.round().max(1.0);
    if about >= f64::from(more.at_most) { format!("{} more", more.at_most) } else { format!("{about:.0} more") }
}

/// What was found so far: "3 plots, 8 masses: 107 per acre (90 % 38 to 410)"; nothing counted yet says so.
pub fn found(advice: &Advice, plot: Area, level: f64, w: Wording) -> String {
    let (Some(mean), Some((low, high))) = (advice.mean, advice.interval) else {
        return "No plot counted yet".to_owned();
    };
    let density = |per_plot: f64| w.bare_density(MassesPerArea::per_square_metre(per_plot / plot.as_square_metres()));
    let masses = if (advice.total - 1.0).abs() < 1e-9 { "mass" } else { "masses" };
    format!(
        "{}, {} {masses}: {} per {} ({:.0}\u{a0}% {} to {})",
        count(advice.plots as usize, "plot", "plots"),
        number(advice.total),
        density(mean),
        w.per_area(),
        100.0 * level,
        density(low),
        density(high)
    )
}

/// How long it may take and how it may end; empty when counting has ended.
pub fn outlook(advice: &Advice, table: &StopTable) -> String {
    let Some(more) = advice.more else { return String::new() };
    let end = match table.last() {
        Last::Mean(_) => format!("chance of ending \"above\" {}", chance(more.above)),
        Last::Nothing => format!("chance of reaching the line {}", chance(more.above)),
    };
    format!(
        "Nine times in ten at most {}, never more than {}; {end}. Averaged over the densities that fit these counts.",
        count(more.nine_in_ten as usize, "plot more", "plots more"),
        more.at_most
    )
}
