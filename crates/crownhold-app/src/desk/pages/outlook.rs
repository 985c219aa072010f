//! Outlook: what happens if nothing is done, and how sure that is.

use askama::Template;
use crownhold::types::{Area, Known, MassesPerArea, Money};
use crownhold_print::charts::{LossRow, loss_ranges};
use crownhold_print::wording::{Wording, chance, count, grouped, money, number, percent};
use crownhold_print::{Sheet, Size};

use crate::actions::chain::Stages;
use crate::actions::outlook::{Range, Untreated, untreated};
use crate::desk::shell::{Answer, Place, ProblemLine, Shell, Visit, lines, page};
use crate::desk::state::Season;

#[derive(Template)]
#[template(path = "outlook.html")]
struct OutlookPage {
    shell: Shell,
    view: Option<OutlookView>,
    problems: Vec<ProblemLine>,
}

/// The untreated season as the page shows it.
struct OutlookView {
    sentence: String,
    figures: Vec<(&'static str, String, String)>,
    assumed: bool,
    curve: String,
    worst: String,
    pictured: usize,
    /// Where a block's name leads.
    href: &'static str,
    rows: Vec<OutlookRow>,
    per: &'static str,
    constants: Vec<Constant>,
    /// Is there a plan that figures can be asked of?
    asked: bool,
}

/// One block.
struct OutlookRow {
    id: String,
    name: String,
    href: String,
    land_use: &'static str,
    tolerated: String,
    lost: Cell,
    over: String,
    over_sort: f64,
    dead: Cell,
    money: Cell,
    next: Cell,
}

/// A middle with its range, and what it is sorted by.
struct Cell {
    middle: String,
    range: String,
    sort: f64,
}

/// A constant behind the outlook.
struct Constant {
    name: String,
    meaning: String,
    value: String,
    known: &'static str,
}

/// Rows of the picture: more would not be read.
const PICTURED: usize = 25;

pub async fn show(visit: Visit) -> Answer {
    let season = &visit.season;
    page(&OutlookPage {
        shell: visit.shell(Place::Outlook, "Outlook"),
        view: season.stages.as_ref().ok().map(|stages| view(season, stages)),
        problems: season.stages.as_ref().err().map(|t| lines(&t.problems)).unwrap_or_default(),
    })
}

fn view(season: &Season, stages: &Stages) -> OutlookView {
    let (w, all) = (season.wording(), untreated(stages));
    let order = worst_first(stages);
    let known = curve_known(season);
    OutlookView {
        sentence: sentence(&all, stages.outlook.blocks.len()),
        figures: figures(&all, w),
        assumed: known.contains(&Known::Assumption),
        curve: curve(season, &known, w),
        worst: picture(season, stages, &order),
        pictured: order.len().min(PICTURED),
        href: if season.plans.is_empty() { "/survey/blocks/{id}" } else { "/plan/blocks/{id}" },
        rows: order.iter().map(|b| row(season, stages, *b, w)).collect(),
        per: w.per_area(),
        constants: constants(season),
        asked: season.current().is_some(),
    }
}

/// Blocks by their chance of losing more than is tolerated, then by what they are likely to lose.
fn worst_first(stages: &Stages) -> Vec<usize> {
    let chance_of = |b: &usize| stages.options.blocks[*b].options[0].chance_over;
    let lost = |b: &usize| stages.outlook.defoliation.quantile(*b, 0.5);
    let mut keyed: Vec<(usize, f64, f64)> =
        (0..stages.outlook.blocks.len()).map(|b| (b, chance_of(&b), lost(&b))).collect();
    keyed.sort_by(|a, b| b.1.total_cmp(&a.1).then(b.2.total_cmp(&a.2)));
    keyed.into_iter().map(|(b, ..)| b).collect()
}

fn sentence(all: &Untreated, blocks: usize) -> String {
    format!(
        "If nothing is done, {} of {} lose more leaf than their use tolerates (middle {}), {} trees die of it within three \
         years (middle {}), and removals and nuisance come to {} to {} (middle {}). Nine seasons in ten lie inside these \
         ranges, as far as the curve behind them holds.",
        span(all.blocks_over, grouped),
        count(blocks, "block", "blocks"),
        grouped(all.blocks_over.middle),
        span(all.dead_trees, trees),
        trees(all.dead_trees.middle),
        dollars(all.loss.low),
        dollars(all.loss.high),
        dollars(all.loss.middle)
    )
}

fn span(range: Range, text: impl Fn(f64) -> String) -> String {
    format!("{} to {}", text(range.low), text(range.high))
}

/// Two figures are all that such a range can carry: "$340,000", "$2.8 million".
fn dollars(v: f64) -> String {
    let rounded = two_figures(v);
    if rounded >= 999_999.5 {
        let millions = format!("{:.1}", rounded / 1e6);
        return format!("${} million", millions.strip_suffix(".0").unwrap_or(&millions));
    }
    money(Money::dollars(rounded))
}

/// A number of trees, to two figures.
fn trees(v: f64) -> String {
    number(two_figures(v))
}

fn two_figures(v: f64) -> f64 {
    if v.abs() < 10.0 {
        return v;
    }
    let step = 10f64.powf(v.abs().log10().floor() - 1.0);
    (v / step).round() * step
}

/// Id (empty where the catalogue has none), value, label.
fn figures(all: &Untreated, w: Wording) -> Vec<(&'static str, String, String)> {
    let acres = |v: f64| w.bare_area(Area::acres(v));
    let of = |range: Range, text: &dyn Fn(f64) -> String| format!("{} to {}", text(range.low), text(range.high));
    vec![
        (
            "",
            of(all.blocks_over, &grouped),
            format!("blocks over what is tolerated; middle {}", grouped(all.blocks_over.middle)),
        ),
        (
            "",
            format!("{} {}", of(all.host_over, &acres), w.area_unit()),
            format!("favoured-tree canopy in them; middle {}", acres(all.host_over.middle)),
        ),
        (
            "O-dead-trees",
            of(all.dead_trees, &trees),
            format!("trees dying over three years, beyond the usual; middle {}", trees(all.dead_trees.middle)),
        ),
        ("O-loss", of(all.loss, &dollars), format!("removals and nuisance; middle {}", dollars(all.loss.middle))),
    ]
}

const CURVE: [&str; 3] = ["outlook.curve.midpoint", "outlook.curve.slope", "outlook.curve.residual"];

fn curve_known(season: &Season) -> Vec<Known> {
    let of = |name: &&str| season.records.parameters.get(name).map(|p| p.known);
    CURVE.iter().filter_map(of).collect()
}

/// How the curve behind everything is known.
fn curve(season: &Season, known: &[Known], w: Wording) -> String {
    let middle = MassesPerArea::per_acre(season.records.parameters.number(CURVE[0]));
    let half = format!(
        "Everything here hangs on one curve: half the favoured foliage is lost at {} new egg masses per {}, more above, less \
         below, with a wide spread from block to block.",
        w.bare_density(middle),
        w.per_area()
    );
    if known.contains(&Known::Assumption) {
        return format!(
            "{half} Its shape and spread are an assumption that meets the trade's rules of thumb, not a measurement, and none of \
             the ranges holds the doubt about the curve itself. It stays so until it is fitted to this city's own pairs of \
             count and rated foliage."
        );
    }
    let mut words: Vec<&str> = known.iter().map(|k| k.word()).collect();
    words.dedup();
    format!("{half} It is known as: {}. None of the ranges holds the doubt about the curve itself.", words.join(", "))
}

/// The worst blocks. It stands in a column beside the map, so it is drawn narrow for every screen.
fn picture(season: &Season, stages: &Stages, order: &[usize]) -> String {
    let rows: Vec<LossRow> = order.iter().take(PICTURED).map(|b| loss_row(season, stages, *b)).collect();
    loss_ranges(&rows, &Sheet::screen("losses-drawn", season.units(), Size::Narrow))
}

fn loss_row(season: &Season, stages: &Stages, b: usize) -> LossRow {
    let lost = |p| stages.outlook.defoliation.quantile(b, p);
    let block = &season.records.blocks[b];
    LossRow {
        label: block.id.to_string(),
        href: Some(format!("#loss-{}", block.id)),
        forecast: (lost(0.05), lost(0.5), lost(0.95)),
        tolerance: stages.options.blocks[b].tolerance.value(),
        rated: None,
    }
}

fn row(season: &Season, stages: &Stages, b: usize, w: Wording) -> OutlookRow {
    let (block, outlook, options) = (&season.records.blocks[b], &stages.outlook, &stages.options.blocks[b]);
    let over = options.options[0].chance_over;
    let place = if season.plans.is_empty() { "/survey/blocks" } else { "/plan/blocks" };
    OutlookRow {
        id: block.id.to_string(),
        name: block.name.clone(),
        href: format!("{place}/{}", block.id),
        land_use: block.land_use.word(),
        tolerated: percent(options.tolerance.value()),
        lost: cell(outlook.defoliation.block(b), percent),
        over: chance(over),
        over_sort: over,
        dead: cell(outlook.dead_trees.block(b), trees),
        money: cell(outlook.loss.block(b), dollars),
        next: cell(outlook.next_density.block(b), |v| w.bare_density(MassesPerArea::per_hectare(v))),
    }
}

fn cell(draws: &[f64], text: impl Fn(f64) -> String) -> Cell {
    let range = Range::of(draws);
    Cell {
        middle: text(range.middle),
        range: format!("{} to {}", text(range.low), text(range.high)),
        sort: range.middle,
    }
}

/// What the outlook stands on, without the policies.
fn constants(season: &Season) -> Vec<Constant> {
    let policy = |name: &str| name.starts_with("outlook.tolerance.") || name.starts_with("outlook.accepted_chance.");
    season
        .records
        .parameters
        .iter()
        .filter(|p| p.name.starts_with("outlook.") && !policy(&p.name))
        .map(|p| Constant {
            name: p.name.clone(),
            meaning: p.meaning.clone(),
            value: format!("{} {}", p.value, p.unit),
            known: p.known.word(),
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_first_sentence_has_only_ranges() {
        let range = |low, middle, high| Range { low, middle, high };
        let all = Untreated {
            blocks_over: range(34.0, 58.2, 88.0),
            host_over: range(100.0, 200.0, 300.0),
            dead_trees: range(210.4, 400.0, 1_980.0),
            loss: range(120_000.0, 250_000.0, 561_300.0),
        };
        insta::assert_snapshot!(sentence(&all, 187));
    }

    #[test]
    fn sums_are_said_to_two_figures() {
        let said = [0.0, 4.2, 339_370.0, 999_900.0, 2_832_658.0].map(dollars);
        assert_eq!(said, ["$0", "$4", "$340,000", "$1 million", "$2.8 million"]);
        assert_eq!([3.3, 12.6, 2_164.0].map(trees), ["3.3", "13", "2,200"]);
    }

    #[test]
    fn a_cell_has_its_range() {
        let cell = cell(&[0.1, 0.2, 0.3], percent);
        assert_eq!((cell.middle.as_str(), cell.range.as_str()), ("20\u{a0}%", "11\u{a0}% to 29\u{a0}%"));
        assert!((cell.sort - 0.2).abs() < 1e-12);
    }
}
