//! What the season needs next.

use crownhold::field::{Task, TaskKind, WorkOrder, WorkOrders, agenda, caution};
use crownhold::pellwood::pellwood;
use crownhold::types::{BlockId, Hours, Tactic};
use jiff::civil::date;

fn kinds(tasks: &[Task]) -> Vec<TaskKind> {
    tasks.iter().map(|t| t.kind).collect()
}

#[test]
fn a_bare_programme_wants_weather_first() {
    let mut records = pellwood(1, 2027);
    records.weather.clear();
    let tasks = agenda(&records, None, None, date(2026, 11, 25));
    assert_eq!(tasks[0].kind, TaskKind::BringWeather);
    assert!(kinds(&tasks).contains(&TaskKind::MakePlan));
}

#[test]
fn uncounted_plots_are_asked_for() {
    let mut records = pellwood(1, 2027);
    let gone = records.visits.remove(0).plot;
    records.visits.retain(|v| v.plot != gone);
    let before = agenda(&records, None, None, date(2026, 11, 25));
    assert!(before.iter().any(|t| matches!(t.kind, TaskKind::Count { plots } if plots >= 1)));
}

#[test]
fn orders_become_one_task_with_the_early_edge_and_the_caution() {
    let order = |block: &str, to| WorkOrder {
        block: BlockId::new(block),
        tactic: Tactic::AerialOnce,
        ready: Some(date(2027, 5, 8)),
        from: Some(date(2027, 5, 14)),
        to: Some(to),
        notices_by: Some(date(2027, 4, 24)),
        hours: Hours::hours(2.0),
        caution: caution(Tactic::AerialOnce),
    };
    let orders = WorkOrders { orders: vec![order("A1", date(2027, 5, 22)), order("A2", date(2027, 5, 24))] };
    let records = pellwood(1, 2027);
    let tasks = agenda(&records, None, Some(&orders), date(2027, 4, 1));
    let flight = tasks.iter().find(|t| t.kind == TaskKind::Work(Tactic::AerialOnce)).unwrap();
    assert_eq!((flight.from, flight.by, flight.blocks), (Some(date(2027, 5, 8)), Some(date(2027, 5, 24)), 2));
    assert!(flight.caution.contains("label"));
    // Notices stay owed after their day, flights do not.
    let late = kinds(&agenda(&records, None, Some(&orders), date(2027, 6, 1)));
    assert!(late.contains(&TaskKind::SendNotices) && !late.contains(&TaskKind::Work(Tactic::AerialOnce)));
}
