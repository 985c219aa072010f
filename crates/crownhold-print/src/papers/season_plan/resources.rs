//! Hours by period and place, and the work by date.

use std::collections::BTreeMap;

use crownhold::field::WorkOrder;
use crownhold::types::{Hours, Tactic};
use jiff::civil::Date;
use serde_json::{Value, json};

use super::inputs::SeasonPlanInputs;
use crate::numbers::hours_id;
use crate::wording::{hours as hour_text, percent};

/// Hours used and available; an entry with nothing left is marked.
pub fn hours(inputs: &SeasonPlanInputs<'_>) -> Value {
    inputs
        .plan
        .hours
        .iter()
        .map(|h| {
            let share = if h.available.as_hours() > 0.0 { h.used / h.available } else { 0.0 };
            json!({
                "who": h.who.word(), "period": h.period.word(),
                "place": h.neighbourhood.as_deref().unwrap_or("anywhere"),
                "id": hours_id(h),
                "share": percent(share), "bar": share.clamp(0.0, 1.0), "full": share > 0.995,
            })
        })
        .collect()
}

/// Orders of one act in one span of days.
type Batch = (Option<Date>, Option<Date>, Tactic, &'static str);

/// The work by date: orders that share act and days stand in one line.
pub fn work(inputs: &SeasonPlanInputs<'_>) -> Value {
    let mut batches: BTreeMap<Batch, Vec<&WorkOrder>> = BTreeMap::new();
    for order in &inputs.orders.orders {
        batches.entry((order.from, order.to, order.tactic, order.caution)).or_default().push(order);
    }
    let w = inputs.wording();
    let day = |d: Option<Date>| d.map_or_else(|| "–".to_owned(), |d| w.day(d));
    batches
        .into_iter()
        .map(|((from, to, tactic, caution), orders)| {
            let total: Hours = orders.iter().map(|o| o.hours).sum();
            let mut blocks: Vec<&str> = orders.iter().map(|o| o.block.as_str()).collect();
            blocks.sort_unstable();
            blocks.dedup();
            json!({
                "tactic": tactic.word(), "from": day(from), "to": day(to),
                "blocks": blocks.join(", "), "count": blocks.len(), "hours": if total > Hours::ZERO { hour_text(total) } else { "–".to_owned() }, "caution": caution,
            })
        })
        .collect()
}
