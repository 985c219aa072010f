//! The sun against NREL's algorithm in other hands; hours, mornings and windows against worked cases.

use std::collections::BTreeMap;

use crownhold::timing::spray::{
    Climatology, Light, Limits, Morning, Place, Reading, Reason, Spraying, Verdict, daylight, judge, mornings, position,
};
use crownhold::timing::{Window, WindowKind};
use crownhold::types::{HourWeather, Parameters, Value};
use jiff::civil::{Date, DateTime, date};
use proptest::prelude::*;

const ANN_ARBOR: Place = Place { latitude: 42.2808, longitude: -83.7430 };

fn seconds_apart(a: DateTime, day: Date, (h, m, s): (i8, i8, i8)) -> i64 {
    let b = day.at(h, m, s, 0);
    a.until((jiff::Unit::Second, b)).unwrap().get_seconds().abs()
}

/// Sunrise and sunset by pvlib 0.16.1 (`get_sunrise_sunset_transit`): NREL's paper example, then Great Lakes cities.
#[test]
fn sunrise_and_sunset() {
    let cases = [
        (42.2808, -83.7430, date(2024, 5, 10), -240, (6, 18, 29), (20, 44, 53)),
        (42.2808, -83.7430, date(2025, 6, 1), -240, (6, 0, 51), (21, 5, 18)),
        (46.5436, -87.3956, date(2024, 5, 20), -240, (6, 9, 31), (21, 23, 29)),
        (43.0731, -89.4012, date(2024, 5, 15), -300, (5, 33, 35), (20, 15, 0)),
        (42.8864, -78.8784, date(2024, 6, 20), -240, (5, 36, 47), (20, 57, 44)),
        (46.7867, -92.1005, date(2024, 3, 20), -300, (7, 10, 13), (19, 21, 54)),
    ];
    // The example's published sunset, 17:20:19, is the one on its day of universal time: the evening before.
    let golden = Place { latitude: 39.742476, longitude: -105.1786 };
    let (before, day) = (date(2003, 10, 16), date(2003, 10, 17));
    assert!(seconds_apart(daylight(day, golden, -420, Light::Sun).unwrap().from, day, (6, 12, 43)) <= 60);
    assert!(seconds_apart(daylight(before, golden, -420, Light::Sun).unwrap().to, before, (17, 20, 19)) <= 60);
    for (latitude, longitude, day, offset, rise, set) in cases {
        let sun = daylight(day, Place { latitude, longitude }, offset, Light::Sun).unwrap();
        let off = (seconds_apart(sun.from, day, rise), seconds_apart(sun.to, day, set));
        assert!(off.0 <= 60 && off.1 <= 60, "{day}: {sun:?} is off by {off:?} s");
    }
}

/// Twilight at Ann Arbor on 10 May 2024 by pvlib 0.16.1.
#[test]
fn twilight() {
    let cases = [
        (Light::Civil, (5, 46, 52), (21, 16, 37)),
        (Light::Nautical, (5, 7, 36), (21, 56, 5)),
        (Light::Astronomical, (4, 23, 43), (22, 40, 18)),
    ];
    let day = date(2024, 5, 10);
    for (light, from, to) in cases {
        let found = daylight(day, ANN_ARBOR, -240, light).unwrap();
        assert!(seconds_apart(found.from, day, from) <= 60 && seconds_apart(found.to, day, to) <= 60, "{found:?}");
    }
}

/// The sun's place: NREL's published example (true height from its refracted zenith is not given, so the bearing),
/// then pvlib 0.16.1.
#[test]
fn where_the_sun_stands() {
    let golden = Place { latitude: 39.742476, longitude: -105.1786 };
    let (_, bearing) = position(date(2003, 10, 17).at(12, 30, 30, 0), golden, -420).unwrap();
    assert!((bearing - 194.34024).abs() < 0.01, "{bearing}");
    for (hour, height, bearing) in [(7, 6.29735, 71.60067), (12, 58.80089, 134.50486), (20, 6.86795, 288.06437)] {
        let found = position(date(2024, 5, 10).at(hour, 0, 0, 0), ANN_ARBOR, -240).unwrap();
        assert!((found.0 - height).abs() < 0.01 && (found.1 - bearing).abs() < 0.01, "{found:?}");
    }
}

#[test]
fn no_sunrise_in_the_far_north() {
    let north = Place { latitude: 75.0, longitude: 20.0 };
    assert_eq!(daylight(date(2024, 6, 20), north, 0, Light::Sun), None);
    assert_eq!(daylight(date(2024, 6, 20), Place { latitude: 95.0, longitude: 0.0 }, 0, Light::Sun), None);
}

fn limits() -> Limits {
    Limits::read(&Parameters::defaults(), Spraying::Air).unwrap()
}

/// A good hour: 12 C, 70 %, 2 m/s, dry.
fn good(time: DateTime) -> HourWeather {
    HourWeather {
        temperature: Some(12.0),
        humidity: Some(70.0),
        wind: Some(2.0),
        precipitation: Some(0.0),
        ..HourWeather::empty(time, -240)
    }
}

fn good_day(day: Date) -> Vec<HourWeather> {
    (0..24).map(|h| good(day.at(h, 0, 0, 0))).collect()
}

#[test]
fn every_reason_of_a_no_is_given() {
    let day = date(2024, 5, 10);
    let mut hours = good_day(day);
    hours[8] =
        HourWeather { wind: Some(6.0), gust: Some(9.0), humidity: Some(30.0), temperature: Some(30.0), ..hours[8] };
    hours[9] = HourWeather { wind: Some(0.5), temperature: Some(1.0), ..hours[9] };
    hours[12].precipitation = Some(0.5);
    hours[15].precipitation = None;
    hours[16].humidity = None;
    let judged = judge(&hours, ANN_ARBOR, &limits());
    assert_eq!(judged[5].reasons, [Reason::Dark]);
    assert_eq!(judged[6].verdict(), Verdict::Go);
    assert_eq!(
        judged[8].reasons,
        [Reason::WindStrong(6.0), Reason::Dry(30.0), Reason::Warm(30.0), Reason::Gusts(9.0), Reason::RainAhead(4)]
    );
    assert_eq!(judged[9].reasons, [Reason::Calm(0.5), Reason::Cold(1.0), Reason::RainAhead(3)]);
    assert_eq!(judged[12].reasons, [Reason::RainNow]);
    assert_eq!(judged[12].missing, [Reading::RainAhead]);
    assert_eq!((judged[15].verdict(), &judged[15].missing[..]), (Verdict::Unknown, &[Reading::Rain][..]));
    assert_eq!((judged[16].verdict(), &judged[16].missing[..]), (Verdict::Unknown, &[Reading::Humidity][..]));
    // The file ends at midnight: from 20:00 on the four hours after are not all known.
    assert_eq!(judged[19].missing, []);
    assert_eq!(judged[20].missing, [Reading::RainAhead]);
}

#[test]
fn a_forecast_chance_stands_in_for_rain() {
    let mut hours = good_day(date(2024, 5, 10));
    for hour in &mut hours {
        hour.precipitation = None;
        hour.rain_chance = Some(if hour.time.hour() == 11 { 60.0 } else { 10.0 });
    }
    let judged = judge(&hours, ANN_ARBOR, &limits());
    assert_eq!(judged[6].verdict(), Verdict::Go);
    assert_eq!(judged[8].reasons, [Reason::RainAhead(3)]);
    assert_eq!(judged[11].reasons, [Reason::RainNow]);
}

#[test]
fn mornings_want_hours_in_a_row() {
    let (day, limits) = (date(2024, 5, 10), limits());
    let morning = |change: &dyn Fn(&mut Vec<HourWeather>)| {
        let mut hours = good_day(day);
        change(&mut hours);
        mornings(&judge(&hours, ANN_ARBOR, &limits), &limits)[&day]
    };
    // Light hours before ten: 6, 7, 8, 9.
    assert_eq!(morning(&|_| ()), Morning::Suitable);
    assert_eq!(
        morning(&|h| {
            h[7].wind = Some(8.0);
            h[9].wind = Some(8.0);
        }),
        Morning::Unsuitable
    );
    assert_eq!(
        morning(&|h| {
            h[7].wind = None;
            h[9].wind = Some(8.0);
        }),
        Morning::Unknown
    );
    assert_eq!(
        morning(&|h| {
            h.remove(7);
            h[8].wind = Some(8.0);
        }),
        Morning::Unknown
    );
    // The file begins at nine: what was before may have been good.
    assert_eq!(morning(&|h| drop(h.drain(..9))), Morning::Unknown);
    assert_eq!(morning(&|h| h[10].precipitation = Some(1.0)), Morning::Unsuitable);
}

fn window(spans: &[Option<(Date, Date)>]) -> Window {
    Window {
        kind: WindowKind::AerialBtk,
        opens: spans.iter().map(|s| s.map(|s| s.0)).collect(),
        closes: spans.iter().map(|s| s.map(|s| s.1)).collect(),
        rule: String::new(),
    }
}

/// Two past years: one with every morning of May suitable, one with none. Independent mornings would give near
/// certainty of one in ten days; whole years give a half.
#[test]
fn mornings_of_a_year_stay_together() {
    let mut all = BTreeMap::new();
    for (year, morning) in [(2020, Morning::Suitable), (2021, Morning::Unsuitable)] {
        for day in 1..=31 {
            all.insert(date(year, 5, day), morning);
        }
    }
    let past = Climatology::new(&all, 2027, 7);
    let span = Some((date(2027, 5, 10), date(2027, 5, 12)));
    let found = past.in_window(&window(&[span, None])).unwrap();
    assert_eq!(found.chance, [0.25, 0.25, 0.25, 0.0, 0.0]);
    assert_eq!((found.range[0], found.expected, found.without), ((0.0, 0.5), 0.75, 0.5));
    assert_eq!(found.notes[0].code, "timing.few-spray-years");
    assert!(past.in_window(&window(&[Some((date(2027, 8, 1), date(2027, 8, 9)))])).is_none());
    let days = past.by_day(date(2027, 5, 10), date(2027, 5, 10));
    assert_eq!((days[0].chance, days[0].mornings), (0.5, 30));
}

proptest! {
    /// Loosening a limit never turns a go into a no.
    #[test]
    fn looser_is_never_stricter(winds in prop::collection::vec(prop::option::of(0.0..12.0), 24), more in 0.0..10.0) {
        let mut hours = good_day(date(2024, 5, 10));
        hours.iter_mut().zip(&winds).for_each(|(hour, wind)| hour.wind = *wind);
        let strict = limits();
        let loose = Limits { wind_most: strict.wind_most + more, wind_least: 0.0, ..strict };
        let go = |limits| judge(&hours, ANN_ARBOR, limits).iter().map(|h| h.verdict() == Verdict::Go).collect::<Vec<_>>();
        prop_assert!(go(&strict).iter().zip(go(&loose)).all(|(a, b)| !a || b));
    }

    /// More mornings are never likelier than fewer, and a window twice as long is never worse.
    #[test]
    fn chances_fall_with_the_number(pattern in prop::collection::vec(any::<bool>(), 93), start in 1i8..10, long in 1i8..10) {
        let mut all = BTreeMap::new();
        for (i, suitable) in pattern.iter().enumerate() {
            let morning = if *suitable { Morning::Suitable } else { Morning::Unsuitable };
            all.insert(date(2020 + (i / 31) as i16, 5, 1 + (i % 31) as i8), morning);
        }
        let past = Climatology::new(&all, 2027, 7);
        let of = |days: i8| past.in_window(&window(&[Some((date(2027, 5, start), date(2027, 5, start + days)))])).unwrap();
        let (short, longer) = (of(long), of(2 * long));
        prop_assert!(short.chance.windows(2).all(|w| w[0] >= w[1]));
        prop_assert!(short.chance.iter().zip(longer.chance).all(|(a, b)| *a <= b));
    }
}

#[test]
fn limits_that_make_no_sense_are_named() {
    let mut parameters = Parameters::defaults();
    assert!(parameters.set("timing.spray-air.wind-least", Value::Number(20.0), "test"));
    let wrong = Limits::read(&parameters, Spraying::Air).unwrap_err();
    assert_eq!(wrong[0].place.item.as_deref(), Some("timing.spray-air.wind-most"));
}
