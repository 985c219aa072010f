//! Counts of many plots, typed in one go.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use askama::Template;
use axum::extract::{Form, Query};
use axum::http::StatusCode;
use axum::response::IntoResponse as _;
use crownhold::types::{BlockId, Plot, PlotId, PlotMethod, Problem};
use crownhold_print::stopping::{found, verdict};
use serde::Deserialize;

use super::block::how;
use crate::actions::By;
use crate::actions::counts::{CountWords, VisitWords, add_visits};
use crate::actions::survey_work::{TypedCount, advice_with};
use crate::clock;
use crate::desk::shell::{Answer, Place, ProblemLine, Shell, Visit, lines, page_with};
use crate::desk::state::{Season, off};

/// Which plots.
#[derive(Deserialize, Default)]
#[serde(default)]
pub struct Of {
    /// Block; empty: all plots that wait for a count.
    block: String,
}

#[derive(Template)]
#[template(path = "survey_counts.html")]
struct GridPage {
    shell: Shell,
    block: String,
    blocks: Vec<String>,
    date: String,
    observer: String,
    rows: Vec<Row>,
    problems: Vec<ProblemLine>,
}

/// A plot to be counted, with what was typed.
struct Row {
    plot: String,
    block: String,
    how: String,
    new: String,
    old: String,
    out: String,
    note: String,
    wrong: String,
}

/// Plots that have no count yet.
pub fn waiting(season: &Season) -> Vec<&Plot> {
    let records = &season.records;
    let counted: BTreeSet<&PlotId> = records.visits.iter().filter(|v| !v.counts.is_empty()).map(|v| &v.plot).collect();
    records.plots.iter().filter(|p| !counted.contains(&p.id)).collect()
}

/// The plots of a grid. Prism plots have a line for each tree and are entered one by one.
fn plots<'s>(season: &'s Season, block: &str) -> Vec<&'s Plot> {
    let all = if block.is_empty() {
        waiting(season)
    } else {
        season.records.plots.iter().filter(|p| p.block.as_str() == block).collect()
    };
    all.into_iter().filter(|p| !matches!(p.method, PlotMethod::Prism { .. })).collect()
}

pub async fn show(visit: Visit, Query(of): Query<Of>) -> Answer {
    let date = visit.season.today.to_string();
    let observer = Some(visit.author()).filter(|a| *a != "unknown").unwrap_or_default().to_owned();
    render(&visit, &of.block, date, observer, &BTreeMap::new(), &[], StatusCode::OK)
}

fn render(
    visit: &Visit,
    block: &str,
    date: String,
    observer: String,
    typed: &BTreeMap<String, Cells>,
    problems: &[Problem],
    status: StatusCode,
) -> Answer {
    let season = &visit.season;
    let with_plots: BTreeSet<&str> = season.records.plots.iter().map(|p| p.block.as_str()).collect();
    let w = season.wording();
    let row_of = |p: &Plot| Row { how: how(p, w), ..row(p, typed.get(p.id.as_str()), problems) };
    let rows = plots(season, block).into_iter().map(row_of).collect();
    let of_rows = |p: &&Problem| p.place.item.as_ref().is_some_and(|i| i.starts_with("plot "));
    let elsewhere: Vec<Problem> = problems.iter().filter(|p| !of_rows(p)).cloned().collect();
    page_with(
        status,
        &GridPage {
            shell: visit.shell(Place::Survey, "Enter counts"),
            block: block.to_owned(),
            blocks: with_plots.into_iter().map(str::to_owned).collect(),
            date,
            observer,
            rows,
            problems: lines(&elsewhere),
        },
    )
}

fn row(plot: &Plot, typed: Option<&Cells>, problems: &[Problem]) -> Row {
    let cells = typed.cloned().unwrap_or_default();
    let name = format!("plot {}", plot.id);
    let of_it = problems.iter().filter(|p| p.place.item.as_ref() == Some(&name));
    Row {
        plot: plot.id.to_string(),
        block: plot.block.to_string(),
        how: String::new(),
        new: cells.new,
        old: cells.old,
        out: cells.out,
        note: cells.note,
        wrong: of_it.map(|p| format!("{} {}", p.what, p.remedy)).collect::<Vec<_>>().join(" "),
    }
}

/// What was typed in one row.
#[derive(Clone, Default)]
struct Cells {
    new: String,
    old: String,
    out: String,
    note: String,
}

impl Cells {
    fn is_blank(&self) -> bool {
        [&self.new, &self.old, &self.out, &self.note].iter().all(|c| c.trim().is_empty())
    }
}

/// Cells come as "new:P007" and so on.
fn cells(pairs: &[(String, String)]) -> BTreeMap<String, Cells> {
    let mut rows: BTreeMap<String, Cells> = BTreeMap::new();
    for (name, value) in pairs {
        let Some((column, plot)) = name.split_once(':') else { continue };
        let row = rows.entry(plot.to_owned()).or_default();
        match column {
            "new" => row.new.clone_from(value),
            "old" => row.old.clone_from(value),
            "out" => row.out.clone_from(value),
            "note" => row.note.clone_from(value),
            _ => {}
        }
    }
    rows
}

/// Saves every row with something in it as one change, or none of them.
pub async fn save(visit: Visit, Form(pairs): Form<Vec<(String, String)>>) -> Answer {
    let one = |name: &str| pairs.iter().find(|(n, _)| n == name).map(|(_, v)| v.clone()).unwrap_or_default();
    let (block, date, observer) = (one("block"), one("date"), one("observer"));
    let typed = cells(&pairs);
    let visits: Vec<VisitWords> = typed
        .iter()
        .filter(|(_, c)| !c.is_blank())
        .map(|(plot, c)| VisitWords {
            plot: plot.clone(),
            date: date.clone(),
            observer: observer.clone(),
            counts: vec![CountWords {
                new: c.new.clone(),
                old: c.old.clone(),
                out_of_reach: c.out.clone(),
                ..CountWords::default()
            }],
            note: c.note.clone(),
        })
        .collect();
    let (path, author, today) = (visit.desk.path().to_owned(), visit.author().to_owned(), visit.season.today);
    let done = off(move || add_visits(&path, &visits, today, By::new(&author, &clock::now()))).await;
    match done {
        Ok(done) => {
            let back = if block.is_empty() { "/survey/counts".to_owned() } else { format!("/survey/blocks/{block}") };
            Ok(visit.done_with(done, &back).await)
        }
        Err(trouble) => {
            let status = StatusCode::UNPROCESSABLE_ENTITY;
            render(&visit, &block, date, observer, &typed, &trouble.problems, status)
        }
    }
}

/// What the stop rule says with the counts typed so far in the blocks named; one line a block. Nothing is saved.
pub async fn advice(visit: Visit, Query(pairs): Query<Vec<(String, String)>>) -> Answer {
    let season = Arc::clone(&visit.season);
    let told = off(move || told(&season, &pairs)).await;
    Ok(told.into_response())
}

fn told(season: &Season, pairs: &[(String, String)]) -> String {
    let date = pairs.iter().find(|(n, _)| n == "date").and_then(|(_, v)| v.parse().ok()).unwrap_or(season.today);
    let whole = |text: &str| if text.trim().is_empty() { Some(0) } else { text.trim().parse().ok() };
    let mut blocks: BTreeMap<&BlockId, Vec<TypedCount>> = BTreeMap::new();
    for (id, c) in cells(pairs).iter().filter(|(_, c)| !c.is_blank()) {
        let plot = season.records.plots.iter().find(|p| p.id.as_str() == id);
        // What cannot be read is told when it is saved.
        if let (Some(plot), Some(new), Some(old), Some(out_of_reach)) =
            (plot, whole(&c.new), whole(&c.old), whole(&c.out))
        {
            blocks.entry(&plot.block).or_default().push(TypedCount { plot: plot.id.clone(), new, old, out_of_reach });
        }
    }
    let line = |(block, typed): (&&BlockId, &Vec<TypedCount>)| {
        let answer = advice_with(&season.records, block, typed, date).ok()??;
        let told = answer.advice.as_ref()?;
        let found = found(told, answer.seen(), answer.level, season.wording());
        Some(format!("{block}: {}. {found}.", verdict(told, &answer.table)))
    };
    blocks.iter().filter_map(line).collect::<Vec<_>>().join("\n")
}

#[cfg(test)]
mod tests {
    use super::cells;

    #[test]
    fn cells_find_their_row() {
        let pair = |n: &str, v: &str| (n.to_owned(), v.to_owned());
        let rows = cells(&[pair("date", "2026-11-01"), pair("new:P 1", "3"), pair("old:P 1", "0"), pair("new:P2", "")]);
        assert_eq!(rows["P 1"].new, "3");
        assert!(!rows["P 1"].is_blank() && rows["P2"].is_blank());
        assert_eq!(rows.len(), 2);
    }
}
