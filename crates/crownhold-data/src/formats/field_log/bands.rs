//! Visits to bands.

use crownhold::types::{BandVisit, BandWork, Catch, Problem, TreeId};

use super::super::areas::fields;
use super::super::cells::{self, counts, numbers};
use super::super::columns::{Columns, Field, Measure};
use super::super::dates::dates;
use super::super::job::{Job, merge, note_doubles};
use super::super::table::Table;
use super::super::words::choices;
use super::{Rows, spent};

fields! {
    /// Its own number.
    ID = "id", Plain, ["id", "visit", "visitid", "record", "recordid"];
    /// Day.
    DATE = "date", Plain, ["date", "day", "visitdate", "serviced"];
    /// Block.
    BLOCK = "block", Plain, ["block", "blockid", "blockno", "blocknumber", "unit"];
    /// Tree.
    TREE = "tree", Plain, ["tree", "treeid", "treeno", "treenumber"];
    /// What was done.
    WORK = "work", Plain, ["work", "task", "done"];
    /// Bands looked under.
    BANDS = "bands", Plain, ["bands", "flaps", "bandslooked", "numberofbands"];
    /// Young larvae.
    SMALL = "small", Plain, ["small", "smalllarvae", "young", "blackheads"];
    /// Old larvae.
    LARGE = "large", Plain, ["large", "largelarvae", "larvae", "caterpillars", "caught"];
    /// Pupae.
    PUPAE = "pupae", Plain, ["pupae", "pupa", "pupas"];
    /// Egg masses.
    MASSES = "masses", Plain, ["masses", "eggmasses", "em"];
    /// Dead by the fungus.
    FUNGUS = "fungus", Plain, ["fungus", "deadfungus", "deadbyfungus"];
    /// Dead by the virus.
    VIRUS = "virus", Plain, ["virus", "deadvirus", "deadbyvirus", "npv"];
    /// Minutes of all together.
    MINUTES = "minutes", Plain, ["minutes", "min", "time"];
    /// Who.
    WHO = "who", Plain, ["who", "observer", "crew", "name", "initials", "volunteer"];
    /// Free text.
    NOTE = "note", Plain, ["note", "notes", "remark", "remarks", "comment", "comments"];
}

/// Takes visits to bands over.
pub(in crate::formats) fn take(job: &mut Job<'_>, table: &Table) {
    let columns = Columns::find(job, table, FIELDS);
    let date_column = columns.need(job, table, &DATE).cloned();
    let Some((date_column, _)) = date_column.zip(columns.need(job, table, &BLOCK)) else { return };
    let days = dates(job, table, &date_column);
    let bands = counts(job, table, &columns, &BANDS);
    let words: Vec<&str> = BandWork::ALL.iter().map(|w| w.word()).collect();
    let work = choices(job, table, &columns, &WORK, BandWork::from_word, &words);
    let found = [&SMALL, &LARGE, &PUPAE, &MASSES, &FUNGUS, &VIRUS].map(|f| counts(job, table, &columns, f));
    let minutes = columns.get(MINUTES.name).cloned().map(|column| numbers(job, table, &column)).unwrap_or_default();
    let text = |row, field: &Field| cells::text(table, &columns, field, row).unwrap_or_default().to_owned();
    let mut rows = Rows::new(job, table, &columns, &DATE, &BLOCK, &ID);
    let mut incoming = Vec::new();
    for (row, day) in days.into_iter().enumerate() {
        let Some((date, block)) = rows.placed(job, row, day) else { continue };
        let tree = Some(text(row, &TREE)).filter(|tree| !tree.is_empty());
        let number = bands[row].unwrap_or(1);
        if number == 0 {
            let problem = Problem::error("I-281", "No band was looked under.", "Leave the row out, or correct it.");
            job.note(problem.row(table.number(row)).column("bands").expected("1 or more; a blank is 1"));
            continue;
        }
        let made = format!("{date} {block}{}", tree.as_ref().map(|t| format!(" {t}")).unwrap_or_default());
        incoming.push(BandVisit {
            id: rows.id(row, &made),
            date,
            block,
            tree: tree.map(TreeId::new),
            work: work[row].unwrap_or(BandWork::Look),
            bands: number,
            found: Catch::from_counts(std::array::from_fn(|i| found[i][row].unwrap_or(0))),
            hours: spent(job, table, row, minutes.get(row).copied().flatten(), (MINUTES.name, 60.0)),
            who: text(row, &WHO),
            place: None,
            note: text(row, &NOTE),
        });
    }
    note_doubles(job, "band visit", rows.ids.into_iter());
    job.report.taken = merge(&mut job.draft.log.bands, incoming, |v| v.id.clone());
}
