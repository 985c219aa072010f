//! Changes made by hand: each is one operation with author and words, and each can be taken back exactly.

use std::path::{Path, PathBuf};

use crownhold::pellwood::pellwood;
use crownhold::types::*;
use crownhold_app::actions::areas::{self, BlockWords, NoSprayWords};
use crownhold_app::actions::counts::{self, CountWords, VisitWords};
use crownhold_app::actions::plots::{self, Place, PlotWords};
use crownhold_app::actions::{By, Done, backup, chain, decide, log, parameters, people, samples, species};
use crownhold_app::trouble::Trouble;
use crownhold_data::formats::{ToLonLat, to_lon_lat};
use crownhold_data::store::{ProgrammeFile, StoreError};
use geo::Centroid as _;
use jiff::civil::date;

use crate::plans::{WHEN, setting};

pub const BY: By<'static> = By::new("A. Tester", WHEN);

/// The invented city in a file.
pub fn file() -> (tempfile::TempDir, PathBuf) {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("city.gpkg");
    let city = pellwood(1, 2027);
    let mut file = ProgrammeFile::create(&path, &city.programme, "maker", WHEN).unwrap();
    file.change("maker", WHEN, "city", |r| {
        r.clone_from(&city);
        Ok::<_, StoreError>(())
    })
    .unwrap();
    file.close().unwrap();
    (dir, path)
}

pub fn records(path: &Path) -> Records {
    ProgrammeFile::open(path).unwrap().read().unwrap()
}

/// Does it, sees that it is one operation with author and words, takes it back, sees that nothing is left of it, and
/// does it again.
pub fn act(path: &Path, f: impl Fn(&Path) -> Result<Done, Trouble>) -> (Done, Records) {
    let before = records(path);
    let history = |path: &Path| ProgrammeFile::open(path).unwrap().history().unwrap();
    let count = history(path).len();
    let done = f(path).unwrap_or_else(|t| panic!("{t}"));
    let after = records(path);
    assert!(after != before, "{} changed nothing", done.what);
    let all = history(path);
    let last = all.last().unwrap();
    assert_eq!((all.len(), last.who.as_str(), last.what.as_str()), (count + 1, BY.author, done.what.as_str()));
    ProgrammeFile::open(path).unwrap().undo("undoer", WHEN).unwrap();
    assert!(records(path) == before, "{} is not taken back", done.what);
    f(path).unwrap_or_else(|t| panic!("{t}"));
    assert!(records(path) == after);
    (done, after)
}

/// Refused: nothing is changed, and these are the problems.
pub fn refused(path: &Path, f: impl FnOnce(&Path) -> Result<Done, Trouble>) -> Vec<&'static str> {
    let before = ProgrammeFile::open(path).unwrap().history().unwrap();
    let trouble = f(path).err().unwrap();
    assert_eq!(ProgrammeFile::open(path).unwrap().history().unwrap(), before);
    for problem in &trouble.problems {
        assert!(!problem.what.is_empty(), "{problem}");
        assert!(!problem.remedy.is_empty() || !problem.expected.is_empty(), "{problem}");
    }
    trouble.problems.iter().map(|p| p.code).collect()
}

fn codes(done: &Done) -> Vec<&'static str> {
    done.notices.iter().map(|p| p.code).collect()
}

#[test]
fn decisions() {
    let (_dir, path) = file();
    let set = |block: &str, rule: Option<DecisionRule>| {
        let block = block.to_owned();
        move |p: &Path| decide::set(p, &block, rule.clone(), "council", &setting(), BY)
    };
    let (done, after) = act(&path, set("a07", Some(DecisionRule::NeverFly)));
    assert_eq!((done.what.as_str(), done.item.as_str()), ("block A07: never fly", "A07"));
    assert_eq!(after.decisions.iter().filter(|d| d.block.as_str() == "A07").count(), 1);
    assert!(act(&path, set("A07", None)).1.decisions.is_empty());
    let take = |key: &str| Some(DecisionRule::Take(decide::bundle(key).unwrap().key()));
    act(&path, set("A07", take("watch")));
    // An option that no block has; a block that is not there.
    assert_eq!(refused(&path, set("A07", take("bands + aerial Btk twice"))), ["A-043"]);
    assert_eq!(refused(&path, set("Z99", None)), ["A-040"]);
    assert!(decide::bundle("singing").is_err() && decide::tactic("singing").is_err());
}

/// What a bar makes impossible is refused with the bar's own sentence; taken back, the decision can be made.
#[test]
fn a_decision_against_a_bar_is_refused_at_once() {
    let (_dir, path) = file();
    let fly = |p: &Path| decide::set(p, "B05", Some(DecisionRule::AlwaysFly), "", &setting(), BY);
    let consent = |consent| {
        let words = BlockWords { consent: Some(consent), ..BlockWords::default() };
        move |p: &Path| areas::change_block(p, "B05", &words, BY)
    };
    act(&path, consent(Consent::Refused));
    let trouble = fly(&path).err().unwrap();
    assert!(trouble.problems[0].what.contains("Consent was refused."), "{trouble}");
    assert_eq!(refused(&path, fly), ["A-044"]);
    act(&path, consent(Consent::Given));
    act(&path, fly);
}

#[test]
fn parameters_by_hand() {
    let (_dir, path) = file();
    let set = |name: &'static str, text: &'static str, source: &'static str| {
        move |p: &Path| parameters::set(p, name, text, source, BY)
    };
    let (_, after) = act(&path, set("aerial.price", "60, 88,120", "bid"));
    assert_eq!(after.parameters.value("aerial.price"), Value::Triangular(60.0, 88.0, 120.0));
    act(&path, |p| parameters::restore(p, "aerial.price", BY));
    act(&path, set("survey.k", "0.9", "trial"));
    act(&path, |p| parameters::restore_all(p, BY));
    assert_eq!(refused(&path, set("survey.colour", "1", "x")), ["A-051"]);
    assert_eq!(refused(&path, set("survey.k", "minus", "x")), ["A-050"]);
    assert_eq!(refused(&path, set("aerial.price", "-4", "x")), ["A-050"]);
    assert_eq!(refused(&path, set("aerial.price", "88", " ")), ["A-052"]);
}

fn visit(plot: &str, day: &str, counts: &[[&str; 4]]) -> VisitWords {
    let counts = counts.iter().map(|[substrate, new, old, out]| CountWords {
        substrate: (*substrate).to_owned(),
        new: (*new).to_owned(),
        old: (*old).to_owned(),
        out_of_reach: (*out).to_owned(),
        trunk: String::new(),
    });
    VisitWords {
        plot: plot.to_owned(),
        date: day.to_owned(),
        observer: "technician 2".to_owned(),
        counts: counts.collect(),
        note: String::new(),
    }
}

#[test]
fn visits_are_written_down_corrected_and_deleted() {
    let (_dir, path) = file();
    let today = date(2026, 11, 25);
    let plot = records(&path).plots[0].clone();
    let words = visit(plot.id.as_str(), "2026-11-20", &[["trees", "3", "1", "2"], ["ground", "0", "0", "0"]]);
    let (done, after) = act(&path, |p| counts::add_visit(p, &words, today, BY));
    let made = after.visits.iter().find(|v| v.id.as_str() == done.item).unwrap();
    assert_eq!((made.counts.len(), made.counts[0].new, made.date), (2, 3, date(2026, 11, 20)));
    assert_eq!(done.what, format!("visit of plot {} on 2026-11-20: 3 new, 1 old, 2 out of reach", plot.id));
    assert_eq!(refused(&path, |p| counts::add_visit(p, &words, today, BY)), ["A-104"]);

    let id = done.item;
    let other = visit(plot.id.as_str(), "2026-11-21", &[["", "6000", "0", "0"]]);
    let (done, after) = act(&path, |p| counts::correct_visit(p, &id, &other, today, BY));
    assert!(codes(&done).contains(&"A-107"));
    assert_eq!(after.visits.iter().find(|v| v.id.as_str() == id).unwrap().counts[0].substrate, Substrate::All);
    let (_, after) = act(&path, |p| counts::delete_visit(p, &id, BY));
    assert!(after.visits.iter().all(|v| v.id.as_str() != id));
    assert_eq!(refused(&path, |p| counts::delete_visit(p, &id, BY)), ["A-103"]);
}

/// Every fault of a visit is told, all at once.
#[test]
fn what_is_no_visit_is_refused() {
    let (_dir, path) = file();
    let today = date(2026, 11, 25);
    let plot = records(&path).plots[0].id.to_string();
    let why = |words: VisitWords| refused(&path, |p| counts::add_visit(p, &words, today, BY));
    assert_eq!(
        why(visit("P999", "soon", &[["bark", "3.5", "", "-1"]])),
        ["A-100", "A-101", "A-105", "A-102", "A-102", "A-102"]
    );
    assert_eq!(why(visit(&plot, "2026-11-26", &[["", "1", "0", "0"]])), ["A-101"]);
    assert_eq!(why(visit(&plot, "2025-10-20", &[["", "1", "0", "0"]])), ["A-101"]);
    assert_eq!(why(visit(&plot, "2026-11-24", &[])), ["A-102"]);
    assert_eq!(why(visit(&plot, "2026-11-24", &[["trees", "1", "0", "0"], ["Trees", "2", "0", "0"]])), ["A-106"]);
    let mut trunk = visit(&plot, "2026-11-24", &[["trees", "1", "0", "0"]]);
    trunk.counts[0].trunk = "11 in".to_owned();
    assert_eq!(why(trunk), ["A-108"]);
}

#[test]
fn the_count_is_closed_and_opened_again() {
    let (_dir, path) = file();
    let today = date(2026, 11, 25);
    let block = records(&path).plots[0].block.to_string();
    let blocks = [block.to_lowercase()];
    act(&path, |p| counts::reopen_count(p, &["all".to_owned()], BY));
    let (done, after) = act(&path, |p| counts::close_count(p, &blocks, date(2026, 11, 20), BY));
    assert_eq!(done.item, "1");
    assert_eq!(after.blocks.iter().filter(|b| b.survey_closed.is_some()).count(), 1);
    let plot = after.plots[0].id.to_string();
    for (day, words) in [("2026-11-18", "changes its density"), ("2026-11-24", "what scraping left")] {
        let (done, _) = act(&path, |p| counts::add_visit(p, &visit(&plot, day, &[["", "1", "0", "0"]]), today, BY));
        assert_eq!(codes(&done), ["A-109"]);
        assert!(done.notices[0].what.contains(words), "{}", done.notices[0]);
    }
    let why = refused(&path, |p| counts::close_count(p, &["X1".to_owned(), "X2".to_owned()], today, BY));
    assert_eq!(why, ["A-040", "A-040"]);
}

#[test]
fn plots_are_added_and_deleted() {
    let (_dir, path) = file();
    let start = records(&path);
    let block = &start.blocks[10];
    let middle = block.shape.centroid().unwrap();
    let [lon, lat] = ToLonLat::new(start.programme.epsg).unwrap().place(middle).unwrap();
    // A circle of 18.6 ft: pi (18.6 x 0.3048)^2 = 100.974 m2.
    let circle = PlotWords { radius: "18.6 ft".into(), place: Some(Place::LonLat(lon, lat)), ..PlotWords::default() };
    let (done, after) = act(&path, |p| plots::add_plot(p, &circle, BY));
    let made = after.plots.iter().find(|p| p.id.as_str() == done.item).unwrap();
    assert_eq!((&made.block, made.method), (&block.id, PlotMethod::FixedRadius));
    assert!((made.area.unwrap().as_square_metres() - 100.974).abs() < 0.001);
    let at = made.place.unwrap();
    assert!((at.x() - middle.x()).hypot(at.y() - middle.y()) < 1e-3);
    let greatest = start.plots.iter().map(|p| p.id.as_str()).max().unwrap();
    assert!(done.item.as_str() > greatest && done.item.len() == greatest.len(), "{} after {greatest}", done.item);

    let named = |method: &str, side: &str, area: &str| PlotWords {
        block: "a01".into(),
        method: method.into(),
        side: side.into(),
        area: area.into(),
        ..PlotWords::default()
    };
    let size = |words: &PlotWords| {
        let (done, after) = act(&path, |p| plots::add_plot(p, words, BY));
        let plot = after.plots.iter().find(|p| p.id.as_str() == done.item).unwrap().clone();
        (plot.method, plot.area.map(|a| (a.as_square_metres() * 100.0).round() / 100.0))
    };
    assert_eq!(size(&named("", "10 m", "")), (PlotMethod::Square, Some(100.0)));
    assert_eq!(size(&named("whole lot", "", "0.25 acre")), (PlotMethod::WholeLot, Some(1011.71)));
    assert_eq!(size(&named("1/40 acre", "", "")), (PlotMethod::FixedRadius, Some(101.17)));
    assert_eq!(size(&named("burlap", "", "")), (PlotMethod::Burlap, None));
    let prism = PlotWords { factor: "10".into(), radius: "18.6 ft".into(), ..named("prism", "", "") };
    assert_eq!(size(&prism), (PlotMethod::Prism { basal_area_factor: 10.0 }, Some(100.97)));

    act(&path, |p| plots::delete_plot(p, &done.item, BY));
    let visited = start.visits[0].plot.to_string();
    assert_eq!(refused(&path, |p| plots::delete_plot(p, &visited, BY)), ["A-114"]);
    assert_eq!(refused(&path, |p| plots::delete_plot(p, "nowhere", BY)), ["A-100"]);
    let why = |words: PlotWords| refused(&path, |p| plots::add_plot(p, &words, BY));
    assert_eq!(why(PlotWords::default()), ["A-111", "A-113"]);
    assert_eq!(why(PlotWords { id: visited, ..named("square", "", "2 acre") }), ["A-110"]);
    assert_eq!(why(named("square", "ten", "")), ["A-113"]);
    assert_eq!(why(named("circle", "10 m", "")), ["A-113"]);
    assert_eq!(why(named("square", "1 cm", "")), ["A-113"]);
    assert_eq!(why(named("prism", "", "1/40 acre")), ["A-113"]);
    let far = PlotWords { place: Some(Place::LonLat(10.0, 50.0)), ..named("1/40 acre", "", "") };
    assert_eq!(why(far), ["I-307"]);
    let beside = PlotWords { place: Some(Place::LonLat(lon, lat)), ..named("1/40 acre", "", "") };
    assert_eq!(codes(&act(&path, |p| plots::add_plot(p, &beside, BY)).0), ["A-112"]);
}

#[test]
fn people_come_and_go() {
    let (_dir, path) = file();
    let start = records(&path).people;
    assert!(start.len() > 3 && start.iter().all(|p| p.reach.is_empty()));
    let lead =
        Person { name: " Crew lead 9 ".into(), role: Role::CrewLead, reach: "555-0109".into(), note: String::new() };
    let (done, after) = act(&path, |p| people::add(p, &lead, BY));
    assert_eq!((done.what.as_str(), after.people.len()), ("Crew lead 9 added as crew lead", start.len() + 1));
    assert_eq!(refused(&path, |p| people::add(p, &lead, BY)), ["A-131"]);
    let other = Person { name: "Foreman".into(), role: Role::Contractor, ..lead.clone() };
    let (done, _) = act(&path, |p| people::change(p, "crew lead 9", &other, BY));
    assert_eq!(done.what, "Crew lead 9, now Foreman: contractor");
    let taken = Person { name: start[0].name.to_uppercase(), ..other.clone() };
    assert_eq!(refused(&path, |p| people::change(p, "Foreman", &taken, BY)), ["A-131"]);
    assert_eq!(refused(&path, |p| people::add(p, &Person { name: "  ".into(), ..lead.clone() }, BY)), ["A-131"]);
    let (_, after) = act(&path, |p| people::remove(p, "Foreman", BY));
    assert_eq!(after.people, start);
    assert_eq!(refused(&path, |p| people::remove(p, "Foreman", BY)), ["A-130"]);
    assert_eq!(people::role("king").err().unwrap().problems[0].code, "A-132");
}

/// Samples come, are corrected and go, each as one operation; what is wrong is told by column; and the dates follow.
#[test]
fn field_samples_come_and_go_and_move_the_dates() {
    let (_dir, path) = file();
    let late = FieldSample {
        id: SampleId::new(""),
        date: date(2027, 5, 20),
        block: Some("A06".into()),
        place: "Mill Lane".into(),
        observer: "RK".into(),
        seen: Seen::Instars(InstarCounts([40, 3, 0, 0, 0, 0, 0])),
        note: String::new(),
    };
    let (done, after) = act(&path, |p| samples::add(p, &late, BY));
    assert_eq!(done.what, "field sample 2027-01 added: 40 L1, 3 L2");
    let on = crownhold::Setting { today: date(2027, 5, 21), ..setting() };
    let half = |r: &Records| {
        let timing = chain::dates(r, &on).unwrap();
        let learned = timing.learned.as_ref().map(|l| l.samples.len());
        (crownhold::timing::date_quantile(&timing.events[1].dates, 0.5).unwrap(), learned)
    };
    let (moved, plain) = (half(&after), half(&Records { samples: Vec::new(), ..after.clone() }));
    assert_eq!((moved.1, plain.1), (Some(1), None));
    assert!(moved.0 > plain.0, "{moved:?} {plain:?}");
    let here = FieldSample { id: "2027-01".into(), seen: Seen::FirstHatch, ..late.clone() };
    let (done, after) = act(&path, |p| samples::correct(p, &here, BY));
    assert_eq!((done.what.as_str(), after.samples.len()), ("field sample 2027-01 corrected: first hatch seen", 1));
    let nowhere =
        FieldSample { block: Some("Q99".into()), seen: Seen::Instars(InstarCounts::default()), ..late.clone() };
    assert_eq!(refused(&path, |p| samples::add(p, &nowhere, BY)), ["A-162", "A-163"]);
    assert_eq!(refused(&path, |p| samples::add(p, &here, BY)), ["A-161"]);
    let (_, after) = act(&path, |p| samples::remove(p, &"2027-01".into(), BY));
    assert!(after.samples.is_empty());
    assert_eq!(refused(&path, |p| samples::remove(p, &"2027-01".into(), BY)), ["A-160"]);
}

#[test]
fn a_copy_of_the_programme() {
    let (dir, path) = file();
    let (copy, bytes) = (dir.path().join("copy.gpkg"), dir.path().join("bytes.gpkg"));
    let call = |args: &[&str]| crate::commands::crownhold(args);
    let [from, to] = [&path, &copy].map(|p| p.to_str().unwrap());
    assert!(call(&["backup", from, "--to", to]).status.success());
    std::fs::write(&bytes, backup::bytes(&path).unwrap()).unwrap();
    assert!(records(&copy) == records(&path) && records(&bytes) == records(&path));
    assert!(crate::commands::trouble(&call(&["backup", from, "--to", to])).contains("S-001"));
    assert!(call(&["people", to, "--add", "Crew 3", "--role", "crew lead", "--reach", "555"]).status.success());
    assert!(crate::commands::text(&call(&["people", to])).contains("Crew 3"));
    assert!(call(&["people", to, "--remove", "crew 3"]).status.success());
    assert_eq!(records(&copy).people, records(&path).people);
}

/// GeoJSON of a shape of the city, moved east by so many degrees.
fn drawn(shape: &geo::MultiPolygon<f64>, east: f64) -> String {
    let mut parts = to_lon_lat(shape, 32_616).unwrap();
    parts.iter_mut().flatten().flatten().for_each(|c| c[0] += east);
    serde_json::json!({ "type": "MultiPolygon", "coordinates": parts }).to_string()
}

#[test]
fn no_spray_areas_are_drawn_changed_and_deleted() {
    let (_dir, path) = file();
    let start = records(&path);
    let shape = drawn(&start.blocks[3].shape, 0.0);
    let pond = NoSprayWords { kind: NoSprayKind::Water, buffer: Some(Length::feet(1.0)), note: "mill pond".into() };
    let (done, after) = act(&path, |p| areas::add_no_spray(p, &shape, &pond, BY));
    assert_eq!(codes(&done), ["A-123"]);
    let id = done.item;
    let made = after.no_spray.iter().find(|a| a.id.as_str() == id).unwrap();
    let ground = |s: &geo::MultiPolygon<f64>| geo::Area::unsigned_area(s);
    assert!((ground(&made.shape) - ground(&start.blocks[3].shape)).abs() < 0.01);
    assert!(start.no_spray.iter().all(|a| a.id.as_str() != id));

    let moved = drawn(&start.blocks[3].shape, 0.001);
    act(&path, |p| areas::reshape_no_spray(p, &id, &moved, BY));
    let school = NoSprayWords { kind: NoSprayKind::School, buffer: None, note: String::new() };
    let (done, after) = act(&path, |p| areas::change_no_spray(p, &id, &school, BY));
    assert_eq!(codes(&done), Vec::<&str>::new());
    assert_eq!(after.no_spray.iter().find(|a| a.id.as_str() == id).unwrap().kind, NoSprayKind::School);
    let (done, after) = act(&path, |p| areas::delete_no_spray(p, &id, BY));
    assert_eq!((codes(&done), after.no_spray.len()), (vec!["A-122"], start.no_spray.len()));

    assert_eq!(refused(&path, |p| areas::delete_no_spray(p, &id, BY)), ["A-120"]);
    assert_eq!(refused(&path, |p| areas::add_no_spray(p, "{", &school, BY)), ["I-108"]);
    let wide = NoSprayWords { buffer: Some(Length::metres(9e4)), ..school.clone() };
    assert_eq!(refused(&path, |p| areas::add_no_spray(p, &shape, &wide, BY)), ["A-121"]);
}

#[test]
fn blocks_are_redrawn_and_described() {
    let (_dir, path) = file();
    let start = records(&path);
    let block = start.plots.iter().find(|p| p.place.is_some()).unwrap().block.clone();
    let b = start.block_index(&block).unwrap();
    // Some 800 m to the east: its plots stay behind, its trees are others, it lies on its neighbours.
    let moved = drawn(&start.blocks[b].shape, 0.01);
    let (done, after) = act(&path, |p| areas::reshape_block(p, block.as_str(), &moved, BY));
    for code in ["A-125", "A-126", "A-127"] {
        assert!(codes(&done).contains(&code), "{code}: {:?}", done.notices);
    }
    assert_eq!(after.blocks[b].canopy, start.blocks[b].canopy);
    let words = BlockWords {
        name: Some(" Mill Woods ".into()),
        land_use: Some(LandUse::Timber),
        consent: Some(Consent::Refused),
        ownership: Some(Ownership::Private),
    };
    let (done, after) = act(&path, |p| areas::change_block(p, block.as_str(), &words, BY));
    assert_eq!(after.blocks[b].name, "Mill Woods");
    assert!(done.what.ends_with("named Mill Woods, land use timber, consent refused, private land"), "{}", done.what);
    assert_eq!(refused(&path, |p| areas::change_block(p, "A01", &BlockWords::default(), BY)), ["A-124"]);
    assert_eq!(refused(&path, |p| areas::reshape_block(p, "Z99", &moved, BY)), ["A-040"]);
}

/// A name that no line of the table knows is told with its trees, and those trees follow the class it is given.
#[test]
fn tree_names_get_their_class() {
    let (_dir, path) = file();
    let mut file = ProgrammeFile::open(&path).unwrap();
    file.change("maker", WHEN, "two strange trees", |r| {
        for tree in r.trees.iter_mut().take(2) {
            tree.species = "Katsura".to_owned();
            tree.class = None;
        }
        Ok::<_, StoreError>(())
    })
    .unwrap();
    file.close().unwrap();
    assert!(species::unknown(&records(&path)).contains(&("Katsura".to_owned(), 2)));
    let set =
        |name: &'static str, source: &'static str| move |p: &Path| species::set(p, name, HostClass::Immune, source, BY);
    let (done, after) = act(&path, set(" Katsura ", "own trees, never eaten"));
    assert_eq!(done.what, "species Katsura is immune; trees classed by it: 2");
    assert!(species::unknown(&after).iter().all(|(name, _)| name != "Katsura"));
    assert!(after.species.iter().any(|s| s.scientific == "Katsura" && s.known == Known::Local));
    assert_eq!(refused(&path, set(" ", " ")), ["A-090", "A-090"]);
    assert_eq!(species::class("tasty").err().unwrap().problems[0].code, "A-091");
}

#[test]
fn chances_that_draws_do_not_tell_apart() {
    let change = |before, now| crownhold_app::actions::plans::Change { before, now };
    // Standard error of the difference of two shares of 0.2 over 500 draws: 0.0253.
    assert!(!change(0.20, 0.24).is_told_apart(500));
    assert!(change(0.20, 0.26).is_told_apart(500));
    assert!(change(0.0, 0.01).is_told_apart(500) && !change(0.0, 0.0).is_told_apart(500));
}

/// Scraping where the count is open was done and is kept, with a warning; where it is closed there is none.
#[test]
fn scraping_before_the_count_is_closed_is_told() {
    let (_dir, path) = file();
    let block = records(&path).blocks.iter().find(|b| b.survey_closed.is_some()).unwrap().id.clone();
    let visit = ScrapingVisit {
        id: "".into(),
        date: date(2027, 1, 16),
        block: block.clone(),
        tree: None,
        low: 12,
        high: 0,
        left: 3,
        trees: 4,
        hours: None,
        who: String::new(),
        place: None,
        note: String::new(),
    };
    let closed = log::add_scraping(&path, &visit, BY).unwrap();
    assert_eq!((closed.item.as_str(), closed.notices), ("2027-0001", Vec::new()));
    let mut open = ProgrammeFile::open(&path).unwrap();
    open.change("maker", WHEN, "reopened", |r| {
        r.blocks.iter_mut().filter(|b| b.id == block).for_each(|b| b.survey_closed = None);
        Ok::<_, StoreError>(())
    })
    .unwrap();
    open.close().unwrap();
    let warned = log::add_scraping(&path, &visit, BY).unwrap();
    assert_eq!(warned.notices.iter().map(|p| p.code).collect::<Vec<_>>(), ["A-254"]);
    assert_eq!(records(&path).log.scraping.len(), 2);
    let history = ProgrammeFile::open(&path).unwrap().history().unwrap();
    let of_log: Vec<bool> =
        history.iter().rev().take(3).map(crownhold_data::store::JournalEntry::is_of_the_log).collect();
    assert_eq!(of_log, [true, false, true], "a plan grows old by the reopened count, not by the log");
    let nothing = ScrapingVisit { low: 0, left: 0, trees: 0, block: "nowhere".into(), ..visit };
    let codes: Vec<_> = log::add_scraping(&path, &nothing, BY).err().unwrap().problems.iter().map(|p| p.code).collect();
    assert_eq!(codes, ["A-251", "A-253"]);
}
