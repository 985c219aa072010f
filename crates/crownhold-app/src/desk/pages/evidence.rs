//! Evidence: what the records support so far, and what they do not.

mod log;
mod open;

use askama::Template;
use crownhold::evidence::{
    Autumn, BlockEvidence, Change, Done, Evidence, autumns, changes, compare, done, untreated_ratings,
};
use crownhold::survey::DensityMethod;
use crownhold::tactics::Bundle;
use crownhold::types::{BlockId, MassesPerArea};
use crownhold_print::charts::{CompareBar, LedgerYear, LossRow, bars_compare, ledger, loss_ranges, season_ledger};
use crownhold_print::wording::{Wording, count, percent};

use super::picture::Picture;
use crate::actions::chain::Stages;
use crate::desk::shell::{Answer, Place, Shell, Visit, page};
use crate::desk::state::Season;
use log::LogRow;
use open::{Question, questions};

#[derive(Template)]
#[template(path = "evidence.html")]
struct EvidencePage {
    shell: Shell,
    sentence: String,
    ledger: Option<LedgerView>,
    counts: Option<CountsView>,
    ratings: Option<RatingsView>,
    treated_rated: usize,
    season: i16,
    done: Vec<DoneRow>,
    log: Vec<LogRow>,
    questions: Vec<Question>,
    area_unit: &'static str,
    per: &'static str,
}

/// Area sprayed and foliage lost, year by year.
struct LedgerView {
    picture: Picture,
    rows: Vec<(String, String, String, String)>,
}

/// Counts, autumn by autumn.
struct CountsView {
    picture: Picture,
    rows: Vec<(String, usize, String, String)>,
    changes: Vec<String>,
}

/// Ratings of this season against the forecast.
struct RatingsView {
    sentence: String,
    picture: Picture,
    pictured: usize,
    /// Where the ratings lie, with how many do.
    sides: Vec<(&'static str, usize)>,
    rows: Vec<RatingRow>,
}

/// One rated block.
struct RatingRow {
    block: String,
    forecast: String,
    rated: String,
    rated_sort: f64,
    inside: &'static str,
}

/// What was done in one past season by one treatment.
struct DoneRow {
    season: String,
    treatment: String,
    blocks: usize,
    sprayed: String,
}

/// Rows of the picture: more would not be read.
const PICTURED: usize = 25;
/// Fewer ratings than this say little about a share of nine in ten.
const FEW: usize = 20;
/// Where a rating can lie.
const SIDES: [&str; 3] = ["less than forecast", "inside", "more than forecast"];

pub async fn show(visit: Visit) -> Answer {
    let season = &visit.season;
    let (records, w) = (&season.records, season.wording());
    let this = records.programme.season;
    let years = ledger(&records.past);
    let counted = autumns(&records.past, this, &counted_now(season));
    let (ratings, treated_rated) = untreated_ratings(&records.past, this);
    let stages = season.stages.as_ref().ok();
    let evidence = stages.map(|s| compare(&s.outlook, &ratings)).unwrap_or_default();
    let log = log::rows(season);
    page(&EvidencePage {
        shell: visit.shell(Place::Evidence, "Evidence"),
        sentence: sentence(&years, &counted, &evidence, this),
        ledger: (!years.is_empty()).then(|| ledger_view(season, &years, w)),
        counts: (!counted.is_empty()).then(|| counts_view(season, &counted, w)),
        ratings: stages.filter(|_| rated(&evidence) > 0).map(|s| ratings_view(season, s, &evidence)),
        treated_rated,
        season: this,
        done: done(&records.past).into_iter().map(|d| done_row(d, w)).collect(),
        questions: questions(records, &counted, rated(&evidence), log.is_empty()),
        log,
        area_unit: w.area_unit(),
        per: w.per_area(),
    })
}

/// This autumn's densities of the blocks with plots of their own: a borrowed figure is no count.
fn counted_now(season: &Season) -> Vec<(BlockId, MassesPerArea)> {
    let Ok(stages) = &season.stages else { return Vec::new() };
    let own = stages.density.blocks.iter().filter(|(_, d)| d.method == DensityMethod::OwnPlots);
    own.map(|(block, d)| (block.clone(), d.estimate)).collect()
}

fn rated(evidence: &Evidence) -> usize {
    evidence.blocks.iter().filter(|b| b.observed.is_some()).count()
}

fn sentence(years: &[LedgerYear], counted: &[Autumn], evidence: &Evidence, season: i16) -> String {
    if years.is_empty() && counted.len() < 2 {
        return "The records hold one season so far: enough to plan it, not to judge what was done before.".to_owned();
    }
    let past = years.iter().filter(|y| y.season < season).count();
    let ratings = match rated(evidence) {
        0 => format!("No untreated block of {season} has been rated yet, so this season's forecast is not tested"),
        n => format!(
            "{} of {season} can be held against the forecast",
            count(n, "rated untreated block", "rated untreated blocks")
        ),
    };
    format!(
        "The records hold {} and counts of {}. {ratings}. They support no figure yet for what a treatment achieved; why, and \
         what would change that, stands below.",
        count(past, "past season", "past seasons"),
        count(counted.len(), "autumn", "autumns")
    )
}

fn ledger_view(season: &Season, years: &[LedgerYear], w: Wording) -> LedgerView {
    let row = |y: &LedgerYear| {
        let lost = y.defoliation.map_or("not rated".to_owned(), percent);
        (
            y.season.to_string(),
            y.sprayed.map_or("not recorded".to_owned(), |a| w.bare_area(a)),
            lost,
            y.observed.to_string(),
        )
    };
    LedgerView {
        picture: Picture::of(season, "ledger", |sheet| season_ledger(years, sheet)),
        rows: years.iter().map(row).collect(),
    }
}

fn counts_view(season: &Season, counted: &[Autumn], w: Wording) -> CountsView {
    let quartiles: Vec<(&Autumn, [MassesPerArea; 3])> =
        counted.iter().filter_map(|a| Some((a, a.quartiles()?))).collect();
    let shown = |d: MassesPerArea| if w.is_us() { d.as_per_acre() } else { d.as_per_hectare() };
    let bars: Vec<CompareBar> = quartiles
        .iter()
        .map(|(a, [low, middle, high])| CompareBar {
            label: format!("Autumn {} ({} blocks)", a.season - 1, a.counted.len()),
            value: shown(*middle),
            range: Some((shown(*low), shown(*high))),
            main: a.season == season.records.programme.season,
        })
        .collect();
    let unit = format!("per {}", w.per_area());
    let row = |(a, [low, middle, high]): &(&Autumn, [MassesPerArea; 3])| {
        let span = format!("{} to {}", w.bare_density(*low), w.bare_density(*high));
        (format!("{}", a.season - 1), a.counted.len(), w.bare_density(*middle), span)
    };
    CountsView {
        picture: Picture::of(season, "counts", |sheet| {
            bars_compare(&bars, "Counted egg masses, autumn by autumn", &unit, sheet)
        }),
        rows: quartiles.iter().map(row).collect(),
        changes: changes(counted).iter().map(change_words).collect(),
    }
}

/// "From autumn 2024 to 2025, over the 88 blocks counted in both: ..."
fn change_words(c: &Change) -> String {
    let head = format!("From autumn {} to {}", c.between.0 - 1, c.between.1 - 1);
    let Some([low, middle, high]) = c.ratio else {
        return format!("{head} no block with egg masses was counted twice.");
    };
    let nought = if c.from_nought > 0 {
        format!(" {} had none at first.", count(c.from_nought, "block", "blocks"))
    } else {
        String::new()
    };
    format!(
        "{head}, over {} counted in both: half of them changed by a factor of {low:.1} to {high:.1} (middle {middle:.1}); {} had \
         fewer than before.{nought}",
        count(c.blocks, "block", "blocks"),
        c.fell
    )
}

fn ratings_view(season: &Season, stages: &Stages, evidence: &Evidence) -> RatingsView {
    let mut seen: Vec<(usize, &BlockEvidence, f64)> =
        evidence.blocks.iter().enumerate().filter_map(|(b, e)| Some((b, e, e.observed?))).collect();
    seen.sort_by(|a, b| b.2.total_cmp(&a.2));
    let rows: Vec<LossRow> = seen
        .iter()
        .take(PICTURED)
        .map(|(b, e, rated)| LossRow {
            label: e.block.to_string(),
            href: Some(format!("/survey/blocks/{}", e.block)),
            forecast: e.predicted,
            tolerance: stages.options.blocks[*b].tolerance.value(),
            rated: Some(*rated),
        })
        .collect();
    let table: Vec<RatingRow> = seen.iter().map(|(_, e, rated)| rating_row(e, *rated)).collect();
    RatingsView {
        sentence: coverage_words(seen.len(), evidence.coverage().unwrap_or_default()),
        picture: Picture::of(season, "ratings", |sheet| loss_ranges(&rows, sheet)),
        pictured: rows.len(),
        sides: SIDES.map(|side| (side, table.iter().filter(|r| r.inside == side).count())).to_vec(),
        rows: table,
    }
}

fn coverage_words(rated: usize, inside: f64) -> String {
    let few = if rated < FEW { " So few say little either way." } else { "" };
    format!(
        "{:.0} of {} lie inside the range of their forecast ({}); nine in ten are meant to.{few}",
        inside * rated as f64,
        count(rated, "rated block", "rated blocks"),
        percent(inside)
    )
}

fn rating_row(e: &BlockEvidence, rated: f64) -> RatingRow {
    let (low, middle, high) = e.predicted;
    RatingRow {
        block: e.block.to_string(),
        forecast: format!("{} ({} to {})", percent(middle), percent(low), percent(high)),
        rated: percent(rated),
        rated_sort: rated,
        inside: SIDES[if rated < low {
            0
        } else if rated > high {
            2
        } else {
            1
        }],
    }
}

fn done_row(d: Done, w: Wording) -> DoneRow {
    let known = if d.treatment.is_empty() { "not recorded".to_owned() } else { d.treatment };
    let flown = Bundle::from_key(&known).is_some_and(|bundle| bundle.flies());
    let sprayed = match d.sprayed {
        area if area.as_acres() > 0.0 => w.bare_area(area),
        _ if flown => "not recorded".to_owned(),
        _ => "–".to_owned(),
    };
    DoneRow { season: d.season.to_string(), treatment: known, blocks: d.blocks, sprayed }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn changes_are_said_with_their_spread() {
        let change =
            Change { between: (2025, 2026), blocks: 4, fell: 1, from_nought: 1, ratio: Some([0.625, 1.0, 1.5]) };
        insta::assert_snapshot!(change_words(&change));
        let none = Change { blocks: 0, fell: 0, from_nought: 0, ratio: None, ..change };
        assert!(change_words(&none).ends_with("no block with egg masses was counted twice."));
    }

    #[test]
    fn few_ratings_are_called_few() {
        let few = coverage_words(4, 0.75);
        assert!(few.starts_with("3 of 4 rated blocks") && few.ends_with("So few say little either way."), "{few}");
        assert!(!coverage_words(40, 0.9).contains("little"));
    }

    #[test]
    fn a_rating_is_inside_or_outside() {
        let e = BlockEvidence { block: BlockId::new("A1"), predicted: (0.1, 0.3, 0.6), observed: None };
        let said = |v| rating_row(&e, v).inside;
        assert_eq!((said(0.05), said(0.1), said(0.7)), ("less than forecast", "inside", "more than forecast"));
    }
}
