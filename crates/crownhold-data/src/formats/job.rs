//! One import at work: the records being drafted and what is to be said about them.

use std::collections::BTreeMap;

use crownhold::types::{Problem, Records};

use super::Wishes;
use super::crs::Crs;
use super::report::{Kind, Report, Taken};

/// One import at work.
pub(super) struct Job<'a> {
    /// What the rows are.
    pub kind: Kind,
    /// What the user said.
    pub wishes: &'a Wishes,
    /// A copy of the records; it replaces them when no error was found.
    pub draft: Records,
    /// The answer so far.
    pub report: Report,
}

impl<'a> Job<'a> {
    pub fn new(kind: Kind, file: &str, wishes: &'a Wishes, records: &Records) -> Self {
        Self { kind, wishes, draft: records.clone(), report: Report::new(kind, file) }
    }

    /// Notes a problem, with the file it is about.
    pub fn note(&mut self, problem: Problem) {
        let file = self.report.file.clone();
        self.report.problems.push(problem.file(file));
    }

    /// The programme's own coordinate system; an error is noted when it cannot be used.
    pub fn own_crs(&mut self) -> Option<Crs> {
        match Crs::epsg(self.draft.programme.epsg) {
            Ok(crs) if crs.is_metric() => Some(crs),
            Ok(_) => {
                let what = format!("The programme's own system EPSG:{} is not in metres.", self.draft.programme.epsg);
                self.note(Problem::error("I-301", what, "Give the programme a projected system in metres."));
                None
            }
            Err(why) => {
                self.note(Problem::error("I-301", why, "Give the programme a projected system in metres."));
                None
            }
        }
    }

    /// Hands the draft over when it holds, and answers.
    pub fn finish(mut self, records: &mut Records) -> Report {
        if self.report.has_errors() {
            self.report.taken = Taken::default();
        } else {
            *records = self.draft;
        }
        self.report.settle();
        self.report
    }
}

/// Lays incoming records over those that are there, by key, and keeps key order.
pub(super) fn merge<T: Clone + PartialEq, K: Ord>(list: &mut Vec<T>, incoming: Vec<T>, key: impl Fn(&T) -> K) -> Taken {
    let mut all: BTreeMap<K, T> = std::mem::take(list).into_iter().map(|t| (key(&t), t)).collect();
    let mut taken = Taken::default();
    for item in incoming {
        match all.insert(key(&item), item.clone()) {
            None => taken.new += 1,
            Some(old) if old == item => taken.unchanged += 1,
            Some(_) => taken.replaced += 1,
        }
    }
    list.extend(all.into_values());
    taken
}

/// Notes every id that stands in more than one row.
pub(super) fn note_doubles(job: &mut Job<'_>, what: &str, ids: impl Iterator<Item = (String, u64)>) {
    let mut rows: BTreeMap<String, Vec<u64>> = BTreeMap::new();
    for (id, row) in ids {
        rows.entry(id).or_default().push(row);
    }
    for (id, rows) in rows.into_iter().filter(|(_, rows)| rows.len() > 1) {
        let listed = rows.iter().map(u64::to_string).collect::<Vec<_>>().join(", ");
        let text = format!("The {what} id \"{id}\" stands in {} rows: {listed}.", rows.len());
        job.note(
            Problem::error("I-210", text, "Give each its own id, or keep one of the rows.")
                .item(format!("{what} {id}"))
                .expected("each id once"),
        );
    }
}
