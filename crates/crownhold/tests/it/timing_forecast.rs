//! The season forecast: invariants, and behaviour on real and made-up weather.

#![allow(clippy::unwrap_used)]

use crownhold::Setting;
use crownhold::timing::degree_days::{Curve, Heat, HeatMethod, StartDay, daily};
use crownhold::timing::{Event, Field, Timing, WindowKind, date_quantile, forecast};
use crownhold::types::{Parameters, Problem, Value, WeatherSeries};
use jiff::civil::{Date, date};
use proptest::prelude::*;

use crate::timing_data::{cold_place, jfk, pittsburgh};

fn setting(today: Date, draws: usize) -> Setting {
    Setting { today, seed: 7, draws }
}
fn run(weather: &WeatherSeries, season: i16, today: Date, draws: usize) -> Timing {
    forecast(std::slice::from_ref(weather), Field::default(), &Parameters::defaults(), season, &setting(today, draws))
        .unwrap()
}
fn median(timing: &Timing, event: Event) -> Option<Date> {
    date_quantile(&timing.event(event).unwrap().dates, 0.5)
}
fn said(notes: &[Problem]) -> String {
    notes.iter().map(|note| format!("{note}\n")).collect()
}
/// The parameters without any uncertainty.
fn certain() -> Parameters {
    let mut parameters = Parameters::defaults();
    assert!(parameters.set("timing.hatch.error", Value::Number(0.0), "test"));
    assert!(parameters.set("timing.stage.scale", Value::Number(1.0), "test"));
    for (name, mean) in [("red-oak-budbreak", 152.0), ("red-oak-40", 271.0), ("white-oak-40", 331.0)] {
        assert!(parameters.set(&format!("timing.leaf.{name}"), Value::Number(mean), "test"));
    }
    parameters
}

/// With a whole year known and no uncertainty, half hatch and oak leaves fall on the day on which counting
/// degree-days by hand puts them (first 282 days at JFK: nonlineartemppy and closed form).
#[test]
fn a_known_year_gives_its_own_degree_day_dates() {
    let mut parameters = certain();
    // JFK is too mild for a count from 1 January; the oracle is of the arithmetic, not of the biology.
    assert!(parameters.set("timing.hatch.warm-winter", Value::Number(20.0), "test"));
    let leaf = HeatMethod::above(Curve::SingleSine, 10.0);
    for (year, half) in [(2013, date(2013, 4, 19)), (2014, date(2014, 4, 24)), (2015, date(2015, 4, 25))] {
        let timing = forecast(&[jfk()], Field::default(), &parameters, year, &setting(date(year, 12, 31), 10)).unwrap();
        assert!(timing.event(Event::HatchHalf).unwrap().dates.iter().all(|d| *d == Some(half)), "{year}");
        let counted = daily(&jfk(), &leaf, date(year, 1, 1)).unwrap();
        for (event, heat) in [(Event::RedOakBudbreak, 152.0), (Event::RedOakLeaf, 271.0), (Event::WhiteOakLeaf, 331.0)]
        {
            let day = counted.first_reaching(&Heat::fahrenheit(leaf, heat)).unwrap();
            assert!(timing.event(event).unwrap().dates.iter().all(|d| *d == day), "{year} {event}");
        }
    }
}

/// A single cohort at 20 C all day (12 degree-days a day above 8 C): half have reached the second instar when
/// the Erlang distribution of 45 substages and mean 94 says so: at 94 x 0.9926 = 93.3 degree-days (the median of a
/// gamma distribution of shape k is close to k - 1/3), 7.8 days after hatch.
#[test]
fn one_cohort_follows_the_erlang_distribution() {
    let mut weather = cold_place(2020, date(2021, 12, 31), 0.0);
    for day in &mut weather.days {
        (day.min, day.max) =
            if day.date >= date(day.date.year(), 4, 1) { (Some(20.0), Some(20.0)) } else { (Some(0.0), Some(0.0)) };
    }
    let mut parameters = certain();
    assert!(parameters.set("timing.hatch.heat", Value::Normal(170.0, 1e-6), "test"));
    let timing = forecast(&[weather], Field::default(), &parameters, 2021, &setting(date(2021, 12, 31), 1)).unwrap();
    // 170 = 10 days of 17 above 3 C: hatch at the end of 10 April, larval heat 120 there.
    assert_eq!(median(&timing, Event::HatchHalf), Some(date(2021, 4, 10)));
    // 120 + 93.30 = 213.30 = 17.8 days of 12: 18 April.
    assert_eq!(median(&timing, Event::SecondInstar), Some(date(2021, 4, 18)));
    // On 18 April, 96 degree-days after hatch, the Poisson sum has left the first instar.
    let on = timing.stages.iter().find(|s| s.date == date(2021, 4, 18)).unwrap();
    let past: f64 = erlang_cdf(96.0 * 45.0 / 94.0, 45);
    assert!((1.0 - on.shares[0] - on.shares[1] - past).abs() < 1e-4, "{:?} {past}", on.shares);
}

/// Erlang distribution function by its Poisson sum, 1 - sum exp(-x) x^i / i!.
fn erlang_cdf(x: f64, k: u32) -> f64 {
    let mut term = (-x).exp();
    let mut sum = term;
    for i in 1..k {
        term *= x / f64::from(i);
        sum += term;
    }
    1.0 - sum
}

/// Pittsburgh's typical year with hatch set at 30 April: medians of the working table, added up stage by stage in
/// Python (1 June, 7 and 12 July; they agree with the
/// Pennsylvania calendar: half-grown in late May, pupae late June to early July, moths in mid July). Ours may
/// differ by a day: half of a sum of Erlang stages comes a little before its mean.
#[test]
fn pittsburgh_typical_year() {
    let mut parameters = certain();
    // The typical year stands at 532.4 degree-days above 3 C at the end of 30 April.
    assert!(parameters.set("timing.hatch.heat", Value::Normal(532.0, 1e-6), "test"));
    assert!(parameters.set("timing.hatch.warm-winter", Value::Number(20.0), "test"));
    let timing =
        forecast(&[pittsburgh()], Field::default(), &parameters, 2023, &setting(date(2022, 12, 31), 1)).unwrap();
    let near = |event, month, day| {
        let apart = (median(&timing, event).unwrap() - date(2023, month, day)).get_days().abs();
        assert!(apart <= 1, "{event}: {apart} days apart");
    };
    near(Event::HatchHalf, 4, 30);
    near(Event::FourthInstar, 6, 1);
    near(Event::MaleFlight, 7, 7);
    near(Event::FemaleMoths, 7, 12);
}

/// Stage by stage in order, and sensible months for a cold-winter place (calendar of Michigan, Wisconsin and
/// Massachusetts extension pages: hatch April-May, feeding to early July, moths July-August).
#[test]
fn the_season_runs_in_order() {
    let weather = cold_place(2008, date(2026, 3, 20), 0.0);
    let timing = run(&weather, 2026, date(2026, 3, 20), 200);
    let order = [
        Event::HatchTenth,
        Event::HatchHalf,
        Event::HatchNineTenths,
        Event::SecondInstar,
        Event::ThirdInstarQuarter,
        Event::ThirdInstar,
        Event::FourthInstar,
        Event::Pupae,
        Event::MaleFlight,
        Event::FemaleMoths,
        Event::LayingOver,
    ];
    for pair in order.windows(2) {
        let dates = |event| timing.event(event).unwrap().dates.clone();
        for (a, b) in dates(pair[0]).into_iter().zip(dates(pair[1])) {
            assert!(a.unwrap() <= b.unwrap(), "{} {}", pair[0], pair[1]);
        }
    }
    let month = |event| median(&timing, event).unwrap().month();
    assert!((4..=5).contains(&month(Event::HatchHalf)));
    assert!((6..=7).contains(&month(Event::Pupae)));
    assert!((7..=8).contains(&month(Event::FemaleMoths)));
    assert_eq!(timing.years, (2008..=2025).collect::<Vec<i16>>());
    assert!(timing.notes.iter().all(|note| note.code == "timing.no-window"), "{}", said(&timing.notes));
}

#[test]
fn the_ensemble_narrows_as_the_year_goes_on() {
    let weather = cold_place(2008, date(2026, 12, 31), 0.0);
    let mut last = i32::MAX;
    for today in [date(2025, 11, 1), date(2026, 4, 1), date(2026, 5, 15)] {
        let timing =
            forecast(std::slice::from_ref(&weather), Field::default(), &certain(), 2026, &setting(today, 90)).unwrap();
        let dates = &timing.event(Event::ThirdInstar).unwrap().dates;
        let width = (date_quantile(dates, 0.95).unwrap() - date_quantile(dates, 0.05).unwrap()).get_days();
        assert!(width < last, "{today}: {width} days, before {last}");
        last = width;
    }
}

/// Days after today are not looked at unless they are forecasts.
#[test]
fn the_future_is_not_peeked_at() {
    let today = date(2026, 4, 10);
    let known = cold_place(2008, today, 0.0);
    let mut longer = cold_place(2008, date(2026, 8, 1), 0.0);
    let with = |weather: &WeatherSeries| run(weather, 2026, today, 40);
    assert_eq!(with(&known), with(&longer));
    for day in longer.days.iter_mut().filter(|day| day.date > today) {
        day.forecast = true;
        day.min = day.min.map(|t| t + 6.0);
        day.max = day.max.map(|t| t + 6.0);
    }
    assert!(median(&with(&longer), Event::ThirdInstar) < median(&with(&known), Event::ThirdInstar));
}

/// JFK 2015 as it stood on 1 April: three past years, a mild coast. Looked at by eye and kept.
#[test]
fn jfk_2015_on_the_first_of_april() {
    let timing = run(&jfk(), 2015, date(2015, 4, 1), 300);
    let day = |dates: &[Option<Date>], p| date_quantile(dates, p).map_or("-".to_owned(), |d| d.to_string());
    let line = |name: &str, dates: &[Option<Date>]| {
        format!("{name:24} {} {} {}\n", day(dates, 0.05), day(dates, 0.5), day(dates, 0.95))
    };
    let mut text = said(&timing.notes);
    text.extend(timing.events.iter().map(|e| line(e.event.word(), &e.dates)));
    for window in &timing.windows {
        text += &line(&format!("{} opens", window.kind), &window.opens);
        text += &line(&format!("{} closes", window.kind), &window.closes);
        text += &format!("    {}\n", window.rule);
    }
    insta::assert_snapshot!(text);
}

#[test]
fn what_is_missing_is_said_all_at_once() {
    let mut parameters = Parameters::defaults();
    assert!(parameters.set("timing.aerial-btk.third-instar", Value::Number(0.995), "test"));
    let wrong = forecast(&[], Field::default(), &parameters, 2026, &setting(date(2026, 4, 1), 0)).unwrap_err();
    insta::assert_snapshot!(said(&wrong));
}

#[test]
fn a_series_in_fahrenheit_is_refused() {
    let mut weather = cold_place(2008, date(2026, 3, 20), 0.0);
    for day in &mut weather.days {
        day.min = day.min.map(|t| 1.8 * t + 32.0);
        day.max = day.max.map(|t| 1.8 * t + 32.0);
    }
    let wrong = forecast(&[weather], Field::default(), &Parameters::defaults(), 2026, &setting(date(2026, 3, 20), 10))
        .unwrap_err();
    assert_eq!(wrong.iter().map(|p| p.code).collect::<Vec<_>>(), ["weather.unit", "timing.no-past-year"]);
}

/// A year with a long gap does not stand in for a year to come; a short gap is filled and said.
#[test]
fn years_with_long_gaps_are_left_out() {
    let mut weather = cold_place(2010, date(2026, 3, 20), 0.0);
    let gone = [(date(2014, 5, 1), date(2014, 5, 9)), (date(2016, 5, 1), date(2016, 5, 3))];
    weather.days.retain(|day| gone.iter().all(|(from, to)| day.date < *from || day.date > *to));
    let timing = run(&weather, 2026, date(2026, 3, 25), 30);
    assert!(!timing.years.contains(&2014) && timing.years.contains(&2016));
    let codes: Vec<_> = timing.notes.iter().map(|note| note.code).filter(|c| *c != "timing.no-window").collect();
    assert_eq!(codes, ["weather.gap", "weather.gap-filled", "timing.not-observed"]);
}

/// Where winters are mild, egg heat counts from 1 March, and the note says so: half hatch falls where counting by
/// hand from that day puts it.
#[test]
fn mild_winters_count_from_march() {
    let weather = cold_place(2012, date(2026, 12, 31), 10.0);
    let today = setting(date(2026, 12, 31), 5);
    let timing = forecast(std::slice::from_ref(&weather), Field::default(), &certain(), 2026, &today).unwrap();
    assert!(timing.notes.iter().any(|note| note.code == "timing.warm-winter"), "{}", said(&timing.notes));
    let method = HeatMethod::above(Curve::SingleSine, 3.0).starting(StartDay::MARCH);
    let counted = daily(&weather, &method, date(2026, 3, 1)).unwrap();
    let by_hand = counted.first_reaching(&Heat::celsius(method, 282.0)).unwrap();
    assert!(by_hand.is_some());
    assert_eq!(median(&timing, Event::HatchHalf), by_hand);
}

/// When the first third instars close the window and the last first instars open it, no draw has one: none is
/// invented, and the note counts them.
#[test]
fn a_window_that_cannot_be_is_counted_not_invented() {
    let mut parameters = Parameters::defaults();
    assert!(parameters.set("timing.aerial-btk.third-instar", Value::Number(0.01), "test"));
    assert!(parameters.set("timing.aerial-btk.not-past-first", Value::Number(0.01), "test"));
    let weather = cold_place(2012, date(2026, 4, 1), 0.0);
    let timing = forecast(&[weather], Field::default(), &parameters, 2026, &setting(date(2026, 4, 1), 25)).unwrap();
    let window = timing.window(WindowKind::AerialBtk).unwrap();
    assert!(window.opens.iter().chain(&window.closes).all(Option::is_none));
    let note = timing.notes.iter().find(|note| note.what.contains("aerial Btk")).unwrap();
    assert!(note.what.starts_with("in 25 of 25 draws"), "{note}");
}

/// Leap years: a past common year lends its 28 February.
#[test]
fn a_leap_season_has_all_its_days() {
    let weather = cold_place(2013, date(2015, 12, 31), 0.0);
    let timing = run(&weather, 2016, date(2016, 1, 1), 4);
    assert_eq!(timing.stages.len(), 366);
    assert_eq!(timing.window(WindowKind::Scraping).unwrap().opens[0], Some(date(2015, 10, 15)));
    assert_eq!(timing.window(WindowKind::Survey).unwrap().closes[0], Some(date(2016, 12, 31)));
}

fn date_in_season() -> impl Strategy<Value = Date> {
    (0..500_i32).prop_map(|day| date(2025, 8, 1).checked_add(jiff::Span::new().days(day)).unwrap())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(12))]

    /// Stage shares are a whole at every instant, quantiles are in order, and no window closes before it opens.
    #[test]
    fn shares_sum_to_one_and_orders_hold(today in date_in_season(), seed in any::<u64>()) {
        let weather = cold_place(2019, date(2026, 12, 31), 0.0);
        let setting = Setting { today, seed, draws: 12 };
        let timing = forecast(&[weather], Field::default(), &Parameters::defaults(), 2026, &setting).unwrap();
        prop_assert_eq!(timing.stages.len(), 365);
        for day in &timing.stages {
            prop_assert!((day.shares.iter().sum::<f64>() - 1.0).abs() < 1e-9, "{:?}", day);
            prop_assert!(day.shares.iter().all(|share| *share >= 0.0));
        }
        for event in &timing.events {
            let q = |p| date_quantile(&event.dates, p).map_or(date(9999, 1, 1), |d| d);
            prop_assert!(q(0.05) <= q(0.5) && q(0.5) <= q(0.95), "{}", event.event);
        }
        for window in &timing.windows {
            for (opens, closes) in window.opens.iter().zip(&window.closes) {
                prop_assert_eq!(opens.is_some(), closes.is_some());
                prop_assert!(opens <= closes, "{}", window.kind);
            }
        }
    }

    /// Warmer everywhere is never later, in any member (the first day of the egg heat stays the same: winters of
    /// the made-up place are far below the limit).
    #[test]
    fn warmer_is_never_later(today in date_in_season(), seed in any::<u64>(), warmer in 0.0..2.0_f64) {
        let at = |warmer| {
            let setting = Setting { today, seed, draws: 20 };
            let weather = cold_place(2019, date(2026, 12, 31), warmer);
            forecast(&[weather], Field::default(), &Parameters::defaults(), 2026, &setting).unwrap()
        };
        let (cool, warm) = (at(0.0), at(warmer));
        for (a, b) in cool.events.iter().zip(&warm.events) {
            for (before, after) in a.dates.iter().zip(&b.dates) {
                let late = |day: &Option<Date>| day.unwrap_or(date(9999, 1, 1));
                prop_assert!(late(after) <= late(before), "{}: {:?} {:?}", a.event, before, after);
            }
        }
    }

    /// The same seed gives the same result on one thread and on four.
    #[test]
    fn threads_do_not_matter(seed in any::<u64>()) {
        let weather = cold_place(2019, date(2026, 4, 1), 0.0);
        let setting = Setting { today: date(2026, 4, 1), seed, draws: 70 };
        let on = |threads: usize| {
            let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
            pool.install(|| forecast(std::slice::from_ref(&weather), Field::default(), &Parameters::defaults(), 2026, &setting).unwrap())
        };
        prop_assert_eq!(format!("{:?}", on(1)), format!("{:?}", on(4)));
    }
}
