//! Bands: the season's catch with what it was of the whole, advice, materials, and the log.

use std::collections::{BTreeMap, BTreeSet};

use askama::Template;
use axum::extract::{Form, Path, Query};
use axum::http::StatusCode;
use crownhold::field::crews::{BandSeason, Material, TakenShare, band_materials, band_season, doubles, tree_list};
use crownhold::types::{
    BandVisit, BandWork, BlockId, Catch, FieldSample, Hours, LogId, Seen, Tactic, TreeId, UnitSystem,
};
use crownhold_print::cautions;
use crownhold_print::charts::catch_curve;
use crownhold_print::wording::{capital, count, grouped, money, number};
use serde::Deserialize;

use super::form::Typed;
use super::{Entry, kept, planned};
use crate::actions::{log, photos};
use crate::desk::pages::picture::Picture;
use crate::desk::shell::{Answer, Place, Refused, Shell, Visit, page, page_with};
use crate::desk::state::Season;

/// Entries on the page; the rest are in the file.
const SHOWN: usize = 40;

#[derive(Template)]
#[template(path = "field_bands.html")]
struct BandsPage {
    shell: Shell,
    lead: String,
    figures: Vec<(String, String)>,
    caution: &'static str,
    picture: Option<Picture>,
    block: String,
    advice: String,
    because: Vec<String>,
    /// The last day's catch in the block shown, for the dates: day, in words, and whether they know it already.
    teaches: Option<(String, String, bool)>,
    blocks: Vec<BlockRow>,
    materials: Vec<MaterialRow>,
    people: f64,
    form: Typed,
    doubles: Vec<Entry>,
    entries: Vec<Entry>,
    entries_note: String,
}

struct BlockRow {
    block: String,
    planned: bool,
    trees: usize,
    visits: u32,
    insects: String,
    week: String,
    share: String,
    advice: &'static str,
}

struct MaterialRow {
    name: &'static str,
    amount: String,
    unit: &'static str,
    price: String,
    because: String,
}

/// Which block's curve.
#[derive(Deserialize, Default)]
pub struct Asked {
    #[serde(default)]
    block: String,
}

pub async fn show(visit: Visit, Query(asked): Query<Asked>) -> Answer {
    let form = Typed::filled([
        ("date", visit.season.today.to_string()),
        ("block", asked.block.clone()),
        ("bands", "1".to_owned()),
        ("who", visit.author().to_owned()),
    ]);
    render(&visit, StatusCode::OK, &asked.block, form)
}

fn render(visit: &Visit, status: StatusCode, block: &str, form: Typed) -> Answer {
    let season = &visit.season;
    let visits = of_season(season);
    let places: BTreeSet<BlockId> = visits.iter().map(|v| v.block.clone()).collect();
    let one = places.iter().find(|id| id.as_str() == block).cloned();
    let shown: Vec<BlockId> = one.iter().cloned().chain(places.iter().filter(|_| one.is_none()).cloned()).collect();
    let picked: Vec<&BandVisit> = visits.iter().copied().filter(|v| shown.contains(&v.block)).collect();
    let whole = sum(season, &picked, &shown);
    let planned = planned(season, Tactic::Bands);
    let photos = photos::all(visit.desk.path());
    let listed: BTreeSet<BlockId> = places.iter().chain(&planned).cloned().collect();
    page_with(
        status,
        &BandsPage {
            lead: lead(&whole, &planned),
            figures: if visits.is_empty() { Vec::new() } else { figures(&whole) },
            caution: cautions::of(Tactic::Bands),
            picture: (!picked.is_empty())
                .then(|| Picture::of(season, "catch", |sheet| catch_curve(&whole.days, season.today, sheet))),
            teaches: one.as_ref().and_then(|id| teaches(season, id, &whole)),
            block: one.map(|id| id.to_string()).unwrap_or_default(),
            advice: capital(whole.advice.service.word()),
            because: whole.advice.because.clone(),
            blocks: listed.iter().map(|id| row(season, id, &visits, planned.contains(id))).collect(),
            materials: materials(season, &planned),
            people: season.records.parameters.number("bands.people"),
            form,
            doubles: doubles(&visits).concat().iter().map(|v| entry(season, v, &photos)).collect(),
            entries: entries(season, &visits, &photos),
            entries_note: kept(visits.len(), SHOWN),
            shell: visit.shell(Place::Field, "Bands"),
        },
    )
}

/// Visits of the season's summer.
pub(in crate::desk::pages) fn of_season(season: &Season) -> Vec<&BandVisit> {
    let year = season.records.programme.season;
    season.records.log.bands.iter().filter(|v| v.date.year() == year).collect()
}

/// The season of some blocks together: their ground, and draws of its mean density.
pub(in crate::desk::pages) fn sum(season: &Season, visits: &[&BandVisit], blocks: &[BlockId]) -> BandSeason {
    let records = &season.records;
    let (area, density) = season.stages.as_ref().map(|s| s.density.together(records, blocks)).unwrap_or_default();
    band_season(visits, area, &density, season.dates().ok(), &records.parameters, &season.setting())
}

fn lead(whole: &BandSeason, planned: &[BlockId]) -> String {
    if whole.band_visits == 0 {
        let blocks = count(planned.len(), "block", "blocks");
        return format!(
            "{blocks} to be banded by the plan. No visit is written down yet; the advice will come from the catches."
        );
    }
    // Eggs never stand without the share.
    let share = whole.share.map(|s| format!(", {}", of_all(&s))).unwrap_or_default();
    format!(
        "{} insects taken off so far{share}. They would have laid about {} eggs at most ({} to {}), had every one of them lived.",
        grouped(f64::from(whole.found.insects())),
        grouped(round(whole.eggs[1])),
        grouped(round(whole.eggs[0])),
        grouped(round(whole.eggs[2])),
    )
}

/// Two figures are as many as such an estimate deserves.
fn round(value: f64) -> f64 {
    let mut unit = 1.0;
    while value / unit >= 100.0 {
        unit *= 10.0;
    }
    (value / unit).round() * unit
}

/// "about one in 40 of the late larvae there (one in 100 to one in 9)".
pub(in crate::desk::pages) fn of_all(share: &TakenShare) -> String {
    if share.high < 0.005 {
        return "fewer than one in two hundred of the late larvae there".to_owned();
    }
    format!("about {} of the late larvae there ({} to {})", one_in(share.middle), one_in(share.low), one_in(share.high))
}

fn one_in(share: f64) -> String {
    match share {
        s if s <= 0.0 => "none".to_owned(),
        s if s >= 0.7 => "nearly all".to_owned(),
        s if s >= 0.4 => "half".to_owned(),
        s => format!("one in {}", grouped(round((1.0 / s).round()))),
    }
}

/// What the last day with a catch in a block can tell the season's dates.
fn teaches(season: &Season, block: &BlockId, whole: &BandSeason) -> Option<(String, String, bool)> {
    let last = whole.days.iter().rev().find(|d| d.found.large > 0 || d.found.pupae > 0)?;
    let late = count(last.found.large as usize, "larva with a yellow head", "larvae with yellow heads");
    let pupae = count(last.found.pupae as usize, "pupa", "pupae");
    let seen = Seen::UnderBands { late: last.found.large, pupae: last.found.pupae };
    let known = |s: &FieldSample| s.block.as_ref() == Some(block) && s.date == last.date && s.seen == seen;
    let words = format!("{}: {late} and {pupae}.", season.wording().day(last.date));
    Some((last.date.to_string(), words, season.records.samples.iter().any(known)))
}

fn figures(whole: &BandSeason) -> Vec<(String, String)> {
    let found = &whole.found;
    let mut all = vec![
        (grouped(f64::from(found.insects())), "larvae and pupae taken off alive".to_owned()),
        (grouped(f64::from(whole.band_visits)), "looks under a band".to_owned()),
    ];
    if let Some(last) = whole.days.last() {
        all.push((number(last.week), "insects a band, last week of visits".to_owned()));
    }
    let dead = found.fungus.saturating_add(found.virus);
    if dead > 0 {
        all.push((
            grouped(f64::from(dead)),
            format!("found dead: {} by fungus, {} by virus", found.fungus, found.virus),
        ));
    }
    if found.masses > 0 {
        all.push((grouped(f64::from(found.masses)), "new egg masses taken off".to_owned()));
    }
    all
}

fn row(season: &Season, id: &BlockId, visits: &[&BandVisit], planned: bool) -> BlockRow {
    let own: Vec<&BandVisit> = visits.iter().copied().filter(|v| v.block == *id).collect();
    let of = sum(season, &own, std::slice::from_ref(id));
    let records = &season.records;
    let trees = records.block_index(id).map_or(0, |i| tree_list(records, &records.blocks[i]).trees.len());
    BlockRow {
        block: id.to_string(),
        planned,
        trees,
        visits: of.band_visits,
        insects: grouped(f64::from(of.found.insects())),
        week: of.days.last().map(|d| number(d.week)).unwrap_or_default(),
        share: if of.band_visits > 0 { of.share.map(|s| of_all(&s)).unwrap_or_default() } else { String::new() },
        advice: of.advice.service.word(),
    }
}

fn materials(season: &Season, planned: &[BlockId]) -> Vec<MaterialRow> {
    let records = &season.records;
    let lists: Vec<_> = planned
        .iter()
        .filter_map(|id| records.block_index(id))
        .map(|i| tree_list(records, &records.blocks[i]))
        .collect();
    if lists.iter().all(|list| list.trees.is_empty()) {
        return Vec::new();
    }
    let all = band_materials(&lists, &records.parameters);
    let total = all.iter().map(|m| m.price.as_dollars()).sum();
    let line = |m: &Material| MaterialRow {
        name: m.name,
        amount: grouped(m.amount.ceil()),
        unit: m.unit,
        price: money(m.price),
        because: m.because.clone(),
    };
    let sum = MaterialRow {
        name: "all",
        amount: String::new(),
        unit: "",
        price: money(crownhold::types::Money::dollars(total)),
        because: String::new(),
    };
    all.iter().map(line).chain([sum]).collect()
}

fn entries(season: &Season, visits: &[&BandVisit], photos: &BTreeSet<LogId>) -> Vec<Entry> {
    let mut newest: Vec<&BandVisit> = visits.to_vec();
    newest.sort_by(|a, b| (b.date, &b.id).cmp(&(a.date, &a.id)));
    newest.iter().take(SHOWN).map(|v| entry(season, v, photos)).collect()
}

fn entry(season: &Season, v: &BandVisit, photos: &BTreeSet<LogId>) -> Entry {
    Entry {
        id: v.id.to_string(),
        day: season.wording().day(v.date),
        place: v.tree.as_ref().map_or(v.block.to_string(), |tree| format!("{}, tree {tree}", v.block)),
        number: v.bands.to_string(),
        what: in_words(v),
        who: v.who.clone(),
        photo: photos.contains(&v.id),
    }
}

fn in_words(v: &BandVisit) -> String {
    let part = |(name, n): (&str, u32)| (n > 0).then(|| format!("{n} {name}"));
    let all: Vec<String> = Catch::NAMES.into_iter().zip(v.found.counts()).filter_map(part).collect();
    let found = if all.is_empty() { "nothing".to_owned() } else { all.join(", ") };
    match v.work {
        BandWork::Look => found,
        work if all.is_empty() => work.word().to_owned(),
        work => format!("{}; {found}", work.word()),
    }
}

pub async fn add(visit: Visit, Form(typed): Form<BTreeMap<String, String>>) -> Answer {
    let mut form = Typed::of(typed);
    let date = form.date("date", visit.season.today);
    let names = ["small", "large", "pupae", "masses", "fungus", "virus"];
    let found = Catch::from_counts(names.map(|name| form.count(name)));
    let (bands, minutes) = (form.count("bands"), form.number("minutes", 0.0, 100_000.0));
    let tree = Some(form.text("tree")).filter(|tree| !tree.is_empty()).map(TreeId::new);
    let Some(date) = date.filter(|_| !form.is_wrong()) else {
        return render(&visit, StatusCode::UNPROCESSABLE_ENTITY, "", form);
    };
    let entry = BandVisit {
        id: LogId::new(""),
        date,
        block: BlockId::new(form.text("block")),
        tree,
        work: BandWork::Look,
        bands,
        found,
        hours: minutes.map(Hours::minutes),
        who: form.text("who"),
        place: None,
        note: form.text("note"),
    };
    match super::run(&visit, move |path, by| log::add_bands(path, &entry, by)).await {
        Ok(done) => Ok(visit.done_with(done, "/field/bands").await),
        Err(trouble) if form.take(&trouble.problems) => render(&visit, StatusCode::UNPROCESSABLE_ENTITY, "", form),
        Err(trouble) => Err(trouble.into()),
    }
}

pub async fn remove(visit: Visit, Path(id): Path<String>) -> Answer {
    let done = super::run(&visit, move |path, by| log::remove_bands(path, &LogId::new(id), by)).await?;
    Ok(visit.done_with(done, "/field/bands").await)
}

#[derive(Template)]
#[template(path = "field_trees.html")]
struct TreesPage {
    shell: Shell,
    block: String,
    lead: String,
    notes: Vec<String>,
    rows: Vec<TreeRow>,
}

struct TreeRow {
    tree: String,
    species: String,
    trunk: String,
    band: &'static str,
    cloth: String,
    ground: &'static str,
}

/// The trees of a block to band or scrape.
pub async fn trees(visit: Visit, Path(id): Path<String>) -> Answer {
    let records = &visit.season.records;
    let at = records.block_index(&BlockId::new(&id)).ok_or_else(|| Refused::missing("There is no such block."))?;
    let list = tree_list(records, &records.blocks[at]);
    let length = |l: crownhold::types::Length| match records.programme.units {
        UnitSystem::Us => format!("{:.1} in", l.as_inches()),
        UnitSystem::Metric => format!("{:.0} cm", 100.0 * l.as_metres()),
    };
    let row = |t: &crownhold::field::crews::ListedTree| TreeRow {
        tree: t.tree.to_string(),
        species: t.species.clone(),
        trunk: t.dbh.map_or("not measured".to_owned(), length),
        band: t.kind.word(),
        cloth: t.cloth.map_or(String::new(), length),
        ground: if t.public { "public" } else { "private: ask the owner" },
    };
    let note = |n: usize, one: &str, many: &str| (n > 0).then(|| format!("{}.", count(n, one, many)));
    let notes = [
        note(list.too_thin, "susceptible tree is too thin to work on", "susceptible trees are too thin to work on"),
        note(
            list.refused,
            "private tree is left out: its owner refused",
            "private trees are left out: their owners refused",
        ),
        note(
            list.unknown,
            "tree has a species that is not known: look at it on the spot",
            "trees have a species that is not known: look at them on the spot",
        ),
        note(list.unmeasured(), "tree was never measured", "trees were never measured"),
    ];
    page(&TreesPage {
        lead: format!(
            "{} on record, thickest first: thick crowns feed most larvae. Yards and woods hold trees that are on no list.",
            count(list.trees.len(), "susceptible tree", "susceptible trees")
        ),
        notes: notes.into_iter().flatten().collect(),
        rows: list.trees.iter().map(row).collect(),
        shell: visit.shell(Place::Field, "Trees"),
        block: id,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shares_are_said_as_one_says_them() {
        let share = |low, middle, high| of_all(&TakenShare { low, middle, high });
        assert_eq!(share(0.001, 0.002, 0.004), "fewer than one in two hundred of the late larvae there");
        assert_eq!(share(0.1, 0.25, 0.5), "about one in 4 of the late larvae there (one in 10 to half)");
    }

    #[test]
    fn eggs_have_two_figures() {
        assert_eq!(round(26_412.0), 26_000.0);
        assert_eq!(round(84.0), 84.0);
    }
}
