//! The hindcast: what the forecast says of itself on real weather, and that it looks at nothing it should not.

#![allow(clippy::unwrap_used)]

use crownhold::Setting;
use crownhold::timing::Event;
use crownhold::timing::hindcast::{Forecaster, Hindcast, Observation, Truth, hindcast, issue_days};
use crownhold::types::draws::mean;
use crownhold::types::{Parameters, Problem, WeatherSeries, chance};
use jiff::civil::{Date, date};

use crate::timing_data::{cold_place, jfk, pittsburgh};

fn ask(weather: &WeatherSeries, truth: Truth<'_>, draws: usize) -> Result<Hindcast, Vec<Problem>> {
    let setting = Setting { today: date(2060, 12, 31), seed: 3, draws };
    hindcast(std::slice::from_ref(weather), &Parameters::defaults(), truth, &setting)
}
fn run(weather: &WeatherSeries, truth: Truth<'_>, draws: usize) -> Hindcast {
    ask(weather, truth, draws).unwrap()
}

/// Mean coverage of the forecast over all events, from each issue day.
fn coverage(judged: &Hindcast) -> Vec<f64> {
    let of_day = |issued| {
        let own = judged.lines.iter().filter(|l| l.forecaster == Forecaster::Model && l.issued == issued);
        mean(&own.map(|line| line.score.coverage90).collect::<Vec<f64>>())
    };
    issue_days().into_iter().map(of_day).collect()
}

/// Twenty-one years around Pittsburgh's typical one: each day's departure is seven tenths of the day before's and a new
/// draw, so that days depart by 4 C and a spring by 1.3 C.
fn pittsburgh_years() -> WeatherSeries {
    let typical = pittsburgh();
    let mut all = WeatherSeries { days: Vec::new(), ..typical.clone() };
    let mut stream = chance::stream(11, "pittsburgh", 0);
    let mut departure = 0.0;
    for year in (2021..2062).filter(|year| year % 4 != 0).take(21) {
        for day in typical.days.iter().filter(|day| day.date.year() == 2021) {
            departure = 0.7 * departure + 4.0 * f64::sqrt(1.0 - 0.49) * chance::normal(&mut stream);
            let mut day = *day;
            day.date = date(year, day.date.month(), day.date.day());
            (day.min, day.max) = (day.min.map(|t| t + departure), day.max.map(|t| t + departure));
            all.days.push(day);
        }
        let leap_days = cold_place(year + 1, date(year + 1, 12, 31), 0.0);
        if date(year + 1, 1, 1).in_leap_year() {
            // A year of other weather between, without its September, is not used and keeps the calendar whole.
            all.days.extend(leap_days.days.into_iter().filter(|day| day.date.month() != 9));
        }
    }
    all
}

/// Truths made by the model itself with drawn parameters must lie in its ranges nine times in ten. JFK has four years, so
/// that each forecast knows three others: one issue day alone says little (four springs), all together they must hold.
#[test]
fn ranges_are_as_wide_as_they_say() {
    let jfk = coverage(&run(&jfk(), Truth::Simulated(200), 500));
    assert!((0.87..=0.93).contains(&mean(&jfk)), "JFK {jfk:?}");
    assert!(jfk.iter().all(|c| (0.80..=0.96).contains(c)), "JFK {jfk:?}");
    let pittsburgh = coverage(&run(&pittsburgh_years(), Truth::Simulated(100), 500));
    assert!(pittsburgh.iter().all(|c| (0.87..=0.93).contains(c)), "Pittsburgh {pittsburgh:?}");
}

/// Against the model's own date the forecast gets better as the year goes on, and beats the usual date.
#[test]
fn it_gets_better_and_beats_the_usual_date() {
    let judged = run(&cold_place(2008, date(2026, 12, 31), 0.0), Truth::Model, 300);
    assert_eq!(judged.years.len(), 19);
    for event in [Event::HatchHalf, Event::ThirdInstar, Event::RedOakLeaf] {
        let crps = |who, issued| judged.line(who, issued, event).unwrap().score.crps;
        let days = issue_days();
        assert!(crps(Forecaster::Model, days[3]) < crps(Forecaster::Model, days[0]), "{event}");
        // Not the CRPS here: the model's own date has none of the uncertainty that its ranges rightly carry.
        let mae = |who| judged.line(who, days[3], event).unwrap().score.mae_days;
        let (model, usual) = (mae(Forecaster::Model), mae(Forecaster::UsualDate));
        // Oak leaves of this cold place come weeks after the last issue day: there the two are level (4.58 and 4.57
        // days), and all that can be asked is that the forecast is no worse.
        let slack = if event == Event::RedOakLeaf { 0.25 } else { 0.0 };
        assert!(model < usual + slack, "{event}: {model:.2} and {usual:.2} days");
    }
}

/// What came after an issue day does not move that year's forecast from it.
#[test]
fn nothing_is_known_before_its_day() {
    let weather = cold_place(2018, date(2026, 12, 31), 0.0);
    let mut other = weather.clone();
    for day in other.days.iter_mut().filter(|d| d.date > date(2022, 4, 15) && d.date <= date(2022, 12, 31)) {
        (day.min, day.max) = (day.min.map(|t| t + 6.0), day.max.map(|t| t + 6.0));
    }
    let of_2022 = |weather| {
        let judged = run(weather, Truth::Model, 100);
        let own = |until: usize| {
            let early = issue_days();
            let cases = judged.cases.iter().filter(|c| c.year == 2022 && early[..until].contains(&c.issued));
            cases.map(|c| c.forecast).collect::<Vec<[Option<Date>; 3]>>()
        };
        (own(3), own(4))
    };
    let (a, b) = (of_2022(&weather), of_2022(&other));
    assert_eq!(a.0, b.0);
    assert_ne!(a.1, b.1, "from 1 May on the warmth is known");
}

/// Dates seen are what is judged; those of years without weather are told.
#[test]
fn dates_seen_in_the_field() {
    let weather = cold_place(2015, date(2026, 12, 31), 0.0);
    let seen = |year, day| Observation { event: Event::HatchHalf, date: date(year, 5, day) };
    let judged = run(&weather, Truth::Observed(&[seen(2018, 2), seen(2020, 6), seen(1999, 9)]), 200);
    let line = judged.line(Forecaster::Model, issue_days()[2], Event::HatchHalf).unwrap();
    assert_eq!(line.score.n, 2);
    // Each year's usual date is the other's date: 4 days early in 2018, 4 days late in 2020 (from 1 March on).
    let usual = judged.line(Forecaster::UsualDate, issue_days()[2], Event::HatchHalf).unwrap().score;
    assert_eq!((usual.n, usual.bias_days, usual.mae_days, usual.crps), (2, 0.0, 4.0, 4.0));
    assert!(judged.cases.iter().all(|case| case.event == Event::HatchHalf));
    assert!(judged.notes.iter().any(|note| note.code == "timing.hindcast-left-out" && note.what.contains("1999")));
}

#[test]
fn too_little_is_an_error() {
    let one_year = cold_place(2026, date(2026, 12, 31), 0.0);
    assert_eq!(ask(&one_year, Truth::Model, 10).unwrap_err()[0].code, "timing.hindcast-years");
    let seen = [Observation { event: Event::HatchHalf, date: date(1999, 5, 1) }];
    let years = cold_place(2020, date(2026, 12, 31), 0.0);
    assert_eq!(ask(&years, Truth::Observed(&seen), 10).unwrap_err()[0].code, "timing.hindcast-no-date");
}
