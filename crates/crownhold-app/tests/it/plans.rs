//! Plans made with somebody watching, kept, made whole again, compared.

use std::path::Path;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex, OnceLock};

use crownhold::Setting;
use crownhold::pellwood::pellwood;
use crownhold::plan::{Status, check};
use crownhold::types::{Consent, DecisionRule, FixedDecision, NoSprayKind, Records, UnitSystem, Value};
use crownhold_app::actions::chain::{stages, stages_again};
use crownhold_app::actions::plan::{Made, Request, Wishes, fresh_density, limits, make, make_from, make_with};
use crownhold_app::actions::plans;
use crownhold_app::actions::progress::{Phase, Watcher};
use crownhold_app::actions::reserve::reserve;
use crownhold_app::actions::stress::stress;
use crownhold_app::actions::worth::{More, worth};
use crownhold_app::wire::PlanJson;
use crownhold_app::wire::plan::to_plan;
use crownhold_data::store::{ProgrammeFile, StoreError};
use crownhold_plan::Aim;
use crownhold_print::wording::Wording;
use jiff::civil::date;

use crate::commands::{crownhold, text, trouble};

pub const WHEN: &str = "2026-11-25T10:00:00Z";

pub fn setting() -> Setting {
    Setting { today: date(2026, 11, 25), seed: 1, draws: 60 }
}

/// A programme file with the invented city.
pub fn city(dir: &Path) -> std::path::PathBuf {
    let made = crownhold(&["demo", dir.to_str().unwrap(), "--seed", "1", "--season", "2027"]);
    assert!(made.status.success());
    dir.join("pellwood.gpkg")
}

fn usual() -> (Records, Made) {
    let records = pellwood(1, 2027);
    let made = make(&records, &setting(), &Wishes::default()).unwrap();
    (records, made)
}

/// To JSON and back: the same plan, every figure to the sixth decimal, and from there on not a digit is lost.
#[test]
fn a_plan_comes_back_from_its_json() {
    let (records, made) = usual();
    let json = PlanJson::new(&made, &records);
    let read: PlanJson = serde_json::from_str(&serde_json::to_string(&json).unwrap()).unwrap();
    assert!(read == json, "reading the text gives another plan");
    let back = to_plan(&read, &made.stages.options).unwrap();
    let near = |a: f64, b: f64| assert!((a - b).abs() < 0.003, "{a} {b}");
    let (p, q) = (&made.plan, &back);
    assert_eq!((p.status, p.seed, p.draws), (q.status, q.seed, q.draws));
    near(p.cost().as_dollars(), q.cost().as_dollars());
    near(p.risk.out_of_sample.unwrap().as_square_metres(), q.risk.out_of_sample.unwrap().as_square_metres());
    for (a, b) in p.blocks.iter().zip(&q.blocks) {
        assert_eq!((&a.block, a.option, &a.bundle, &a.why), (&b.block, b.option, &b.bundle, &b.why));
        assert_eq!(a.runner_up, b.runner_up);
        near(a.sprayed.as_square_metres(), b.sprayed.as_square_metres());
        near(a.cost.as_dollars(), b.cost.as_dollars());
        near(a.crew_hours.as_hours(), b.crew_hours.as_hours());
        near(a.chance_over, b.chance_over);
    }
    assert_eq!(p.hours.len(), q.hours.len());
    assert_eq!(p.binding.iter().map(|b| (&b.limit, b.unit)).collect::<Vec<_>>(), {
        q.binding.iter().map(|b| (&b.limit, b.unit)).collect::<Vec<_>>()
    });
    let again = Made { plan: back.clone(), ..made.clone() };
    let twice = to_plan(&PlanJson::new(&again, &records), &made.stages.options).unwrap();
    assert!(twice == back, "a second way through the JSON changes something");
    // Of another city it is no plan.
    let mut fewer = made.stages.options.clone();
    fewer.blocks.pop();
    assert_eq!(to_plan(&json, &fewer), None);
}

/// Every figure and the paper itself are the same from the kept plan as from the one that was made.
#[test]
fn papers_and_figures_come_from_a_kept_plan() {
    let dir = tempfile::tempdir().unwrap();
    let file = city(dir.path());
    let file = file.to_str().unwrap();
    let how = ["--on", "2026-11-25", "--draws", "60", "--budget", "90000", "--accepted-chance", "0.2"];
    assert!(crownhold(&[&["plan", file, "--keep", "first"], &how[..]].concat()).status.success());
    let made = text(&crownhold(&[&["explain", file, "list"], &how[..]].concat()));
    let kept = text(&crownhold(&["explain", file, "list", "--plan", "first"]));
    assert!(kept.lines().count() > 1_000);
    assert_eq!(kept, made);
    let paper = |out: &str, args: &[&str]| {
        let out = dir.path().join(out);
        assert!(crownhold(&[&["papers", file, "--out", out.to_str().unwrap()], args].concat()).status.success());
        std::fs::read(out.join("season-plan.pdf")).unwrap()
    };
    assert!(paper("a", &how) == paper("b", &["--plan", "first"]), "the paper of the kept plan is another");
    assert!(trouble(&crownhold(&["explain", file, "list", "--plan", "second"])).contains("A-021"));
    // After a change it says so, and prints all the same.
    assert!(crownhold(&["decide", file, "A01", "--never-fly"]).status.success());
    let later = crownhold(&["explain", file, "P-cost", "--plan", "first"]);
    assert!(later.status.success() && String::from_utf8_lossy(&later.stderr).contains("A-025"));
}

#[test]
fn changes_since_a_plan_are_counted() {
    let dir = tempfile::tempdir().unwrap();
    let path = city(dir.path());
    let (records, made) = usual();
    let json = PlanJson::new(&made, &records);
    let last = ProgrammeFile::open(&path).unwrap().history().unwrap().last().map(|e| e.id);
    plans::keep(&path, "a", &json, last, "tester", WHEN).unwrap();
    plans::keep(&path, "b", &json, None, "tester", WHEN).unwrap();
    let count = |name: &str| {
        let history = ProgrammeFile::open(&path).unwrap().history().unwrap();
        plans::stale(&history, &plans::load(&path, name).unwrap())
    };
    let change = |name: &str| {
        let mut file = ProgrammeFile::open(&path).unwrap();
        let what = |r: &mut Records| {
            r.blocks[0].name = name.to_owned();
            Ok::<_, StoreError>(())
        };
        file.change("tester", WHEN, "renamed", what).unwrap();
    };
    assert_eq!((count("a"), count("b")), (0, 0));
    change("Hill");
    change("Dale");
    assert_eq!((count("a"), count("b")), (2, 2));
    let undo = || ProgrammeFile::open(&path).unwrap().undo("tester", WHEN).unwrap();
    undo();
    assert_eq!((count("a"), count("b")), (1, 1));
    undo();
    assert_eq!(count("a"), 0);
    // Taken back beyond the plan: that is a change.
    undo();
    assert_eq!((count("a"), count("b")), (1, 1));
    assert_eq!(plans::list(&path).unwrap().len(), 2);
    assert_eq!(plans::load_number(&path, 2).unwrap().name, "b");
    assert!(plans::load_number(&path, 9).is_err());
}

#[test]
fn two_plans_are_compared_block_by_block() {
    let (records, made) = usual();
    let dry = make(&records, &setting(), &Wishes { max_sprayed_acres: Some(0.0), ..Wishes::default() }).unwrap();
    let (before, now) = (PlanJson::new(&made, &records), PlanJson::new(&dry, &records));
    let found = plans::compare(&before, &now);
    assert_eq!(found.totals[0].1.now, 0.0);
    let flown: Vec<_> = made.plan.blocks.iter().filter(|b| b.bundle.flies()).map(|b| b.block.to_string()).collect();
    assert!(!flown.is_empty() && flown.iter().all(|id| found.blocks.iter().any(|c| c.block == *id)));
    let one = found.blocks.iter().find(|c| c.block == flown[0]).unwrap();
    assert!(one.sprayed_acres.by() < 0.0 && one.before != one.now);
    assert_eq!(plans::compare(&before, &before).blocks, Vec::new());
}

/// Phases come in their order, each aim in its own; a start and stages at hand change nothing.
#[test]
fn whoever_waits_is_told_where_it_is() {
    let (records, usual) = usual();
    let told = Mutex::new(Vec::new());
    let tell = |phase: Phase| told.lock().unwrap().push(phase);
    let watcher = Watcher { tell: Some(&tell), stop: None };
    let made = make_with(&records, &setting(), &Request { watcher, ..Request::default() }).unwrap();
    assert_eq!(made.plan, usual.plan);
    let rank = |p: &Phase| match p {
        Phase::Counts => 0,
        Phase::OutlookAndOptions => 1,
        Phase::Search(p) => 2 + Aim::ALL.iter().position(|a| *a == p.aim).unwrap(),
        Phase::MeasuringAgain => 5,
    };
    let mut ranks: Vec<usize> = told.into_inner().unwrap().iter().map(rank).collect();
    assert!(ranks.is_sorted(), "{ranks:?}");
    ranks.dedup();
    assert_eq!(ranks, [0, 1, 2, 3, 4, 5]);
    let stages = Arc::new(stages(&records, &setting()).unwrap());
    let fresh = fresh_density(&records, &setting()).unwrap();
    let request = Request { fresh: Some(&OnceLock::from(fresh)), ..Request::default() };
    assert_eq!(make_from(stages, &records, &setting(), &request).unwrap().plan, usual.plan);
}

/// Stopped before the search there is nothing; stopped in it there is a plan, and it says it is not proven.
#[test]
fn a_plan_in_the_making_can_be_stopped() {
    let records = pellwood(1, 2027);
    let stop = AtomicBool::new(true);
    let watcher = Watcher { tell: None, stop: Some(&stop) };
    let refused = make_with(&records, &setting(), &Request { watcher, ..Request::default() });
    assert_eq!(refused.err().unwrap().problems[0].code, "A-023");
    stop.store(false, Ordering::Relaxed);
    let tell = |phase: Phase| {
        if matches!(phase, Phase::Search(p) if p.aim == Aim::Host) {
            stop.store(true, Ordering::Relaxed);
        }
    };
    let wishes = Wishes { gap: Some(0.0), ..Wishes::default() };
    let watcher = Watcher { tell: Some(&tell), stop: Some(&stop) };
    let made = make_with(&records, &setting(), &Request { wishes, watcher, ..Request::default() }).unwrap();
    assert_eq!(made.plan.status, Status::Feasible);
    assert_eq!(crownhold::plan::check(&made.plan, &made.stages.options, &made.limits), Vec::<String>::new());
    assert!(made.plan.risk.out_of_sample.is_some());
}

/// Begun from the plan before a decision, the search ends within the same gap.
#[test]
fn a_plan_can_begin_from_the_one_before() {
    let (mut records, before) = usual();
    let flown = before.plan.blocks.iter().find(|b| b.bundle.flies()).unwrap().block.clone();
    let decision = FixedDecision { block: flown.clone(), rule: DecisionRule::NeverFly, note: String::new() };
    records.decisions.push(decision);
    let stages = Arc::new(stages(&records, &setting()).unwrap());
    let cold = make_from(stages.clone(), &records, &setting(), &Request::default()).unwrap();
    let request = Request { start: Some(&before.plan), ..Request::default() };
    let warm = make_from(stages, &records, &setting(), &request).unwrap();
    assert_eq!(crownhold::plan::check(&warm.plan, &warm.stages.options, &warm.limits), Vec::<String>::new());
    let host = |m: &Made| m.plan.aims.host_beyond_accepted.as_square_metres();
    let apart = (host(&warm) - host(&cold)).abs() / host(&cold).max(1.0);
    assert!(apart <= 2e-3, "{apart}");
    assert_eq!(warm.plan.status, Status::Optimal);
}

/// More of anything never leaves more canopy beyond the accepted chances than the proof leaves open, and the budget stays
/// kept. The same question asked on one thread has the same answer.
#[test]
fn a_little_more_never_hurts() {
    let mut records = pellwood(1, 2027);
    // One neighbourhood and no open consent: each question is a whole plan.
    records.resources.hours.truncate(3);
    records.blocks.iter_mut().for_each(|b| b.consent = Consent::Given);
    records.blocks[0].consent = Consent::Pending;
    let first = records.no_spray.iter().find(|a| a.kind == NoSprayKind::OptOut).unwrap().id.clone();
    records.no_spray.retain(|a| a.id == first);
    let setting = Setting { draws: 30, ..setting() };
    let at_hand = Arc::new(stages(&records, &setting).unwrap());
    let told = Mutex::new(Vec::new());
    let all = worth(&at_hand, &records, &setting, &|n, of| told.lock().unwrap().push((n, of))).unwrap();
    assert_eq!(told.into_inner().unwrap().iter().map(|t| t.0).max(), Some(all.all.len()));
    assert!(all.all.iter().any(|w| w.more == More::Money) && all.all.len() >= 3, "{}", all.all.len());
    let now = all.now.aims.host_beyond_accepted.as_square_metres();
    for w in &all.all {
        let with = w.beyond.as_square_metres();
        assert!(with <= now * (1.0 + 2.0 * w.plan.gap.max(all.now.gap)) + 1.0, "{:?}: {with} above {now}", w.more);
        let extra = if w.more == More::Money { 10_000.0 } else { 0.0 };
        let budget = records.resources.budget.unwrap().as_dollars() + extra;
        assert!(w.plan.cost().as_dollars() <= budget + 0.01, "{:?}", w.more);
    }
    let alone = rayon::ThreadPoolBuilder::new().num_threads(1).build().unwrap();
    let again = alone.install(|| worth(&at_hand, &records, &setting, &|_, _| {})).unwrap();
    assert_eq!(all.all, again.all);
}

/// After a change, what it leaves as it was is taken over; the stages are those worked out from nothing.
#[test]
fn stages_after_a_change_are_those_from_nothing() {
    let before = pellwood(1, 2027);
    let known = stages(&before, &setting()).unwrap();
    let changes: [fn(&mut Records); 5] = [
        |r| {
            r.decisions.push(FixedDecision {
                block: r.blocks[3].id.clone(),
                rule: DecisionRule::NeverFly,
                note: String::new(),
            })
        },
        |r| r.weather[0].days.truncate(400),
        |r| r.visits[0].counts[0].new += 40,
        |r| assert!(r.parameters.set("aerial.kill.once", Value::Number(0.6), "a test")),
        |r| r.blocks[2].consent = Consent::Refused,
    ];
    for (n, change) in changes.into_iter().enumerate() {
        let mut after = before.clone();
        change(&mut after);
        let again = stages_again(&after, &setting(), (&before, &known)).unwrap();
        let anew = stages(&after, &setting()).unwrap();
        assert_eq!((&again.density, &again.outlook), (&anew.density, &anew.outlook), "change {n}");
        assert_eq!((&again.timing, &again.options), (&anew.timing, &anew.options), "change {n}");
    }
}

/// What spring may decide anew: nothing gains harm beyond the error, keeping back flies less, and any number of threads tells
/// the same.
#[test]
fn what_is_kept_back_for_spring() {
    let mut records = pellwood(1, 2027);
    for name in ["reserve.springs", "reserve.foreseen"] {
        records.parameters.set(name, Value::Number(4.0), "a quick test");
    }
    let stages = stages(&records, &setting()).unwrap();
    let told = std::sync::atomic::AtomicUsize::new(0);
    let tell = |n: usize, of: usize| {
        assert!(n <= of);
        told.fetch_max(n, std::sync::atomic::Ordering::Relaxed);
    };
    let test = reserve(&stages, &records, &setting(), &tell).unwrap();
    assert_eq!((test.springs, test.tried.len(), told.into_inner()), (4, 7, 28));
    let [whole, less, least, ..] = &test.tried[..] else { panic!("all ways fit") };
    assert!(whole.plan.sprayed() >= less.plan.sprayed() && less.plan.sprayed() >= least.plan.sprayed());
    for tried in &test.tried {
        let budget = records.resources.budget.unwrap().as_dollars();
        assert!(tried.cost.as_dollars() <= budget + 1.0 && tried.harm.mean.as_square_metres() > 0.0);
    }
    // Promised work is not undone, so with all of it promised and all money gone little is decided otherwise.
    assert!(whole.otherwise <= test.tried[3].otherwise);
    let (at, _, error) = test.best.unwrap();
    assert!(at < 7 && error >= 0.0);
    // Planned for what spring will show, other flights are better than those that are best without looking.
    let foreseen = &test.tried[6];
    assert_ne!(foreseen.plan.blocks, whole.plan.blocks);
    let limits = limits(&records, &Wishes::default());
    assert_eq!(check(&foreseen.plan, &stages.options, &limits), Vec::<String>::new());
    assert!(test.tried.iter().all(|t| t.plan.risk.out_of_sample.is_some()));
    let alone = rayon::ThreadPoolBuilder::new().num_threads(1).build().unwrap();
    let again = alone.install(|| reserve(&stages, &records, &setting(), &|_, _| {})).unwrap();
    assert_eq!(again.lines(Wording::new(UnitSystem::Us)), test.lines(Wording::new(UnitSystem::Us)));
}

/// A season that goes wrong is never better, by more than the simulation tells; fewer hands leave work undone; and a plan
/// judged by the worst season holds chances that are never below those as forecast.
#[test]
fn seasons_that_go_wrong() {
    let records = pellwood(1, 2027);
    let stages = Arc::new(stages(&records, &setting()).unwrap());
    let test = stress(&stages, &records, &setting()).unwrap();
    assert_eq!(test.tried.len(), 4);
    for tried in &test.tried {
        let harm = tried.harm.as_ref().unwrap();
        assert!(harm.more.0 >= -1e-6, "{}: {:?}", tried.happens, harm.more);
        assert!(harm.worst_tenth >= harm.mean && harm.mean <= test.untreated, "{}", tried.happens);
    }
    let named = |word: &str| test.tried.iter().find(|t| t.stress.word() == word).unwrap();
    assert!(!named("few volunteers").undone.is_empty());
    assert!(named("hatch early").harm.as_ref().unwrap().more.0 > named("weak bands").harm.as_ref().unwrap().more.0);
    let request =
        Request { wishes: Wishes { robust: true, gap: Some(0.01), ..Wishes::default() }, ..Request::default() };
    let robust = make_from(Arc::clone(&stages), &records, &setting(), &request).unwrap();
    let options = |made: &Made, b: usize, o: usize| made.stages.options.blocks[b].options[o].chance_over;
    for (b, block) in stages.options.blocks.iter().enumerate() {
        for (o, option) in block.options.iter().enumerate() {
            assert!(options(&robust, b, o) >= option.chance_over, "{} {}", block.block, option.bundle);
        }
    }
    let kept = PlanJson::new(&robust, &records);
    assert!(kept.wishes().robust);
}
