//! Field: what to do, where, by when, from the plan; and the log of what was done.

pub mod applications;
pub mod bands;
pub mod flights;
mod form;
pub mod mailing;
pub mod notices;
pub mod rounds;
pub mod scraping;

use askama::Template;
use crownhold::field::{WorkOrder, flown_blocks};
use crownhold::timing::Timing;
use crownhold::types::{BlockId, Tactic};
use crownhold_print::cautions;
use crownhold_print::wording::{Wording, count, hours_counted};

use crate::actions::{By, Done};
use crate::clock;
use crate::desk::shell::{Answer, Place, Shell, Visit, page};
use crate::desk::state::{Season, off};
use crate::trouble::Trouble;

/// One entry of the log as pages list it.
struct Entry {
    id: String,
    day: String,
    place: String,
    number: String,
    what: String,
    who: String,
    photo: bool,
}

/// What stands over a list that may be cut.
fn kept(all: usize, shown: usize) -> String {
    let entries = count(all, "entry", "entries");
    if all > shown { format!("{entries}; the newest {shown} are shown.") } else { format!("{entries}, newest first.") }
}

/// Blocks in which the current plan uses a tactic.
fn planned(season: &Season, tactic: Tactic) -> Vec<BlockId> {
    let orders = season.current().map(|(_, work)| work.orders.as_slice()).unwrap_or_default();
    let mut blocks: Vec<BlockId> = orders.iter().filter(|o| o.tactic == tactic).map(|o| o.block.clone()).collect();
    blocks.sort();
    blocks
}

/// Blocks that the current plan flies.
pub(super) fn flown(season: &Season) -> Vec<BlockId> {
    season.current().map(|(_, work)| flown_blocks(&work.orders)).unwrap_or_default()
}

/// Makes an entry, off the threads that answer.
async fn run(
    visit: &Visit,
    f: impl FnOnce(&std::path::Path, By<'_>) -> Result<Done, Trouble> + Send + 'static,
) -> Result<Done, Trouble> {
    let (path, author, when) = (visit.desk.path().to_owned(), visit.author().to_owned(), clock::now());
    off(move || f(&path, By::new(&author, &when))).await
}

#[derive(Template)]
#[template(path = "field.html")]
struct FieldPage {
    shell: Shell,
    plan: String,
    jobs: Vec<JobView>,
}

/// All work of one tactic.
struct JobView {
    anchor: String,
    title: &'static str,
    icon: &'static str,
    blocks: String,
    summary: String,
    dates: Vec<(String, String)>,
    rule: String,
    caution: &'static str,
    rows: Vec<OrderRow>,
}

/// One block's work.
struct OrderRow {
    block: String,
    name: String,
    place: String,
    trees: String,
    hours: String,
    consent: String,
}

pub async fn show(visit: Visit) -> Answer {
    let season = &visit.season;
    let jobs = season
        .current()
        .map(|(_, work)| Tactic::ALL.iter().filter_map(|tactic| job(season, *tactic, &work.orders)).collect());
    page(&FieldPage {
        shell: visit.shell(Place::Field, "Field"),
        plan: season.plans.last().map(|k| k.name.clone()).unwrap_or_default(),
        jobs: jobs.unwrap_or_default(),
    })
}

fn job(season: &Season, tactic: Tactic, orders: &[WorkOrder]) -> Option<JobView> {
    let of_it: Vec<&WorkOrder> = orders.iter().filter(|o| o.tactic == tactic).collect();
    let first = of_it.first()?;
    let w = season.wording();
    let hours = of_it.iter().map(|o| o.hours).sum();
    let blocks = count(of_it.len(), "block", "blocks");
    Some(JobView {
        anchor: tactic.word().replace(' ', "-").to_lowercase(),
        title: title(tactic),
        icon: icon(tactic),
        summary: format!("{blocks}, {} planned", hours_counted(hours)),
        blocks,
        dates: dates(first, w, season.today),
        rule: season.timing().map(|t| rule(t, tactic)).unwrap_or_default(),
        caution: cautions::of(tactic),
        rows: of_it.iter().filter_map(|o| row(season, o)).collect(),
    })
}

fn dates(order: &WorkOrder, w: Wording, today: jiff::civil::Date) -> Vec<(String, String)> {
    let day = |d: Option<jiff::civil::Date>| d.map_or("not this season".to_owned(), |d| w.date(d));
    let mut all = Vec::new();
    if let Some(by) = order.notices_by {
        all.push(("Notices sent by".to_owned(), w.date(by)));
    }
    if order.from.is_some_and(|from| from <= today) {
        all.push(("Most likely open since".to_owned(), day(order.from)));
    } else {
        all.push(("Be ready by (one season in ten is earlier)".to_owned(), day(order.ready)));
        all.push(("Most likely opens".to_owned(), day(order.from)));
    }
    all.push(("Most likely closes".to_owned(), day(order.to)));
    all
}

fn rule(timing: &Timing, tactic: Tactic) -> String {
    timing.window(crownhold::field::window_of(tactic)).map(|w| w.rule.clone()).unwrap_or_default()
}

fn row(season: &Season, order: &WorkOrder) -> Option<OrderRow> {
    let records = &season.records;
    let block = &records.blocks[records.block_index(&order.block)?];
    let trees = records.trees.iter().filter(|t| t.block.as_ref() == Some(&order.block)).count();
    Some(OrderRow {
        block: order.block.to_string(),
        name: block.name.clone(),
        place: block.neighbourhood.clone().unwrap_or_default(),
        trees: trees.to_string(),
        hours: if order.hours.as_hours() > 0.0 { hours_counted(order.hours) } else { "by contract".to_owned() },
        consent: block.consent.word().to_owned(),
    })
}

fn title(tactic: Tactic) -> &'static str {
    match tactic {
        Tactic::Scraping => "Scraping egg masses",
        Tactic::Bands => "Burlap bands",
        Tactic::GroundBtk => "Btk from the ground",
        Tactic::AerialOnce => "Btk from the air, once",
        Tactic::AerialTwice => "Btk from the air, twice",
    }
}

fn icon(tactic: Tactic) -> &'static str {
    match tactic {
        Tactic::Scraping => "hand",
        Tactic::Bands => "tree-deciduous",
        Tactic::GroundBtk => "spray-can",
        Tactic::AerialOnce | Tactic::AerialTwice => "plane",
    }
}
