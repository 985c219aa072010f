//! What the programme holds, what it still lacks, and what can be spent.

use askama::Template;
use crownhold::types::{Problem, Records, Severity};
use crownhold_print::wording::{Wording, count, grouped, hours, money};

use super::mend::mend;
use crate::actions::holdings::{Holdings, holdings};
use crate::desk::shell::{Answer, Place, ProblemLine, Shell, Visit, page};

#[derive(Template)]
#[template(path = "programme.html")]
struct OverviewPage {
    shell: Shell,
    lead: String,
    is_empty: bool,
    holds: Vec<Row>,
    errors: Vec<ToMend>,
    notices: Vec<ToMend>,
    spend: Vec<(String, String)>,
    hours: Vec<HoursRow>,
    facts: Vec<(&'static str, String)>,
}

/// One line of what is held.
struct Row {
    what: &'static str,
    held: String,
    missing: Vec<String>,
    href: &'static str,
    link: &'static str,
}

/// A problem with the place where it is mended.
struct ToMend {
    line: ProblemLine,
    mend: Option<(&'static str, &'static str)>,
}

/// Hours of one workforce in one neighbourhood, period by period.
struct HoursRow {
    who: &'static str,
    place: String,
    winter: String,
    spring: String,
    summer: String,
}

pub async fn show(visit: Visit) -> Answer {
    let season = &visit.season;
    let (records, w) = (&season.records, season.wording());
    let held = holdings(records);
    let of = |severity| season.problems.iter().filter(move |p| p.severity == severity).map(to_mend).collect();
    page(&OverviewPage {
        shell: visit.shell(Place::Programme, "Programme"),
        lead: lead(&held, season.stages.is_ok(), season.timing().is_some()),
        is_empty: held.blocks == 0,
        holds: rows(&held, records, season.plans.len(), w),
        errors: of(Severity::Error),
        notices: of(Severity::Notice),
        spend: spend(records, w),
        hours: hours_rows(records),
        facts: facts(&visit, records),
    })
}

fn to_mend(problem: &Problem) -> ToMend {
    ToMend { line: ProblemLine::from(problem), mend: mend(problem.code) }
}

/// One sentence on how far the programme is from a plan.
fn lead(held: &Holdings, has_stages: bool, has_dates: bool) -> String {
    match (held.blocks, has_stages, has_dates) {
        (0, ..) => "Nothing is in this programme yet.",
        (_, false, _) => "A plan cannot be made yet. What is missing stands below.",
        (_, true, false) => "A plan can be made, but without dates: there is no usable weather yet.",
        (_, true, true) => "Everything that a plan with dates needs is there.",
    }
    .to_owned()
}

fn rows(h: &Holdings, records: &Records, plans: usize, w: Wording) -> Vec<Row> {
    let mut rows = ground(h, w);
    rows.extend(counted(h, w));
    rows.extend(season_rows(h, records));
    let held = if plans == 0 { "none".to_owned() } else { count(plans, "plan", "plans") };
    let missing = if plans == 0 { vec!["make the first one when the rest is there".to_owned()] } else { Vec::new() };
    rows.push(Row { what: "Kept plans", held, missing, href: "/plan", link: "Plan" });
    rows
}

/// A line that begins with an import.
fn row(what: &'static str, n: usize, held: String, missing: Vec<String>, href: &'static str) -> Row {
    let held = if n == 0 { "none".to_owned() } else { held };
    Row { what, held, missing, href, link: "Import" }
}

/// What is said of a lack: what for when nothing is there, else each thing that some lack.
fn lacks(n: usize, for_what: &str, parts: &[(usize, &str)]) -> Vec<String> {
    if n == 0 {
        return vec![for_what.to_owned()];
    }
    parts.iter().filter(|(k, _)| *k > 0).map(|(k, what)| format!("{} {what}", grouped(*k as f64))).collect()
}

fn ground(h: &Holdings, w: Wording) -> Vec<Row> {
    let blocks = format!("{}, {}", count(h.blocks, "block", "blocks"), w.area(h.ground));
    let hosts = (h.blocks_without_hosts, "without canopy or host mix");
    let parts =
        [hosts, (h.blocks_without_plots, "without a plot of their own"), (h.consents_pending, "with consent pending")];
    let of_blocks = lacks(h.blocks, "needed first: everything else belongs to a block", &parts);
    let parts = [
        (h.trees_without_class, "of a species the table does not know"),
        (h.trees_without_diameter, "without diameter"),
        (h.trees_outside, "in no block"),
    ];
    let of_trees = lacks(h.trees, "gives the host mix of blocks, and the trees to band", &parts);
    let of_areas =
        lacks(h.no_spray, "water, schools, organic farms, opt-outs: without them every block may be flown", &[]);
    vec![
        row("Blocks", h.blocks, blocks, of_blocks, "/programme/import/blocks"),
        row("Trees", h.trees, count(h.trees, "tree", "trees"), of_trees, "/programme/import/trees"),
        row("No-spray areas", h.no_spray, count(h.no_spray, "area", "areas"), of_areas, "/programme/import/no-spray"),
    ]
}

fn counted(h: &Holdings, w: Wording) -> Vec<Row> {
    let parts = [(h.plots_not_counted, "not counted this survey"), (h.plots_without_place, "without position")];
    let of_plots = lacks(h.plots, "where egg masses are counted", &parts);
    let of_visits =
        lacks(h.visits, "needed for any density", &[(h.visits_without_counts, "with nothing written down")]);
    let days = match h.span {
        Some((first, last)) => {
            format!("{}, {} to {}", count(h.days, "day", "days"), w.date(first), w.date(last))
        }
        None => String::new(),
    };
    let few = h.days > 0 && h.past_years < 10;
    let years = format!(
        "{} only; ten or more make the dates surer",
        count(h.past_years, "whole past year", "whole past years")
    );
    let mut of_weather =
        lacks(h.days, "daily highs and lows of this and past years: without them there are no dates", &[]);
    of_weather.extend(few.then_some(years));
    vec![
        row("Plots", h.plots, count(h.plots, "plot", "plots"), of_plots, "/programme/import/plots"),
        row("Visits with counts", h.visits, count(h.visits, "visit", "visits"), of_visits, "/programme/import/counts"),
        row("Weather", h.days, days, of_weather, "/programme/import/weather"),
    ]
}

fn season_rows(h: &Holdings, records: &Records) -> Vec<Row> {
    let resources = &records.resources;
    let given = usize::from(resources.budget.is_some()) + resources.hours.len();
    let words = match (resources.budget, resources.hours.is_empty()) {
        (Some(budget), true) => format!("{}, no hours", money(budget)),
        (Some(budget), false) => format!("{} and hours", money(budget)),
        (None, _) => "hours, no money".to_owned(),
    };
    let of_money = lacks(given, "without hours no scraping, bands or ground sprays are planned", &[]);
    let of_past = lacks(h.past_seasons, "tells rising from falling, and whether plans worked", &[]);
    let past = count(h.past_seasons, "season", "seasons");
    let people = records.people.len();
    let constants = format!("{} of {} set by you", h.own_constants, records.parameters.iter().count());
    vec![
        row("Money and hours", given, words, of_money, "/programme/import/resources"),
        row("Past seasons", h.past_seasons, past, of_past, "/programme/import/past-seasons"),
        Row {
            what: "People",
            held: if people == 0 { "none".to_owned() } else { count(people, "person", "people") },
            missing: lacks(people, "whose names stand beside changes, and who can be reached", &[]),
            href: "/programme/people",
            link: if people == 0 { "Add" } else { "Look" },
        },
        Row { what: "Constants", held: constants, missing: Vec::new(), href: "/programme/parameters", link: "Look" },
    ]
}

fn spend(records: &Records, w: Wording) -> Vec<(String, String)> {
    let resources = &records.resources;
    let mut rows = Vec::new();
    rows.extend(resources.budget.map(|b| ("Money for the season".to_owned(), money(b))));
    rows.extend(resources.most_sprayed.map(|a| ("Most area flown, repeats counted".to_owned(), w.area(a))));
    rows
}

fn hours_rows(records: &Records) -> Vec<HoursRow> {
    use crownhold::types::{Hours, Period};
    let all = &records.resources.hours;
    let mut keys: Vec<_> = all.iter().map(|h| (h.who, h.neighbourhood.clone())).collect();
    keys.sort();
    keys.dedup();
    let of = |who, place: &Option<String>, period| -> String {
        let fits = all.iter().filter(|h| h.who == who && h.neighbourhood == *place && h.period == period);
        let sum: f64 = fits.map(|h| h.hours.as_hours()).sum();
        if sum > 0.0 { hours(Hours::hours(sum)) } else { "–".to_owned() }
    };
    keys.iter()
        .map(|(who, place)| HoursRow {
            who: who.word(),
            place: place.clone().unwrap_or_else(|| "anywhere".to_owned()),
            winter: of(*who, place, Period::Winter),
            spring: of(*who, place, Period::Spring),
            summer: of(*who, place, Period::Summer),
        })
        .collect()
}

fn facts(visit: &Visit, records: &Records) -> Vec<(&'static str, String)> {
    let programme = &records.programme;
    let units = if visit.season.wording().is_us() { "acres, feet, degrees F" } else { "hectares, metres, degrees C" };
    vec![
        ("File", visit.desk.path().display().to_string()),
        ("Season", format!("spring of {}", programme.season)),
        ("Map system", format!("EPSG:{}, in metres", programme.epsg)),
        ("Units shown", units.to_owned()),
    ]
}
