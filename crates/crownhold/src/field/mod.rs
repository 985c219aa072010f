//! Who does what, where, in which week; and what was done.
//!
//! Work orders are the plan seen by the people who carry it out; the caution that belongs to an act stands
//! on its order.

pub mod aerial;
pub(crate) use aerial::defaults::DEFAULTS;
mod agenda;
pub mod crews;
mod mailing;
mod notices;
mod orders;
mod residents;
pub mod rounds;

pub use agenda::{Task, TaskKind, agenda};
pub use mailing::{Told, notice_reach, within_reach};
pub use notices::{NoticeDue, notices_due};
pub use orders::{caution, flown_blocks, notices_by, window_of, work_orders};
pub use residents::{Advice, advice};

pub use crate::types::Log;

use jiff::civil::Date;

use crate::types::{BlockId, Hours, Tactic};

/// One piece of work in one block.
#[derive(Clone, Debug, PartialEq)]
pub struct WorkOrder {
    /// Block.
    pub block: BlockId,
    /// Tactic.
    pub tactic: Tactic,
    /// Be ready by this day: the window opens earlier in one season of ten.
    pub ready: Option<Date>,
    /// Day on which it most likely opens.
    pub from: Option<Date>,
    /// Day on which it most likely closes.
    pub to: Option<Date>,
    /// For flights: last day for the notices, counted back from the early edge.
    pub notices_by: Option<Date>,
    /// Hours planned.
    pub hours: Hours,
    /// The caution that belongs to the act.
    pub caution: &'static str,
}

/// All work of the season, by date.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct WorkOrders {
    /// Orders.
    pub orders: Vec<WorkOrder>,
}
