//! Rounds: which trees are due on a day, and who goes to them in which order.
//!
//! | module | answers |
//! |---|---|
//! | `network` | how long is the way from place to place, along streets or straight |
//! | `due` | which trees of which blocks are due on this day, and why others are not |
//! | `day` | trees, teams and ways of a day as a task; routes back to rounds |
//! | `task` | stops, workers, ways: what a search gets and gives |
//! | `search` | short routes that keep hours, loads and rules |
//! | `roster` | what is wrong with a team |
//! | `check` | does a set of routes keep them? Shares nothing with the search |
//!
//! Invariant: a round keeps every hour, load and rule of its task; a tree that nobody gets to is listed, with the reason.

mod check;
mod day;
mod defaults;
mod due;
mod network;
mod roster;
mod search;
mod task;
#[cfg(test)]
mod tests;

pub use check::{Fault, Walked, faults, walk};
pub use day::{DayRounds, DayTask, LeftTree, MOST_TREES, Why, day_task};
pub(crate) use defaults::DEFAULTS;
pub use due::{BlockDue, Cadence, cadence, due};
pub use roster::team_problems;
pub use search::{Effort, search};
pub use task::{Routes, Stop, Task, Travel, Worker};
