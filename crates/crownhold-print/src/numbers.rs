//! The catalogue of printed figures. A paper prints a figure by looking it up here, so every printed id can
//! be asked for, and a figure that stands in a sentence and in a table is the same one.

use std::collections::BTreeMap;

use crownhold::plan::HoursUsed;
use crownhold::tactics::Bundle;
use crownhold::timing::{Event, Window, WindowKind, date_quantile};
use crownhold::types::draws::quantile;
use crownhold::types::{Area, Draws, Hours, Money};
use jiff::civil::Date;

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

/// The figures every block has, in the order of the table's columns.
pub(crate) const BLOCK_FIGURES: [BlockFigure; 7] = [
    BlockFigure {
        suffix: "density",
        label: "new egg masses per area",
        text: |w, r| w.bare_density(r.density.estimate),
    },
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
    let place = h.neighbourhood.as_deref().unwrap_or("anywhere");
    format!("H-{}-{}-{place}", h.who.word(), h.period.word())
}

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
        let what = format!("{} hours, {}, {}", h.who, h.period, h.neighbourhood.as_deref().unwrap_or("anywhere"));
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
        format!("{} hours", wording::hours(total))
    };
    list.add("P-all-blocks", "blocks of the programme", count(rows.len(), "block", "blocks"));
    list.add("P-blocks", "blocks treated", grouped(treated as f64));
    list.add("P-sprayed", "area sprayed from the air, repeats counted", w.area(plan.sprayed()));
    if let Some(area) = inputs.over_threshold {
        list.add("P-over-threshold", "area sprayed if every block over the action threshold were flown", w.area(area));
    }
    list.add("P-cost", "cost of the plan, crew wages included", money(plan.cost()));
    if let Some(budget) = inputs.records.resources.budget {
        list.add("P-budget", "money set aside", money(budget));
    }
    list.add("P-crew-hours", "crew hours of the plan", hours(|r| r.plan.crew_hours));
    list.add("P-volunteer-hours", "volunteer hours of the plan", hours(|r| r.plan.volunteer_hours));
    list.add("P-risk-untreated", "host area expected over tolerance if nothing is done", w.area(plan.risk.untreated));
    list.add(
        "P-risk",
        "host area expected over tolerance with the plan, on its own draws",
        w.area(plan.risk.in_sample),
    );
    if let Some(fresh) = plan.risk.out_of_sample {
        let error = plan.risk.standard_error.map(|e| format!(" (±{})", w.bare_area(e))).unwrap_or_default();
        list.add(
            "P-risk-fresh",
            "the same on fresh draws, with its standard error",
            format!("{}{error}", w.area(fresh)),
        );
    }
    let above = rows.iter().filter(|r| r.plan.chance_over > r.options.accepted_chance).count();
    let blocks = count(above, "block", "blocks");
    list.add("P-above-accepted", "blocks whose chance stays above the one accepted for their land use", blocks);
    list.add("P-gap", "largest relative gap of the solves", format!("{:.2} %", plan.gap * 100.0));
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
        list.add(id, format!("{} window: median of both ends", win.kind), window_span(w, win));
        list.add(format!("{id}.opens"), format!("{} window opens", win.kind), date_range(w, &win.opens));
        list.add(format!("{id}.closes"), format!("{} window closes", win.kind), date_range(w, &win.closes));
    }
}

/// "May 12 to May 30": the medians of both ends.
pub(crate) fn window_span(w: Wording, win: &Window) -> String {
    let day = |dates: &[Option<Date>]| date_quantile(dates, 0.5).map(|d| w.day(d));
    match (day(&win.opens), day(&win.closes)) {
        (Some(a), Some(b)) => format!("{a} to {b}"),
        (Some(a), None) => format!("from {a}"),
        _ => "not this year".to_owned(),
    }
}

/// "May 12 (May 7 to May 19)", or that it does not happen this year.
pub(crate) fn date_range(w: Wording, dates: &[Option<Date>]) -> String {
    let day = |p| date_quantile(dates, p).map(|d| w.day(d));
    match (day(0.5), day(0.05), day(0.95)) {
        (Some(mid), Some(low), Some(high)) => format!("{mid} ({low} to {high})"),
        (Some(mid), Some(low), None) => format!("{mid} ({low} or later)"),
        (None, Some(low), None) => format!("{low} or later"),
        _ => "not this year".to_owned(),
    }
}

fn outlook_figures(list: &mut List, inputs: &SeasonPlanInputs<'_>) {
    if inputs.outlook.dead_trees.blocks() == 0 {
        return;
    }
    let range = |draws: &Draws, text: &dyn Fn(f64) -> String| {
        let totals = totals(draws);
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

/// Share of favoured foliage lost in one block, as the outlook chart prints it.
fn loss_figures(list: &mut List, inputs: &SeasonPlanInputs<'_>, row: &BlockRow<'_>) {
    let q = |p| percent(inputs.outlook.defoliation.quantile(row.outlook_index, p));
    let untreated = format!("{} ({} to {})", q(0.5), q(0.05), q(0.95));
    let id = row.block.id.as_str();
    let what = format!("{}: share of favoured foliage lost", row.label());
    list.add(block_id(id, "loss"), format!("{what} if nothing is done, median (5 to 95 %)"), untreated);
    let planned = percent(row.chosen().expected_defoliation);
    list.add(block_id(id, "loss-planned"), format!("{what} with the plan, expected"), planned);
}

/// The sum over blocks, draw by draw: draw `i` of every block belongs together.
fn totals(draws: &Draws) -> Vec<f64> {
    (0..draws.draws()).map(|d| (0..draws.blocks()).map(|b| draws.at(d, b)).sum()).collect()
}
