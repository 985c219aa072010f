//! Parameters and the species table.
//!
//! The file holds the programme's own values in `parameters`; taking a row away there restores the
//! default. The defaults themselves come from the program; `parameter_defaults` shows them to whoever opens the
//! file in a GIS and is never read back.

use crownhold::types::{Parameter, Parameters, Problem, SpeciesRule, Value};

use super::super::row::{Cell, Snapshot, Table};
use super::all;
use super::reader::Reader;

pub(super) const PARAMETERS: Table = Table {
    name: "parameters",
    key: &["name"],
    columns: &["name", "form", "a", "b", "c", "unit", "source"],
    is_layer: false,
};

/// For information only.
pub(crate) const DEFAULTS: Table = Table {
    name: "parameter_defaults",
    key: &["name"],
    columns: &["name", "form", "a", "b", "c", "unit", "meaning", "source", "known"],
    is_layer: false,
};

/// The rows of `parameter_defaults`.
pub(crate) fn defaults() -> Snapshot {
    let mut rows = Snapshot::default();
    for p in Parameters::defaults().iter() {
        let (form, [a, b, c]) = value_cells(p.value);
        rows.add(
            &DEFAULTS,
            [
                ("name", (&p.name).into()),
                ("form", form.into()),
                ("a", a),
                ("b", b),
                ("c", c),
                ("unit", (&p.unit).into()),
                ("meaning", (&p.meaning).into()),
                ("source", (&p.source).into()),
                ("known", p.known.word().into()),
            ],
        );
    }
    rows
}

pub(super) fn write_parameters(parameters: &Parameters, rows: &mut Snapshot) {
    parameters.changed().into_iter().for_each(|(own, _)| write_parameter(own, rows));
}

fn write_parameter(own: &Parameter, rows: &mut Snapshot) {
    let (form, [a, b, c]) = value_cells(own.value);
    rows.add(
        &PARAMETERS,
        [
            ("name", (&own.name).into()),
            ("form", form.into()),
            ("a", a),
            ("b", b),
            ("c", c),
            ("unit", (&own.unit).into()),
            ("source", (&own.source).into()),
        ],
    );
}

pub(super) fn read_parameters(rows: &Snapshot, problems: &mut Vec<Problem>) -> Parameters {
    let catalogue = Parameters::defaults();
    let own = all(rows, &PARAMETERS, problems, |r| read_parameter(r, &catalogue));
    let mut parameters = catalogue;
    for (name, value, source) in own.into_iter().flatten() {
        let known = parameters.set(&name, value, &source);
        assert!(known, "read_parameter lets only sound values of the catalogue through");
    }
    parameters
}

fn read_parameter(r: &mut Reader, catalogue: &Parameters) -> Option<(String, Value, String)> {
    let name = r.need_text("name");
    let source = r.text("source").unwrap_or_default();
    let value = value(r);
    let Some(default) = catalogue.get(&name) else {
        let remedy = "a name that stands in the table parameter_defaults";
        r.fault("S-105", "name", format!("there is no parameter \"{name}\"."), remedy);
        return None;
    };
    if let Some(unit) = r.text("unit").filter(|unit| *unit != default.unit) {
        r.fault("S-105", "unit", format!("{name} is given in \"{unit}\"."), &format!("a value in {}", default.unit));
        return None;
    }
    value.map(|value| (name, value, source))
}

pub(super) fn value_cells(value: Value) -> (&'static str, [Cell; 3]) {
    match value {
        Value::Number(a) => ("number", [a.into(), Cell::Null, Cell::Null]),
        Value::Triangular(a, b, c) => ("triangular", [a.into(), b.into(), c.into()]),
        Value::Lognormal(a, b, c) => ("lognormal", [a.into(), b.into(), c.into()]),
        Value::Normal(a, b) => ("normal", [a.into(), b.into(), Cell::Null]),
    }
}

/// The value of a row, if it is a sound one.
pub(super) fn value(r: &mut Reader) -> Option<Value> {
    let form = r.need_text("form");
    let [a, b, c] = ["a", "b", "c"].map(|column| r.number(column, f64::MIN, f64::MAX, "a number"));
    let value = match (form.trim().to_lowercase().as_str(), a, b, c) {
        ("number", Some(a), ..) => Some(Value::Number(a)),
        ("triangular", Some(a), Some(b), Some(c)) => Some(Value::Triangular(a, b, c)),
        ("lognormal", Some(a), Some(b), Some(c)) => Some(Value::Lognormal(a, b, c)),
        ("normal", Some(a), Some(b), _) => Some(Value::Normal(a, b)),
        _ => None,
    };
    let sound = value.filter(|v| v.is_sound());
    if sound.is_none() {
        let expected = "number (a); triangular (least a, most likely b, greatest c); lognormal (its 5, 50 and 95 % points \
                        a, b, c, above 0 and in order); normal (mean a, standard deviation b)";
        r.fault("S-105", "form", format!("\"{form}\" and its numbers do not make a value."), expected);
    }
    sound
}

pub(super) const SPECIES: Table = Table {
    name: "species",
    key: &["scientific"],
    columns: &["scientific", "position", "common", "host_class", "source", "known"],
    is_layer: false,
};

/// Between two common names in one cell.
const BETWEEN_NAMES: &str = "; ";

pub(super) fn write_species(species: &[SpeciesRule], rows: &mut Snapshot) {
    for (position, rule) in species.iter().enumerate() {
        rows.add(
            &SPECIES,
            [
                ("scientific", (&rule.scientific).into()),
                ("position", (position + 1).into()),
                ("common", (&rule.common.join(BETWEEN_NAMES)).into()),
                ("host_class", rule.class.word().into()),
                ("source", (&rule.source).into()),
                ("known", rule.known.word().into()),
            ],
        );
    }
}

pub(super) fn read_species(rows: &Snapshot, problems: &mut Vec<Problem>) -> Vec<SpeciesRule> {
    let mut species = all(rows, &SPECIES, problems, read_rule);
    species.sort_by(|(a, x), (b, y)| (a, &x.scientific).cmp(&(b, &y.scientific)));
    species.into_iter().map(|(_, rule)| rule).collect()
}

fn read_rule(r: &mut Reader) -> (i64, SpeciesRule) {
    let common = r.text("common").unwrap_or_default();
    let rule = SpeciesRule {
        scientific: r.need_text("scientific"),
        common: common.split(';').map(|name| name.trim().to_owned()).filter(|name| !name.is_empty()).collect(),
        class: r.need_word("host_class"),
        source: r.text("source").unwrap_or_default(),
        known: r.need_word("known"),
    };
    (r.whole("position", "the place of the rule in the list").unwrap_or(i64::MAX), rule)
}
