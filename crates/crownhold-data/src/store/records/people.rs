//! The people of the programme, its teams and their rounds.

use crownhold::types::{BlockId, Length, Person, Round, RoundStop, Team, TreeId};
use jiff::civil::Time;

use super::super::row::{Snapshot, Table};
use super::reader::Reader;

pub(super) const PEOPLE: Table =
    Table { name: "people", key: &["name"], columns: &["name", "role", "reach", "note"], is_layer: false };

pub(super) const TEAMS: Table = Table {
    name: "teams",
    key: &["name"],
    columns: &[
        "name",
        "who",
        "people",
        "neighbourhood",
        "begins_in",
        "ends_in",
        "from_time",
        "to_time",
        "ladder",
        "most_trees",
        "note",
    ],
    is_layer: false,
};

pub(super) const ROUNDS: Table = Table {
    name: "rounds",
    key: &["day", "work", "team"],
    columns: &["day", "work", "team", "stops", "back", "travel_hours", "way_m"],
    is_layer: false,
};

pub(super) fn write_person(person: &Person, rows: &mut Snapshot) {
    rows.add(
        &PEOPLE,
        [
            ("name", (&person.name).into()),
            ("role", person.role.word().into()),
            ("reach", (&person.reach).into()),
            ("note", (&person.note).into()),
        ],
    );
}

pub(super) fn read_person(r: &mut Reader) -> Person {
    Person {
        name: r.need_text("name"),
        role: r.need_word("role"),
        reach: r.text("reach").unwrap_or_default(),
        note: r.text("note").unwrap_or_default(),
    }
}

pub(super) fn write_team(team: &Team, rows: &mut Snapshot) {
    rows.add(
        &TEAMS,
        [
            ("name", (&team.name).into()),
            ("who", team.who.word().into()),
            ("people", team.people.into()),
            ("neighbourhood", team.neighbourhood.as_deref().into()),
            ("begins_in", team.starts.as_ref().map(BlockId::as_str).into()),
            ("ends_in", team.ends.as_ref().map(BlockId::as_str).into()),
            ("from_time", clock(team.from).as_str().into()),
            ("to_time", clock(team.to).as_str().into()),
            ("ladder", team.ladder.into()),
            ("most_trees", team.most.into()),
            ("note", (&team.note).into()),
        ],
    );
}

pub(super) fn read_team(r: &mut Reader) -> Team {
    Team {
        name: r.need_text("name"),
        who: r.need_word("who"),
        people: r.need_whole("people", "a whole number, 1 or more"),
        neighbourhood: r.text("neighbourhood"),
        starts: r.text("begins_in").map(|id| BlockId::new(&id)),
        ends: r.text("ends_in").map(|id| BlockId::new(&id)),
        from: r.need_time("from_time"),
        to: r.need_time("to_time"),
        ladder: r.flag("ladder"),
        most: r.whole("most_trees", "a whole number, 0 or more"),
        note: r.text("note").unwrap_or_default(),
    }
}

pub(super) fn write_round(round: &Round, rows: &mut Snapshot) {
    let stops = round.stops.iter().map(|s| serde_json::json!([s.tree.as_str(), clock(s.at)]));
    rows.add(
        &ROUNDS,
        [
            ("day", round.date.into()),
            ("work", round.work.word().into()),
            ("team", (&round.team).into()),
            ("stops", serde_json::Value::from_iter(stops).to_string().as_str().into()),
            ("back", clock(round.back).as_str().into()),
            ("travel_hours", round.travel.as_hours().into()),
            ("way_m", round.way.as_metres().into()),
        ],
    );
}

pub(super) fn read_round(r: &mut Reader) -> Round {
    Round {
        date: r.need_day("day"),
        work: r.need_word("work"),
        team: r.need_text("team"),
        stops: stops(r),
        back: r.need_time("back"),
        travel: r.need_hours("travel_hours"),
        way: Length::metres(r.need_number("way_m", 0.0, 1e7, "metres, 0 or more")),
    }
}

fn clock(time: Time) -> String {
    time.strftime("%H:%M").to_string()
}

/// Trees and times in one cell, as JSON.
fn stops(r: &mut Reader) -> Vec<RoundStop> {
    let text = r.need_text("stops");
    let read = serde_json::from_str::<Vec<(String, String)>>(&text).ok();
    let stop = |(tree, at): (String, String)| {
        Some(RoundStop { tree: TreeId::new(tree), at: Time::strptime("%H:%M", at).ok()? })
    };
    let read = read.and_then(|all| all.into_iter().map(stop).collect::<Option<Vec<_>>>());
    read.unwrap_or_else(|| {
        r.fault(
            "S-105",
            "stops",
            format!("stops is \"{text}\"."),
            "a JSON list of trees and times, such as [[\"T-1\", \"16:05\"]]",
        );
        Vec::new()
    })
}
