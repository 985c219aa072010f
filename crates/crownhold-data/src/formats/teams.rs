//! Teams that go round; one row a team.

use crownhold::field::rounds::team_problems;
use crownhold::types::{BlockId, Problem, Team, Workforce};
use jiff::civil::Time;

use super::areas::fields;
use super::cells::{self, counts};
use super::columns::{Columns, Field, Measure};
use super::job::{Job, merge, note_doubles};
use super::table::Table;
use super::words::choices;

fields! {
    /// Name.
    NAME = "name", Plain, ["name", "team", "crew", "group", "teamname"];
    /// Paid or not.
    WHO = "who", Plain, ["who", "workforce", "kind", "type"];
    /// How many.
    PEOPLE = "people", Plain, ["people", "size", "persons", "members", "number"];
    /// Neighbourhood.
    NEIGHBOURHOOD = "neighbourhood", Plain, ["neighbourhood", "neighborhood", "district", "area"];
    /// Block where its rounds begin.
    STARTS = "starts", Plain, ["starts", "start", "begins", "meets", "meetingplace"];
    /// Block where they end.
    ENDS = "ends", Plain, ["ends", "end"];
    /// Not before.
    FROM = "from", Plain, ["from", "fromtime", "starttime"];
    /// Done by.
    TO = "to", Plain, ["to", "until", "totime", "endtime"];
    /// Trained for ladders.
    LADDER = "ladder", Plain, ["ladder", "ladders"];
    /// Most trees a day.
    MOST = "most", Plain, ["most", "mosttrees", "limit", "capacity"];
    /// Free text.
    NOTE = "note", Plain, ["note", "notes", "remark", "remarks", "comment", "comments"];
}

/// Hours of a team whose row names none.
const HOURS: (Time, Time) = (Time::constant(16, 0, 0, 0), Time::constant(20, 0, 0, 0));

/// Takes teams over.
pub(super) fn take(job: &mut Job<'_>, table: &Table) {
    let columns = Columns::find(job, table, FIELDS);
    let Some(name_column) = columns.need(job, table, &NAME).cloned() else { return };
    let words: Vec<&str> = Workforce::ALL.iter().map(|w| w.word()).collect();
    let who = choices(job, table, &columns, &WHO, workforce, &words);
    let (people, most) = (counts(job, table, &columns, &PEOPLE), counts(job, table, &columns, &MOST));
    let ladder = choices(job, table, &columns, &LADDER, cells::yes, &["yes", "no"]);
    let from = choices(job, table, &columns, &FROM, time_of_day, &["16:00", "4 pm"]);
    let to = choices(job, table, &columns, &TO, time_of_day, &["20:00", "8 pm"]);
    let (mut incoming, mut names) = (Vec::new(), Vec::new());
    for row in 0..table.len() {
        let text = |field: &Field| cells::text(table, &columns, field, row).map(str::to_owned);
        let Some(name) = text(&NAME) else {
            job.note(cells::bad_cell("I-214", "The row has no name.".to_owned(), table, row, &name_column));
            continue;
        };
        let team = Team {
            name,
            who: who[row].unwrap_or(Workforce::Volunteers),
            people: people[row].unwrap_or(1),
            neighbourhood: text(&NEIGHBOURHOOD),
            starts: text(&STARTS).map(BlockId::new),
            ends: text(&ENDS).map(BlockId::new),
            from: from[row].unwrap_or(HOURS.0),
            to: to[row].unwrap_or(HOURS.1),
            ladder: ladder[row].unwrap_or(false),
            most: most[row],
            note: text(&NOTE).unwrap_or_default(),
        };
        let problems: Vec<Problem> = team_problems(&job.draft, &team);
        problems.into_iter().for_each(|p| job.note(p.row(table.number(row))));
        names.push((team.name.clone(), table.number(row)));
        incoming.push(team);
    }
    note_doubles(job, "team", names.into_iter());
    job.report.taken = merge(&mut job.draft.teams, incoming, |t| t.name.clone());
}

fn workforce(word: &str) -> Option<Workforce> {
    let singular = match word.trim().to_lowercase().as_str() {
        "volunteer" => "volunteers",
        "crews" | "paid" | "staff" => "crew",
        _ => word,
    };
    Workforce::from_word(singular)
}

/// A time of day as people write it: 16:30, 4:30 pm, 4 pm, 16.
pub fn time_of_day(text: &str) -> Option<Time> {
    let text = text.trim().to_lowercase().replace('.', "");
    let (clock, half) = match text.strip_suffix("pm").map(|t| (t, 12)).or(text.strip_suffix("am").map(|t| (t, 0))) {
        Some((clock, half)) => (clock.trim(), Some(half)),
        None => (text.as_str(), None),
    };
    let (hour, minute) = clock.split_once(':').unwrap_or((clock, "0"));
    // Seconds, as spreadsheets add them, are left away.
    let minute = minute.split(':').next().unwrap_or(minute);
    let (hour, minute): (i8, i8) = (hour.parse().ok()?, minute.parse().ok()?);
    let hour = match half {
        Some(half) if (1..=12).contains(&hour) => hour % 12 + half,
        Some(_) => return None,
        None => hour,
    };
    Time::new(hour, minute, 0, 0).ok()
}

#[cfg(test)]
mod tests {
    use super::time_of_day;

    #[test]
    fn times_as_people_write_them() {
        let clock = |text| time_of_day(text).map(|t| t.strftime("%H:%M").to_string());
        for (text, want) in [
            ("16:30", "16:30"),
            ("4:30 pm", "16:30"),
            ("4 p.m.", "16:00"),
            ("16", "16:00"),
            ("12 am", "00:00"),
            ("12:05pm", "12:05"),
            ("07:00:00", "07:00"),
        ] {
            assert_eq!(clock(text).as_deref(), Some(want), "{text}");
        }
        for text in ["", "noon", "25:00", "13 pm", "4:75"] {
            assert_eq!(clock(text), None, "{text}");
        }
    }
}
