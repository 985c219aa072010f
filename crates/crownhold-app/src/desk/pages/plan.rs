//! The plan: what is done where, at what price, and what risk remains.

use std::collections::BTreeMap;

use askama::Template;
use axum::extract::{Form, Path, Query};
use crownhold::plan::Status;
use crownhold::survey::DensityMethod;
use crownhold::tactics::Bundle;
use crownhold::types::{DecisionRule, MassesPerArea, Tactic};
use crownhold_print::maps::{MapBlock, option_map};
use crownhold_print::palette::OptionStyle;
use crownhold_print::wording::{Wording, chance, count, grouped, money, percent};
use crownhold_print::{Sheet, Size};
use serde::Deserialize;

use super::plan_ground::{SprayRow, spray_rows};
use super::plan_words::{sentence, too_late};
use crate::actions::plan::{Made, Wishes, limits};
use crate::actions::plans::{Kept, stale};
use crate::actions::{By, decide};
use crate::clock;
use crate::desk::shell::{Answer, Place, ProblemLine, Refused, Shell, Visit, lines, page};
use crate::desk::state::{Season, off};
use crate::trouble::Trouble;

/// Which plan is looked at.
#[derive(Deserialize, Default)]
pub struct Which {
    /// Its number; the last one if none is named.
    pub plan: Option<i64>,
}

#[derive(Template)]
#[template(path = "plan.html")]
struct PlanPage {
    shell: Shell,
    view: Option<PlanView>,
    kept: Vec<KeptLine>,
    form: SolveForm,
    problems: Vec<ProblemLine>,
}

/// A plan as the page shows it.
struct PlanView {
    id: i64,
    name: String,
    made: String,
    stale: usize,
    too_late: Option<String>,
    sentence: String,
    figures: Vec<FigureView>,
    binding: Vec<String>,
    rows: Vec<PlanRow>,
    spray: Vec<SprayRow>,
    unit: &'static str,
    watched: usize,
    map: String,
    proven: String,
}

/// A figure that can be asked why.
pub struct FigureView {
    /// Its id in the catalogue of figures.
    pub id: &'static str,
    /// Value with unit.
    pub value: String,
    /// What it is.
    pub label: String,
}

/// One treated block.
struct PlanRow {
    block: String,
    name: String,
    option: String,
    code: String,
    fill: &'static str,
    ink: &'static str,
    untreated: String,
    planned: String,
    chance: f64,
    sprayed: String,
    cost: String,
    cost_sort: f64,
    hours: String,
}

/// One kept plan in the list.
struct KeptLine {
    id: i64,
    name: String,
    made: String,
    sprayed: String,
    cost: String,
    risk: String,
    here: bool,
}

/// What the form is filled with.
struct SolveForm {
    budget: String,
    volunteer_hours: String,
    most_sprayed: String,
    accepted: String,
    robust: bool,
    area_unit: &'static str,
    programme: String,
}

pub async fn show(visit: Visit, Query(which): Query<Which>) -> Answer {
    let season = &visit.season;
    let kept = season.kept(which.plan);
    if which.plan.is_some() && kept.is_none() {
        return Err(Refused::missing("There is no plan of that number."));
    }
    let view = kept.map(|k| view(season, k)).transpose()?;
    let w = season.wording();
    page(&PlanPage {
        shell: visit.shell(Place::Plan, "Plan"),
        view,
        kept: season.plans.iter().rev().map(|k| kept_line(k, kept, w)).collect(),
        form: form(season, kept),
        problems: season.stages.as_ref().err().map(|t| lines(&t.problems)).unwrap_or_default(),
    })
}

fn kept_line(kept: &Kept, here: Option<&Kept>, w: Wording) -> KeptLine {
    let area = |acres: f64| w.area(crownhold::types::Area::acres(acres));
    let risk = &kept.plan.expected_host_acres_over_tolerance;
    KeptLine {
        id: kept.id,
        name: kept.name.clone(),
        made: clock::local(&kept.made_at),
        sprayed: area(kept.plan.sprayed_acres),
        cost: format!("${}", grouped(kept.plan.cost)),
        risk: area(risk.out_of_sample.unwrap_or(risk.in_sample)),
        here: here.is_some_and(|h| h.id == kept.id),
    }
}

fn form(season: &Season, kept: Option<&Kept>) -> SolveForm {
    let w = season.wording();
    let wishes = kept.map(|k| k.plan.wishes()).unwrap_or_default();
    let whole = |v: Option<f64>| v.map(|v| format!("{v:.0}")).unwrap_or_default();
    let resources = &season.records.resources;
    let most =
        resources.most_sprayed.map_or("no limit on flights".to_owned(), |a| format!("at most {} flown", w.area(a)));
    let budget = resources.budget.map_or("no limit on money".to_owned(), money);
    let hours: f64 = limits(&season.records, &Wishes::default()).hours.iter().map(|h| h.hours.as_hours()).sum();
    SolveForm {
        budget: whole(wishes.budget),
        volunteer_hours: whole(wishes.volunteer_hours),
        most_sprayed: wishes
            .max_sprayed_acres
            .map(|a| w.bare_area(crownhold::types::Area::acres(a)).replace(',', ""))
            .unwrap_or_default(),
        accepted: wishes.accepted_chance.map(|c| format!("{:.0}", 100.0 * c)).unwrap_or_default(),
        robust: wishes.robust,
        area_unit: w.area_unit(),
        programme: format!("{budget}, {most}, {} hours of crews and volunteers", grouped(hours)),
    }
}

fn view(season: &Season, kept: &Kept) -> Result<PlanView, Refused> {
    let made = season.made(kept)?;
    let w = season.wording();
    let plan = &made.plan;
    let treated = plan.blocks.iter().filter(|b| !b.bundle.tactics().is_empty()).count();
    let proven = match plan.status {
        Status::Optimal => {
            format!("No plan within the limits does better by more than {:.2} %, for the draws used.", 100.0 * plan.gap)
        }
        Status::Feasible => "Stopped early: a better plan may exist.".to_owned(),
    };
    Ok(PlanView {
        id: kept.id,
        name: kept.name.clone(),
        made: clock::local(&kept.made_at),
        stale: stale(&season.history, kept),
        too_late: too_late(season),
        sentence: sentence(season, &made, kept, treated),
        figures: figures(&made, w),
        binding: binding(&made),
        rows: rows(season, &made),
        spray: spray_rows(season, &made),
        unit: if w.area_unit() == "ha" { "hectare" } else { "acre" },
        watched: plan.blocks.len() - treated,
        map: map(season, &made, "plan-map"),
        proven,
    })
}

fn figures(made: &Made, w: Wording) -> Vec<FigureView> {
    let plan = &made.plan;
    let hours = |f: fn(&crownhold::plan::BlockPlan) -> f64| grouped(plan.blocks.iter().map(f).sum());
    let mut all = vec![
        FigureView { id: "P-sprayed", value: w.area(plan.sprayed()), label: "flown, repeats counted".into() },
        FigureView { id: "P-cost", value: money(plan.cost()), label: "cost, crew wages included".into() },
        FigureView {
            id: "P-volunteer-hours",
            value: hours(|b| b.volunteer_hours.as_hours()),
            label: "volunteer hours".into(),
        },
        FigureView { id: "P-crew-hours", value: hours(|b| b.crew_hours.as_hours()), label: "crew hours".into() },
    ];
    let risk = &plan.risk;
    if let (Some(mean), Some((low, high))) = (risk.out_of_sample, risk.range) {
        let draws = grouped(risk.fresh_draws as f64);
        let label = format!(
            "canopy over tolerance, on {draws} draws the plan has not seen; nine seasons in ten {} to {}{}",
            w.bare_area(low),
            w.area(high),
            risk.worst_tenth.map_or(String::new(), |worst| format!(", the worst tenth {} on average", w.area(worst)))
        );
        all.push(FigureView { id: "P-risk-new", value: w.area(mean), label });
    }
    all
}

fn binding(made: &Made) -> Vec<String> {
    let line = |b: &crownhold::plan::Binding| {
        format!("{}: {} of {} {} used", b.limit, grouped(b.used), grouped(b.available), b.unit)
    };
    made.plan.binding.iter().map(line).collect()
}

fn rows(season: &Season, made: &Made) -> Vec<PlanRow> {
    let w = season.wording();
    let names: BTreeMap<_, _> = season.records.blocks.iter().map(|b| (&b.id, &b.name)).collect();
    let treated = made.plan.blocks.iter().filter(|b| !b.bundle.tactics().is_empty());
    treated
        .map(|b| {
            let style = OptionStyle::of(&b.bundle);
            let hours = b.crew_hours.as_hours() + b.volunteer_hours.as_hours();
            PlanRow {
                block: b.block.to_string(),
                name: names.get(&b.block).map_or_else(String::new, |n| (*n).clone()),
                option: b.bundle.key(),
                code: style.code,
                fill: style.fill,
                ink: style.ink,
                untreated: chance(b.chance_over_untreated),
                planned: chance(b.chance_over),
                chance: b.chance_over,
                sprayed: if b.bundle.flies() { w.bare_area(b.sprayed) } else { "–".to_owned() },
                cost: money(b.cost),
                cost_sort: b.cost.as_dollars(),
                hours: if hours > 0.0 { grouped(hours) } else { "–".to_owned() },
            }
        })
        .collect()
}

/// The plan as a drawing: what a browser without the map shows, and what is printed.
pub fn map(season: &Season, made: &Made, id: &str) -> String {
    let blocks: Vec<MapBlock<'_>> = season
        .records
        .blocks
        .iter()
        .zip(&made.plan.blocks)
        .map(|(block, chosen)| MapBlock { block, bundle: &chosen.bundle })
        .collect();
    let sheet = Sheet::screen(id, season.units(), Size::Wide);
    option_map(&blocks, &season.records.no_spray, "What is planned where", &sheet)
}

#[derive(Template)]
#[template(path = "block.html")]
struct BlockPage {
    shell: Shell,
    plan: i64,
    stale: usize,
    id: String,
    name: String,
    ground: String,
    chosen: String,
    code: String,
    fill: &'static str,
    ink: &'static str,
    why: String,
    runner_up: String,
    why_not: String,
    options: Vec<OptionRow>,
    decision: String,
    bundles: Vec<String>,
    tactics: &'static [Tactic],
    facts: Vec<(String, String, String)>,
    before: Option<String>,
    after: Option<String>,
}

/// One option of a block.
struct OptionRow {
    key: String,
    code: String,
    fill: &'static str,
    ink: &'static str,
    chosen: bool,
    barred: Vec<String>,
    planned: String,
    loss: String,
    removed: String,
    cost: String,
    hours: String,
    sprayed: String,
}

pub async fn block(visit: Visit, Path(id): Path<String>, Query(which): Query<Which>) -> Answer {
    let season = &visit.season;
    let kept = season.kept(which.plan).ok_or_else(|| Refused::missing("There is no plan yet. Make one first."))?;
    let made = season.made(kept)?;
    let at = made.plan.blocks.iter().position(|b| b.block.as_str() == id);
    let at = at.ok_or_else(|| Refused::missing(format!("There is no block \"{id}\".")))?;
    page(&block_page(&visit, kept, &made, at))
}

fn block_page(visit: &Visit, kept: &Kept, made: &Made, at: usize) -> BlockPage {
    let season = &visit.season;
    let w = season.wording();
    let (chosen, options) = (&made.plan.blocks[at], &made.stages.options.blocks[at]);
    let block = &season.records.blocks[at];
    let style = OptionStyle::of(&chosen.bundle);
    let decision = season.records.decisions.iter().find(|d| d.block == block.id);
    let neighbour = |i: Option<usize>| i.and_then(|i| made.plan.blocks.get(i)).map(|b| b.block.to_string());
    BlockPage {
        shell: visit.shell(Place::Plan, &format!("Block {}", block.id)),
        plan: kept.id,
        stale: stale(&season.history, kept),
        id: block.id.to_string(),
        name: block.name.clone(),
        ground: ground(season, at),
        chosen: chosen.bundle.key(),
        code: style.code,
        fill: style.fill,
        ink: style.ink,
        why: chosen.why.clone(),
        runner_up: chosen.runner_up.as_ref().map(|r| r.bundle.key()).unwrap_or_default(),
        why_not: chosen
            .runner_up
            .as_ref()
            .map(|r| r.why_not.clone())
            .filter(|why_not| !chosen.why.contains(why_not.as_str()))
            .unwrap_or_default(),
        options: options.options.iter().enumerate().map(|(i, o)| option_row(o, i == chosen.option, w)).collect(),
        decision: decision.map(|d| format!("{}{}", decide::words(&d.rule), note(&d.note))).unwrap_or_default(),
        bundles: options.options.iter().filter(|o| o.allowed()).map(|o| o.bundle.key()).collect(),
        tactics: Tactic::ALL,
        facts: facts(season, made, at),
        before: neighbour(at.checked_sub(1)),
        after: neighbour(Some(at + 1)),
    }
}

fn note(note: &str) -> String {
    if note.is_empty() { String::new() } else { format!(" ({note})") }
}

fn ground(season: &Season, at: usize) -> String {
    let (block, w) = (&season.records.blocks[at], season.wording());
    let place = block.neighbourhood.as_ref().map(|n| format!(", {n}")).unwrap_or_default();
    format!("{}{place}, {}; owner {}, consent {}", block.land_use, w.area(block.area()), block.ownership, block.consent)
}

/// Label, value, id of the figure in the catalogue.
fn facts(season: &Season, made: &Made, at: usize) -> Vec<(String, String, String)> {
    let w = season.wording();
    let (chosen, options) = (&made.plan.blocks[at], &made.stages.options.blocks[at]);
    let (id, density) = &made.stages.density.blocks[at];
    let used = |p| w.bare_density(MassesPerArea::per_hectare(made.stages.density.draws.quantile(at, p)));
    let fact = |label: &str, value: String, figure: &str| {
        (label.to_owned(), value, if figure.is_empty() { String::new() } else { format!("{id}.{figure}") })
    };
    vec![
        fact(
            "New egg masses the plan goes by",
            format!("{} per {} ({} to {})", used(0.5), w.per_area(), used(0.05), used(0.95)),
            "density-range",
        ),
        fact(
            "On its own plots alone",
            match density.method {
                DensityMethod::OwnPlots => format!(
                    "{} ({} to {}) on {}",
                    w.bare_density(density.estimate),
                    w.bare_density(density.low),
                    w.bare_density(density.high),
                    count(density.plots, "plot", "plots")
                ),
                other => format!("no plot, {}", other.word()),
            },
            "density",
        ),
        fact("Favoured canopy", w.area(options.host_area), ""),
        fact(
            "Loss tolerated",
            format!(
                "{}, with a chance of {} accepted",
                percent(options.tolerance.value()),
                chance(options.accepted_chance)
            ),
            "",
        ),
        fact("Chance of more, untreated", chance(chosen.chance_over_untreated), "untreated"),
        fact("Chance of more, with the plan", chance(chosen.chance_over), "planned"),
        fact("No-spray share", percent(options.no_spray_share), ""),
    ]
}

fn option_row(o: &crownhold::tactics::BlockOption, chosen: bool, w: Wording) -> OptionRow {
    let style = OptionStyle::of(&o.bundle);
    let hours = o.hours().as_hours();
    OptionRow {
        key: o.bundle.key(),
        code: style.code,
        fill: style.fill,
        ink: style.ink,
        chosen,
        barred: o.barred.clone(),
        planned: chance(o.chance_over),
        loss: percent(o.expected_defoliation),
        removed: chance_of_larvae(o),
        cost: money(o.cost),
        hours: if hours > 0.0 { grouped(hours) } else { "–".to_owned() },
        sprayed: if o.bundle.flies() { w.bare_area(o.sprayed) } else { "–".to_owned() },
    }
}

/// A small share is not nothing, and not much: "<1 %".
fn chance_of_larvae(o: &crownhold::tactics::BlockOption) -> String {
    if o.bundle == Bundle::WATCH { "–".to_owned() } else { chance(o.larvae_removed) }
}

/// A decision as typed.
#[derive(Deserialize)]
pub struct Decision {
    rule: String,
    #[serde(default)]
    note: String,
    #[serde(default)]
    then: String,
}

/// "clear", "never-fly", "always-fly", "take:KEY", "never:TACTIC".
fn rule(text: &str) -> Result<Option<DecisionRule>, Trouble> {
    match text.split_once(':') {
        Some(("take", key)) => Ok(Some(DecisionRule::Take(decide::bundle(key)?.key()))),
        Some(("never", word)) => Ok(Some(DecisionRule::Never(decide::tactic(word)?))),
        _ if text == "never-fly" => Ok(Some(DecisionRule::NeverFly)),
        _ if text == "always-fly" => Ok(Some(DecisionRule::AlwaysFly)),
        _ => Ok(None),
    }
}

/// Fixes what is done on a block, and on request makes the plan again to see what that costs.
pub async fn decide(visit: Visit, Path(id): Path<String>, Form(form): Form<Decision>) -> Answer {
    let rule = rule(&form.rule)?;
    let (path, author) = (visit.desk.path().to_owned(), visit.author().to_owned());
    let (block, setting) = (id.clone(), visit.season.setting());
    let done = off(move || {
        let when = clock::now();
        let by = By::new(&author, &when);
        decide::set(&path, &block, rule, &form.note, &setting, by)
    })
    .await?;
    if form.then != "solve" {
        return Ok(visit.done_with(done, &format!("/plan/blocks/{id}")).await);
    }
    let wishes = visit.season.plans.last().map(|k| k.plan.wishes()).unwrap_or_default();
    let name = done.what.clone();
    let visit = visit.anew().await?;
    let job = super::solving::begin(&visit, wishes, name);
    Ok(visit.done_with(done, &format!("/jobs/{job}")).await)
}

#[derive(Template)]
#[template(path = "compare.html")]
struct ComparePage {
    shell: Shell,
    before: (i64, String),
    now: (i64, String),
    totals: Vec<(String, String, String, String)>,
    rows: Vec<ChangeRow>,
    /// Draws that the chances are counted over.
    draws: usize,
    plans: Vec<(i64, String)>,
    map: String,
}

/// A block whose option differs.
struct ChangeRow {
    block: String,
    before: (String, &'static str, &'static str, String),
    now: (String, &'static str, &'static str, String),
    cost: String,
    sprayed: String,
    chance: String,
}

/// Two plans by number; where none is named, the last one and the one before it.
#[derive(Deserialize)]
pub struct Two {
    before: Option<i64>,
    now: Option<i64>,
}

pub async fn compare(visit: Visit, Query(two): Query<Two>) -> Answer {
    let season = &visit.season;
    let last = |back: usize| season.plans.iter().rev().nth(back).map(|k| k.id);
    let find = |id: Option<i64>| id.and_then(|id| season.kept(Some(id)));
    let (Some(before), Some(now)) = (find(two.before.or(last(1))), find(two.now.or(last(0)))) else {
        return Err(Refused::missing("Two kept plans are compared, and there are no such two."));
    };
    let all = crate::actions::plans::compare(&before.plan, &now.plan);
    let w = season.wording();
    let made = season.made(now)?;
    let draws = before.plan.draws.min(now.plan.draws);
    page(&ComparePage {
        shell: visit.shell(Place::Plan, "Two plans compared"),
        before: (before.id, before.name.clone()),
        now: (now.id, now.name.clone()),
        totals: all.totals.iter().map(|(what, c)| total(what, c.before, c.now, w)).collect(),
        rows: all.blocks.iter().map(|b| change_row(b, w, draws)).collect(),
        draws,
        plans: season.plans.iter().map(|k| (k.id, k.name.clone())).collect(),
        map: map(season, &made, "compare-map"),
    })
}

/// Areas in the programme's units, whatever the kept plan counts in.
fn total(what: &str, before: f64, now: f64, w: Wording) -> (String, String, String, String) {
    let shown =
        |v: f64| if what.contains("acres") { w.bare_area(crownhold::types::Area::acres(v)) } else { grouped(v) };
    let label = what.replace("acres", w.area_unit());
    let (a, b) = (shown(before), shown(now));
    let change = if a == b { "same".to_owned() } else { signed(now - before, shown((now - before).abs())) };
    (label, a, b, change)
}

fn signed(by: f64, text: String) -> String {
    if text == "0" || text == "0.0" {
        "same".to_owned()
    } else {
        format!("{}{text}", if by < 0.0 { "−" } else { "+" })
    }
}

fn change_row(b: &crate::actions::plans::BlockChange, w: Wording, draws: usize) -> ChangeRow {
    let chip = |key: &str| {
        let style = OptionStyle::of(&Bundle::from_key(key).unwrap_or(Bundle::WATCH));
        (style.code, style.fill, style.ink, key.to_owned())
    };
    let acres = b.sprayed_acres.by();
    ChangeRow {
        block: b.block.clone(),
        before: chip(&b.before),
        now: chip(&b.now),
        cost: signed(b.cost.by(), grouped(b.cost.by().abs())),
        sprayed: signed(acres, w.bare_area(crownhold::types::Area::acres(acres.abs()))),
        chance: format!(
            "{} → {}{}",
            chance(b.chance_over.before),
            chance(b.chance_over.now),
            if b.chance_over.is_told_apart(draws) { "" } else { " ≈" }
        ),
    }
}
