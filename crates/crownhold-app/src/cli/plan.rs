//! `crownhold plan`

use std::process::ExitCode;

use crownhold::plan::Plan;
use crownhold::tactics::threshold_rule;
use crownhold::types::{Problem, Records};
use crownhold_data::store::ProgrammeFile;
use crownhold_print::wording::{Wording, chance, grouped};

use super::plan_difference::text as difference;
use super::survey::setting;
use super::table::{row, table};
use super::{args, say, say_json, warn};
use crate::actions::plan::{Made, Wishes, make};
use crate::actions::plans;
use crate::trouble::Trouble;
use crate::{actions, clock, wire};

pub(super) fn run(a: &args::Plan) -> Result<ExitCode, Trouble> {
    let (records, last_entry) = actions::records_and_entry(&a.stage.programme)?;
    let made = made(a, &records)?;
    let json = wire::PlanJson::new(&made, &records);
    let against = a.against.as_deref().map(|name| plans::load(&a.stage.programme, name)).transpose()?;
    if let Some(name) = &a.keep {
        let author = actions::author(a.author.as_deref());
        plans::keep(&a.stage.programme, name, &json, last_entry, &author, &clock::now())?;
    }
    if a.stage.json {
        say_json(&json);
    } else {
        say(&text(&made, &records));
        if let Some(before) = against {
            say(&difference(&before.name, &plans::compare(&before.plan, &json)));
        }
    }
    Ok(ExitCode::SUCCESS)
}

/// Makes the plan asked for on the command line.
pub(super) fn made(a: &args::Plan, records: &Records) -> Result<Made, Trouble> {
    let wishes = Wishes {
        budget: a.budget,
        volunteer_hours: a.volunteer_hours,
        max_sprayed_acres: a.max_sprayed_acres,
        accepted_chance: a.accepted_chance,
        gap: a.gap,
        robust: a.robust,
    };
    make(records, &setting(&a.stage), &wishes)
}

/// The plan kept under a name, without a search; without a name the plan asked for. What was changed since it was
/// kept is told.
pub(super) fn kept_or_made(which: &args::WhichPlan, records: &Records) -> Result<Made, Trouble> {
    let a = &which.plan;
    let Some(name) = which.kept.as_deref() else { return made(a, records) };
    let kept = plans::load(&a.stage.programme, name)?;
    let history = ProgrammeFile::open(&a.stage.programme)?.history()?;
    let changes = plans::stale(&history, &kept);
    if changes > 0 {
        let what = format!("The plan \"{name}\" is older than {changes} changes of the programme.");
        warn(&Problem::notice("A-025", what, "What is not part of the plan itself is shown as it is now."));
    }
    kept.made(records, None)
}

fn text(made: &Made, records: &Records) -> String {
    let plan = &made.plan;
    let w = Wording::new(records.programme.units);
    let mut rows = vec![row(["block", "option", "untreated", "planned", w.area_unit(), "cost $", "crew h", "vol. h"])];
    for b in plan.blocks.iter().filter(|b| !b.bundle.tactics().is_empty()) {
        rows.push(vec![
            b.block.to_string(),
            b.bundle.key(),
            chance(b.chance_over_untreated),
            chance(b.chance_over),
            w.bare_area(b.sprayed),
            grouped(b.cost.as_dollars()),
            grouped(b.crew_hours.as_hours()),
            grouped(b.volunteer_hours.as_hours()),
        ]);
    }
    format!("{}{}\n{}\n{}", headline(made, w), rule_of_thumb(made, records, w), table(&rows, "llrrrrrr"), closing(made))
}

fn headline(made: &Made, w: Wording) -> String {
    let plan = &made.plan;
    let watched = plan.blocks.iter().filter(|b| b.bundle.tactics().is_empty()).count();
    format!(
        "{} of {} blocks treated, {} flown, ${}, {} crew hours, {} volunteer hours.\n\
         Favoured-tree canopy expected to lose more leaf than tolerated: {} ({} if nothing is done){}.\n\
         For the draws used, no plan within the limits does better by more than {:.3} % ({:.2} s).\n",
        plan.blocks.len() - watched,
        plan.blocks.len(),
        w.area(plan.sprayed()),
        grouped(plan.cost().as_dollars()),
        grouped(plan.blocks.iter().map(|b| b.crew_hours.as_hours()).sum()),
        grouped(plan.blocks.iter().map(|b| b.volunteer_hours.as_hours()).sum()),
        w.area(plan.risk.in_sample),
        w.area(plan.risk.untreated),
        measured_again(plan, w),
        100.0 * plan.gap,
        made.solve_seconds,
    )
}

fn rule_of_thumb(made: &Made, records: &Records, w: Wording) -> String {
    let rule = threshold_rule(records, &made.stages.density, &made.stages.options);
    format!(
        "By the action threshold alone (once over every counted block above it that may be flown): {} flown, {} left.\n\n\
         Below, the chance of losing more leaf than tolerated. Blocks not listed are watched.\n",
        w.area(rule.flown),
        w.area(rule.over_tolerance)
    )
}

fn measured_again(plan: &Plan, w: Wording) -> String {
    let Some((risk, (low, high))) = plan.risk.out_of_sample.zip(plan.risk.range) else { return String::new() };
    let draws = grouped(plan.risk.fresh_draws as f64);
    format!(
        ";\nmeasured again on {draws} other draws {}, nine seasons in ten between {} and {}{}",
        w.area(risk),
        w.area(low),
        w.area(high),
        plan.risk.worst_tenth.map_or(String::new(), |worst| format!(", the worst tenth {} on average", w.area(worst)))
    )
}

fn closing(made: &Made) -> String {
    let mut out = String::new();
    for b in &made.plan.binding {
        out += &format!("What binds: {} ({} of {} {} used).\n", b.limit, grouped(b.used), grouped(b.available), b.unit);
    }
    if let Err(problems) = &made.stages.timing {
        problems.iter().for_each(|p| out += &format!("Made without dates. {p}\n"));
    }
    out + "The label of a product is the law; licensed applicators, local and state rules prevail over this plan.\n"
}
