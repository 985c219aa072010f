//! First page: key figures, totals by option, and what limits the plan.

use crownhold::plan::Binding;
use serde_json::{Value, json};

use super::inputs::{BlockRow, SeasonPlanInputs};
use crate::numbers::{ALL_PLACES, class_id, classes};
use crate::wording::{grouped, listed, number};

/// The figures that stand large on the first page: number id and caption.
pub fn tiles() -> Value {
    json!([
        ["P-sprayed", "flown, repeats counted"],
        ["P-cost", "cost, crew wages included"],
        ["P-crew-hours", "crew hours"],
        ["P-volunteer-hours", "volunteer hours"],
    ])
}

/// One line per option in use, heaviest first, and the sum.
pub fn totals(inputs: &SeasonPlanInputs<'_>, rows: &[BlockRow<'_>]) -> Value {
    let lines: Vec<Value> = classes(rows)
        .into_iter()
        .map(|(style, members)| {
            json!({
                "code": style.code, "fill": style.fill, "ink": style.ink,
                "name": members[0].plan.bundle.key(),
                "id": class_id(&style.code), "code_id": class_id(&style.code),
            })
        })
        .collect();
    json!({ "lines": lines, "blocks": grouped(rows.len() as f64), "area": inputs.wording().area_unit() })
}

/// Places named in one line of limits; the others are counted, and stand in the table of hours.
const PLACES: usize = 8;

/// What keeps the plan from being better: one sentence per limit, hours of one kind and period together.
pub fn binding(inputs: &SeasonPlanInputs<'_>) -> Value {
    let mut hours: Vec<(String, Vec<(&str, &Binding)>)> = Vec::new();
    let mut lines = Vec::new();
    for b in &inputs.plan.binding {
        match supply(b) {
            Some((kind, place)) => match hours.iter_mut().find(|(k, _)| *k == kind) {
                Some((_, places)) => places.push((place, b)),
                None => hours.push((kind, vec![(place, b)])),
            },
            None => lines.push(format!("{}: {} of {} used", b.limit, amount(b, b.used), amount(b, b.available))),
        }
    }
    lines.extend(hours.iter().map(|(kind, places)| format!("{kind}: {}", by_standing(places))));
    Value::from(lines)
}

/// "$1,200" or "120 acres".
fn amount(b: &Binding, value: f64) -> String {
    if b.unit == "$" { format!("${}", number(value)) } else { format!("{} {}", number(value), b.unit) }
}

/// Kind and period of a supply of hours, and its place: "volunteer hours, winter" and "Alder Row".
fn supply(b: &Binding) -> Option<(String, &str)> {
    let mut parts = b.limit.splitn(3, ", ");
    let (who, period, place) = (parts.next()?, parts.next()?, parts.next()?);
    (b.unit == "hours").then(|| (format!("{who}, {period}"), place))
}

/// "used up in A and B; too few left in C (30 of 40 used); none in D"
fn by_standing(places: &[(&str, &Binding)]) -> String {
    // Hours that are tied to no place are a pool of their own beside those that are.
    let places: Vec<(&str, &Binding)> =
        places.iter().map(|(p, b)| (if *p == ALL_PLACES { POOL } else { *p }, *b)).collect();
    let of = |wanted: fn(&Binding) -> bool, text: fn(&str, &Binding) -> String| -> Vec<String> {
        places.iter().filter(|(_, b)| wanted(b)).map(|(place, b)| text(place, b)).collect()
    };
    let plain = |place: &str, _: &Binding| place.to_owned();
    let groups = [
        ("used up in", of(|b| b.available > 0.0 && b.used >= USED_UP * b.available, plain)),
        (
            "too few left in",
            of(
                |b| b.available > 0.0 && b.used < USED_UP * b.available,
                |place, b| format!("{place} ({} of {} used)", number(b.used), number(b.available)),
            ),
        ),
        ("there are none in", of(|b| b.available <= 0.0, plain)),
    ];
    let said = groups.into_iter().filter(|(_, places)| !places.is_empty());
    said.map(|(lead, places)| format!("{lead} {}", short_list(places))).collect::<Vec<_>>().join("; ")
}

const POOL: &str = "the pool for any neighbourhood";

/// From this share on hours count as used up: what is left is less than any piece of work.
const USED_UP: f64 = 0.99;

fn short_list(mut places: Vec<String>) -> String {
    if places.len() > PLACES {
        let more = places.len() - (PLACES - 1);
        places.truncate(PLACES - 1);
        places.push(format!("{more} more places (see the table of hours)"));
    }
    listed(&places)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn hours(place: &str, used: f64, available: f64) -> Binding {
        Binding { limit: format!("volunteer hours, winter, {place}"), available, used, unit: "hours" }
    }

    #[test]
    fn hours_of_one_period_stand_in_one_line() {
        let all = [
            hours("Alder Row", 60.0, 60.0),
            hours("Dunmore", 31.0, 60.0),
            hours("X, the old", 60.0, 60.0),
            hours("Elm", 0.0, 0.0),
        ];
        let places: Vec<(&str, &Binding)> = all.iter().filter_map(|b| Some((supply(b)?.1, b))).collect();
        assert_eq!(
            by_standing(&places),
            "used up in Alder Row and X, the old; too few left in Dunmore (31 of 60 used); there are none in Elm"
        );
        let everywhere = hours(ALL_PLACES, 1.0, 1.0);
        assert_eq!(supply(&everywhere), Some(("volunteer hours, winter".to_owned(), ALL_PLACES)));
        assert_eq!(by_standing(&[(ALL_PLACES, &everywhere)]), "used up in the pool for any neighbourhood");
        let both = by_standing(&[(ALL_PLACES, &everywhere), places[0]]);
        assert_eq!(both, "used up in the pool for any neighbourhood and Alder Row");
    }

    #[test]
    fn long_lists_are_cut_short() {
        let places: Vec<String> = (1..=10).map(|i| format!("P{i}")).collect();
        assert_eq!(short_list(places), "P1, P2, P3, P4, P5, P6, P7 and 3 more places (see the table of hours)");
    }
}
