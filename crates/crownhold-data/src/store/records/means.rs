//! The programme itself and what it can spend.

use crownhold::types::{Area, Hours, HoursSupply, Money, Problem, Programme, Resources, UnitSystem};

use super::super::row::{Cell, Row, Snapshot, Table};
use super::all;
use super::reader::Reader;
use super::words::Choice;

pub(super) const PROGRAMME: Table =
    Table { name: "programme", key: &[], columns: &["name", "season", "epsg", "units", "invented"], is_layer: false };

pub(super) fn write_programme(programme: &Programme, rows: &mut Snapshot) {
    rows.add(
        &PROGRAMME,
        [
            ("name", (&programme.name).into()),
            ("season", programme.season.into()),
            ("epsg", programme.epsg.into()),
            ("units", programme.units.word().into()),
            ("invented", programme.invented.into()),
        ],
    );
}

pub(super) fn read_programme(rows: &Snapshot, problems: &mut Vec<Problem>) -> Programme {
    let nothing = Row { fid: None, cells: vec![Cell::Null; PROGRAMME.columns.len()] };
    let row = rows.rows(&PROGRAMME).next().map_or(&nothing, |(_, row)| row);
    let r = &mut Reader::new(&PROGRAMME, "[]", row, problems);
    Programme {
        name: r.need_text("name"),
        season: r.need_whole("season", "the year whose spring is planned for"),
        epsg: r.need_whole("epsg", "the EPSG number of the programme's system"),
        units: r.need_word::<UnitSystem>("units"),
        invented: r.flag("invented"),
    }
}

pub(super) const RESOURCES: Table =
    Table { name: "resources", key: &[], columns: &["budget", "most_sprayed_m2"], is_layer: false };

pub(super) const HOURS: Table = Table {
    name: "hours_supply",
    key: &["position"],
    columns: &["position", "workforce", "period", "neighbourhood", "hours"],
    is_layer: false,
};

pub(super) fn write_resources(resources: &Resources, rows: &mut Snapshot) {
    rows.add(
        &RESOURCES,
        [
            ("budget", resources.budget.map(Money::as_dollars).into()),
            ("most_sprayed_m2", resources.most_sprayed.map(Area::as_square_metres).into()),
        ],
    );
    for (position, supply) in resources.hours.iter().enumerate() {
        rows.add(
            &HOURS,
            [
                ("position", (position + 1).into()),
                ("workforce", supply.who.word().into()),
                ("period", supply.period.word().into()),
                ("neighbourhood", supply.neighbourhood.as_ref().into()),
                ("hours", Hours::as_hours(supply.hours).into()),
            ],
        );
    }
}

pub(super) fn read_resources(rows: &Snapshot, problems: &mut Vec<Problem>) -> Resources {
    let mut hours = all(rows, &HOURS, problems, read_hours);
    hours.sort_by_key(|(position, _)| *position);
    let (budget, most_sprayed) =
        all(rows, &RESOURCES, problems, |r| (r.money("budget"), r.area("most_sprayed_m2"))).pop().unwrap_or_default();
    Resources { budget, most_sprayed, hours: hours.into_iter().map(|(_, supply)| supply).collect() }
}

fn read_hours(r: &mut Reader) -> (i64, HoursSupply) {
    let supply = HoursSupply {
        who: r.need_word("workforce"),
        period: r.need_word("period"),
        neighbourhood: r.text("neighbourhood"),
        hours: r.need_hours("hours"),
    };
    (r.need_whole("position", "the place of the entry in the list"), supply)
}
