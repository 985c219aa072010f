//! Heat fans and the chance that a window is open.

use crownhold::Setting;
use crownhold::timing::degree_days::{Curve, HeatMethod, StartDay, daily};
use crownhold::timing::{Event, Field, HeatAxis, HeatFan, Timing, Window, WindowKind, forecast};
use crownhold::types::{DayWeather, Parameters, WeatherSeries};
use jiff::civil::{Date, date};

use crate::timing_data::{cold_place, pittsburgh};

/// Six past years, each 1 C warmer than the one before, and the season's days up to `today`. No heat on 29 February,
/// which the season has not.
fn different_years(today: Date) -> WeatherSeries {
    let mut weather = cold_place(2019, today, 0.0);
    for day in &mut weather.days {
        let warmer = f64::from(day.date.year() - 2022);
        (day.min, day.max) = (day.min.map(|t| t + warmer), day.max.map(|t| t + warmer));
        if (day.date.month(), day.date.day()) == (2, 29) {
            (day.min, day.max) = (Some(-10.0), Some(-10.0));
        }
    }
    weather
}
fn timing(weather: &WeatherSeries, today: Date) -> Timing {
    let setting = Setting { today, seed: 3, draws: 20 };
    forecast(std::slice::from_ref(weather), Field::default(), &Parameters::defaults(), 2025, &setting).unwrap()
}
fn fan(timing: &Timing, axis: HeatAxis) -> &HeatFan {
    timing.heat(axis).unwrap()
}

#[test]
fn a_fan_is_ordered_narrow_where_observed_and_never_falls() {
    let today = date(2025, 5, 10);
    let timing = timing(&different_years(today), today);
    for axis in HeatAxis::ALL {
        let fan = fan(&timing, *axis);
        assert_eq!((fan.days[0].date, fan.days[fan.days.len() - 1].date), (date(2025, 1, 1), date(2025, 9, 30)));
        assert_eq!((fan.observed_to, fan.known_to), (Some(today), Some(today)));
        for day in &fan.days {
            assert!(day.points.windows(2).all(|pair| pair[0] <= pair[1]), "{day:?}");
            assert!(day.date > today || day.points[0] == day.points[4], "{day:?}");
        }
        for (a, b) in fan.days.iter().zip(&fan.days[1..]) {
            assert!(a.usual <= b.usual && a.points.iter().zip(b.points).all(|(x, y)| *x <= y), "{a:?} {b:?}");
        }
        let last = fan.days.last().unwrap();
        assert!(last.points[4] - last.points[0] > 100.0, "past years differ: {last:?}");
    }
}

/// Up to today the fan is the count that `degree_days` makes of the same days; the usual line is the middle of the
/// past years' own counts.
#[test]
fn a_fan_is_the_count_of_its_method() {
    let today = date(2025, 5, 10);
    let weather = different_years(today);
    let timing = timing(&weather, today);
    let egg = fan(&timing, HeatAxis::Egg);
    assert_eq!(egg.method, HeatMethod::above(Curve::SingleSine, 3.0));
    let counted = |year: i16| {
        let days = daily(&weather, &egg.method, date(year, 1, 1)).unwrap().days;
        days.iter().find(|day| day.date == date(year, 5, 10)).unwrap().total.unwrap()
    };
    let day = egg.days.iter().find(|day| day.date == today).unwrap();
    assert!((day.points[2] - counted(2025)).abs() < 1e-9);
    let mut years: Vec<f64> = (2019..2025).map(counted).collect();
    years.sort_by(f64::total_cmp);
    assert!((day.usual - 0.5 * (years[2] + years[3])).abs() < 1e-9);
}

/// Johnson et al. 1983: 10, 50 and 90 % at 244.8, 282 and 319.2 (phenology.md 10.3 oracle 7). Larval heat counts from
/// each larva's own hatch, so that no total of the season is an event.
#[test]
fn marks_stand_only_where_a_fixed_total_is_used() {
    let today = date(2025, 5, 10);
    let timing = timing(&different_years(today), today);
    let egg: Vec<(Event, f64)> = fan(&timing, HeatAxis::Egg).marks.iter().map(|m| (m.event, m.heat)).collect();
    let expected = [(Event::HatchTenth, 244.8), (Event::HatchHalf, 282.0), (Event::HatchNineTenths, 319.2)];
    assert!(egg.iter().zip(expected).all(|(a, b)| a.0 == b.0 && (a.1 - b.1).abs() < 0.1), "{egg:?}");
    assert!(fan(&timing, HeatAxis::Larva).marks.is_empty());
    assert_eq!(fan(&timing, HeatAxis::Leaf).marks[0].event, Event::RedOakBudbreak);
}

#[test]
fn a_warm_winter_moves_the_first_day_of_egg_heat_only() {
    let today = date(2025, 2, 20);
    let mut weather = different_years(today);
    for day in &mut weather.days {
        (day.min, day.max) = (day.min.map(|t| t + 15.0), day.max.map(|t| t + 15.0));
    }
    let timing = timing(&weather, today);
    assert_eq!(fan(&timing, HeatAxis::Egg).method.start(), StartDay::MARCH);
    assert_eq!(fan(&timing, HeatAxis::Larva).method.start(), StartDay::JANUARY);
    assert!(fan(&timing, HeatAxis::Egg).days[..59].iter().all(|day| day.points == [0.0; 5] && day.usual == 0.0));
}

#[test]
fn forecast_days_are_known_but_not_observed() {
    let today = date(2025, 5, 10);
    let mut weather = different_years(today);
    let forecast =
        |date| DayWeather { date, min: Some(8.0), max: Some(18.0), precipitation: None, snow: None, forecast: true };
    weather.days.extend([11, 12, 13].map(|day| forecast(date(2025, 5, day))));
    let timing = timing(&weather, today);
    let egg = fan(&timing, HeatAxis::Egg);
    assert_eq!((egg.observed_to, egg.known_to), (Some(today), Some(date(2025, 5, 13))));
}

#[test]
fn a_season_not_begun_has_nothing_observed() {
    let weather = pittsburgh();
    let last = weather.days.last().unwrap().date;
    let season = last.year() + 1;
    let setting = Setting { today: last, seed: 3, draws: 5 };
    let timing = forecast(&[weather], Field::default(), &Parameters::defaults(), season, &setting).unwrap();
    assert!(timing.heat.iter().all(|fan| fan.observed_to.is_none() && fan.known_to.is_none()));
}

/// By hand: four members, one without the window.
#[test]
fn the_chance_of_being_open_is_a_share_of_the_members() {
    let day = |day| Some(date(2025, 5, day));
    let window = Window {
        kind: WindowKind::AerialBtk,
        opens: vec![day(10), day(12), None, day(20)],
        closes: vec![day(14), day(12), None, day(22)],
        rule: String::new(),
    };
    let chances = [9, 10, 12, 13, 15, 21, 23].map(|d| window.chance_open_on(date(2025, 5, d)));
    assert_eq!(chances, [0.0, 0.25, 0.5, 0.25, 0.0, 0.25, 0.0]);
    let none = Window { opens: vec![], closes: vec![], ..window };
    assert_eq!(none.chance_open_on(date(2025, 5, 10)), 0.0);
}
