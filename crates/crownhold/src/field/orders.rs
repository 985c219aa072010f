//! From a plan to dated work.

use std::collections::BTreeSet;

use jiff::ToSpan;
use jiff::civil::Date;

use super::{WorkOrder, WorkOrders};
use crate::plan::Plan;
use crate::tactics::Options;
use crate::timing::{Timing, Window, WindowKind};
use crate::types::{BlockId, Period, Tactic};

/// The work a plan asks for, by date. `notice_days` is how long before a flight its notices go out.
pub fn work_orders(plan: &Plan, options: &Options, timing: &Timing, notice_days: i64) -> WorkOrders {
    let mut orders = Vec::new();
    for (chosen, block) in plan.blocks.iter().zip(&options.blocks) {
        let option = &block.options[chosen.option];
        for tactic in chosen.bundle.tactics() {
            let window = timing.window(window_of(*tactic));
            let hours = option.labour.iter().filter(|l| l.period == period_of(*tactic)).map(|l| l.hours).sum();
            orders.push(WorkOrder {
                block: chosen.block.clone(),
                tactic: *tactic,
                ready: window.and_then(|w| w.opens_among_those_that_do(0.1)),
                from: window.and_then(|w| w.opens_among_those_that_do(0.5)),
                to: window.and_then(|w| w.closes_among_those_that_do(0.5)),
                notices_by: window.filter(|_| tactic.is_aerial()).and_then(|w| notices_by(w, notice_days)),
                hours,
                caution: caution(*tactic),
            });
        }
    }
    orders.sort_by(|a, b| (a.from, a.tactic, &a.block).cmp(&(b.from, b.tactic, &b.block)));
    WorkOrders { orders }
}

/// The last day for notices of work in a window: counted back from its early edge, not from its middle.
pub fn notices_by(window: &Window, notice_days: i64) -> Option<Date> {
    window.opens_among_those_that_do(0.1)?.checked_sub(notice_days.days()).ok()
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

fn period_of(tactic: Tactic) -> Period {
    match tactic {
        Tactic::Scraping => Period::Winter,
        Tactic::GroundBtk | Tactic::AerialOnce | Tactic::AerialTwice => Period::Spring,
        Tactic::Bands => Period::Summer,
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

/// Blocks that are flown, each once, in order.
pub fn flown_blocks(orders: &[WorkOrder]) -> Vec<BlockId> {
    let all: BTreeSet<&BlockId> = orders.iter().filter(|o| o.tactic.is_aerial()).map(|o| &o.block).collect();
    all.into_iter().cloned().collect()
}
