//! What changes between a plan and one kept before.

use crownhold_print::wording::grouped;

use crate::actions::plans::Comparison;

/// Totals before and now, and every block whose option differs.
pub(super) fn text(name: &str, comparison: &Comparison) -> String {
    let mut out = format!("Against the plan kept as \"{name}\":\n");
    for (label, change) in &comparison.totals {
        let sign = if change.by() >= 0.0 { "+" } else { "-" };
        let [before, now, by] = [change.before, change.now, change.by().abs()].map(grouped);
        out += &format!("  {label}: {before} -> {now} ({sign}{by})\n");
    }
    for b in &comparison.blocks {
        out += &format!("  {}: {} -> {}\n", b.block, b.before, b.now);
    }
    out
}
