//! `crownhold plan`

use std::process::ExitCode;

use crownhold::plan::Plan;
use crownhold::tactics::threshold_rule;
use crownhold::types::{Problem, Records};
use crownhold_data::store::ProgrammeFile;
use crownhold_print::wording::{Wording, chance, grouped};

use super::plan_difference::{kept, text as difference};
use super::survey::setting;
use super::table::{row, table};
use super::{args, say, say_json};
use crate::actions::plan::{Made, Wishes, make};
use crate::trouble::Trouble;
use crate::{actions, clock, wire};

pub(super) fn run(a: &args::Plan) -> Result<ExitCode, Trouble> {
    let records = actions::records(&a.stage.programme)?;
    let made = made(a, &records)?;
    let json = wire::PlanJson::new(&made, &records);
    let against =
        a.against.as_deref().map(|name| Ok::<_, Trouble>((name, kept(&a.stage.programme, name)?))).transpose()?;
    if let Some(name) = &a.keep {
        let text = serde_json::to_string(&json).expect("our own shapes have string keys only");
        let mut file = ProgrammeFile::open(&a.stage.programme)?;
        file.save_plan(name, &actions::author(a.author.as_deref()), &clock::now(), a.stage.seed, &text)?;
        file.close()?;
    }
    if a.stage.json {
        say_json(&json);
    } else {
        say(&text(&made, &records));
        if let Some((name, before)) = against {
            let now = serde_json::to_value(&json).expect("our own shapes have string keys only");
            say(&difference(name, &before, &now));
        }
    }
    Ok(ExitCode::SUCCESS)
}

/// Makes the plan asked for on the command line.
pub(super) fn made(a: &args::Plan, records: &Records) -> Result<Made, Trouble> {
    let numbers = [
        ("--budget", a.budget, f64::INFINITY),
        ("--volunteer-hours", a.volunteer_hours, f64::INFINITY),
        ("--max-sprayed-acres", a.max_sprayed_acres, f64::INFINITY),
        ("--accepted-chance", a.accepted_chance, 1.0),
        ("--gap", a.gap, 1.0),
    ];
    let wrong: Vec<Problem> = numbers
        .iter()
        .filter_map(|(name, value, most)| {
            value.filter(|v| !(0.0..=*most).contains(v) || v.is_infinite()).map(|v| (name, v, most))
        })
        .map(|(name, v, most)| {
            let expected =
                if most.is_finite() { format!("a number from 0 to {most}") } else { "a number from 0 up".to_owned() };
            Problem::error("A-020", format!("{name} is {v}."), "").expected(expected)
        })
        .collect();
    if !wrong.is_empty() {
        return Err(wrong.into());
    }
    let wishes = Wishes {
        budget: a.budget,
        volunteer_hours: a.volunteer_hours,
        max_sprayed_acres: a.max_sprayed_acres,
        accepted_chance: a.accepted_chance,
        gap: a.gap,
    };
    make(records, &setting(&a.stage), &wishes)
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
        ";\nmeasured again on {draws} other draws {}, nine seasons in ten between {} and {}",
        w.area(risk),
        w.area(low),
        w.area(high)
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
