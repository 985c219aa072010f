//! The report of an import: what was taken, what was put right, or all that is in the way.

use askama::Template;
use axum::extract::Path;
use crownhold::types::{Problem, Severity};
use crownhold_data::formats::{Report, UsedColumn};

use super::import::Form;
use super::kinds::{KindWords, words};
use crate::desk::shell::{Answer, Place, Refused, Shell, Visit, page};

#[derive(Template)]
#[template(path = "programme_report.html")]
struct ReportPage {
    shell: Shell,
    file: String,
    words: &'static KindWords,
    figures: Vec<(&'static str, String)>,
    failed: bool,
    changed: bool,
    undone: bool,
    errors: Vec<Line>,
    repairs: Vec<Line>,
    notices: Vec<Line>,
    columns: Vec<UsedColumn>,
    unused: String,
    unknown: Vec<(String, usize)>,
    form: Form,
}

/// A problem as a row.
struct Line {
    place: String,
    what: String,
    expected: String,
    remedy: String,
    /// Where that is done.
    at: Option<(&'static str, &'static str)>,
    code: &'static str,
}

pub async fn show(visit: Visit, Path(id): Path<String>) -> Answer {
    let gone = || Refused::missing("That report is no longer kept. The history has what was imported.");
    let tried = visit.desk.reports.get(&id).ok_or_else(gone)?;
    let report = &tried.report;
    let of = |severity| report.of(severity).map(|p| line(p, report.has_errors())).collect();
    let undone = visit.season.history.iter().any(|e| Some(e.id) == tried.entry && e.undone);
    page(&ReportPage {
        shell: visit.shell(Place::Programme, "Import"),
        file: report.file.clone(),
        words: words(report.kind),
        figures: figures(report),
        failed: report.has_errors(),
        changed: tried.entry.is_some(),
        undone,
        errors: of(Severity::Error),
        repairs: of(Severity::Repaired),
        notices: of(Severity::Notice),
        columns: report.columns.clone(),
        unused: report.unused.join(", "),
        unknown: report.unknown_species.iter().map(|(name, n)| (name.clone(), *n)).collect(),
        form: Form::again(report.kind, tried.typed.clone()),
    })
}

fn figures(report: &Report) -> Vec<(&'static str, String)> {
    use crownhold_print::wording::grouped;
    let t = report.taken;
    [("new", t.new), ("changed", t.replaced), ("there already, unchanged", t.unchanged)]
        .into_iter()
        .map(|(label, n)| (label, grouped(n as f64)))
        .collect()
}

fn line(problem: &Problem, has_form: bool) -> Line {
    let place = &problem.place;
    let row = place.row.map(|r| format!("row {r}"));
    let column = place.column.as_ref().map(|c| format!("column {c}"));
    let parts: Vec<String> = [row, column, place.item.clone()].into_iter().flatten().collect();
    Line {
        place: if parts.is_empty() { "the file".to_owned() } else { parts.join(", ") },
        what: problem.what.clone(),
        expected: problem.expected.clone(),
        remedy: problem.remedy.clone(),
        at: at(&problem.remedy, has_form),
        code: problem.code,
    }
}

/// Remedies name what is typed on the command line; here it is a field of the form below, or another page.
fn at(remedy: &str, has_form: bool) -> Option<(&'static str, &'static str)> {
    let places = [
        ("--map", ("#map", "Columns, below")),
        ("--unit", ("#units", "Units, below")),
        ("--crs", ("#crs", "Coordinate system, below")),
        ("--layer", ("#layer", "Layer, below")),
        ("--dates", ("#dates", "Order of day and month, below")),
        ("--station", ("#station", "Station, below")),
        ("areas\"", ("/programme/import/areas", "Facts about blocks")),
    ];
    let mut fitting =
        places.into_iter().filter(|(word, (href, _))| remedy.contains(word) && (has_form || !href.starts_with('#')));
    fitting.next().map(|(_, place)| place)
}

#[cfg(test)]
mod tests {
    use crownhold::types::Problem;

    use super::line;

    #[test]
    fn a_problem_says_where_it_sits_and_where_it_is_mended() {
        let problem =
            Problem::error("I-205", "The unit of dbh is not stated (values 3 to 40).", "Say it with --unit dbh=UNIT.")
                .file("trees.csv")
                .row(4)
                .column("DBH");
        let line = line(&problem, true);
        assert_eq!(line.place, "row 4, column DBH");
        assert_eq!(line.at, Some(("#units", "Units, below")));
        assert_eq!(super::line(&problem, false).at, None, "no form, no way to it");
        let empty = Problem::error("I-101", "The file is empty.", "Export it again.");
        assert_eq!(super::line(&empty, true).place, "the file");
    }
}
