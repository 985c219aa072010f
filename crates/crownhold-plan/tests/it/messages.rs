//! The sentences people read.

use crownhold::plan::{Limits, Plan};
use crownhold::tactics::{BlockOption, BlockOptions, Bundle, Flying, Labour, Options};
use crownhold::types::{Area, BlockId, Hours, HoursSupply, Money, Period, Share, Tactic, UnitSystem, Workforce};
use crownhold_plan::{SolveError, SolveSetting, model_text, solve};

fn option(
    tactics: &[Tactic],
    chance: f64,
    dollars: f64,
    acres: f64,
    hours: Option<(Period, f64, bool)>,
) -> BlockOption {
    BlockOption {
        bundle: Bundle::new(tactics.to_vec()),
        barred: Vec::new(),
        cost: Money::dollars(dollars),
        labour: hours
            .map(|(period, h, volunteers_may)| Labour { period, hours: Hours::hours(h), volunteers_may })
            .into_iter()
            .collect(),
        sprayed: Area::acres(acres),
        chance_over: chance,
        expected_defoliation: chance,
        larvae_removed: 0.0,
    }
}

fn block(id: &str, accepted: f64, options: Vec<BlockOption>) -> BlockOptions {
    BlockOptions {
        block: BlockId::new(id),
        neighbourhood: Some("Northside".to_owned()),
        host_area: Area::acres(20.0),
        tolerance: Share::clamped(0.4),
        accepted_chance: accepted,
        no_spray_share: 0.0,
        options,
    }
}

/// The ladder of options that most blocks here share.
fn ladder(chances: [f64; 5]) -> Vec<BlockOption> {
    use Tactic::{AerialOnce, AerialTwice, Bands, Scraping};
    let scraping = Some((Period::Winter, 30.0, true));
    vec![
        option(&[], chances[0], 0.0, 0.0, None),
        option(&[Scraping], chances[1], 40.0, 0.0, scraping),
        option(&[Bands], chances[2], 180.0, 0.0, Some((Period::Summer, 50.0, true))),
        option(&[AerialOnce], chances[3], 2_500.0, 30.0, None),
        option(&[AerialTwice], chances[4], 5_000.0, 60.0, None),
    ]
}

fn bar(mut options: Vec<BlockOption>, which: &[usize], why: &str) -> Vec<BlockOption> {
    for &o in which {
        options[o].barred = vec![why.to_owned()];
    }
    options
}

fn example() -> (Options, Limits) {
    let blocks = vec![
        block("quiet", 0.2, ladder([0.08, 0.04, 0.05, 0.02, 0.01])),
        block("scraped", 0.2, ladder([0.55, 0.12, 0.4, 0.1, 0.03])),
        block("flown", 0.2, ladder([0.78, 0.61, 0.66, 0.09, 0.04])),
        block("refused", 0.2, bar(ladder([0.7, 0.5, 0.6, 0.2, 0.1]), &[1, 2, 3, 4], "Consent was refused.")),
        block("no money", 0.1, ladder([0.9, 0.85, 0.88, 0.6, 0.4])),
        block("must fly", 0.2, bar(ladder([0.1, 0.05, 0.05, 0.02, 0.01]), &[0, 1, 2], "It was decided to fly here.")),
        block("all accepted nil", 0.0, ladder([0.04, 0.01, 0.02, 0.01, 0.0])),
    ];
    let supply = |who, period, hours| HoursSupply {
        who,
        period,
        neighbourhood: Some("Northside".to_owned()),
        hours: Hours::hours(hours),
    };
    let limits = Limits {
        budget: Some(Money::dollars(9_000.0)),
        most_sprayed: Some(Area::acres(100.0)),
        hours: vec![
            supply(Workforce::Volunteers, Period::Winter, 45.0),
            supply(Workforce::Crew, Period::Winter, 20.0),
            supply(Workforce::Volunteers, Period::Summer, 20.0),
        ],
        crew_wage: Money::dollars(30.0),
    };
    (Options { blocks, flying: Flying::default(), draws: 500, seed: 7 }, limits)
}

fn told(plan: &Plan) -> String {
    let mut text = String::new();
    for b in &plan.blocks {
        text += &format!("{} -> {}\n  {}\n", b.block, b.bundle, b.why);
        if let Some(r) = &b.runner_up {
            text += &format!("  next: {}. {}\n", r.bundle, r.why_not);
        }
    }
    for b in &plan.binding {
        text += &format!("binds: {} ({:.1} of {:.1} {})\n", b.limit, b.used, b.available, b.unit);
    }
    for h in &plan.hours {
        text += &format!(
            "hours: {} {} {:?} {:.1}/{:.1}\n",
            h.who,
            h.period,
            h.neighbourhood,
            h.used.as_hours(),
            h.available.as_hours()
        );
    }
    text
}

#[test]
fn reasons_and_runners_up() {
    let (options, limits) = example();
    let setting = SolveSetting { gap: 0.0, ..SolveSetting::default() };
    let plan = solve(&options, &limits, &setting).unwrap();
    insta::assert_snapshot!("reasons_us", told(&plan));
    let metric = solve(&options, &limits, &SolveSetting { units: UnitSystem::Metric, ..setting }).unwrap();
    insta::assert_snapshot!("reasons_metric_binding", format!("{:#?}", metric.binding));
}

#[test]
fn decisions_that_overrun_the_limits() {
    let (mut options, mut limits) = example();
    let only = |o: usize| (0..5).filter(|&i| i != o).collect::<Vec<_>>();
    options.blocks[1].options = bar(ladder([0.5; 5]), &only(4), "It was decided to fly twice.");
    options.blocks[2].options = bar(ladder([0.5; 5]), &only(4), "It was decided to fly twice.");
    options.blocks[4].options = bar(ladder([0.5; 5]), &only(2), "It was decided to use bands.");
    limits.most_sprayed = Some(Area::acres(140.0));
    let error = solve(&options, &limits, &SolveSetting::default()).unwrap_err();
    assert!(matches!(error, SolveError::Impossible(_)));
    insta::assert_snapshot!("overrun", error.to_string());
}

#[test]
fn input_that_cannot_be_used_is_named_all_at_once() {
    let (mut options, mut limits) = example();
    options.blocks[0].options.clear();
    options.blocks[1].options = bar(ladder([0.5; 5]), &[0, 1, 2, 3, 4], "Barred for the test.");
    options.blocks[2].options[1].chance_over = 1.5;
    options.blocks[3].options.remove(0);
    limits.crew_wage = Money::dollars(-1.0);
    let error = solve(&options, &limits, &SolveSetting { gap: 2.0, ..SolveSetting::default() }).unwrap_err();
    assert_eq!(error.problems().len(), 7);
    insta::assert_snapshot!("unusable", error.to_string());
}

#[test]
fn the_model_as_text() {
    let (mut options, limits) = example();
    options.blocks.truncate(1);
    insta::assert_snapshot!("model_text", model_text(&options, &limits));
}
