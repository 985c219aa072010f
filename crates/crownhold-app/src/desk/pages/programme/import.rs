//! Data coming in: what it is, the file, and the report of what became of it.

use askama::Template;
use axum::extract::{Multipart, Path};
use axum::http::StatusCode;
use crownhold_data::formats::{Kind, Part, Report, Wishes, headings};
use crownhold_print::wording::{count, listed};

use super::kinds::{KindWords, ORDER, words};
use crate::actions::holdings::{Holdings, holdings};
use crate::actions::import;
use crate::clock;
use crate::desk::reports::{Tried, Typed};
use crate::desk::sent_files::{SentFiles, input_of};
use crate::desk::shell::{Answer, Place, Refused, Shell, Visit, page, page_with};
use crate::desk::state::off;
use crate::trouble::Trouble;

#[derive(Template)]
#[template(path = "programme_import.html")]
struct ChoicePage {
    shell: Shell,
    kinds: Vec<Choice>,
}

/// A kind that can be chosen.
struct Choice {
    words: &'static KindWords,
    held: String,
}

pub async fn choose(visit: Visit) -> Answer {
    let held = holdings(&visit.season.records);
    let kinds = ORDER.into_iter().map(|kind| Choice { words: words(kind), held: there(kind, &held, &visit) }).collect();
    page(&ChoicePage { shell: visit.shell(Place::Programme, "Import"), kinds })
}

/// What is there of a kind.
fn there(kind: Kind, h: &Holdings, visit: &Visit) -> String {
    let records = &visit.season.records;
    let (n, one, many) = match kind {
        Kind::Blocks => (h.blocks, "block", "blocks"),
        Kind::Areas => {
            (h.blocks - h.blocks_without_hosts, "block with canopy and hosts", "blocks with canopy and hosts")
        }
        Kind::NoSpray => (h.no_spray, "area", "areas"),
        Kind::Trees => (h.trees, "tree", "trees"),
        Kind::Plots => (h.plots, "plot", "plots"),
        Kind::Counts => (h.visits, "visit", "visits"),
        Kind::Weather => (h.days, "day", "days"),
        Kind::Hourly => (records.hourly.iter().map(|s| s.hours.len()).sum(), "hour", "hours"),
        Kind::Resources => (records.resources.hours.len(), "entry of hours", "entries of hours"),
        Kind::Strata => (records.strata.len(), "stratum", "strata"),
        Kind::Past => (h.past_seasons, "season", "seasons"),
        Kind::Samples => (records.samples.len(), "sample", "samples"),
        Kind::Bands => (records.log.bands.len(), "visit", "visits"),
        Kind::Scraping => (records.log.scraping.len(), "visit", "visits"),
        Kind::Teams => (records.teams.len(), "team", "teams"),
        Kind::Streets => (records.streets.len(), "stretch", "stretches"),
    };
    if n == 0 { "none yet".to_owned() } else { count(n, one, many) }
}

/// The form of a kind, and what is expected in its file.
pub(super) struct Form {
    pub(super) words: &'static KindWords,
    pub(super) fields: Vec<FieldLine>,
    pub(super) typed: Typed,
    /// Are the further fields in sight?
    pub(super) is_open: bool,
    pub(super) has_units: bool,
    pub(super) has_dates: bool,
    /// What is wrong with the file, the columns, the units, the date order.
    pub(super) wrong: Wrong,
}

/// What is wrong, field by field; empty where nothing is.
#[derive(Default)]
pub(super) struct Wrong {
    pub(super) file: String,
    pub(super) map: String,
    pub(super) units: String,
    pub(super) dates: String,
}

impl Wrong {
    fn is_none(&self) -> bool {
        [&self.file, &self.map, &self.units, &self.dates].iter().all(|w| w.is_empty())
    }
}

/// A field that is looked for.
pub(super) struct FieldLine {
    pub(super) name: &'static str,
    pub(super) needed: bool,
    pub(super) meaning: &'static str,
    pub(super) also: String,
    pub(super) units: String,
}

/// Other headers shown for a field.
const WAYS_SHOWN: usize = 4;

impl Form {
    /// The form after a report, with what was typed before.
    pub(super) fn again(kind: Kind, typed: Typed) -> Self {
        Self { is_open: true, ..Self::new(kind, typed, Wrong::default()) }
    }
    fn new(kind: Kind, typed: Typed, wrong: Wrong) -> Self {
        let words = words(kind);
        let looked_for = headings(kind);
        let line = |(name, needed, meaning): &(&'static str, bool, &'static str)| {
            let heading = looked_for.iter().find(|h| h.field == *name);
            let ways = heading.map(|h| h.ways).unwrap_or_default();
            let also: Vec<&str> = ways.iter().filter(|w| *w != name).take(WAYS_SHOWN).copied().collect();
            let units = heading.map(|h| h.units.join(", ")).unwrap_or_default();
            FieldLine { name, needed: *needed, meaning, also: also.join(", "), units }
        };
        Self {
            fields: words.fields.iter().map(line).collect(),
            has_units: looked_for.iter().any(|h| !h.units.is_empty()),
            has_dates: looked_for.iter().any(|h| matches!(h.field, "date" | "survey_closed")),
            is_open: !wrong.is_none(),
            words,
            typed,
            wrong,
        }
    }
}

#[derive(Template)]
#[template(path = "programme_import_kind.html")]
struct KindPage {
    shell: Shell,
    form: Form,
}

pub async fn form(visit: Visit, Path(kind): Path<String>) -> Answer {
    let form = Form::new(known(&kind)?, Typed::default(), Wrong::default());
    page(&KindPage { shell: visit.shell(Place::Programme, "Import"), form })
}

fn known(word: &str) -> Result<Kind, Refused> {
    Kind::from_word(word).ok_or_else(|| Refused::missing("There is no such kind of data."))
}

pub async fn take(visit: Visit, Path(kind): Path<String>, sent: Multipart) -> Answer {
    let kind = known(&kind)?;
    let SentFiles { texts, parts } = SentFiles::receive(sent).await?;
    let typed = Typed::of(&texts);
    let (wishes, wrong) = wishes(&typed, &parts);
    if !wrong.is_none() {
        let form = Form::new(kind, typed, wrong);
        let shell = visit.shell(Place::Programme, "Import");
        return page_with(StatusCode::UNPROCESSABLE_ENTITY, &KindPage { shell, form });
    }
    let (path, author, when) = (visit.desk.path().to_owned(), visit.author().to_owned(), clock::now());
    let input = input_of(parts);
    let report = off(move || import::import(&path, kind, &input, &wishes, &author, &when)).await?;
    let before = visit.season.history.last().map(|e| e.id);
    let after = visit.desk.season().await?;
    let entry = after.history.last().map(|e| e.id).filter(|id| Some(*id) != before && !report.has_errors());
    let said = said(&report, entry.is_some());
    let href = format!("/programme/import/reports/{}", visit.desk.reports.keep(Tried { report, typed, entry }));
    Ok(match entry {
        Some(_) => visit.done(said, &href).await,
        None => visit.say(said, &href).await,
    })
}

fn wishes(typed: &Typed, parts: &[Part]) -> (Wishes, Wrong) {
    let mut wrong = Wrong::default();
    if parts.is_empty() {
        wrong.file = "Choose a file first.".to_owned();
    }
    let pairs = |text: &str, wrong: &mut String| {
        let lines: Vec<&str> = text.lines().map(str::trim).filter(|l| !l.is_empty()).collect();
        import::pairs(&lines).unwrap_or_else(|trouble| {
            *wrong = in_place(&trouble);
            Vec::new()
        })
    };
    let given = |text: &str| Some(text.trim().to_owned()).filter(|t| !t.is_empty());
    let date_order = given(&typed.dates)
        .and_then(|word| import::date_order(&word).map_err(|trouble| wrong.dates = in_place(&trouble)).ok());
    let wishes = Wishes {
        map: pairs(&typed.map, &mut wrong.map),
        units: pairs(&typed.units, &mut wrong.units),
        crs: given(&typed.crs),
        layer: given(&typed.layer),
        station: given(&typed.station),
        date_order,
        offset: None,
    };
    (wishes, wrong)
}

fn in_place(trouble: &Trouble) -> String {
    trouble.problems.iter().map(|p| format!("{} Expected: {}.", p.what, p.expected)).collect::<Vec<_>>().join(" ")
}

/// The line at the top of the report.
fn said(report: &Report, changed: bool) -> String {
    let title = words(report.kind).title;
    if report.has_errors() {
        return format!("{}: nothing was changed.", report.file);
    }
    if !changed {
        return format!("{} holds what is there already; nothing was changed.", report.file);
    }
    let t = report.taken;
    let some = |n: usize, word: &str| (n > 0).then(|| format!("{n} {word}"));
    let parts: Vec<String> = [some(t.new, "new"), some(t.replaced, "changed"), some(t.unchanged, "unchanged")]
        .into_iter()
        .flatten()
        .collect();
    format!("{title} taken over from {}: {}.", report.file, listed(&parts))
}

#[cfg(test)]
mod tests {
    use crownhold_data::formats::{DateOrder, Part};

    use super::{Typed, wishes};

    fn part(name: &str) -> Part {
        Part { name: name.to_owned(), bytes: Vec::new() }
    }

    #[test]
    fn what_was_typed_becomes_wishes() {
        let typed = Typed {
            map: "id = NUM\n\nspecies=SPP\n".into(),
            crs: " EPSG:26917 ".into(),
            dates: "day-first".into(),
            ..Typed::default()
        };
        let (wishes, wrong) = wishes(&typed, &[part("trees.csv")]);
        assert!(wrong.is_none());
        assert_eq!(wishes.map, [("id".into(), "NUM".into()), ("species".into(), "SPP".into())]);
        assert_eq!(wishes.crs.as_deref(), Some("EPSG:26917"));
        assert_eq!((wishes.date_order, wishes.layer), (Some(DateOrder::DayFirst), None));
    }

    #[test]
    fn what_cannot_be_used_is_said_where_it_was_typed() {
        let typed = Typed { map: "id NUM".into(), units: "dbh".into(), dates: "year-first".into(), ..Typed::default() };
        let (_, wrong) = wishes(&typed, &[]);
        assert_eq!(wrong.file, "Choose a file first.");
        assert_eq!(wrong.map, "\"id NUM\" cannot be used. Expected: field=column.");
        assert!(wrong.units.contains("dbh") && wrong.dates.contains("year-first"));
    }
}
