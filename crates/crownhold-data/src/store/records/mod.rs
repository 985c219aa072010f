//! Records to rows and back: one file per family of records, each with its tables and both directions.
//!
//! Reading never stops at the first fault: a [`Reader`] notes each one and puts in a stand-in, and
//! [`decode`] gives the records out only when nothing was noted. Lengths, areas, densities and
//! temperatures are stored in SI and degrees C, so that a value goes through a file unchanged to the last bit.

mod hourly;
mod land;
mod log;
mod means;
mod people;
mod reader;
mod rules;
mod samples;
mod season;
mod survey;
mod weather;
mod words;

use std::collections::BTreeSet;

use crownhold::types::{Problem, Records};

use super::row::{Snapshot, Table};
use reader::Reader;

pub(super) use log::{LOG_TABLES, closed_touched};
pub(super) use rules::{DEFAULTS, defaults};

/// Every table that holds records, in the order in which rows are written.
pub(super) const TABLES: &[&Table] = &[
    &means::PROGRAMME,
    &land::BLOCKS,
    &land::TREES,
    &survey::PLOTS,
    &land::NO_SPRAY,
    &land::STREETS,
    &survey::STRATA,
    &survey::VISITS,
    &survey::COUNTS,
    &weather::STATIONS,
    &weather::DAYS,
    &hourly::HOURS,
    &means::HOURS,
    &means::RESOURCES,
    &season::DECISIONS,
    &season::PAST,
    &rules::PARAMETERS,
    &rules::SPECIES,
    &people::PEOPLE,
    &people::TEAMS,
    &people::ROUNDS,
    &samples::SAMPLES,
    &log::BANDS,
    &log::SCRAPING,
    &log::APPLICATIONS,
    &log::NOTICES,
];

/// The rows of all records.
pub(super) fn encode(records: &Records) -> Snapshot {
    let mut rows = Snapshot::default();
    let srs = records.programme.epsg;
    means::write_programme(&records.programme, &mut rows);
    means::write_resources(&records.resources, &mut rows);
    records.blocks.iter().for_each(|b| land::write_block(b, srs, &mut rows));
    records.trees.iter().for_each(|t| land::write_tree(t, srs, &mut rows));
    records.no_spray.iter().for_each(|a| land::write_no_spray(a, srs, &mut rows));
    records.streets.iter().for_each(|s| land::write_street(s, srs, &mut rows));
    records.strata.iter().for_each(|s| survey::write_stratum(s, &mut rows));
    records.plots.iter().for_each(|p| survey::write_plot(p, srs, &mut rows));
    records.visits.iter().for_each(|v| survey::write_visit(v, &mut rows));
    weather::write(&records.weather, &mut rows);
    records.hourly.iter().for_each(|h| hourly::write(h, &mut rows));
    season::write_decisions(&records.decisions, &mut rows);
    records.past.iter().for_each(|p| season::write_past(p, &mut rows));
    rules::write_parameters(&records.parameters, &mut rows);
    rules::write_species(&records.species, &mut rows);
    records.people.iter().for_each(|p| people::write_person(p, &mut rows));
    records.teams.iter().for_each(|t| people::write_team(t, &mut rows));
    records.rounds.iter().for_each(|r| people::write_round(r, &mut rows));
    records.samples.iter().for_each(|s| samples::write_sample(s, &mut rows));
    log::write(&records.log, &mut rows);
    rows
}

/// The rows of two states, without the kinds of record that are alike in both: those need no writing, and turning a
/// city's trees into rows takes longer than comparing them.
pub(super) fn encode_unlike(before: &Records, after: &Records) -> (Snapshot, Snapshot) {
    let (mut old, mut new) = (before.clone(), after.clone());
    macro_rules! leave_out_alike {
        ($($kind:ident $(. $part:ident)?),+ $(,)?) => {$(
            if old.$kind$(.$part)? == new.$kind$(.$part)? {
                old.$kind$(.$part)?.clear();
                new.$kind$(.$part)?.clear();
            }
        )+};
    }
    leave_out_alike!(
        blocks,
        trees,
        no_spray,
        streets,
        strata,
        plots,
        visits,
        weather,
        hourly,
        past,
        samples,
        log.bands,
        log.scraping,
        log.applications,
        log.notices,
    );
    (encode(&old), encode(&new))
}

/// Every fault of rows that are to be written, and every reference in the records they come from to something that is not
/// there.
pub(super) fn faults(rows: &Snapshot, all: &Records) -> Vec<Problem> {
    let mut problems = rows.doubles.clone();
    read(rows, &mut problems);
    references(all, &mut problems);
    problems
}

/// The records in a set of rows, in the order that `Records` promises.
///
/// # Errors
/// Every fault of every row, and every reference to something that is not there.
pub(super) fn decode(rows: &Snapshot) -> Result<Records, Vec<Problem>> {
    let mut problems = rows.doubles.clone();
    let records = read(rows, &mut problems);
    references(&records, &mut problems);
    if problems.is_empty() { Ok(records) } else { Err(problems) }
}

fn read(rows: &Snapshot, note: &mut Vec<Problem>) -> Records {
    let mut records = Records::empty(means::read_programme(rows, note));
    records.resources = means::read_resources(rows, note);
    records.blocks = all(rows, &land::BLOCKS, note, land::read_block);
    records.trees = all(rows, &land::TREES, note, land::read_tree);
    records.no_spray = all(rows, &land::NO_SPRAY, note, land::read_no_spray);
    records.streets = all(rows, &land::STREETS, note, land::read_street);
    records.strata = all(rows, &survey::STRATA, note, survey::read_stratum);
    records.plots = all(rows, &survey::PLOTS, note, survey::read_plot);
    records.visits = survey::read_visits(rows, note);
    records.weather = weather::read(rows, note);
    records.hourly = hourly::read(rows, note);
    records.decisions = season::read_decisions(rows, note);
    records.past = all(rows, &season::PAST, note, season::read_past);
    records.parameters = rules::read_parameters(rows, note);
    records.species = rules::read_species(rows, note);
    records.people = all(rows, &people::PEOPLE, note, people::read_person);
    records.teams = all(rows, &people::TEAMS, note, people::read_team);
    records.rounds = all(rows, &people::ROUNDS, note, people::read_round);
    records.samples = all(rows, &samples::SAMPLES, note, samples::read_sample);
    records.log = log::read(rows, note);
    sort(&mut records);
    records
}

/// Reads every row of a table.
fn all<T>(rows: &Snapshot, table: &Table, problems: &mut Vec<Problem>, read: impl Fn(&mut Reader) -> T) -> Vec<T> {
    rows.rows(table).map(|(key, row)| read(&mut Reader::new(table, key, row, problems))).collect()
}

fn sort(records: &mut Records) {
    records.blocks.sort_by(|a, b| a.id.cmp(&b.id));
    records.trees.sort_by(|a, b| a.id.cmp(&b.id));
    records.no_spray.sort_by(|a, b| a.id.cmp(&b.id));
    records.streets.sort_by(|a, b| a.id.cmp(&b.id));
    records.strata.sort_by(|a, b| a.id.cmp(&b.id));
    records.plots.sort_by(|a, b| a.id.cmp(&b.id));
    records.visits.sort_by(|a, b| a.id.cmp(&b.id));
    records.people.sort_by(|a, b| a.name.cmp(&b.name));
    records.teams.sort_by(|a, b| a.name.cmp(&b.name));
    records.rounds.sort_by(|a, b| (a.date, a.work, &a.team).cmp(&(b.date, b.work, &b.team)));
    records.samples.sort_by(|a, b| a.id.cmp(&b.id));
    records.past.sort_by(|a, b| (a.season, &a.block).cmp(&(b.season, &b.block)));
}

/// Notes every plot, visit and decision that hangs in the air. Trees may stand outside all blocks, and past
/// seasons may speak of blocks that are no more.
fn references(records: &Records, problems: &mut Vec<Problem>) {
    let blocks: BTreeSet<_> = records.blocks.iter().map(|b| &b.id).collect();
    let plots: BTreeSet<_> = records.plots.iter().map(|p| &p.id).collect();
    for plot in records.plots.iter().filter(|p| !blocks.contains(&p.block)) {
        problems.push(dangling(&survey::PLOTS, "block", plot.id.as_str(), plot.block.as_str(), "block"));
    }
    for visit in records.visits.iter().filter(|v| !plots.contains(&v.plot)) {
        problems.push(dangling(&survey::VISITS, "plot", visit.id.as_str(), visit.plot.as_str(), "plot"));
    }
    for hours in records.hourly.iter().filter(|h| records.weather.iter().all(|w| w.station != h.station)) {
        let station = hours.station.as_str();
        problems.push(dangling(&hourly::HOURS, "station", station, station, "weather station"));
    }
    for decision in records.decisions.iter().filter(|d| !blocks.contains(&d.block)) {
        problems.push(dangling(&season::DECISIONS, "block", decision.block.as_str(), decision.block.as_str(), "block"));
    }
}

fn dangling(table: &Table, column: &str, row: &str, value: &str, wanted: &str) -> Problem {
    Problem::error(
        "S-107",
        format!("{wanted} \"{value}\" is not in the programme."),
        format!("Bring in that {wanted} first, or correct the name here."),
    )
    .column(column)
    .item(format!("{} \"{row}\"", table.name))
    .expected(format!("the name of a {wanted} of this programme"))
}

#[cfg(test)]
mod tests;
