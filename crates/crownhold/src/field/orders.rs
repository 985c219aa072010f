//! From a plan to dated work.

use super::{WorkOrder, WorkOrders};
use crate::plan::Plan;
use crate::tactics::Options;
use crate::timing::{Timing, WindowKind, date_quantile};
use crate::types::{Hours, Period, Tactic};

/// The work a plan asks for, by date. A window's inner days are given: open with 90 % chance, still open with 90 %.
pub fn work_orders(plan: &Plan, options: &Options, timing: &Timing) -> WorkOrders {
    let mut orders = Vec::new();
    for (chosen, block) in plan.blocks.iter().zip(&options.blocks) {
        let option = &block.options[chosen.option];
        for tactic in chosen.bundle.tactics() {
            let window = timing.window(window_of(*tactic));
            let hours = option.labour.iter().filter(|l| Some(l.period) == period_of(*tactic)).map(|l| l.hours).sum();
            orders.push(WorkOrder {
                block: chosen.block.clone(),
                tactic: *tactic,
                from: window.and_then(|w| date_quantile(&w.opens, 0.9)),
                to: window.and_then(|w| date_quantile(&w.closes, 0.1)),
                hours: if period_of(*tactic).is_some() { hours } else { Hours::ZERO },
                caution: caution(*tactic),
            });
        }
    }
    orders.sort_by(|a, b| (a.from, a.tactic, &a.block).cmp(&(b.from, b.tactic, &b.block)));
    WorkOrders { orders }
}

/// The window a tactic is done in.
pub fn window_of(tactic: Tactic) -> WindowKind {
    match tactic {
        Tactic::Scraping => WindowKind::Scraping,
        Tactic::Bands => WindowKind::Bands,
        Tactic::GroundBtk => WindowKind::GroundBtk,
        Tactic::AerialOnce | Tactic::AerialTwice => WindowKind::AerialBtk,
    }
}

fn period_of(tactic: Tactic) -> Option<Period> {
    match tactic {
        Tactic::Scraping => Some(Period::Winter),
        Tactic::GroundBtk => Some(Period::Spring),
        Tactic::Bands => Some(Period::Summer),
        _ => None,
    }
}

/// What to mind while doing it.
pub fn caution(tactic: Tactic) -> &'static str {
    match tactic {
        Tactic::Scraping => {
            "Hairs in the egg masses cause rashes and can trigger asthma: gloves and eye protection, nothing by bare hand. No ladders for volunteers; keep off the roadway. Scrape only where the count is closed."
        }
        Tactic::Bands => {
            "Hairs of the larvae cause rashes and can trigger asthma: gloves and eye protection, nothing by bare hand. Mind traffic and heat; drink water."
        }
        Tactic::GroundBtk | Tactic::AerialOnce | Tactic::AerialTwice => {
            "The product label is the law. Licensed applicators only; state and local rules prevail. Notices must have gone out. Keep off water and no-spray areas; tell beekeepers. Stay off treated ground until the label's re-entry time is over."
        }
    }
}
