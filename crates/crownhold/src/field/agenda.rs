//! What the season needs next, from what is known and what is still missing.

use std::collections::BTreeSet;

use jiff::civil::Date;

use super::{WorkOrder, WorkOrders, caution};
use crate::timing::{Event, Timing, WindowKind, date_quantile};
use crate::types::{Consent, Hours, PlotId, Records, Tactic};

/// A thing to do.
#[derive(Clone, Debug, PartialEq)]
pub struct Task {
    /// What.
    pub kind: TaskKind,
    /// Be ready by, or begin on, this day; `None`: at once.
    pub from: Option<Date>,
    /// Be done by this day, where there is one.
    pub by: Option<Date>,
    /// In how many blocks; 0 where blocks do not matter.
    pub blocks: usize,
    /// Hours planned; zero where none are.
    pub hours: Hours,
    /// The caution that belongs to the act; empty where none does.
    pub caution: &'static str,
}

/// What there is to do.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum TaskKind {
    /// There is no weather to work dates out from.
    BringWeather,
    /// Plots without a count.
    Count {
        /// How many.
        plots: usize,
    },
    /// Counted blocks whose count is not closed: nothing is scraped there before.
    CloseCount,
    /// Owners have not answered.
    AskConsent,
    /// There is no plan yet.
    MakePlan,
    /// Send the notices of the flights.
    SendNotices,
    /// Do what the plan says.
    Work(Tactic),
    /// Rate how bare the crowns are, when feeding is over.
    RateCrowns,
    /// The egg-mass survey for the year after.
    NextSurvey,
}

impl Task {
    /// Could it be done on this day?
    pub fn is_open(&self, today: Date) -> bool {
        self.from.is_none_or(|d| d <= today) && self.by.is_none_or(|d| d >= today)
    }
    /// Has its day gone by?
    pub fn is_late(&self, today: Date) -> bool {
        self.by.is_some_and(|d| d < today)
    }
    fn plain(kind: TaskKind, from: Option<Date>, by: Option<Date>, blocks: usize) -> Self {
        Self { kind, from, by, blocks, hours: Hours::hours(0.0), caution: "" }
    }
}

/// Everything still to do, by date; work of the plan once it is there, one task per tactic.
///
/// Deadlines are the early edges of the windows (one season in ten is earlier), never their middles. Work whose
/// window has closed by `today` is left out: it can no longer be done.
pub fn agenda(records: &Records, timing: Option<&Timing>, orders: Option<&WorkOrders>, today: Date) -> Vec<Task> {
    let mut tasks = before_the_plan(records, timing, orders.is_some());
    for tactic in Tactic::ALL {
        tasks.extend(orders.and_then(|o| work(&o.orders, *tactic)));
    }
    tasks.extend(orders.and_then(|o| notices(&o.orders)));
    tasks.extend(timing.into_iter().flat_map(after_the_work));
    tasks.retain(|t| !t.is_late(today) || is_owed(t.kind));
    tasks.sort_by_key(|t| {
        (!t.is_open(today) && !t.is_late(today), t.from.max(t.by.filter(|_| t.from.is_none())), t.kind)
    });
    tasks
}

/// Does it stay to be done after its day?
fn is_owed(kind: TaskKind) -> bool {
    !matches!(kind, TaskKind::Work(_) | TaskKind::RateCrowns | TaskKind::NextSurvey)
}

fn before_the_plan(records: &Records, timing: Option<&Timing>, planned: bool) -> Vec<Task> {
    let early = |kind| timing?.window(kind)?.opens_among_those_that_do(0.1);
    let flying = early(WindowKind::AerialBtk);
    let mut tasks = Vec::new();
    if timing.is_none() {
        tasks.push(Task::plain(TaskKind::BringWeather, None, None, 0));
    }
    let counted: BTreeSet<&PlotId> = records.visits.iter().filter(|v| !v.counts.is_empty()).map(|v| &v.plot).collect();
    let waiting: Vec<_> = records.plots.iter().filter(|p| !counted.contains(&p.id)).collect();
    if !waiting.is_empty() {
        let blocks: BTreeSet<_> = waiting.iter().map(|p| &p.block).collect();
        tasks.push(Task::plain(TaskKind::Count { plots: waiting.len() }, None, None, blocks.len()));
    }
    let seen: BTreeSet<_> = records.plots.iter().filter(|p| counted.contains(&p.id)).map(|p| &p.block).collect();
    let open = records.blocks.iter().filter(|b| b.survey_closed.is_none() && seen.contains(&b.id)).count();
    if open > 0 {
        tasks.push(Task::plain(TaskKind::CloseCount, None, None, open));
    }
    let pending = records.blocks.iter().filter(|b| b.consent == Consent::Pending).count();
    if pending > 0 {
        tasks.push(Task::plain(TaskKind::AskConsent, None, flying, pending));
    }
    if !planned && !records.blocks.is_empty() {
        tasks.push(Task::plain(TaskKind::MakePlan, None, None, 0));
    }
    tasks
}

/// All orders of one tactic as one task: ready by the early edge, over when the last window closes.
fn work(orders: &[WorkOrder], tactic: Tactic) -> Option<Task> {
    let of_it: Vec<&WorkOrder> = orders.iter().filter(|o| o.tactic == tactic).collect();
    let first = of_it.first()?;
    Some(Task {
        kind: TaskKind::Work(tactic),
        from: first.ready,
        by: of_it.iter().filter_map(|o| o.to).max(),
        blocks: of_it.len(),
        hours: of_it.iter().map(|o| o.hours).sum(),
        caution: caution(tactic),
    })
}

fn notices(orders: &[WorkOrder]) -> Option<Task> {
    let flights: Vec<&WorkOrder> = orders.iter().filter(|o| o.notices_by.is_some()).collect();
    let by = flights.iter().filter_map(|o| o.notices_by).min()?;
    Some(Task::plain(TaskKind::SendNotices, None, Some(by), flights.len()))
}

/// What comes when the larvae are done.
fn after_the_work(timing: &Timing) -> Vec<Task> {
    let feeding_over = timing.event(Event::Pupae).and_then(|e| date_quantile(&e.dates, 0.5));
    let moths_gone = timing.event(Event::LayingOver).and_then(|e| date_quantile(&e.dates, 0.5));
    let rate = feeding_over.map(|from| Task::plain(TaskKind::RateCrowns, Some(from), moths_gone, 0));
    let survey = timing.window(WindowKind::Survey).map(|w| {
        let (from, by) = (w.opens_among_those_that_do(0.5), w.closes_among_those_that_do(0.5));
        Task::plain(TaskKind::NextSurvey, from, by, 0)
    });
    rate.into_iter().chain(survey).collect()
}
