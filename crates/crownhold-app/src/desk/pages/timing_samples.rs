//! Seen in the field: samples of this season, what they say and what they change; and the ends of the city.

use std::collections::BTreeMap;

use axum::extract::{Form, Path};
use axum::http::StatusCode;
use crownhold::timing::{BlockDates, Event, Learned, MARKED, SampleVerdict, Timing};
use crownhold::types::{BlockId, FieldSample, InstarCounts, LeafHost, SampleId, SampleKind, Seen, Share};
use crownhold_print::charts::{LearnedEvent, learned_dates};
use crownhold_print::wording::{Wording, capital, count};
use jiff::civil::Date;
use serde::Deserialize;

use super::picture::Picture;
use crate::actions::seen::{CHANGED_MEANWHILE, Item};
use crate::actions::{By, Done, samples};
use crate::clock;
use crate::desk::shell::{Answer, Visit};
use crate::desk::state::{Season, off};
use crate::trouble::Trouble;

/// The part of the page about samples.
pub(super) struct SamplesView {
    pub(super) rows: Vec<SampleRow>,
    /// Without and with the samples; none before the first.
    pub(super) picture: Option<Picture>,
    pub(super) changes: Vec<String>,
    /// Samples dated after today.
    pub(super) later: String,
    pub(super) form: SampleForm,
    pub(super) city: Vec<CityRow>,
    pub(super) city_note: String,
}

/// One sample as the page shows it.
pub(super) struct SampleRow {
    pub(super) id: String,
    pub(super) date: String,
    pub(super) place: String,
    pub(super) seen: String,
    /// What it moves, in words.
    pub(super) moves: String,
    /// What is wrong with it, if something is.
    pub(super) flag: &'static str,
    /// What it alone would say, for flagged ones.
    pub(super) alone: String,
}

/// One event at both ends of the city.
pub(super) struct CityRow {
    pub(super) event: String,
    pub(super) early: String,
    pub(super) late: String,
}

/// The form with what was typed and what is wrong with it.
#[derive(Clone, Default)]
pub(super) struct SampleForm {
    /// The sample that is corrected; blank for a new one.
    pub(super) id: String,
    typed: BTreeMap<String, String>,
    wrong: BTreeMap<&'static str, String>,
}

impl SampleForm {
    pub(super) fn value(&self, name: &str) -> &str {
        self.typed.get(name).map_or("", String::as_str)
    }
    pub(super) fn wrong(&self, name: &str) -> &str {
        self.wrong.get(name).map_or("", String::as_str)
    }
    pub(super) fn kinds(&self) -> Vec<(&'static str, bool)> {
        SampleKind::ALL.iter().map(|k| (k.word(), k.word() == self.value("kind"))).collect()
    }
    pub(super) fn oaks(&self) -> Vec<(&'static str, bool)> {
        LeafHost::ALL.iter().map(|h| (h.word(), h.word() == self.value("oak"))).collect()
    }
    /// Name, label and value of the seven counts.
    pub(super) fn counts(&self) -> Vec<(String, &'static str, String)> {
        let names = InstarCounts::STAGES.iter().enumerate();
        names.map(|(i, label)| (format!("n{i}"), *label, self.value(&format!("n{i}")).to_owned())).collect()
    }
    pub(super) fn is_wrong(&self) -> bool {
        !self.wrong.is_empty()
    }

    /// The form of a sample that is to be corrected.
    fn of(season: &Season, id: &str) -> Self {
        let Some(sample) = season.records.samples.iter().find(|s| s.id.as_str() == id) else {
            return Self::default();
        };
        let mut typed: BTreeMap<String, String> = [
            ("date", sample.date.to_string()),
            ("kind", sample.seen.kind().word().to_owned()),
            ("block", sample.block.as_ref().map(ToString::to_string).unwrap_or_default()),
            ("place", sample.place.clone()),
            ("note", sample.note.clone()),
            ("seen", Item::Sample(id.to_owned()).print(&season.records)),
        ]
        .map(|(name, value)| (name.to_owned(), value))
        .into();
        if let Some(counts) = sample.seen.counts() {
            typed.extend(counts.0.iter().enumerate().map(|(i, n)| (format!("n{i}"), n.to_string())));
        }
        if let Seen::Leaf { host, size } = sample.seen {
            typed.insert("oak".to_owned(), host.word().to_owned());
            typed.insert("leaf".to_owned(), format!("{}", (1000.0 * size.value()).round() / 10.0));
        }
        Self { id: id.to_owned(), typed, wrong: BTreeMap::new() }
    }

    /// The sample that was typed; else every field that is wrong is told.
    fn sample(&mut self, season: i16, today: Date, observer: &str) -> Option<FieldSample> {
        let date = self.date(season, today);
        let seen = self.seen();
        let (date, seen) = (date?, seen?);
        let block = Some(self.value("block").trim()).filter(|b| !b.is_empty()).map(BlockId::new);
        Some(FieldSample {
            id: SampleId::new(&self.id),
            date,
            block,
            place: self.value("place").trim().to_owned(),
            observer: observer.to_owned(),
            seen,
            note: self.value("note").trim().to_owned(),
        })
    }

    fn date(&mut self, season: i16, today: Date) -> Option<Date> {
        let date = self.value("date").trim().parse::<Date>().ok();
        let wrong = match date {
            None => "Write the day as year-month-day.".to_owned(),
            Some(date) if date > today => "This day has not come yet.".to_owned(),
            Some(date) if date.year() != season => {
                format!("The season is the spring of {season}; a sample of another year would change nothing.")
            }
            Some(_) => return date,
        };
        self.wrong.insert("date", wrong);
        None
    }

    fn seen(&mut self) -> Option<Seen> {
        match SampleKind::from_word(self.value("kind")) {
            None => {
                self.wrong.insert("kind", "Choose what was looked at.".to_owned());
                None
            }
            Some(SampleKind::FirstHatch) => Some(Seen::FirstHatch),
            Some(SampleKind::NoHatch) => Some(Seen::NoHatch),
            Some(SampleKind::Instars) => self.instars().map(Seen::Instars),
            Some(SampleKind::UnderBands) => self.under_bands(),
            Some(SampleKind::Leaf) => {
                let percent = self.value("leaf").trim().trim_end_matches('%').trim().parse::<f64>().ok();
                let size = percent.and_then(|p| Share::new(p / 100.0));
                let host = LeafHost::from_word(self.value("oak"));
                if size.is_none() {
                    self.wrong.insert("leaf", "Write a percentage from 0 to 100.".to_owned());
                }
                if host.is_none() {
                    self.wrong.insert("oak", "Choose the oak.".to_owned());
                }
                host.zip(size).map(|(host, size)| Seen::Leaf { host, size })
            }
        }
    }

    fn under_bands(&mut self) -> Option<Seen> {
        let seen = Seen::under_bands(self.instars()?);
        if seen.is_none() {
            let wrong = "Count a larva in L4 to L6 or a pupa: younger ones hardly hide under bands.";
            self.wrong.insert("counts", wrong.to_owned());
        }
        seen
    }

    fn instars(&mut self) -> Option<InstarCounts> {
        let cell = |i: usize| match self.value(&format!("n{i}")).trim() {
            "" => Some(0),
            text => text.parse::<u32>().ok(),
        };
        let cells: [Option<u32>; 7] = std::array::from_fn(cell);
        let wrong = if cells.contains(&None) {
            "Write whole numbers; a blank is 0."
        } else if cells.iter().flatten().all(|n| *n == 0) {
            "Count at least one larva or pupa. Nothing found yet? Choose no hatch yet."
        } else {
            return Some(InstarCounts(cells.map(Option::unwrap_or_default)));
        };
        self.wrong.insert("counts", wrong.to_owned());
        None
    }
}

/// The view of a season.
pub(super) fn view(season: &Season, timing: &Timing, form: SampleForm) -> SamplesView {
    let w = season.wording();
    let of_season = |s: &&FieldSample| s.date.year() == timing.season;
    let mut shown: Vec<&FieldSample> = season.records.samples.iter().filter(of_season).collect();
    shown.sort_by(|a, b| (a.date, &a.id).cmp(&(b.date, &b.id)));
    let verdict = |id: &SampleId| timing.learned.as_ref().and_then(|l| l.samples.iter().find(|v| v.sample == *id));
    let later = shown.iter().filter(|s| s.date > timing.issued).count();
    SamplesView {
        rows: shown.iter().map(|s| row(s, verdict(&s.id), w)).collect(),
        picture: timing.learned.as_ref().map(|learned| picture(season, timing, learned)),
        changes: timing.learned.as_ref().map(|learned| changes(timing, learned, w)).unwrap_or_default(),
        later: if later > 0 {
            format!("{} dated after today and not used.", count(later, "sample is", "samples are"))
        } else {
            String::new()
        },
        form,
        city: season.block_dates().map(|blocks| city(blocks, w)).unwrap_or_default(),
        city_note: season.block_dates().map(city_note).unwrap_or_default(),
    }
}

fn row(sample: &FieldSample, verdict: Option<&SampleVerdict>, w: Wording) -> SampleRow {
    let place = [sample.block.as_ref().map(ToString::to_string).unwrap_or_default(), sample.place.clone()];
    let place = place.into_iter().filter(|p| !p.is_empty()).collect::<Vec<_>>().join(", ");
    let flag = verdict.and_then(|v| v.flag);
    let alone = |v: &SampleVerdict| {
        let day = |d: Option<Date>| d.map_or("later".to_owned(), |d| w.day(d));
        let of = |m: &crownhold::timing::Moved| format!("{} {}", m.event, day(m.alone[1]));
        format!("Alone it would give: {}.", v.moved.iter().map(of).collect::<Vec<_>>().join("; "))
    };
    SampleRow {
        id: sample.id.to_string(),
        date: w.day(sample.date).replace(" ", "\u{a0}"),
        place: if place.is_empty() { "the city".to_owned() } else { place },
        seen: capital(&samples::words(sample)),
        moves: verdict.map_or("Not used.".to_owned(), moves),
        flag: flag.map_or("", crownhold::timing::Flag::words),
        alone: verdict.filter(|v| v.flag.is_some()).map(alone).unwrap_or_default(),
    }
}

/// "Moves half hatch 2 days later."
fn moves(verdict: &SampleVerdict) -> String {
    let moved = |m: &crownhold::timing::Moved| {
        let days = m.days?.round() as i64;
        let way = if days > 0 { "later" } else { "earlier" };
        (days != 0).then(|| format!("{} {} {way}", plain(m.event), count(days.unsigned_abs() as usize, "day", "days")))
    };
    let all: Vec<String> = verdict.moved.iter().filter_map(moved).collect();
    if all.is_empty() { "Moves nothing by a day.".to_owned() } else { format!("Moves {}.", all.join(", ")) }
}

fn plain(event: Event) -> &'static str {
    match event {
        Event::HatchHalf => "half hatch",
        Event::ThirdInstar => "the third instar",
        _ => "red oak leaves",
    }
}

fn picture(season: &Season, timing: &Timing, learned: &Learned) -> Picture {
    let events: Vec<LearnedEvent<'_>> = MARKED
        .iter()
        .filter_map(|event| {
            let prior = learned.prior.iter().find(|e| e.event == *event)?;
            Some(LearnedEvent { event: *event, prior, posterior: timing.event(*event)? })
        })
        .collect();
    Picture::of(season, "learned", |sheet| learned_dates(&events, season.today, sheet))
}

fn changes(timing: &Timing, learned: &Learned, w: Wording) -> Vec<String> {
    let q = |e: &crownhold::timing::EventDates, p| crownhold::timing::date_quantile(&e.dates, p);
    let words = |event: &Event| {
        let (before, after) = (learned.prior.iter().find(|e| e.event == *event)?, timing.event(*event)?);
        let span = |e| Some((q(e, 0.95)? - q(e, 0.05)?).get_days());
        let (was, is) = (span(before)?, span(after)?);
        let (old, new) = (w.day(q(before, 0.5)?), w.day(q(after, 0.5)?));
        let middle = if old == new { format!("stays at {new}") } else { format!("moves from {old} to {new}") };
        Some(format!(
            "{}: the middle {middle}; nine seasons in ten lie within {is} days, {was} without samples.",
            capital(plain(*event))
        ))
    };
    MARKED.iter().filter_map(words).collect()
}

fn city(blocks: &BlockDates, w: Wording) -> Vec<CityRow> {
    let (Some(early), Some(late)) = (blocks.early(), blocks.late()) else { return Vec::new() };
    let at = |of: &crownhold::timing::OffsetDates, event| {
        let day = |p| of.quantile(event, p).map_or("later".to_owned(), |d| w.day(d));
        format!("{} ({} to {})", day(0.5), day(0.05), day(0.95))
    };
    let row =
        |event: &Event| CityRow { event: capital(event.word()), early: at(early, *event), late: at(late, *event) };
    MARKED.iter().map(row).collect()
}

fn city_note(blocks: &BlockDates) -> String {
    let (Some(early), Some(late)) = (blocks.early(), blocks.late()) else { return String::new() };
    let all: usize = blocks.at.iter().map(|at| at.blocks.len()).sum();
    let named = |ids: &[BlockId]| {
        let first = ids.iter().take(5).map(ToString::to_string).collect::<Vec<_>>().join(", ");
        if ids.len() > 5 { format!("{first} and {} more", ids.len() - 5) } else { first }
    };
    let unknown = if blocks.unknown > 0 {
        format!(
            " Of {} neither height nor built-up share is known: they stand with the station.",
            count(blocks.unknown, "block", "blocks")
        )
    } else {
        String::new()
    };
    format!(
        "Earliest: {} ({}). Latest: {} ({}). The rest of {} lies between.{unknown}",
        named(&early.blocks),
        offset(early.offset),
        named(&late.blocks),
        offset(late.offset),
        count(all, "block", "blocks"),
    )
}

fn offset(celsius: f64) -> String {
    let words = format!("{:.1} °C ({:.1} °F)", celsius.abs(), 1.8 * celsius.abs());
    if celsius < 0.0 { format!("{words} colder than the station") } else { format!("{words} warmer than the station") }
}

/// The part that the page's address asks to correct.
pub(super) fn asked(season: &Season, id: Option<&str>) -> SampleForm {
    id.map(|id| SampleForm::of(season, id)).unwrap_or_default()
}

const HERE: &str = "/timing#seen";

pub async fn add(visit: Visit, Form(typed): Form<BTreeMap<String, String>>) -> Answer {
    keep(visit, SampleForm { id: String::new(), typed, wrong: BTreeMap::new() }).await
}

pub async fn correct(visit: Visit, Path(id): Path<String>, Form(typed): Form<BTreeMap<String, String>>) -> Answer {
    keep(visit, SampleForm { id, typed, wrong: BTreeMap::new() }).await
}

async fn keep(visit: Visit, mut form: SampleForm) -> Answer {
    let (season, today) = (visit.season.records.programme.season, visit.season.today);
    let observer = visit.author().to_owned();
    let Some(sample) = form.sample(season, today, &observer) else {
        return super::timing::render(&visit, StatusCode::UNPROCESSABLE_ENTITY, form);
    };
    let is_new = sample.id.as_str().is_empty();
    let seen = Item::Sample(form.id.clone()).as_seen(form.value("seen"));
    let act = move |path: &std::path::Path, by: By<'_>| {
        let by = by.having_seen(seen.as_ref());
        if is_new { samples::add(path, &sample, by) } else { samples::correct(path, &sample, by) }
    };
    match run(&visit, act).await {
        Ok(done) => Ok(visit.done_with(done, HERE).await),
        Err(trouble) if trouble.problems.iter().all(|p| p.code == "A-162") => {
            form.wrong.insert("block", trouble.problems.iter().map(|p| format!("{} {}", p.what, p.remedy)).collect());
            super::timing::render(&visit, StatusCode::UNPROCESSABLE_ENTITY, form)
        }
        Err(trouble) if trouble.problems.iter().all(|p| p.code == CHANGED_MEANWHILE) => {
            let visit = visit.anew().await?;
            form.wrong.insert("seen", trouble.problems.iter().map(|p| format!("{} {}", p.what, p.remedy)).collect());
            form.typed.insert("seen".to_owned(), Item::Sample(form.id.clone()).print(&visit.season.records));
            super::timing::render(&visit, StatusCode::UNPROCESSABLE_ENTITY, form)
        }
        Err(trouble) => Err(trouble.into()),
    }
}

/// A block and a day of the log of bands.
#[derive(Deserialize)]
pub struct Caught {
    block: String,
    date: Date,
}

pub async fn from_bands(visit: Visit, Form(caught): Form<Caught>) -> Answer {
    let block = BlockId::new(&caught.block);
    let done = run(&visit, move |path, by| samples::learn_from_bands(path, &block, caught.date, by)).await?;
    Ok(visit.done_with(done, HERE).await)
}

pub async fn remove(visit: Visit, Path(id): Path<String>) -> Answer {
    let done = run(&visit, move |path, by| samples::remove(path, &SampleId::new(&id), by)).await?;
    Ok(visit.done_with(done, HERE).await)
}

async fn run(
    visit: &Visit,
    f: impl FnOnce(&std::path::Path, By<'_>) -> Result<Done, Trouble> + Send + 'static,
) -> Result<Done, Trouble> {
    let (path, author, when) = (visit.desk.path().to_owned(), visit.author().to_owned(), clock::now());
    off(move || f(&path, By::new(&author, &when))).await
}
