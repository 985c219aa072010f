//! `crownhold frontier`

use std::io::{IsTerminal as _, Write as _};
use std::process::ExitCode;

use crownhold::plan::Plan;
use crownhold_plan::Along;
use crownhold_print::wording::{Wording, grouped};

use super::survey::setting;
use super::table::{row, table};
use super::{args, say, say_json};
use crate::actions::frontier::{Question, TradeOff, trade_off};
use crate::actions::plan::Wishes;
use crate::actions::progress::Watcher;
use crate::trouble::Trouble;
use crate::{actions, wire};

pub(super) fn run(a: &args::Frontier) -> Result<ExitCode, Trouble> {
    let records = actions::records(&a.stage.programme)?;
    let question = Question {
        along: if a.against == "money" { Along::Cost } else { Along::Sprayed },
        points: usize::from(a.points),
        wishes: Wishes {
            budget: a.budget,
            volunteer_hours: a.volunteer_hours,
            max_sprayed_acres: a.max_sprayed_acres,
            accepted_chance: None,
            gap: a.gap,
            robust: false,
        },
    };
    let is_watched = std::io::stderr().is_terminal();
    let found = |n: usize, of: usize| {
        if is_watched {
            let _ = write!(std::io::stderr(), "\r{n} of {of} plans ");
        }
    };
    let all = trade_off(&records, &setting(&a.stage), &question, Watcher::default(), &found)?;
    if is_watched {
        let _ = writeln!(std::io::stderr(), "\r{} plans found    ", all.plans.len());
    }
    if a.stage.json {
        say_json(&wire::FrontierJson::from(&all));
    } else {
        say(&text(&all, Wording::new(records.programme.units)));
    }
    Ok(ExitCode::SUCCESS)
}

fn text(all: &TradeOff, w: Wording) -> String {
    let unit = w.area_unit();
    let mut rows = vec![row([
        format!("flown, {unit}").as_str(),
        &format!("over tolerance, {unit}"),
        "measured again",
        "cost $",
        "crew h",
        "vol. h",
        "blocks flown",
        "gap %",
    ])];
    rows.extend(all.plans.iter().map(|p| line(p, w)));
    let few = if all.plans.len() < all.wanted {
        format!("There are no more than {} such plans, to a thousandth of the span.\n", all.plans.len())
    } else {
        String::new()
    };
    format!(
        "Each line is the plan that leaves the least favoured-tree canopy expected to lose more leaf than tolerated, for what it \
         {}. No line is beaten by another.\n\n{}\n{few}Nothing done: {} over tolerance. By the action threshold alone: {} \
         flown, {} over tolerance, on the same draws.\n\"Measured again\" is on {} other draws, with its standard error.\n",
        match all.along {
            Along::Sprayed => "flies",
            Along::Cost => "costs",
        },
        table(&rows, "rrrrrrrr"),
        w.area(all.untreated),
        w.area(all.rule.flown),
        w.area(all.rule.over_tolerance),
        grouped(all.plans.first().map_or(0, |p| p.risk.fresh_draws) as f64),
    )
}

fn line(p: &Plan, w: Wording) -> Vec<String> {
    let again = p.risk.out_of_sample.zip(p.risk.standard_error);
    vec![
        w.bare_area(p.sprayed()),
        w.bare_area(p.risk.in_sample),
        again.map(|(mean, error)| format!("{} ± {}", w.bare_area(mean), w.bare_area(error))).unwrap_or_default(),
        grouped(p.cost().as_dollars()),
        grouped(p.blocks.iter().map(|b| b.crew_hours.as_hours()).sum()),
        grouped(p.blocks.iter().map(|b| b.volunteer_hours.as_hours()).sum()),
        p.blocks.iter().filter(|b| b.bundle.flies()).count().to_string(),
        format!("{:.2}", 100.0 * p.gap),
    ]
}
