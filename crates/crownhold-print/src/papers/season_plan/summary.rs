//! First page: key figures, totals by option, and what limits the plan.

use serde_json::{Value, json};

use super::inputs::{BlockRow, SeasonPlanInputs};
use crate::numbers::{class_id, classes};
use crate::wording::{grouped, number};

/// The figures that stand large on the first page: number id and caption.
pub fn tiles() -> Value {
    json!([
        ["P-sprayed", "sprayed from the air, repeats counted"],
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
                "id": class_id(&style.code),
            })
        })
        .collect();
    json!({ "lines": lines, "blocks": grouped(rows.len() as f64), "area": inputs.wording().area_unit() })
}

/// What keeps the plan from being better.
pub fn binding(inputs: &SeasonPlanInputs<'_>) -> Value {
    inputs
        .plan
        .binding
        .iter()
        .map(|b| json!({ "limit": b.limit, "used": number(b.used), "available": number(b.available), "unit": b.unit }))
        .collect()
}
