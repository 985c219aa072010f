//! Degree-days against printed tables, numerical integration and real weather.

#![allow(clippy::unwrap_used)]

use crownhold::timing::degree_days::{Curve, Cutoff, DayRange, Heat, HeatMethod, StartDay, daily};
use crownhold::types::quantity::celsius;
use jiff::civil::date;
use proptest::prelude::*;

use crate::timing_data::jfk;

/// Rows of a reference table, split at commas, without the header.
fn rows(text: &str) -> impl Iterator<Item = Vec<&str>> {
    text.lines().skip(1).map(|line| line.split(',').collect())
}
fn number(cell: &str) -> f64 {
    cell.parse().unwrap()
}
fn method(curve: Curve, base: f64, upper: Option<f64>, cutoff: Cutoff) -> HeatMethod {
    HeatMethod::new(curve, base, upper, cutoff, StartDay::JANUARY).unwrap()
}
fn day(low: f64, high: f64) -> DayRange {
    DayRange::new(low, high).unwrap()
}
/// A day's heat with everything in degrees F.
fn fahrenheit(method: &HeatMethod, low: f64, high: f64, next: f64) -> f64 {
    1.8 * method.day(day(celsius(low), celsius(high)), Some(celsius(next)))
}

/// Zalom et al. 1983, table 7: 47 of 48 printed values hold, and the misprint does not.
#[test]
fn zalom_1983_table_7() {
    let curves = [Curve::SingleTriangle, Curve::DoubleTriangle, Curve::SingleSine, Curve::DoubleSine];
    let mut differ = Vec::new();
    let mut held = 0;
    for row in rows(include_str!("reference/degree_days/zalom1983_table7_F.csv")) {
        for (i, curve) in curves.into_iter().enumerate() {
            let method = method(curve, celsius(55.0), Some(celsius(90.0)), Cutoff::Horizontal);
            let ours = fahrenheit(&method, number(row[1]), number(row[2]), number(row[3]));
            // The added columns are numerical integrals; they hold in every cell.
            assert!((ours - number(row[8 + i])).abs() < 1e-4, "{row:?} {curve}: {ours}");
            // The table is printed to two decimals.
            if (ours - number(row[4 + i])).abs() <= 0.0051 { held += 1 } else { differ.push((row[1], row[2], curve)) }
        }
    }
    assert_eq!((held, differ), (47, vec![("60", "100", Curve::DoubleTriangle)]));
}

/// McMaster & Wilhelm 1997, table 1, base 0 C: method 1 is the simple mean, method 2 the corn method.
#[test]
fn mcmaster_and_wilhelm_1997_table_1() {
    for row in rows(include_str!("reference/degree_days/mcmaster_wilhelm1997_table1_C.csv")) {
        let day = day(number(row[1]), number(row[0]));
        for (curve, printed) in [(Curve::SimpleMean, row[2]), (Curve::Corn, row[3])] {
            assert!((HeatMethod::above(curve, 0.0).day(day, None) - number(printed)).abs() < 1e-9, "{row:?} {curve}");
        }
    }
}

/// 216 days integrated numerically with SciPy `quad`, all cutoffs.
#[test]
fn numerical_integration() {
    let mut seen = 0;
    for row in rows(include_str!("reference/degree_days/quad_oracle_grid_C.csv")) {
        let upper = (!row[1].is_empty()).then(|| number(row[1]));
        let cutoff = Cutoff::from_word(row[2]).unwrap();
        for (curve, integral) in [(Curve::SingleSine, row[5]), (Curve::SingleTriangle, row[6])] {
            let ours = method(curve, number(row[0]), upper, cutoff).day(day(number(row[3]), number(row[4])), None);
            // The integrals are printed to nine decimals.
            assert!((ours - number(integral)).abs() < 2e-8, "{row:?} {curve}: {ours}");
        }
        seen += 1;
    }
    assert_eq!(seen, 216);
}

/// Double forms by numerical integration (SciPy `quad`).
#[test]
fn double_forms() {
    let heat = |curve, upper: Option<f64>, base, low, high, next| {
        let cutoff = if upper.is_some() { Cutoff::Horizontal } else { Cutoff::None };
        method(curve, base, upper, cutoff).day(day(low, high), Some(next))
    };
    for (curve, upper, base, low, high, next, expected) in [
        (Curve::DoubleSine, None, 3.0, 5.0, 15.0, -1.0, 5.935_991_124),
        (Curve::DoubleTriangle, None, 3.0, 5.0, 15.0, -1.0, 5.75),
        (Curve::DoubleSine, Some(30.0), 10.0, 8.0, 34.0, 12.0, 11.411_365_304),
        (Curve::DoubleTriangle, Some(30.0), 10.0, 8.0, 34.0, 12.0, 11.702_797_203),
        (Curve::DoubleSine, None, 3.0, 0.0, 10.0, 4.0, 3.360),
    ] {
        let tolerance = if expected == 3.360 { 5e-4 } else { 2e-8 };
        assert!((heat(curve, upper, base, low, high, next) - expected).abs() < tolerance, "{curve} {low} {high}");
    }
    // The last day of a series has no next lowest and falls back to the single form.
    let last = |curve| HeatMethod::above(curve, 3.0).day(day(0.0, 10.0), None);
    assert_eq!(last(Curve::DoubleSine), last(Curve::SingleSine));
    assert_eq!(last(Curve::DoubleTriangle), last(Curve::SingleTriangle));
}

/// Worked values: cutoffs of 60 / 100 F between 55 and 90 F and of 10 / 34 C between 8 and 29 C; partial days
/// where the daily mean gives nothing (200,000-step numerical integration).
#[test]
fn worked_values() {
    let f = |curve, cutoff| method(curve, celsius(55.0), Some(celsius(90.0)), cutoff);
    for (cutoff, sine, triangle) in [
        (Cutoff::Horizontal, 22.820, 23.750),
        (Cutoff::Intermediate, 20.640, 22.500),
        (Cutoff::Vertical, 11.153, 15.000),
    ] {
        assert!((fahrenheit(&f(Curve::SingleSine, cutoff), 60.0, 100.0, 60.0) - sine).abs() < 0.001, "{cutoff}");
        assert!((fahrenheit(&f(Curve::SingleTriangle, cutoff), 60.0, 100.0, 60.0) - triangle).abs() < 0.001);
    }
    for (cutoff, sine) in [(Cutoff::Horizontal, 13.010), (Cutoff::Intermediate, 12.019), (Cutoff::Vertical, 6.673)] {
        let heat = method(Curve::SingleSine, 8.0, Some(29.0), cutoff).day(day(10.0, 34.0), None);
        assert!((heat - sine).abs() < 0.001, "{cutoff}: {heat}");
    }
    let sine3 = HeatMethod::above(Curve::SingleSine, 3.0);
    assert!((sine3.day(day(-2.0, 12.0), None) - 3.320).abs() < 0.001);
    let sine50 = HeatMethod::above(Curve::SingleSine, celsius(50.0));
    assert!((fahrenheit(&sine50, 48.0, 52.0, 48.0) - 0.637).abs() < 0.001);
    assert_eq!(HeatMethod::above(Curve::SimpleMean, celsius(50.0)).day(day(celsius(48.0), celsius(52.0)), None), 0.0);
}

/// Values printed in the manual of the R package degday (thresholds 55 and 93.9 F, horizontal cutoff): lowest,
/// highest, next lowest; single triangle, single sine, double triangle, double sine.
#[test]
fn printed_by_another_program() {
    for (low, high, next, printed) in [
        (36.0, 67.0, 33.0, [2.32, 3.31, 2.22, 3.23]),
        (33.0, 59.0, 37.0, [0.31, 0.68, 0.34, 0.71]),
        (37.0, 59.0, 38.0, [0.36, 0.74, 0.37, 0.75]),
        (38.0, 63.0, 36.0, [1.28, 1.99, 1.23, 1.95]),
        (36.0, 58.0, 30.0, [0.20, 0.48, 0.18, 0.45]),
    ] {
        let curves = [Curve::SingleTriangle, Curve::SingleSine, Curve::DoubleTriangle, Curve::DoubleSine];
        for (curve, printed) in curves.into_iter().zip(printed) {
            let method = method(curve, celsius(55.0), Some(celsius(93.9)), Cutoff::Horizontal);
            let ours = fahrenheit(&method, low, high, next);
            assert!((ours - printed).abs() < 0.0051, "{curve} {low} {high}: {ours}");
        }
    }
}

/// Single days above 3 C and between 10 and 30 C (SciPy `quad`): sine and triangle.
#[test]
fn integrated_days() {
    let none = |base| (base, None, Cutoff::None);
    let to_30 = |cutoff| (10.0, Some(30.0), cutoff);
    for ((base, upper, cutoff), low, high, sine, triangle) in [
        (none(3.0), 5.0, 15.0, 7.0, 7.0),
        (none(3.0), -2.0, 10.0, 2.436_447_061, 2.041_666_667),
        (none(3.0), -5.0, 2.0, 0.0, 0.0),
        (none(10.0), 8.0, 24.0, 6.304_016_86, 6.125),
        (to_30(Cutoff::Horizontal), 12.0, 34.0, 12.262_115_638, 12.636_363_636),
        (to_30(Cutoff::Horizontal), 2.0, 34.0, 9.135_930_776, 8.75),
        (to_30(Cutoff::Vertical), 2.0, 34.0, 4.534_861_653, 6.25),
        (to_30(Cutoff::Intermediate), 2.0, 34.0, 8.527_897_055, 8.5),
        (to_30(Cutoff::Horizontal), 31.0, 38.0, 20.0, 20.0),
    ] {
        for (curve, integral) in [(Curve::SingleSine, sine), (Curve::SingleTriangle, triangle)] {
            let ours = method(curve, base, upper, cutoff).day(day(low, high), None);
            assert!((ours - integral).abs() < 1e-8, "{curve} {cutoff} {low} {high}: {ours}");
        }
    }
}

/// 282 degree-days C are 507.6 degree-days F (a degree C is 1.8 degrees F, exact).
#[test]
fn one_total_in_two_units() {
    let method = HeatMethod::above(Curve::SingleSine, celsius(37.4));
    assert!((method.base() - 3.0).abs() < 1e-12);
    assert!((Heat::celsius(method, 282.0).as_fahrenheit() - 507.6).abs() < 1e-9);
    assert!((Heat::fahrenheit(method, 507.6).as_celsius() - 282.0).abs() < 1e-9);
}

/// 10, 15 and 25 C all day above 3 C: 282 degree-days after 40.3, 23.5 and 12.8 days (hand calculation); the
/// last two lie inside the 14-25 and 11-18 days to hatch of Gray et al. 1995.
#[test]
fn constant_temperatures() {
    for (temperature, days, least, most) in
        [(10.0, 40.3, 0.0, 99.0), (15.0, 23.5, 14.0, 25.0), (25.0, 12.8, 11.0, 18.0)]
    {
        let needed: f64 = 282.0 / HeatMethod::above(Curve::SingleSine, 3.0).day(day(temperature, temperature), None);
        assert!((needed - days).abs() < 0.05 && needed > least && needed < most, "{temperature}");
    }
}

/// JFK 2012-2015 above 3 and 10 C, single sine, whole years (closed form in Python; PyPI nonlineartemppy 0.201
/// agrees to 0.001).
#[test]
fn jfk_year_totals() {
    let series = jfk();
    for (year, above_3, above_10, to_end_of_may) in [
        (2012, 4121.2328, 2203.7309, 1072.3901),
        (2013, 3779.7211, 2031.7578, 759.7034),
        (2014, 3786.3373, 2045.1485, 767.4373),
        (2015, 4204.6369, 2342.5027, 803.0354),
    ] {
        let at = |base, on| {
            let heat = daily(&series, &HeatMethod::above(Curve::SingleSine, base), date(year, 1, 1)).unwrap();
            heat.days.iter().find(|day| day.date == on).unwrap().total.unwrap()
        };
        assert!((at(3.0, date(year, 12, 31)) - above_3).abs() < 1e-3, "{year}");
        assert!((at(10.0, date(year, 12, 31)) - above_10).abs() < 1e-3, "{year}");
        assert!((at(3.0, date(year, 5, 31)) - to_end_of_may).abs() < 1e-3, "{year}");
    }
}

/// First day with 282 degree-days above 3 C from 1 January at JFK, and the total on it (same source).
#[test]
fn jfk_first_days() {
    let method = HeatMethod::above(Curve::SingleSine, 3.0);
    for (first, total) in [
        (date(2012, 3, 23), 287.894),
        (date(2013, 4, 19), 286.778),
        (date(2014, 4, 24), 285.137),
        (date(2015, 4, 25), 285.135),
    ] {
        let heat = daily(&jfk(), &method, date(first.year(), 1, 1)).unwrap();
        assert_eq!(heat.first_reaching(&Heat::celsius(method, 282.0)).unwrap(), Some(first));
        let on = heat.days.iter().find(|day| day.date == first).unwrap();
        assert!((on.total.unwrap() - total).abs() < 1e-3);
    }
}

/// The trap of mixed methods: at JFK in 2014 a sine total from 1 January reaches 100 degree-days F on 23 April, a
/// mean total from 1 March on 3 May. One cannot be held against the other.
#[test]
fn totals_of_different_methods_do_not_compare() {
    let sine = HeatMethod::above(Curve::SingleSine, celsius(50.0));
    let mean = HeatMethod::above(Curve::SimpleMean, celsius(50.0)).starting(StartDay::MARCH);
    let by_sine = daily(&jfk(), &sine, date(2014, 1, 1)).unwrap();
    let by_mean = daily(&jfk(), &mean, date(2014, 3, 1)).unwrap();
    let hundred = |method| Heat::fahrenheit(method, 100.0);
    assert_eq!(by_sine.first_reaching(&hundred(sine)).unwrap(), Some(date(2014, 4, 23)));
    assert_eq!(by_mean.first_reaching(&hundred(mean)).unwrap(), Some(date(2014, 5, 3)));
    let refused = by_sine.first_reaching(&hundred(mean)).unwrap_err();
    insta::assert_snapshot!(refused[0].to_string());
    assert_eq!(hundred(sine).partial_cmp(&hundred(mean)), None);
    assert_ne!(hundred(sine), hundred(mean));
}

/// A missing day is a gap: no heat that day, and no total from then on.
#[test]
fn a_missing_day_is_a_gap() {
    let mut series = jfk();
    series.days.retain(|day| day.date != date(2012, 1, 3));
    let heat = daily(&series, &HeatMethod::above(Curve::SingleSine, 3.0), date(2012, 1, 1)).unwrap();
    assert_eq!(heat.days[2].date, date(2012, 1, 3));
    assert_eq!((heat.days[2].daily, heat.days[2].total), (None, None));
    assert!(heat.days[1].total.is_some() && heat.days[3].daily.is_some() && heat.days[3].total.is_none());
}

#[test]
fn a_day_upside_down_is_an_error() {
    let mut series = jfk();
    series.days[4].min = Some(99.0);
    let wrong = daily(&series, &HeatMethod::above(Curve::SingleSine, 3.0), date(2012, 1, 1)).unwrap_err();
    insta::assert_snapshot!(wrong[0].to_string());
}

fn any_method() -> impl Strategy<Value = HeatMethod> {
    let curve = proptest::sample::select(Curve::ALL);
    let cutoff = proptest::sample::select(Cutoff::ALL);
    (curve, cutoff, -5.0..15.0, 5.0..30.0).prop_filter_map("a method that exists", |(curve, cutoff, base, more)| {
        let upper = (cutoff != Cutoff::None).then_some(base + more);
        HeatMethod::new(curve, base, upper, cutoff, StartDay::JANUARY).ok()
    })
}

proptest! {
    /// Degree-days F are 1.8 times degree-days C, whatever the method (definition of the units).
    #[test]
    fn units_do_not_matter(method in any_method(), low in -30.0..40.0_f64, swing in 0.0..30.0_f64, next in -30.0..40.0_f64) {
        let f = |c: f64| 1.8 * c + 32.0;
        let in_f = HeatMethod::new(
            method.curve(), f(method.base()), method.upper().map(f), method.cutoff(), StartDay::JANUARY,
        ).unwrap();
        let a = 1.8 * method.day(day(low, low + swing), Some(next));
        let b = in_f.day(day(f(low), f(low + swing)), Some(f(next)));
        prop_assert!((a - b).abs() < 1e-9, "{a} {b}");
    }

    /// Heat is never negative, and without a falling cutoff a warmer day never gives less.
    #[test]
    fn warmer_days_give_no_less(method in any_method(), low in -30.0..40.0_f64, swing in 0.0..30.0_f64, warmer in 0.0..5.0_f64) {
        let heat = method.day(day(low, low + swing), None);
        prop_assert!(heat >= 0.0);
        if matches!(method.cutoff(), Cutoff::None | Cutoff::Horizontal) {
            prop_assert!(method.day(day(low + warmer, low + swing + warmer), None) >= heat - 1e-9);
        }
    }
}
