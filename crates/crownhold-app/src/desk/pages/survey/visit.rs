//! One visit, to correct or take out.

use askama::Template;
use axum::extract::{Form, Path};
use axum::http::StatusCode;
use crownhold::types::{Length, PlotMethod, Visit as Counted};

use super::block::how;
use crate::actions::By;
use crate::actions::counts::{CountWords, VisitWords, correct_visit, delete_visit};
use crate::actions::seen::Item;
use crate::clock;
use crate::desk::shell::{Answer, Place, ProblemLine, Refused, Shell, Visit, lines, page_with};
use crate::desk::state::off;

#[derive(Template)]
#[template(path = "survey_visit.html")]
struct VisitPage {
    shell: Shell,
    id: String,
    seen: String,
    block: String,
    plot: String,
    how: String,
    prism: bool,
    words: VisitWords,
    problems: Vec<ProblemLine>,
}

pub async fn show(visit: Visit, Path(id): Path<String>) -> Answer {
    let found = visit.season.records.visits.iter().find(|v| v.id.as_str() == id).map(words);
    let words = found.ok_or_else(|| Refused::missing(format!("There is no visit \"{id}\".")))?;
    render(&visit, id, words, StatusCode::OK, Vec::new())
}

fn words(v: &Counted) -> VisitWords {
    let count = |c: &crownhold::types::Count| CountWords {
        substrate: c.substrate.word().to_owned(),
        new: c.new.to_string(),
        old: c.old.to_string(),
        out_of_reach: c.out_of_reach.to_string(),
        trunk: c.dbh.map(centimetres).unwrap_or_default(),
    };
    VisitWords {
        plot: v.plot.to_string(),
        date: v.date.to_string(),
        observer: v.observer.clone(),
        counts: v.counts.iter().map(count).collect(),
        note: v.note.clone(),
    }
}

/// As it is kept: every digit comes back when it is saved unchanged.
fn centimetres(length: Length) -> String {
    format!("{} cm", length.as_metres() * 100.0)
}

fn render(visit: &Visit, id: String, words: VisitWords, status: StatusCode, problems: Vec<ProblemLine>) -> Answer {
    let plot = visit.season.records.plots.iter().find(|p| p.id.as_str() == words.plot);
    page_with(
        status,
        &VisitPage {
            shell: visit.shell(Place::Survey, "A visit"),
            block: plot.map(|p| p.block.to_string()).unwrap_or_default(),
            plot: words.plot.clone(),
            how: plot.map(|p| how(p, visit.season.wording())).unwrap_or_default(),
            seen: Item::Visit(id.clone()).print(&visit.season.records),
            prism: plot.is_some_and(|p| matches!(p.method, PlotMethod::Prism { .. })),
            id,
            words,
            problems,
        },
    )
}

/// Fields come as pairs in the order of the page: each "new" begins another line of counts.
fn typed(pairs: &[(String, String)]) -> VisitWords {
    let one = |name: &str| pairs.iter().find(|(n, _)| n == name).map(|(_, v)| v.clone()).unwrap_or_default();
    let all = |name: &str| pairs.iter().filter(|(n, _)| n == name).map(|(_, v)| v.clone()).collect::<Vec<_>>();
    let (substrate, new, old, out, trunk) = (all("substrate"), all("new"), all("old"), all("out"), all("trunk"));
    let at = |of: &[String], i: usize| of.get(i).cloned().unwrap_or_default();
    let counts = (0..new.len()).map(|i| CountWords {
        substrate: at(&substrate, i),
        new: at(&new, i),
        old: at(&old, i),
        out_of_reach: at(&out, i),
        trunk: at(&trunk, i),
    });
    VisitWords {
        plot: one("plot"),
        date: one("date"),
        observer: one("observer"),
        counts: counts.collect(),
        note: one("note"),
    }
}

pub async fn correct(visit: Visit, Path(id): Path<String>, Form(pairs): Form<Vec<(String, String)>>) -> Answer {
    let words = typed(&pairs);
    let (path, author, today) = (visit.desk.path().to_owned(), visit.author().to_owned(), visit.season.today);
    let (asked, of) = (words.clone(), id.clone());
    let seen = pairs.iter().find(|(n, _)| n == "seen").and_then(|(_, print)| Item::Visit(id.clone()).as_seen(print));
    let done = off(move || {
        let when = clock::now();
        correct_visit(&path, &of, &asked, today, By::new(&author, &when).having_seen(seen.as_ref()))
    })
    .await;
    match done {
        Ok(done) => Ok(visit.done_with(done, &home(&visit, &words.plot)).await),
        Err(trouble) => {
            // With what stands there by now, if somebody else was quicker.
            let visit = visit.anew().await?;
            render(&visit, id, words, StatusCode::UNPROCESSABLE_ENTITY, lines(&trouble.problems))
        }
    }
}

pub async fn delete(visit: Visit, Path(id): Path<String>) -> Answer {
    let plot = visit.season.records.visits.iter().find(|v| v.id.as_str() == id).map(|v| v.plot.to_string());
    let home = home(&visit, &plot.unwrap_or_default());
    let (path, author) = (visit.desk.path().to_owned(), visit.author().to_owned());
    let done = off(move || delete_visit(&path, &id, By::new(&author, &clock::now()))).await?;
    Ok(visit.done_with(done, &home).await)
}

/// The page of the plot's block.
fn home(visit: &Visit, plot: &str) -> String {
    let block = visit.season.records.plots.iter().find(|p| p.id.as_str() == plot).map(|p| &p.block);
    block.map_or("/survey".to_owned(), |b| format!("/survey/blocks/{b}"))
}

#[cfg(test)]
mod tests {
    use super::typed;

    #[test]
    fn lines_of_counts_stay_in_order() {
        let pair = |n: &str, v: &str| (n.to_owned(), v.to_owned());
        let words = typed(&[
            pair("plot", "P1"),
            pair("substrate", "trees"),
            pair("new", "3"),
            pair("old", "1"),
            pair("out", ""),
            pair("substrate", "ground"),
            pair("new", "0"),
            pair("old", "2"),
            pair("out", "0"),
        ]);
        assert_eq!(words.counts.len(), 2);
        assert_eq!((words.counts[1].substrate.as_str(), words.counts[1].old.as_str()), ("ground", "2"));
        assert_eq!(words.counts[0].out_of_reach, "");
    }
}
