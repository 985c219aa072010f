//! One block's plots and visits.

use askama::Template;
use axum::extract::{Form, Path};
use axum::http::StatusCode;
use crownhold::survey::AgainstLast;
use crownhold::survey::counts::visits_used;
use crownhold::types::{BlockId, Count, Plot, PlotMethod, Visit as Counted};
use crownhold_print::stopping::{found, outlook, verdict};
use crownhold_print::wording::{capital, percent};
use serde::Deserialize;

use crate::actions::counts::{CountWords, VisitWords, close_count, reopen_count};
use crate::actions::plots::PlotWords;
use crate::actions::stop_rule::Lines;
use crate::actions::survey_work::stop_advice;
use crate::actions::{By, counts, plots};
use crate::clock;
use crate::desk::shell::{Answer, Place, ProblemLine, Refused, Shell, Visit, lines, page_with};
use crate::desk::state::{Season, off};

#[derive(Template)]
#[template(path = "survey_block.html")]
struct BlockPage {
    shell: Shell,
    id: String,
    name: String,
    density: String,
    /// Against the season before.
    trend: Option<String>,
    closed: Option<String>,
    /// What the stop rule says, and how long it may still take.
    advice: Option<AdviceView>,
    plots: Vec<PlotView>,
    visit: VisitForm,
    plot: PlotForm,
    visit_problems: Vec<ProblemLine>,
    plot_problems: Vec<ProblemLine>,
    today: String,
}

/// The stop rule after the plots counted so far.
struct AdviceView {
    verdict: String,
    found: String,
    more: String,
    meaning: String,
    /// Limits of the next plots: plots, below at most, above at least.
    next: Vec<(u32, String, String)>,
}

/// Limits shown ahead.
const AHEAD: usize = 4;

fn advice(season: &Season, block: &BlockId) -> Option<AdviceView> {
    let answer = stop_advice(&season.records, block).ok()??;
    let told = answer.advice.as_ref()?;
    let w = season.wording();
    let whole = |v: Option<u32>| v.map_or("-".to_owned(), |v| v.to_string());
    let rows = answer.table.rows().iter().filter(|r| r.plots > told.plots && told.end.is_none());
    // Before the least number of plots there are no limits to show.
    let rows = rows.filter(|r| r.whole_below().is_some() || r.whole_above().is_some());
    Some(AdviceView {
        verdict: format!("{}.", capital(&verdict(told, &answer.table))),
        found: if told.plots > 0 { format!("{}.", found(told, answer.seen(), answer.level, w)) } else { String::new() },
        more: outlook(told, &answer.table),
        meaning: match &answer.lines {
            Lines::Wald { plan, .. } => format!(
                "Below: nearer to {} new masses per {} than to {}; above: the other way round.{}",
                w.bare_density(plan.rule.low),
                w.per_area(),
                w.bare_density(plan.rule.high),
                finders(answer.found)
            ),
            _ => String::new(),
        },
        next: rows.take(AHEAD).map(|r| (r.plots, whole(r.whole_below()), whole(r.whole_above()))).collect(),
    })
}

/// What the limits take the counters to find, where it is not everything.
fn finders(found: f64) -> String {
    if found < 1.0 {
        format!(" The limits are of masses found, by counters who find {} of those there.", percent(found))
    } else {
        String::new()
    }
}

/// How it stands against the season before.
fn trend(a: AgainstLast, w: crownhold_print::wording::Wording) -> String {
    let [low, middle, high] = a.times.map(|t| if t < 10.0 { format!("{t:.1}") } else { format!("{t:.0}") });
    let word = match a.times {
        [low, ..] if low > 1.0 => "Rising",
        [.., high] if high < 1.0 => "Falling",
        _ => "Not clear whether it rises or falls",
    };
    format!(
        "{word}: what the plan goes by is {middle} times the {} per {} of last season ({low} to {high} times; the doubt of last season's count is not in it).",
        w.bare_density(a.last),
        w.per_area()
    )
}

/// A plot with its visits.
struct PlotView {
    id: String,
    method: String,
    visits: Vec<VisitView>,
}

/// A visit in a row.
pub struct VisitView {
    pub id: String,
    pub date: String,
    pub observer: String,
    pub new: u32,
    pub old: u32,
    pub out_of_reach: u32,
    pub note: String,
    pub used: bool,
}

/// A visit as typed.
#[derive(Deserialize, Default, Clone)]
#[serde(default)]
pub struct VisitForm {
    plot: String,
    date: String,
    observer: String,
    new: String,
    old: String,
    out_of_reach: String,
    note: String,
}

/// A plot as typed.
#[derive(Deserialize, Default, Clone)]
#[serde(default)]
pub struct PlotForm {
    id: String,
    method: String,
    size: String,
}

pub async fn show(visit: Visit, Path(id): Path<String>) -> Answer {
    render(&visit, &id, StatusCode::OK, Typed::default())
}

/// What was typed and what is wrong with it.
#[derive(Default)]
struct Typed {
    visit: VisitForm,
    plot: PlotForm,
    visit_problems: Vec<ProblemLine>,
    plot_problems: Vec<ProblemLine>,
}

fn render(visit: &Visit, id: &str, status: StatusCode, typed: Typed) -> Answer {
    let season = &visit.season;
    let w = season.wording();
    let at = season.records.blocks.iter().position(|b| b.id.as_str() == id);
    let at = at.ok_or_else(|| Refused::missing(format!("There is no block \"{id}\".")))?;
    let block = &season.records.blocks[at];
    let density = season.stages.as_ref().ok().map(|s| &s.density.blocks[at].1);
    let density = density.map_or("No density yet: nothing was counted.".to_owned(), |e| {
        format!(
            "{} new egg masses per {} ({} to {}), {}.",
            w.bare_density(e.estimate),
            w.per_area(),
            w.bare_density(e.low),
            w.bare_density(e.high),
            e.method.word()
        )
    });
    let used: Vec<_> = visits_used(&season.records, &mut Vec::new()).into_iter().map(|(_, v)| &v.id).collect();
    let of_block = season.records.plots.iter().filter(|p| p.block == block.id);
    let plots: Vec<PlotView> = of_block
        .map(|p| PlotView {
            id: p.id.to_string(),
            method: how(p, w),
            visits: season
                .records
                .visits
                .iter()
                .filter(|v| v.plot == p.id)
                .map(|v| line(v, w, used.contains(&&v.id)))
                .collect(),
        })
        .collect();
    // A plot that nobody has counted yet is the likely one.
    let mut entry = typed.visit;
    if let Some(next) = plots.iter().find(|p| p.visits.is_empty()).filter(|_| entry.plot.is_empty()) {
        entry.plot.clone_from(&next.id);
    }
    page_with(
        status,
        &BlockPage {
            shell: visit.shell(Place::Survey, &format!("Block {id}")),
            id: id.to_owned(),
            name: block.name.clone(),
            density,
            trend: season
                .stages
                .as_ref()
                .ok()
                .and_then(|s| s.density.against_last(&season.records, at))
                .map(|a| trend(a, w)),
            closed: block.survey_closed.map(|d| w.date(d)),
            advice: if block.survey_closed.is_some() { None } else { advice(season, &block.id) },
            plots,
            visit: entry,
            plot: typed.plot,
            visit_problems: typed.visit_problems,
            plot_problems: typed.plot_problems,
            today: season.today.to_string(),
        },
    )
}

/// How a plot is counted, with its size.
pub fn how(plot: &Plot, w: crownhold_print::wording::Wording) -> String {
    let area = plot.area.map(|a| format!(", {}", w.plot_area(a))).unwrap_or_default();
    match plot.method {
        PlotMethod::Prism { basal_area_factor } => format!("prism, factor {basal_area_factor}{area}"),
        other => format!("{}{area}", other.word()),
    }
}

fn line(v: &Counted, w: crownhold_print::wording::Wording, used: bool) -> VisitView {
    let sum = |f: fn(&Count) -> u32| v.counts.iter().map(f).sum();
    VisitView {
        id: v.id.to_string(),
        date: w.date(v.date),
        observer: v.observer.clone(),
        new: sum(|c| c.new),
        old: sum(|c| c.old),
        out_of_reach: sum(|c| c.out_of_reach),
        note: v.note.clone(),
        used,
    }
}

impl VisitForm {
    fn words(&self) -> VisitWords {
        VisitWords {
            plot: self.plot.clone(),
            date: self.date.clone(),
            observer: self.observer.clone(),
            counts: vec![CountWords {
                new: self.new.clone(),
                old: self.old.clone(),
                out_of_reach: self.out_of_reach.clone(),
                ..CountWords::default()
            }],
            note: self.note.clone(),
        }
    }
}

pub async fn add_visit(visit: Visit, Path(id): Path<String>, Form(form): Form<VisitForm>) -> Answer {
    let (path, author, today) = (visit.desk.path().to_owned(), visit.author().to_owned(), visit.season.today);
    let words = form.words();
    let done = off(move || counts::add_visit(&path, &words, today, By::new(&author, &clock::now()))).await;
    match done {
        Ok(done) => Ok(visit.done_with(done, &format!("/survey/blocks/{id}")).await),
        Err(trouble) => {
            let typed = Typed { visit: form, visit_problems: lines(&trouble.problems), ..Typed::default() };
            render(&visit, &id, StatusCode::UNPROCESSABLE_ENTITY, typed)
        }
    }
}

impl PlotForm {
    fn words(&self, block: &str) -> PlotWords {
        let size = |method: &str| if self.method == method { self.size.clone() } else { String::new() };
        PlotWords {
            id: self.id.clone(),
            block: block.to_owned(),
            method: self.method.clone(),
            radius: size("fixed radius"),
            side: size("square"),
            area: size("whole lot"),
            ..PlotWords::default()
        }
    }
}

pub async fn add_plot(visit: Visit, Path(id): Path<String>, Form(form): Form<PlotForm>) -> Answer {
    let (path, author) = (visit.desk.path().to_owned(), visit.author().to_owned());
    let words = form.words(&id);
    let done = off(move || plots::add_plot(&path, &words, By::new(&author, &clock::now()))).await;
    match done {
        Ok(done) => Ok(visit.done_with(done, &format!("/survey/blocks/{id}")).await),
        Err(trouble) => {
            let typed = Typed { plot: form, plot_problems: lines(&trouble.problems), ..Typed::default() };
            render(&visit, &id, StatusCode::UNPROCESSABLE_ENTITY, typed)
        }
    }
}

pub async fn delete_plot(visit: Visit, Path((id, plot)): Path<(String, String)>) -> Answer {
    let (path, author) = (visit.desk.path().to_owned(), visit.author().to_owned());
    let done = off(move || plots::delete_plot(&path, &plot, By::new(&author, &clock::now()))).await?;
    Ok(visit.done_with(done, &format!("/survey/blocks/{id}")).await)
}

/// Which blocks: one id, or "all".
#[derive(Deserialize)]
pub struct Blocks {
    blocks: String,
}

/// Closes the count, so that scraping may begin.
pub async fn close(visit: Visit, Form(form): Form<Blocks>) -> Answer {
    let (path, author, today) = (visit.desk.path().to_owned(), visit.author().to_owned(), visit.season.today);
    let back = back_to(&form.blocks);
    let done = off(move || close_count(&path, &[form.blocks], today, By::new(&author, &clock::now()))).await?;
    Ok(visit.done_with(done, &back).await)
}

pub async fn reopen(visit: Visit, Form(form): Form<Blocks>) -> Answer {
    let (path, author) = (visit.desk.path().to_owned(), visit.author().to_owned());
    let back = back_to(&form.blocks);
    let done = off(move || reopen_count(&path, &[form.blocks], By::new(&author, &clock::now()))).await?;
    Ok(visit.done_with(done, &back).await)
}

fn back_to(blocks: &str) -> String {
    if blocks == "all" { "/survey".to_owned() } else { format!("/survey/blocks/{blocks}") }
}
