//! The catalogue of printed figures. A paper prints a figure by looking it up here, so every printed id can
//! be asked for, and a figure that stands in a sentence and in a table is the same one.

use std::collections::BTreeMap;

use crownhold::plan::{HoursUsed, Risk};
use crownhold::survey::DensityMethod;
use crownhold::tactics::Bundle;
use crownhold::timing::{Event, Window, WindowKind, date_quantile};
use crownhold::types::draws::quantile;
use crownhold::types::{Area, Draws, Hours, Money};
use jiff::civil::{Date, date};

use crate::palette::OptionStyle;
use crate::papers::SeasonPlanInputs;
use crate::papers::season_plan::BlockRow;
use crate::wording::{self, Wording, chance, count, grouped, money, percent};

/// One printed figure.
#[derive(Clone, Debug, PartialEq, Eq, serde::Serialize)]
pub struct NumberRef {
    /// Stable id, as printed beside the figure: "P-cost", "B-014.density", "T-hatch50".
    pub id: String,
    /// What it is, in words.
    pub label: String,
    /// The figure as printed.
    pub value_text: String,
}

/// A figure of a block: what is put after the block's id to name it, and what it is.
pub(crate) struct BlockFigure {
    pub suffix: &'static str,
    label: &'static str,
    text: fn(Wording, &BlockRow<'_>) -> String,
}

/// The figures every block has.
pub(crate) const BLOCK_FIGURES: [BlockFigure; 9] = [
    BlockFigure {
        suffix: "density",
        label: "new egg masses per area that the plan reckons with, median",
        text: |w, r| w.bare_density(r.density_at(0.5)),
    },
    BlockFigure {
        suffix: "density-range",
        label: "new egg masses per area that the plan reckons with, 5 to 95 %",
        text: |w, r| format!("{} to {}", w.bare_density(r.density_at(0.05)), w.bare_density(r.density_at(0.95))),
    },
    BlockFigure { suffix: "found", label: "new egg masses found by counting", text: found },
    BlockFigure {
        suffix: "untreated",
        label: "chance of losing more foliage than tolerated if nothing is done",
        text: |_, r| chance(r.plan.chance_over_untreated),
    },
    BlockFigure {
        suffix: "planned",
        label: "chance of losing more foliage than tolerated with the plan",
        text: |_, r| chance(r.plan.chance_over),
    },
    BlockFigure {
        suffix: "sprayed",
        label: "area sprayed from the air, repeats counted",
        text: |w, r| w.bare_area(r.plan.sprayed),
    },
    BlockFigure { suffix: "cost", label: "cost, crew wages included", text: |_, r| money(r.plan.cost) },
    BlockFigure { suffix: "crew", label: "crew hours", text: |_, r| wording::hours(r.plan.crew_hours) },
    BlockFigure { suffix: "volunteers", label: "volunteer hours", text: |_, r| wording::hours(r.plan.volunteer_hours) },
];

/// What counting found in a block; only its own plots are counted as its plots.
fn found(w: Wording, r: &BlockRow<'_>) -> String {
    match r.density.method {
        DensityMethod::OwnPlots => {
            let plots = count(r.density.plots, "plot", "plots");
            format!("{} masses/{} on {plots}", w.bare_density(r.density.estimate), w.per_area())
        }
        borrowed => format!("no plot, {}", borrowed.word()),
    }
}

/// The id of a block's figure.
pub(crate) fn block_id(block: &str, suffix: &str) -> String {
    format!("{block}.{suffix}")
}

/// The id that a class's figures start with.
pub(crate) fn class_id(code: &str) -> String {
    format!("C-{code}")
}

/// The id that the figures of one supply of hours start with.
pub(crate) fn hours_id(h: &HoursUsed) -> String {
    let place = h.neighbourhood.as_deref().unwrap_or("all");
    format!("H-{}-{}-{place}", h.who.word(), h.period.word())
}

/// Where the hours of one supply can be worked.
pub(crate) fn place_of(h: &HoursUsed) -> &str {
    h.neighbourhood.as_deref().unwrap_or(ALL_PLACES)
}

/// Stands for the place of hours that can be worked everywhere.
pub(crate) const ALL_PLACES: &str = "any neighbourhood";

/// The id of an event's date.
pub fn event_id(event: Event) -> &'static str {
    match event {
        Event::HatchTenth => "T-hatch10",
        Event::HatchHalf => "T-hatch50",
        Event::HatchNineTenths => "T-hatch90",
        Event::SecondInstar => "T-instar2",
        Event::ThirdInstarQuarter => "T-instar3-early",
        Event::ThirdInstar => "T-instar3",
        Event::FourthInstar => "T-instar4",
        Event::Pupae => "T-pupae",
        Event::MaleFlight => "T-males",
        Event::FemaleMoths => "T-females",
        Event::LayingOver => "T-laying",
        Event::RedOakBudbreak => "T-redoak-bud",
        Event::RedOakLeaf => "T-redoak-leaf",
        Event::WhiteOakBudbreak => "T-whiteoak-bud",
        Event::WhiteOakLeaf => "T-whiteoak-leaf",
    }
}

/// The id that a window's dates start with.
pub fn window_id(kind: WindowKind) -> &'static str {
    match kind {
        WindowKind::Scraping => "W-scraping",
        WindowKind::GroundBtk => "W-ground",
        WindowKind::AerialBtk => "W-aerial",
        WindowKind::Bands => "W-bands",
        WindowKind::Survey => "W-survey",
    }
}

/// Blocks by option in use, heaviest act first, blocks in plan order.
pub(crate) fn classes<'r, 'a>(rows: &'r [BlockRow<'a>]) -> Vec<(OptionStyle, Vec<&'r BlockRow<'a>>)> {
    let mut by_bundle: BTreeMap<u32, Vec<&BlockRow<'a>>> = BTreeMap::new();
    for row in rows {
        by_bundle.entry(weight(&row.plan.bundle)).or_default().push(row);
    }
    by_bundle.into_values().rev().map(|members| (OptionStyle::of(&members[0].plan.bundle), members)).collect()
}

/// Order of bundles: the heaviest act counts first, then what is added. Different bundles differ.
pub(crate) fn weight(bundle: &Bundle) -> u32 {
    bundle.tactics().iter().map(|t| 1 << (*t as u32)).sum()
}

/// Every figure of the season plan, in the order of its pages.
pub fn number_ids(inputs: &SeasonPlanInputs<'_>) -> Vec<NumberRef> {
    let rows = inputs.rows();
    let mut list = List::default();
    plan_figures(&mut list, inputs, &rows);
    class_figures(&mut list, inputs, &rows);
    date_figures(&mut list, inputs);
    outlook_figures(&mut list, inputs);
    for row in &rows {
        for figure in &BLOCK_FIGURES {
            let label = format!("{}: {}", row.label(), figure.label);
            list.add(block_id(row.block.id.as_str(), figure.suffix), label, (figure.text)(inputs.wording(), row));
        }
        loss_figures(&mut list, inputs, row);
    }
    for h in &inputs.plan.hours {
        let what = format!("{} hours, {}, {}", h.who, h.period, place_of(h));
        list.add(format!("{}.used", hours_id(h)), format!("{what}: used"), wording::hours(h.used));
        list.add(format!("{}.available", hours_id(h)), format!("{what}: available"), wording::hours(h.available));
    }
    for p in inputs.records.parameters.iter() {
        list.add(p.name.clone(), p.meaning.clone(), p.value.to_string());
    }
    list.0
}

#[derive(Default)]
struct List(Vec<NumberRef>);

impl List {
    fn add(&mut self, id: impl Into<String>, label: impl Into<String>, value_text: impl Into<String>) {
        self.0.push(NumberRef { id: id.into(), label: label.into(), value_text: value_text.into() });
    }
}

fn plan_figures(list: &mut List, inputs: &SeasonPlanInputs<'_>, rows: &[BlockRow<'_>]) {
    let (w, plan) = (inputs.wording(), inputs.plan);
    let treated = rows.iter().filter(|r| r.plan.bundle != Bundle::WATCH).count();
    let hours = |of: fn(&BlockRow<'_>) -> Hours| {
        let total: Hours = rows.iter().map(of).sum();
        wording::hours_counted(total)
    };
    list.add("P-all-blocks", "blocks of the programme", count(rows.len(), "block", "blocks"));
    list.add("P-blocks", "blocks treated", grouped(treated as f64));
    list.add("P-sprayed", "area sprayed from the air, repeats counted", w.area(plan.sprayed()));
    if let Some(rule) = inputs.over_threshold {
        let label = "area sprayed by flying once over every counted block whose estimate is over its action threshold \
                     and that may be flown";
        list.add("P-over-threshold", label, w.area(rule.flown));
        let label = "host area expected over tolerance if only that were done";
        list.add("P-over-threshold-risk", label, w.area(rule.over_tolerance));
    }
    list.add("P-cost", "cost of the plan, crew wages included", money(plan.cost()));
    if let Some(budget) = inputs.records.resources.budget {
        list.add("P-budget", "money set aside", money(budget));
    }
    list.add("P-crew-hours", "crew hours of the plan", hours(|r| r.plan.crew_hours));
    list.add("P-volunteer-hours", "volunteer hours of the plan", hours(|r| r.plan.volunteer_hours));
    risk_figures(list, w, &plan.risk);
    let above = rows.iter().filter(|r| !r.held()).count();
    let blocks = count(above, "block", "blocks");
    list.add("P-above-accepted", "blocks whose chance stays above the one accepted for their land use", blocks);
    list.add(
        "P-gap",
        "largest gap between the plan and what is proven to be the best",
        format!("{:.2} %", plan.gap * 100.0),
    );
}

fn risk_figures(list: &mut List, w: Wording, risk: &Risk) {
    let of = "favoured-tree canopy expected to lose more leaf than tolerated";
    list.add("P-risk-untreated", format!("{of} if nothing is done, mean"), w.area(risk.untreated));
    list.add("P-risk", format!("{of} with the plan, mean of the draws it was made on"), w.area(risk.in_sample));
    if let Some(again) = risk.out_of_sample {
        let what = format!("{of} with the plan, on draws it was not made on");
        list.add("P-risk-new", format!("{what}: mean"), w.area(again));
        if let Some((low, high)) = risk.range {
            list.add("P-risk-low", format!("{what}: 5 % point"), w.area(low));
            list.add("P-risk-high", format!("{what}: 95 % point"), w.area(high));
        }
        if let Some(worst) = risk.worst_tenth {
            list.add("P-risk-worst", format!("{what}: mean of the worst tenth of the draws"), w.area(worst));
        }
        if let Some(error) = risk.standard_error {
            list.add("P-risk-error", format!("{what}: error of the simulation"), format!("±{}", w.area(error)));
        }
    }
}

fn class_figures(list: &mut List, inputs: &SeasonPlanInputs<'_>, rows: &[BlockRow<'_>]) {
    for (style, members) in classes(rows) {
        members_figures(list, inputs.wording(), &class_id(&style.code), &members[0].plan.bundle.key(), &members);
    }
    let all: Vec<&BlockRow<'_>> = rows.iter().collect();
    members_figures(list, inputs.wording(), "C-all", "all blocks", &all);
}

/// The sums over some blocks.
fn members_figures(list: &mut List, w: Wording, id: &str, name: &str, members: &[&BlockRow<'_>]) {
    let sprayed: Area = members.iter().map(|r| r.plan.sprayed).sum();
    let cost: Money = members.iter().map(|r| r.plan.cost).sum();
    let crew: Hours = members.iter().map(|r| r.plan.crew_hours).sum();
    let volunteers: Hours = members.iter().map(|r| r.plan.volunteer_hours).sum();
    list.add(format!("{id}.blocks"), format!("{name}: blocks"), grouped(members.len() as f64));
    list.add(format!("{id}.sprayed"), format!("{name}: area sprayed, repeats counted"), w.bare_area(sprayed));
    list.add(format!("{id}.cost"), format!("{name}: cost"), money(cost));
    list.add(format!("{id}.crew"), format!("{name}: crew hours"), wording::hours(crew));
    list.add(format!("{id}.volunteers"), format!("{name}: volunteer hours"), wording::hours(volunteers));
}

fn date_figures(list: &mut List, inputs: &SeasonPlanInputs<'_>) {
    let w = inputs.wording();
    for e in &inputs.timing.events {
        list.add(event_id(e.event), format!("{}: median (5 to 95 %)", e.event), date_range(w, &e.dates));
    }
    for win in &inputs.timing.windows {
        let id = window_id(win.kind);
        let what = format!("{} window", win.kind);
        list.add(id, format!("{what}: median of both ends, in seasons that have it"), window_span(w, win));
        let days = |of: &dyn Fn(f64) -> Option<Date>| range_text(w, of(0.05), of(0.5), of(0.95));
        let opens = days(&|p| win.opens_among_those_that_do(p));
        let closes = days(&|p| win.closes_among_those_that_do(p));
        list.add(format!("{id}.opens"), format!("{what} opens, in seasons that have it: median (5 to 95 %)"), opens);
        list.add(format!("{id}.closes"), format!("{what} closes, in seasons that have it: median (5 to 95 %)"), closes);
        if let Some(share) = share_without(win) {
            list.add(format!("{id}.none"), format!("{what}: share of seasons without it"), share);
        }
    }
}

/// "7 %": the seasons that have no such window; `None` when all have it.
pub(crate) fn share_without(win: &Window) -> Option<String> {
    let without = 1.0 - win.chance_open_after(None);
    (without > 0.0).then(|| chance(without))
}

/// "May 12 to May 30": the medians of both ends over the seasons that have the window.
pub(crate) fn window_span(w: Wording, win: &Window) -> String {
    match (win.opens_among_those_that_do(0.5), win.closes_among_those_that_do(0.5)) {
        (Some(a), Some(b)) => format!("{} to {}", w.day(a), w.day(b)),
        _ => NOT_THIS_YEAR.to_owned(),
    }
}

/// "May 12 (May 7 to May 19)"; a season in which it does not happen counts as later than all others.
pub(crate) fn date_range(w: Wording, dates: &[Option<Date>]) -> String {
    range_text(w, date_quantile(dates, 0.05), date_quantile(dates, 0.5), date_quantile(dates, 0.95))
}

fn range_text(w: Wording, low: Option<Date>, mid: Option<Date>, high: Option<Date>) -> String {
    let late = |year: i16| format!("after {}", w.day(date(year, 12, 31)));
    match (low.map(|d| (d, w.day(d))), mid.map(|d| w.day(d)), high.map(|d| w.day(d))) {
        (Some((_, low)), Some(mid), Some(high)) => format!("{mid} ({low} to {high})"),
        (Some((d, low)), Some(mid), None) => format!("{mid} ({low} to {})", late(d.year())),
        (Some((d, low)), None, _) => format!("{low} to {}", late(d.year())),
        (None, ..) => NOT_THIS_YEAR.to_owned(),
    }
}

const NOT_THIS_YEAR: &str = "not this year";

fn outlook_figures(list: &mut List, inputs: &SeasonPlanInputs<'_>) {
    if inputs.outlook.dead_trees.blocks() == 0 {
        return;
    }
    let range = |draws: &Draws, text: &dyn Fn(f64) -> String| {
        let totals = draws.totals();
        let q = |p| text(quantile(&totals, p));
        format!("{} ({} to {})", q(0.5), q(0.05), q(0.95))
    };
    let dead = range(&inputs.outlook.dead_trees, &wording::number);
    let loss = range(&inputs.outlook.loss, &|v| money(Money::dollars(v)));
    list.add(
        "O-dead-trees",
        "trees dying over three years if nothing is done: median (5 to 95 %)",
        format!("{dead} trees"),
    );
    list.add("O-loss", "removals and nuisance if nothing is done: median (5 to 95 %)", loss);
}

/// Share of favoured foliage lost in one block, as the outlook chart prints it: means on both sides.
fn loss_figures(list: &mut List, inputs: &SeasonPlanInputs<'_>, row: &BlockRow<'_>) {
    let q = |p| percent(inputs.outlook.defoliation.quantile(row.outlook_index, p));
    let mean = percent(row.mean_loss_untreated(inputs.outlook));
    let untreated = format!("{mean} ({} to {})", q(0.05), q(0.95));
    let id = row.block.id.as_str();
    let what = format!("{}: share of favoured foliage lost", row.label());
    list.add(block_id(id, "loss"), format!("{what} if nothing is done, mean (5 to 95 %)"), untreated);
    let planned = percent(row.mean_loss_planned(inputs.outlook));
    list.add(block_id(id, "loss-planned"), format!("{what} with the plan, mean"), planned);
}
