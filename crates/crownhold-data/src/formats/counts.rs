//! Egg-mass counts: one row for each kind of substrate (or prism-tallied tree) at a visit.

use std::collections::{BTreeMap, BTreeSet};

use crownhold::types::{Count, PlotId, Problem, Substrate, Visit, VisitId};
use jiff::civil::Date;

use super::areas::fields;
use super::cells::{self, lengths, searched};
use super::columns::{Columns, Field, Measure};
use super::dates::dates;
use super::job::{Job, merge};
use super::table::Table;
use super::words::choices;

fields! {
    /// Plot.
    PLOT = "plot", Plain, ["plot", "plotid", "plotno", "plotnumber", "plotnum", "plotname", "point", "pointid"];
    /// Day of the visit.
    DATE = "date", Plain, ["date", "surveydate", "visitdate", "countdate", "day", "surveyed"];
    /// Who counted.
    OBSERVER = "observer", Plain, ["observer", "surveyor", "counter", "who", "technician", "crew", "initials"];
    /// What the masses were on.
    SUBSTRATE = "substrate", Plain, ["substrate", "surface", "where", "on", "object"];
    /// New masses.
    NEW = "new", Plain, ["new", "newmasses", "neweggmasses", "newem", "newcount", "viable", "eggmasses", "masses", "count", "em", "currentyear"];
    /// Old masses.
    OLD = "old", Plain, ["old", "oldmasses", "oldeggmasses", "oldem", "oldcount", "spent"];
    /// Masses out of reach.
    OUT_OF_REACH = "out_of_reach", Plain, ["outofreach", "overhead", "high", "unreachable", "unknown", "uncertain"];
    /// Diameter of a tallied tree.
    DBH = "dbh", Length, ["dbh", "diameter", "treedbh"];
    /// Number of the visit.
    VISIT = "visit", Plain, ["visit", "visitid", "visitno", "sheet", "sheetno"];
    /// Free text.
    NOTE = "note", Plain, ["note", "notes", "remark", "remarks", "comment", "comments"];
}

/// More masses than this on one plot and substrate are possible, but rather a slip of the pen.
const MANY: u32 = 5_000;

/// Everything the columns say, row by row.
struct Rows {
    dates: Vec<Option<Date>>,
    substrates: Vec<Option<Substrate>>,
    counts: [Vec<Option<u32>>; 3],
    /// Is there a column, and is it blank in the row?
    blank: [Vec<bool>; 3],
    dbh: Vec<Option<crownhold::types::Length>>,
}

/// Takes counts over.
pub(super) fn take(job: &mut Job<'_>, table: &Table) {
    let columns = Columns::find(job, table, FIELDS);
    let needed = [&PLOT, &DATE, &NEW].map(|f| columns.need(job, table, f).is_some());
    if needed.contains(&false) {
        return;
    }
    let rows = read(job, table, &columns);
    let known: BTreeSet<PlotId> = job.draft.plots.iter().map(|p| p.id.clone()).collect();
    let mut visits: BTreeMap<VisitId, Visit> = BTreeMap::new();
    for row in 0..table.len() {
        let Some(plot) = plot(job, table, &columns, row, &known) else { continue };
        let Some(date) = rows.dates[row] else {
            blank_date(job, table, &columns, row);
            continue;
        };
        let observer = cells::text(table, &columns, &OBSERVER, row).unwrap_or_default().to_owned();
        let id = visit_id(table, &columns, row, &plot, date, &observer);
        let count = count(job, table, &rows, row, &plot);
        let note = cells::text(table, &columns, &NOTE, row).unwrap_or_default();
        let visit = visits.entry(id.clone()).or_insert_with(|| Visit {
            id,
            plot: plot.clone(),
            date,
            observer,
            counts: Vec::new(),
            note: String::new(),
        });
        if visit.plot != plot || visit.date != date {
            let what = format!(
                "Visit {} is at plot {} on {} in an earlier row, and at plot {plot} on {date} here.",
                visit.id, visit.plot, visit.date
            );
            job.note(
                Problem::error("I-518", what, "One visit is one plot on one day; correct the row.")
                    .row(table.number(row)),
            );
        }
        add_count(job, visit, count, table.number(row));
        if !note.is_empty() && !visit.note.contains(note) {
            visit.note = if visit.note.is_empty() { note.to_owned() } else { format!("{}; {note}", visit.note) };
        }
    }
    let empty = visits.values().filter(|v| v.counts.is_empty()).map(|v| v.id.to_string()).collect::<Vec<_>>();
    if !empty.is_empty() {
        let what = format!("Visits with no count written down: {} ({}).", empty.len(), empty.join(", "));
        job.note(Problem::notice("I-519", what, "A blank is not a zero: they were kept and are not used."));
    }
    job.report.taken = merge(&mut job.draft.visits, visits.into_values().collect(), |v| v.id.clone());
}

fn read(job: &mut Job<'_>, table: &Table, columns: &Columns) -> Rows {
    let date = columns.get(DATE.name).cloned();
    let words: Vec<&str> = Substrate::ALL.iter().map(|s| s.word()).collect();
    for (field, what) in [(&OLD, "old masses"), (&OUT_OF_REACH, "masses out of reach")] {
        if columns.get(field.name).is_none() {
            let what = format!("The file has no column for {what}.");
            job.note(Problem::notice(
                "I-520",
                what,
                "They were taken as none; all masses counted are then taken as told by hand.",
            ));
        }
    }
    let blank = |field: &Field| match columns.get(field.name) {
        Some(c) => (0..table.len()).map(|r| !cells::is_said(table.cell(r, c.at))).collect(),
        None => vec![false; table.len()],
    };
    Rows {
        blank: [&NEW, &OLD, &OUT_OF_REACH].map(blank),
        dates: date.map_or_else(|| vec![None; table.len()], |c| dates(job, table, &c)),
        substrates: choices(job, table, columns, &SUBSTRATE, substrate, &words),
        counts: [&NEW, &OLD, &OUT_OF_REACH].map(|f| searched(job, table, columns, f)),
        dbh: lengths(job, table, columns, &DBH),
    }
}

fn substrate(word: &str) -> Option<Substrate> {
    Substrate::from_word(word).or_else(|| {
        Some(match word.to_lowercase().as_str() {
            "total" | "everything" => Substrate::All,
            "tree" | "trunk" | "trunks" | "branches" | "branch" => Substrate::Trees,
            "structure" | "house" | "houses" | "building" | "buildings" | "fence" | "man-made" | "manmade" => {
                Substrate::Structures
            }
            "litter" | "stones" | "rocks" | "shrubs" | "logs" | "ground litter" => Substrate::Ground,
            _ => return None,
        })
    })
}

fn plot(job: &mut Job<'_>, table: &Table, columns: &Columns, row: usize, known: &BTreeSet<PlotId>) -> Option<PlotId> {
    let Some(plot) = cells::text(table, columns, &PLOT, row).map(PlotId::from) else {
        job.note(Problem::error("I-214", "The row names no plot.", "Correct the row.").row(table.number(row)));
        return None;
    };
    if !known.contains(&plot) {
        let what = format!("There is no plot \"{plot}\".");
        job.note(Problem::error("I-521", what, "Import the plots first, or correct the id.").row(table.number(row)));
        return None;
    }
    Some(plot)
}

fn blank_date(job: &mut Job<'_>, table: &Table, columns: &Columns, row: usize) {
    let blank = cells::text(table, columns, &DATE, row).is_none();
    if blank {
        job.note(
            Problem::error("I-522", "The visit has no date.", "Write the day of the count.").row(table.number(row)),
        );
    }
}

/// The visit's own number, else plot, day and observer together.
fn visit_id(table: &Table, columns: &Columns, row: usize, plot: &PlotId, date: Date, observer: &str) -> VisitId {
    match cells::text(table, columns, &VISIT, row) {
        Some(id) => VisitId::new(id),
        None if observer.is_empty() => VisitId::new(format!("{plot}/{date}")),
        None => VisitId::new(format!("{plot}/{date}/{observer}")),
    }
}

/// The count of a row; `None` when nothing was written down. A blank beside a number is an error:
/// nobody can say afterwards whether it was a zero.
fn count(job: &mut Job<'_>, table: &Table, rows: &Rows, row: usize, plot: &PlotId) -> Option<Count> {
    let names = [NEW.name, OLD.name, OUT_OF_REACH.name];
    let values = [0, 1, 2].map(|i| rows.counts[i][row]);
    if values.iter().all(Option::is_none) {
        return None;
    }
    for i in 0..3 {
        // A cell that is not a count has been told as such; it is not blank too.
        if rows.blank[i][row] && values[i].is_none() {
            let what = format!("The count of \"{}\" is blank beside numbers; a blank is not a zero.", names[i]);
            let problem = Problem::error("I-523", what, "Write 0 if none were seen.")
                .row(table.number(row))
                .item(format!("plot {plot}"));
            job.note(problem.expected("a whole number, 0 or more"));
        }
        if let Some(many) = values[i].filter(|v| *v > MANY) {
            let what = format!("{many} masses on one plot.");
            job.note(
                Problem::notice("I-524", what, "Taken as it is; check the row.")
                    .row(table.number(row))
                    .item(format!("plot {plot}")),
            );
        }
    }
    let [new, old, out_of_reach] = values.map(|v| v.unwrap_or(0));
    Some(Count {
        substrate: rows.substrates[row].unwrap_or(Substrate::All),
        dbh: rows.dbh[row],
        new,
        old,
        out_of_reach,
    })
}

/// Two rows for one substrate at one visit are the same thing typed twice, unless they are tallied trees.
fn add_count(job: &mut Job<'_>, visit: &mut Visit, count: Option<Count>, row: u64) {
    let Some(count) = count else { return };
    let twice = visit.counts.iter().any(|c| c.substrate == count.substrate && c.dbh.is_none() && count.dbh.is_none());
    if twice {
        let what = format!("Visit {} has \"{}\" in two rows.", visit.id, count.substrate);
        job.note(Problem::error("I-525", what, "Put them together, or give each row its own visit.").row(row));
    }
    visit.counts.push(count);
}
