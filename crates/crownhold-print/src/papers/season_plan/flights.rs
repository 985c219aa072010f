//! What is flown together, and the plan in seasons that go wrong.

use crownhold::field::aerial::spray_blocks;
use crownhold::types::Area;
use geo::Area as _;
use serde_json::{Value, json};

use super::inputs::{SeasonPlanInputs, StressRow};
use crate::wording::grouped;

/// Spray blocks, the warmest ground first.
pub fn rows(inputs: &SeasonPlanInputs<'_>) -> Value {
    let w = inputs.wording();
    spray_blocks(inputs.plan, inputs.records)
        .into_iter()
        .map(|s| {
            let blocks: Vec<&str> = s.blocks.iter().map(crownhold::types::BlockId::as_str).collect();
            json!({
                "id": s.id,
                "blocks": blocks.join(", "),
                "flights": s.flights,
                "area": w.bare_area(Area::square_metres(s.shape.unsigned_area())),
                "off": w.bare_area(Area::square_metres(s.kept_off.unsigned_area())),
            })
        })
        .collect()
}

/// Seasons that go wrong; nothing where they were not tried.
pub fn stress(inputs: &SeasonPlanInputs<'_>) -> Value {
    let Some(table) = inputs.stress else { return Value::Null };
    let row = |r: &StressRow| json!([r.happens, r.mean, r.more, r.worst_tenth, r.undone]);
    json!({
        "lead": format!(
            "Favoured-tree canopy that loses more leaf than tolerated, on {} draws the plan was not made on; {} if nothing were done. Each \
             season goes wrong in one way only; how far is a parameter. ± is the error of the simulation only.",
            grouped(table.draws as f64),
            inputs.wording().area(table.untreated)
        ),
        "rows": table.rows.iter().map(row).collect::<Vec<_>>(),
    })
}
