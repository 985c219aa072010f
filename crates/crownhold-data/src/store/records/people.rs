//! The people of the programme.

use crownhold::types::Person;

use super::super::row::{Snapshot, Table};
use super::reader::Reader;

pub(super) const PEOPLE: Table =
    Table { name: "people", key: &["name"], columns: &["name", "role", "reach", "note"], is_layer: false };

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
