//! Hours by period and place, and the work by date.

use std::collections::BTreeMap;

use crownhold::field::WorkOrder;
use crownhold::types::{Hours, Tactic};
use jiff::civil::Date;
use serde_json::{Value, json};

use super::inputs::SeasonPlanInputs;
use crate::numbers::{hours_id, place_of};
use crate::wording::{Wording, hours as hour_text, percent};

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
                "place": place_of(h),
                "id": hours_id(h), "code_id": hours_id(h),
                "share": percent(share), // Finer than this nothing is seen, and a kept plan's rounded figures print the same bytes.
                "bar": (share.clamp(0.0, 1.0) * 1e3).round() / 1e3, "full": share > 0.995,
            })
        })
        .collect()
}

/// Orders of one act in one span of days: ready, from, to, notices, act, caution.
type Batch = (Option<Date>, Option<Date>, Option<Date>, Option<Date>, Tactic, &'static str);

/// The work by date: orders that share act and days stand in one line.
pub fn work(inputs: &SeasonPlanInputs<'_>, issued: Date) -> Value {
    let mut batches: BTreeMap<Batch, Vec<&WorkOrder>> = BTreeMap::new();
    for o in &inputs.orders.orders {
        batches.entry((o.ready, o.from, o.to, o.notices_by, o.tactic, o.caution)).or_default().push(o);
    }
    batches.into_iter().map(|(batch, orders)| line(inputs.wording(), issued, batch, &orders)).collect()
}

fn line(w: Wording, issued: Date, batch: Batch, orders: &[&WorkOrder]) -> Value {
    let (ready, from, to, notices_by, tactic, caution) = batch;
    let total: Hours = orders.iter().map(|o| o.hours).sum();
    let mut blocks: Vec<&str> = orders.iter().map(|o| o.block.as_str()).collect();
    blocks.sort_unstable();
    blocks.dedup();
    json!({
        "tactic": tactic.word(),
        "ready": ready.map_or_else(|| "–".to_owned(), |d| w.day(d)),
        "likely": likely(w, from, to),
        "notices": notices_by.map(|d| notices(w, issued, d)),
        "blocks": blocks.join(", "),
        "count": blocks.len(),
        "hours": if total > Hours::ZERO { hour_text(total) } else { "–".to_owned() },
        "caution": caution,
    })
}

/// The likely days; never a span that runs backwards.
fn likely(w: Wording, from: Option<Date>, to: Option<Date>) -> String {
    match (from, to) {
        (Some(a), Some(b)) if a < b => format!("{} – {}", w.day(a), w.day(b)),
        (Some(a), _) => w.day(a),
        (None, _) => "no window this year".to_owned(),
    }
}

/// The last day for notices, or that it is past.
fn notices(w: Wording, issued: Date, by: Date) -> String {
    if by < issued { format!("now: {} is past", w.day(by)) } else { w.day(by) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crownhold::types::UnitSystem;
    use jiff::civil::date;

    #[test]
    fn days_never_run_backwards() {
        let w = Wording::new(UnitSystem::Us);
        let (early, late) = (Some(date(2027, 5, 18)), Some(date(2027, 5, 27)));
        assert_eq!(likely(w, early, late), "May 18 – May 27");
        assert_eq!((likely(w, late, early), likely(w, early, early)), ("May 27".into(), "May 18".into()));
        assert_eq!((likely(w, early, None), likely(w, None, late)), ("May 18".into(), "no window this year".into()));
    }

    #[test]
    fn late_notices_are_said_to_be_late() {
        let w = Wording::new(UnitSystem::Us);
        let by = date(2027, 4, 20);
        assert_eq!(notices(w, by, by), "Apr 20");
        assert_eq!(notices(w, date(2027, 4, 21), by), "now: Apr 20 is past");
    }
}
