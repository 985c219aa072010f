//! Survey: how many egg masses stand where, how sure that is, and the counts behind it.

mod block;
pub mod design;
mod grid;
pub mod recount;
mod visit;

pub use block::{add_plot, add_visit, close, delete_plot, reopen, show as block};
pub use grid::{advice, save as save_grid, show as grid};
pub use visit::{correct, delete, show as visit};

use askama::Template;
use axum::extract::Query;
use crownhold::survey::{Density, DensityMethod};
use crownhold::types::MassesPerArea;
use crownhold::types::draws::share;
use crownhold_print::charts::{DensityRow, density_dots};
use crownhold_print::wording::{chance, count, percent};
use crownhold_print::{Sheet, Size};
use serde::Deserialize;

use crate::desk::shell::{Answer, Place, ProblemLine, Shell, Visit, lines, page};
use crate::desk::state::Season;

/// What the map shows.
#[derive(Deserialize, Default)]
pub struct Look {
    #[serde(default)]
    show: String,
    over: Option<f64>,
}

#[derive(Template)]
#[template(path = "survey.html")]
struct SurveyPage {
    shell: Shell,
    sentence: String,
    doubt: String,
    /// "density", "exceed" or "fine": as the map names it.
    look: &'static str,
    /// Is the density between the plots known?
    space: bool,
    over: String,
    step: String,
    most: String,
    per: &'static str,
    wide: String,
    narrow: String,
    rows: Vec<BlockRow>,
    open: usize,
    waiting: usize,
    problems: Vec<ProblemLine>,
    problem_kinds: Vec<ProblemLine>,
}

/// A block in the table.
struct BlockRow {
    id: String,
    name: String,
    land_use: &'static str,
    plots: usize,
    estimate: String,
    sort: f64,
    interval: String,
    used: String,
    over: String,
    over_sort: f64,
    from: &'static str,
    closed: String,
}

/// Rows of the picture: more would not be read.
const PICTURED: usize = 25;

pub async fn show(visit: Visit, Query(look): Query<Look>) -> Answer {
    let season = &visit.season;
    let w = season.wording();
    // Steps and ends of the slider in the unit shown.
    let (usual, step, most) = if w.is_us() { (250.0, 10.0, 2000.0) } else { (600.0, 25.0, 5000.0) };
    let over = look.over.filter(|v| (step..=most).contains(v)).unwrap_or(usual);
    let stages = season.stages.as_ref();
    let density = stages.ok().map(|s| &s.density);
    let rows = density.map(|d| rows(season, d, over)).unwrap_or_default();
    let picture = |id, size| density.map(|d| picture(season, d, id, size)).unwrap_or_default();
    let problems = stages.err().map(|t| lines(&t.problems)).unwrap_or_default();
    page(&SurveyPage {
        shell: visit.shell(Place::Survey, "Survey"),
        sentence: density.map(|d| sentence(season, d, over)).unwrap_or_default(),
        doubt: density.map(doubt).unwrap_or_default(),
        look: match look.show.as_str() {
            "exceed" => "exceed",
            // Where the model over space cannot be used there is nothing between the plots.
            "fine" if density.is_some_and(|d| d.space.is_some()) => "fine",
            _ => "density",
        },
        space: density.is_some_and(|d| d.space.is_some()),
        over: format!("{over:.0}"),
        step: format!("{step:.0}"),
        most: format!("{most:.0}"),
        per: w.per_area(),
        wide: picture("dots", Size::Wide),
        narrow: picture("dots-narrow", Size::Narrow),
        open: season.records.blocks.iter().filter(|b| b.survey_closed.is_none()).count(),
        waiting: grid::waiting(season).len(),
        rows,
        problems,
        problem_kinds: density.map(|d| lines(&d.notes)).unwrap_or_default(),
    })
}

/// A density shown on the desk, as the draws have it.
fn per_hectare(season: &Season, shown: f64) -> f64 {
    let density =
        if season.wording().is_us() { MassesPerArea::per_acre(shown) } else { MassesPerArea::per_hectare(shown) };
    density.as_per_hectare()
}

fn sentence(season: &Season, density: &Density, over: f64) -> String {
    let limit = per_hectare(season, over);
    let chances: Vec<f64> = (0..density.blocks.len()).map(|b| share(density.draws.block(b), |d| d > limit)).collect();
    let above = chances.iter().filter(|c| **c >= 0.9).count();
    let below = chances.iter().filter(|c| **c <= 0.1).count();
    let undecided = chances.len() - above - below;
    let own = density.blocks.iter().filter(|(_, e)| e.method == DensityMethod::OwnPlots).count();
    format!(
        "{own} of {} blocks have plots of their own. More than {over:.0} new egg masses per {}: nine times in ten yes in {}, \
         nine times in ten no in {}, and undecided in {}.",
        chances.len(),
        season.wording().per_area(),
        count(above, "block", "blocks"),
        below,
        undecided,
    )
}

fn doubt(density: &Density) -> String {
    let k = density.dispersion;
    let new = density.new_share.map(|s| {
        format!(
            " Of the masses that could be told within reach {} are new ({} to {}); the same share is taken for those out of reach.",
            percent(s.share),
            percent(s.low),
            percent(s.high)
        )
    });
    let space = if density.space.is_some() {
        " A block with few plots leans on the plots around it; one without any has no other."
    } else {
        " A block with few plots leans on its stratum; one without any borrows its figure."
    };
    format!(
        "Intervals hold {} of the time and follow from how clumped the masses are (k {:.2}, {:.2} to {:.2}).{}{space}",
        percent(density.level),
        k.k,
        k.range.0,
        k.range.1,
        new.unwrap_or_default()
    )
}

fn rows(season: &Season, density: &Density, over: f64) -> Vec<BlockRow> {
    let (w, limit) = (season.wording(), per_hectare(season, over));
    let blocks = season.records.blocks.iter().zip(&density.blocks).enumerate();
    blocks
        .map(|(b, (block, (id, e)))| {
            let above = share(density.draws.block(b), |d| d > limit);
            let at = |p| w.bare_density(MassesPerArea::per_hectare(density.draws.quantile(b, p)));
            BlockRow {
                id: id.to_string(),
                name: block.name.clone(),
                land_use: block.land_use.word(),
                plots: if e.method == DensityMethod::OwnPlots { e.plots } else { 0 },
                estimate: w.bare_density(e.estimate),
                sort: e.estimate.as_per_hectare(),
                interval: format!("{} to {}", w.bare_density(e.low), w.bare_density(e.high)),
                used: format!("{} ({} to {})", at(0.5), at(0.05), at(0.95)),
                over: chance(above),
                over_sort: above,
                from: e.method.word(),
                closed: block.survey_closed.map_or("open".to_owned(), |d| w.day(d)),
            }
        })
        .collect()
}

/// The densest blocks with their intervals.
fn picture(season: &Season, density: &Density, id: &str, size: Size) -> String {
    let mut order: Vec<usize> = (0..density.blocks.len()).collect();
    let estimate = |b: &usize| density.blocks[*b].1.estimate.as_per_hectare();
    order.sort_by(|a, b| estimate(b).total_cmp(&estimate(a)));
    let rows: Vec<DensityRow> = order.into_iter().take(PICTURED).map(|b| dot(season, density, b)).collect();
    density_dots(&rows, &Sheet::screen(id, season.units(), size))
}

fn dot(season: &Season, density: &Density, b: usize) -> DensityRow {
    let (id, e) = &density.blocks[b];
    let land_use = season.records.blocks[b].land_use;
    let threshold = crownhold::outlook::by_land_use(&season.records.parameters, "threshold", land_use);
    DensityRow {
        label: id.to_string(),
        href: Some(format!("/survey/blocks/{id}")),
        estimate: e.estimate,
        interval: (e.low, e.high),
        own: e.method == DensityMethod::OwnPlots,
        threshold: MassesPerArea::per_acre(threshold),
    }
}
