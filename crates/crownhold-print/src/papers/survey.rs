//! Survey papers: sheets to count with, one page a route, and the summary of what was found.

use crownhold::survey::stopping::{Last, StopTable};
use crownhold::survey::{Density, DensityMethod};
use crownhold::types::{Area, MassesPerArea, Records};

use super::document::{Column, Document, Part, Table};
use crate::cautions;
use crate::maps::{PlotMark, plot_map};
use crate::sheet::Sheet;
use crate::wording::{Wording, chance, count, percent};

/// A block to be counted.
#[derive(Clone, Debug, PartialEq)]
pub struct SheetBlock {
    /// Its number and name.
    pub name: String,
    /// Plots in the order to walk them: number, and where it is as a GPS shows it.
    pub plots: Vec<(String, String)>,
    /// Masses found and plots counted there before this walk.
    pub before: (f64, usize),
}

/// The stop rule as it stands on the sheets.
#[derive(Clone, Copy, Debug)]
pub struct StopOnPaper<'a> {
    /// Its lines.
    pub table: &'a StopTable,
    /// Area of the plots it is for.
    pub plot: Area,
    /// Share of the masses there that counters are taken to find.
    pub found: f64,
}

/// Sheets to count with: one page for each route.
pub fn survey_sheets(routes: &[Vec<SheetBlock>], rule: &StopOnPaper, records: &Records) -> Document {
    let w = Wording::new(records.programme.units);
    let blocks: Vec<&SheetBlock> = routes.iter().flatten().collect();
    let plots: usize = blocks.iter().map(|b| b.plots.len()).sum();
    let mut parts = vec![
        Part::Caution(cautions::COUNTING.to_owned()),
        Part::Heading("How".to_owned()),
        Part::List(how(rule.plot, w)),
        Part::Heading("When to stop in a block".to_owned()),
        Part::Text(
            "Add up the new masses of all plots of the block, those of earlier days too. Out-of-reach masses count as new as the \
             ones in reach are; when in doubt, go on."
                .to_owned(),
        ),
        stop_table(rule.table),
        Part::Text(after_the_last(rule)),
        Part::Heading("The routes".to_owned()),
        Part::table(
            vec![Column::figures("Route"), Column::wide("Blocks", 3.0), Column::figures("Plots")],
            routes.iter().enumerate().map(|(i, route)| overview(i + 1, route)).collect(),
        ),
    ];
    for (i, route) in routes.iter().enumerate() {
        parts.extend(sheet(i + 1, route));
    }
    Document {
        title: "Egg-mass survey: sheets".to_owned(),
        lead: format!(
            "Season {}. {} in {}.",
            records.programme.season,
            count(plots, "plot", "plots"),
            count(blocks.len(), "block", "blocks")
        ),
        lang: "en",
        parts,
    }
}

/// Common practice of the trade; New Jersey's survey looks at shrubs, fallen trees and upper stems as well.
fn how(plot: Area, w: Wording) -> Vec<String> {
    let radius = (plot.as_square_metres() / std::f64::consts::PI).sqrt();
    let tape = if w.is_us() { feet_and_inches(radius / 0.3048) } else { format!("{radius:.2} m") };
    vec![
        format!("Circle of {}: a tape of {tape} around the plot's centre. A trunk counts when its middle is inside.", w.plot_area(plot)),
        "Look at everything inside: trunks, under limbs, upper stems with binoculars, walls, fences, firewood, stones, litter.".to_owned(),
        "New masses are firm and buff to brown; old ones are pale, tattered and crush easily. Out of reach: write the number, not the class.".to_owned(),
        "A plot without a mass is a result: write 0. Where a plot cannot be counted, take the next replacement and say why.".to_owned(),
        "Nobody scrapes in a block before its count is closed.".to_owned(),
    ]
}

fn feet_and_inches(feet: f64) -> String {
    let inches = (feet * 12.0).round();
    format!("{:.0} ft {:.0} in", (inches / 12.0).floor(), inches % 12.0)
}

fn stop_table(rule: &StopTable) -> Part {
    let whole = |v: Option<u32>| v.map_or("go on".to_owned(), |v| v.to_string());
    let rows = rule.rows().iter().map(|r| vec![r.plots.to_string(), whole(r.whole_below()), whole(r.whole_above())]);
    Part::table(
        vec![
            Column::figures("Plots counted"),
            Column::wide("Stop, below: total at most", 1.0),
            Column::wide("Stop, above: total at least", 1.0),
        ],
        rows.collect(),
    )
}

fn after_the_last(rule: &StopOnPaper) -> String {
    let table = rule.table;
    let last = match table.last() {
        Last::Mean(cut) => {
            let most = ((cut * f64::from(table.most())).ceil() - 1.0).max(0.0);
            format!("After plot {} the total decides: {most:.0} or less is below, more is above.", table.most())
        }
        Last::Nothing => format!("After plot {} counting ends.", table.most()),
    };
    if rule.found < 1.0 {
        format!("{last} The totals are of masses found, by counters who find {} of those there.", percent(rule.found))
    } else {
        last
    }
}

fn overview(number: usize, route: &[SheetBlock]) -> Vec<String> {
    let names: Vec<&str> = route.iter().map(|b| b.name.as_str()).collect();
    let plots: usize = route.iter().map(|b| b.plots.len()).sum();
    vec![number.to_string(), names.join(", "), plots.to_string()]
}

/// The sheet of one route; the caution stands on it because sheets are handed out one by one.
fn sheet(number: usize, route: &[SheetBlock]) -> Vec<Part> {
    let columns = vec![
        Column::words("Block"),
        Column::words("Plot"),
        Column::words("Where"),
        Column::wide("New", 0.5),
        Column::wide("Old", 0.5),
        Column::wide("Out of reach", 0.6),
        Column::wide("New, all plots of the block", 0.9),
        Column::wide("Remarks", 1.4),
    ];
    let width = columns.len();
    let blank = |mut cells: Vec<String>| {
        cells.resize(width, String::new());
        cells
    };
    let row = |block: &SheetBlock, (plot, place): &(String, String)| {
        blank(vec![block.name.clone(), plot.clone(), place.clone()])
    };
    let mut rows: Vec<Vec<String>> =
        route.iter().flat_map(|block| block.plots.iter().map(|plot| row(block, plot))).collect();
    rows.extend(std::iter::repeat_n(blank(Vec::new()), 3));
    let before: Vec<String> = route
        .iter()
        .filter(|b| b.before.1 > 0)
        .map(|b| format!("{}: {:.0} on {}", b.name, b.before.0, count(b.before.1, "plot", "plots")))
        .collect();
    let mut parts = vec![
        Part::NewPage,
        Part::Heading(format!("Route {number}")),
        Part::Caution(cautions::COUNTING.to_owned()),
        Part::Blanks(vec!["Day".to_owned(), "Who".to_owned()]),
    ];
    if !before.is_empty() {
        parts
            .push(Part::Text(format!("New masses counted before; begin the totals with them. {}.", before.join("; "))));
    }
    parts.push(Part::Table(Table { columns, rows, to_fill_in: true }));
    parts
}

/// What was found. `over` is the density whose chance is shown.
pub fn survey_summary(density: &Density, records: &Records, over: MassesPerArea) -> Document {
    let w = Wording::new(records.programme.units);
    let limit = over.as_per_hectare();
    let above = |b: usize| crownhold::types::draws::share(density.draws.block(b), |d| d > limit);
    let counted = density.blocks.iter().filter(|(_, e)| e.method == DensityMethod::OwnPlots).count();
    let plots: usize =
        density.blocks.iter().filter(|(_, e)| e.method == DensityMethod::OwnPlots).map(|(_, e)| e.plots).sum();
    let sure = (0..density.blocks.len()).filter(|b| above(*b) >= 0.9).count();
    let not = (0..density.blocks.len()).filter(|b| above(*b) <= 0.1).count();
    let line = format!("{} new masses per {}", w.bare_density(over), w.per_area());
    let mut order: Vec<usize> = (0..density.blocks.len()).collect();
    order.sort_by(|a, b| above(*b).total_cmp(&above(*a)));
    Document {
        title: "Egg-mass survey: what was found".to_owned(),
        lead: format!("Season {}.", records.programme.season),
        lang: "en",
        parts: vec![
            Part::Facts(vec![
                (
                    "Counted".to_owned(),
                    format!("{} in {counted} of {} blocks", count(plots, "plot", "plots"), density.blocks.len()),
                ),
                (
                    format!("More than {line}"),
                    format!(
                        "nine times in ten yes in {}, no in {not}, undecided in {}",
                        count(sure, "block", "blocks"),
                        density.blocks.len() - sure - not
                    ),
                ),
                (
                    "New among the masses in reach".to_owned(),
                    density.new_share.map_or("not told".to_owned(), |s| {
                        format!("{} ({} to {})", percent(s.share), percent(s.low), percent(s.high))
                    }),
                ),
            ]),
            map(records),
            Part::Soft("Crosses: plots counted. Dots: plots still to be counted.".to_owned()),
            Part::NewPage,
            Part::Heading(format!("New egg masses per {}", w.per_area())),
            Part::Text(format!(
                "Found: on the block's own plots, with the interval that holds {} of the time. Used: what the plan goes by, middle and nine in ten, joined with {}.",
                percent(density.level),
                if density.space.is_some() { "the plots around it" } else { "its stratum" }
            )),
            table(density, w, &order, &above, &line),
            Part::Heading("What should be known".to_owned()),
            Part::List(density.notes.iter().map(|p| format!("{} {}", p.what, p.remedy)).collect()),
        ],
    }
}

fn map(records: &Records) -> Part {
    let visited: std::collections::BTreeSet<_> =
        records.visits.iter().filter(|v| !v.counts.is_empty()).map(|v| &v.plot).collect();
    let mark = |p: &crownhold::types::Plot| {
        Some((p.place?, if visited.contains(&p.id) { PlotMark::Counted } else { PlotMark::Wanted }))
    };
    let plots: Vec<_> = records.plots.iter().filter_map(mark).collect();
    let title = format!("{} on the blocks of the city.", count(plots.len(), "plot", "plots"));
    Part::Picture {
        svg: plot_map(&records.blocks, &plots, &title, &Sheet::paper("plots", records.programme.units)),
        alt: title,
        height: 0.55,
    }
}

fn table(density: &Density, w: Wording, order: &[usize], above: &dyn Fn(usize) -> f64, line: &str) -> Part {
    let row = |b: &usize| {
        let (id, e) = &density.blocks[*b];
        let used = |p| w.bare_density(MassesPerArea::per_hectare(density.draws.quantile(*b, p)));
        let own = e.method == DensityMethod::OwnPlots;
        vec![
            id.to_string(),
            if own { e.plots.to_string() } else { "0".to_owned() },
            if own { w.bare_density(e.estimate) } else { "-".to_owned() },
            if own { format!("{} to {}", w.bare_density(e.low), w.bare_density(e.high)) } else { "-".to_owned() },
            format!("{} ({} to {})", used(0.5), used(0.05), used(0.95)),
            chance(above(*b)),
        ]
    };
    Part::table(
        vec![
            Column::words("Block"),
            Column::figures("Plots"),
            Column::figures("Found"),
            Column::figures("Interval"),
            Column::figures("Used"),
            Column::wide(&format!("Chance of more than {line}"), 1.0),
        ],
        order.iter().map(row).collect(),
    )
}
