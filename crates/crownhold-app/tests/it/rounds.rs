//! Teams and a day's rounds: what is due, who goes, who drops out, what is kept.

use crownhold::types::*;
use crownhold_app::actions::rounds::{RoundsMade, Wanted, gpx, keep, kept, make};
use crownhold_app::actions::teams;
use crownhold_app::trouble::Trouble;
use jiff::civil::{Date, Time, date};

use crate::acts::{BY, act, file, records, refused};

const JUNE: Date = date(2027, 6, 10);

/// A block of one neighbourhood with trees, and another one of it.
fn two_blocks(records: &Records) -> Vec<BlockId> {
    let trees = |b: &&Block| records.trees.iter().filter(|t| t.block.as_ref() == Some(&b.id)).count() > 30;
    let home = records.blocks.iter().find(|b| trees(b)).unwrap().neighbourhood.clone();
    records.blocks.iter().filter(trees).filter(|b| b.neighbourhood == home).take(2).map(|b| b.id.clone()).collect()
}

fn wanted(without: &[&str]) -> Wanted {
    let without = without.iter().map(|t| (*t).to_owned()).collect();
    Wanted { date: JUNE, work: RoundWork::Serve, without, seed: 1 }
}

fn made(records: &Records, wanted: &Wanted) -> Result<RoundsMade, Trouble> {
    make(records, &two_blocks(records), None, wanted, &mut |_| true)
}

fn code(result: Result<RoundsMade, Trouble>) -> &'static str {
    result.err().unwrap().problems[0].code
}

#[test]
fn teams_come_change_and_go() {
    let (_dir, path) = file();
    let start = records(&path).teams;
    let pair = Team { name: " Night shift ".into(), ..start[0].clone() };
    let (done, after) = act(&path, |p| teams::put(p, &pair, BY));
    assert_eq!((done.what.as_str(), after.teams.len()), ("team Night shift added", start.len() + 1));
    let three = Team { name: "night shift".into(), people: 3, ..pair.clone() };
    let (done, after) = act(&path, |p| teams::put(p, &three, BY));
    assert_eq!((done.what.as_str(), after.teams.len()), ("team night shift changed", start.len() + 1));
    let wrong = Team { people: 0, starts: Some("Q99".into()), ..pair };
    assert_eq!(refused(&path, |p| teams::put(p, &wrong, BY)), ["R-001", "R-001"]);
    let (_, after) = act(&path, |p| teams::remove(p, "NIGHT SHIFT", BY));
    assert_eq!(after.teams, start);
    assert_eq!(refused(&path, |p| teams::remove(p, "Night shift", BY)), ["R-002"]);
}

/// Every tree that is due is on one round or left with a reason; rounds are kept, made again when a team drops out, and
/// those of the day before give way.
#[test]
fn a_team_drops_out() {
    let (_dir, path) = file();
    let before = records(&path);
    let first = made(&before, &wanted(&[])).unwrap();
    let due: usize = first.due.iter().map(|b| b.trees.len()).sum();
    assert!(due > 20 && first.trees() == due && first.changed_hands.is_none(), "{first:?}");
    let (done, after) = act(&path, |p| keep(p, &first, BY));
    assert!(done.what.starts_with("rounds of 2027-06-10 kept, serve bands"), "{}", done.what);
    assert!(after.plan_alike(&before), "rounds leave a plan as it is");
    let gone = first.day.rounds[0].team.clone();
    let again = made(&after, &wanted(&[&gone.to_uppercase()])).unwrap();
    assert!(again.day.rounds.iter().all(|r| r.team != gone) && again.changed_hands.unwrap() > 0);
    assert_eq!(again.trees() + again.day.left.len(), due);
    keep(&path, &again, BY).unwrap();
    let now = records(&path);
    assert_eq!(kept(&now, JUNE, RoundWork::Serve).len(), again.day.rounds.len());
    let files = gpx(&kept(&now, JUNE, RoundWork::Serve), &now).unwrap();
    let stops: usize = files.iter().map(|(_, text)| String::from_utf8_lossy(text).matches("<wpt").count()).sum();
    assert_eq!((files.len(), stops), (again.day.rounds.len(), again.trees()));
}

#[test]
fn what_cannot_be_done_is_said() {
    let (_dir, path) = file();
    let records = records(&path);
    assert_eq!(code(made(&records, &wanted(&["Nobody"]))), "R-002");
    let everybody: Vec<&str> = records.teams.iter().map(|t| t.name.as_str()).collect();
    assert_eq!(code(made(&records, &wanted(&everybody))), "R-003");
    assert_eq!(code(make(&records, &[], None, &wanted(&[]), &mut |_| true)), "R-004");
    let all: Vec<BlockId> = records.blocks.iter().map(|b| b.id.clone()).collect();
    assert_eq!(code(make(&records, &all, None, &wanted(&[]), &mut |_| true)), "R-005");
    // One person for a quarter of an hour: what is left is left with its reason.
    let mut few = records.clone();
    few.teams.truncate(1);
    few.teams[0] = Team { people: 1, to: few.teams[0].from, neighbourhood: None, ..few.teams[0].clone() };
    few.teams[0].from = Time::constant(15, 59, 0, 0);
    few.teams[0].to = Time::constant(16, 20, 0, 0);
    few.teams[0].starts = None;
    few.teams[0].ends = None;
    let short = made(&few, &wanted(&[])).unwrap();
    assert!((1..8).contains(&short.trees()) && !short.day.left.is_empty());
    assert!(short.notices().iter().any(|n| n.what.contains("no time")), "{:?}", short.notices());
    // Nobody may scrape on a ladder but crews trained for it, and nothing before the count is closed.
    let mut open = records.clone();
    open.blocks.iter_mut().for_each(|b| b.survey_closed = None);
    let scrape = |work| Wanted { work, date: date(2027, 2, 1), ..wanted(&[]) };
    assert_eq!(code(made(&open, &scrape(RoundWork::Scrape))), "R-004");
    open.blocks.iter_mut().for_each(|b| b.survey_closed = Some(date(2027, 1, 5)));
    let high = made(&open, &scrape(RoundWork::ScrapeHigh)).unwrap();
    assert!(high.day.rounds.iter().all(|r| r.team.starts_with("City crew")));
}

/// Served yesterday, and every third day is enough: not today, with the reason.
#[test]
fn a_block_that_was_just_served_rests() {
    let (_dir, path) = file();
    let mut records = records(&path);
    records.parameters.set("rounds.daily", Value::Number(1.0), "never daily");
    let blocks = two_blocks(&records);
    let visit = |day: Date, large: u32| BandVisit {
        id: LogId::new(day.to_string()),
        date: day,
        block: blocks[0].clone(),
        tree: None,
        work: BandWork::Look,
        bands: 10,
        found: Catch { large, ..Catch::default() },
        hours: None,
        who: String::new(),
        place: None,
        note: String::new(),
    };
    let setting = crownhold::Setting { today: JUNE, ..crate::plans::setting() };
    let timing = crownhold_app::actions::chain::dates(&records, &setting).unwrap();
    let due = |records: &Records, day: Date| {
        let on = crownhold::Setting { today: day, ..setting };
        crownhold::field::rounds::due(records, &blocks, RoundWork::Serve, Some(&timing), &on)
    };
    assert!(due(&records, JUNE)[0].because.contains("every 3 days") && !due(&records, JUNE)[0].trees.is_empty());
    records.log.bands = vec![visit(date(2027, 6, 9), 50)];
    let rests = &due(&records, JUNE)[0];
    assert!(rests.trees.is_empty() && rests.because.contains("Last looked at on 2027-06-09"), "{}", rests.because);
    assert!(!due(&records, date(2027, 6, 12))[0].trees.is_empty());
    // Full bands are served every day whatever the season says; before anything hides, none are.
    records.log.bands = vec![visit(date(2027, 6, 9), 500)];
    assert!(due(&records, JUNE)[0].because.contains("full") && !due(&records, JUNE)[0].trees.is_empty());
    assert!(due(&records, date(2027, 4, 20))[1].because.contains("not worth a round"));
}
