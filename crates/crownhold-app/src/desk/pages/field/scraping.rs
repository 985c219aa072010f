//! Scraping: what was taken off, how much of the block that was, and the log.

use std::collections::{BTreeMap, BTreeSet};

use askama::Template;
use axum::extract::{Form, Path};
use axum::http::StatusCode;
use crownhold::field::crews::{ScrapingSeason, scraping_materials, scraping_season, tree_list};
use crownhold::types::{BlockId, Hours, LogId, ScrapingVisit, Tactic};
use crownhold_print::cautions;
use crownhold_print::wording::{count, grouped, hours_counted, listed, money, number, percent};
use jiff::civil::date;

use super::form::Typed;
use super::{Entry, kept, planned};
use crate::actions::{log, photos};
use crate::desk::shell::{Answer, Place, Shell, Visit, page_with};
use crate::desk::state::Season;

const SHOWN: usize = 40;

#[derive(Template)]
#[template(path = "field_scraping.html")]
struct ScrapingPage {
    shell: Shell,
    lead: String,
    caution: &'static str,
    /// Planned blocks whose count is not closed.
    open: String,
    blocks: Vec<BlockRow>,
    materials: String,
    form: Typed,
    entries: Vec<Entry>,
    entries_note: String,
}

struct BlockRow {
    block: String,
    planned: bool,
    open: bool,
    trees: usize,
    hours: String,
    taken: String,
    rate: String,
    of_seen: String,
    share: String,
}

pub async fn show(visit: Visit) -> Answer {
    let form = Typed::filled([("date", visit.season.today.to_string()), ("who", visit.author().to_owned())]);
    render(&visit, StatusCode::OK, form)
}

fn render(visit: &Visit, status: StatusCode, form: Typed) -> Answer {
    let season = &visit.season;
    let visits = of_season(season);
    let planned = planned(season, Tactic::Scraping);
    let places: BTreeSet<BlockId> = visits.iter().map(|v| v.block.clone()).chain(planned.iter().cloned()).collect();
    let seasons: Vec<ScrapingSeason> = places.iter().map(|id| block_season(season, id, &visits)).collect();
    let hours: f64 = planned.iter().map(|id| hours_planned(season, id).as_hours()).sum();
    page_with(
        status,
        &ScrapingPage {
            lead: lead(&seasons, &planned, hours),
            caution: cautions::of(Tactic::Scraping),
            open: open(season, &planned),
            blocks: seasons.iter().map(|s| row(season, s, planned.contains(&s.block))).collect(),
            materials: kits(season, hours),
            form,
            entries: entries(season, &visits, &photos::all(visit.desk.path())),
            entries_note: kept(visits.len(), SHOWN),
            shell: visit.shell(Place::Field, "Scraping"),
        },
    )
}

/// Scraping of the winter before the season's spring.
pub(in crate::desk::pages) fn of_season(season: &Season) -> Vec<&ScrapingVisit> {
    let year = season.records.programme.season;
    let winter = date(year - 1, 8, 1)..date(year, 8, 1);
    season.records.log.scraping.iter().filter(|v| winter.contains(&v.date)).collect()
}

fn block_season(season: &Season, id: &BlockId, visits: &[&ScrapingVisit]) -> ScrapingSeason {
    let records = &season.records;
    let own: Vec<&ScrapingVisit> = visits.iter().copied().filter(|v| v.block == *id).collect();
    let one = std::slice::from_ref(id);
    let (area, density) = season.stages.as_ref().map(|s| s.density.together(records, one)).unwrap_or_default();
    scraping_season(id, &own, area, &density)
}

fn hours_planned(season: &Season, id: &BlockId) -> Hours {
    let orders = season.current().map(|(_, work)| work.orders.as_slice()).unwrap_or_default();
    orders.iter().filter(|o| o.tactic == Tactic::Scraping && o.block == *id).map(|o| o.hours).sum()
}

fn lead(seasons: &[ScrapingSeason], planned: &[BlockId], hours: f64) -> String {
    let taken: f64 = seasons.iter().map(|s| f64::from(s.taken())).sum();
    let plan = format!(
        "The plan scrapes {}, {}.",
        count(planned.len(), "block", "blocks"),
        hours_counted(Hours::hours(hours))
    );
    if taken == 0.0 {
        return format!("{plan} Nothing is written down yet.");
    }
    format!("{plan} So far {} egg masses are taken off.", grouped(taken))
}

fn open(season: &Season, planned: &[BlockId]) -> String {
    let is_open = |id: &&BlockId| season.records.blocks.iter().any(|b| b.id == **id && b.survey_closed.is_none());
    let names: Vec<String> = planned.iter().filter(is_open).map(ToString::to_string).collect();
    if names.is_empty() {
        return String::new();
    }
    format!(
        "The count is not closed in {}: masses that are scraped off are missing from it, and the block may then lose its spray \
         or its cost share. Close the count on the survey page first.",
        listed(&names)
    )
}

fn row(season: &Season, of: &ScrapingSeason, planned: bool) -> BlockRow {
    let records = &season.records;
    let block = records.block_index(&of.block).map(|i| &records.blocks[i]);
    let hours = hours_planned(season, &of.block);
    let share = of
        .share
        .filter(|_| of.visits > 0)
        .map(|s| format!("{} ({} to {})", percent(s.middle), percent(s.low), percent(s.high)));
    BlockRow {
        block: of.block.to_string(),
        planned,
        open: block.is_some_and(|b| b.survey_closed.is_none()),
        trees: block.map_or(0, |b| tree_list(records, b).trees.len()),
        hours: if planned { hours_counted(hours) } else { String::new() },
        taken: if of.visits > 0 { grouped(f64::from(of.taken())) } else { String::new() },
        rate: of.rate.map(number).unwrap_or_default(),
        of_seen: of.of_seen().map(percent).unwrap_or_default(),
        share: share.unwrap_or_default(),
    }
}

fn kits(season: &Season, hours: f64) -> String {
    let all = scraping_materials(&season.records.parameters);
    let line = |m: &crownhold::field::crews::Material| {
        format!("{} {}, {} ({})", grouped(m.amount), m.name, money(m.price), m.because)
    };
    let people = season.records.parameters.number("bands.people");
    let listed = all.iter().map(line).collect::<Vec<_>>().join("; ");
    if hours <= 0.0 { String::new() } else { format!("To buy, for {people:.0} people at work at once: {listed}.") }
}

fn entries(season: &Season, visits: &[&ScrapingVisit], photos: &BTreeSet<LogId>) -> Vec<Entry> {
    let mut newest: Vec<&ScrapingVisit> = visits.to_vec();
    newest.sort_by(|a, b| (b.date, &b.id).cmp(&(a.date, &a.id)));
    let entry = |v: &&ScrapingVisit| Entry {
        id: v.id.to_string(),
        day: season.wording().day(v.date),
        place: v.tree.as_ref().map_or(v.block.to_string(), |tree| format!("{}, tree {tree}", v.block)),
        number: v.trees.to_string(),
        what: format!("{} from the ground, {} higher up, {} left", v.low, v.high, v.left),
        who: v.who.clone(),
        photo: photos.contains(&v.id),
    };
    newest.iter().take(SHOWN).map(entry).collect()
}

pub async fn add(visit: Visit, Form(typed): Form<BTreeMap<String, String>>) -> Answer {
    let mut form = Typed::of(typed);
    let date = form.date("date", visit.season.today);
    let [low, high, left, trees] = ["low", "high", "left", "trees"].map(|name| form.count(name));
    let hours = form.number("hours", 0.0, 10_000.0);
    let Some(date) = date.filter(|_| !form.is_wrong()) else {
        return render(&visit, StatusCode::UNPROCESSABLE_ENTITY, form);
    };
    let entry = ScrapingVisit {
        id: LogId::new(""),
        date,
        block: BlockId::new(form.text("block")),
        tree: None,
        low,
        high,
        left,
        trees,
        hours: hours.map(Hours::hours),
        who: form.text("who"),
        place: None,
        note: form.text("note"),
    };
    match super::run(&visit, move |path, by| log::add_scraping(path, &entry, by)).await {
        Ok(done) => Ok(visit.done_with(done, "/field/scraping").await),
        Err(trouble) if form.take(&trouble.problems) => render(&visit, StatusCode::UNPROCESSABLE_ENTITY, form),
        Err(trouble) => Err(trouble.into()),
    }
}

pub async fn remove(visit: Visit, Path(id): Path<String>) -> Answer {
    let done = super::run(&visit, move |path, by| log::remove_scraping(path, &LogId::new(id), by)).await?;
    Ok(visit.done_with(done, "/field/scraping").await)
}
