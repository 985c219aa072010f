//! Hourly weather in the ways stations and services write it, and through a programme file.

use crownhold::timing::spray::{Limits, Place, Spraying, judge};
use crownhold::types::{HourWeather, Parameters};
use crownhold_data::formats::{Kind, Wishes};
use crownhold_data::store::{ProgrammeFile, StoreError};
use jiff::civil::date;

use crate::formats::{bring, codes, programme, sample, told};

fn text(path: &str) -> String {
    String::from_utf8(sample(path)).unwrap()
}

fn hours(name: &str, text: &str, wishes: &Wishes) -> Vec<HourWeather> {
    let mut records = programme();
    let report = bring(Kind::Hourly, name, text, wishes, &mut records);
    assert!(!report.has_errors(), "{}", told(&report));
    records.hourly.remove(0).hours
}

/// Only wind and humidity judge, as in the counts from outside.
fn bare(hours: &[HourWeather], wind_most: f64, with_rain: bool) -> usize {
    let limits = Limits {
        wind_most,
        wind_least: 0.0,
        gust_most: f64::INFINITY,
        humidity_least: 50.0,
        temperature_least: -100.0,
        temperature_most: 100.0,
        rain_free: 0,
        before_sunrise: 1440,
        ..Limits::read(&Parameters::defaults(), Spraying::Air).unwrap()
    };
    let dry =
        |h: &HourWeather| HourWeather { precipitation: if with_rain { h.precipitation } else { Some(0.0) }, ..*h };
    let hours: Vec<HourWeather> = hours.iter().map(dry).collect();
    let judged = judge(&hours, Place { latitude: 40.6, longitude: -73.8 }, &limits);
    judged.iter().filter(|h| h.reasons.is_empty() && h.missing.is_empty()).count()
}

/// 330 of 744 by pandas 3.1.1: wind at most 10 mph, humidity at least 50 %, no rain, blanks excluded.
#[test]
fn jfk_in_may_2013() {
    let wishes = Wishes {
        offset: Some(-240),
        units: [("temperature", "F"), ("wind", "mph"), ("gust", "mph"), ("precipitation", "in")]
            .map(|(f, u)| (f.to_owned(), u.to_owned()))
            .into(),
        ..Wishes::default()
    };
    let hours = hours("jfk.csv", &text("good/jfk_hours_may_2013.csv"), &wishes);
    assert_eq!(hours.len(), 744);
    assert_eq!(bare(&hours, 10.0 * 0.44704, true), 330);
}

/// 347 by pandas 3.1.1: wind at most 4.5 m/s, humidity at least 50 %; hours of a typical year run from 1 to 24.
#[test]
fn pittsburgh_in_a_typical_may() {
    let map = [("temperature", "dry_bulb_c"), ("humidity", "rh_pct"), ("wind", "wind_speed_ms")];
    let wishes =
        Wishes { offset: Some(-300), map: map.map(|(f, c)| (f.to_owned(), c.to_owned())).into(), ..Wishes::default() };
    let hours = hours("pittsburgh.csv", &text("good/pittsburgh_hours_may_tmy3.csv"), &wishes);
    assert_eq!(hours.len(), 744);
    assert_eq!(bare(&hours, 4.5, false), 347);
}

const SERVICE: &str = "time,temp F,RH %,wind speed mph,wind gust mph,precip in,chance of rain,lat,lon\n\
    2027-05-10T06:00-04:00,50,80,5,,0.10,20%,42.28,-83.74\n\
    2027-05-10T06:53-04:00,59,70,10,20,T,30%,42.28,-83.74\n\
    2027-05-10T08:00-04:00,M,,,,,10%,42.28,-83.74\n";

#[test]
fn us_units_come_out_metric() {
    let hours = hours("service.csv", SERVICE, &Wishes::default());
    assert_eq!(hours.iter().map(|h| h.time.hour()).collect::<Vec<_>>(), [6, 7, 8]);
    let (a, b) = (hours[0], hours[1]);
    assert_eq!((a.temperature, a.humidity, a.wind, a.precipitation), (Some(10.0), Some(80.0), Some(2.235), Some(2.54)));
    assert_eq!((a.offset, a.rain_chance, a.gust), (-240, Some(20.0), None));
    assert_eq!((b.gust, b.precipitation), (Some(8.941), Some(0.0)));
    assert_eq!((hours[2].temperature, hours[2].wind, hours[2].rain_chance), (None, None, Some(10.0)));
}

#[test]
fn what_is_wrong_is_said() {
    let say = |text: &str| {
        let mut records = programme();
        let report = bring(Kind::Hourly, "hours.csv", text, &Wishes::default(), &mut records);
        assert!(records.hourly.is_empty() || !report.has_errors());
        codes(&report)
    };
    assert!(say("time,temp F\n2027-05-10 06:00,50\n").contains(&"I-201"));
    assert!(say("time,wind mph\n2027-05-10 06:00,5\n").contains(&"I-623"));
    assert!(say("time,wind,lon,lat\n2027-05-10 06:00,5,-83,42\n").contains(&"I-205"));
    assert!(say("time,wind mph,lon,lat\n2027-05-10 26:00,5,-83,42\n").contains(&"I-620"));
    let twice = "time,wind mph,lon,lat\n2027-05-10 06:00,5,-83,42\n2027-05-10 06:00,9,-83,42\n";
    assert!(say(twice).contains(&"I-625") && !say(twice).contains(&"I-620"));
    assert!(say("time,wind mph,lon,lat\n2027-05-10 06:00,5,-83,42\n").contains(&"I-624"));
}

#[test]
fn hours_go_through_a_programme_file_and_an_undo() {
    let dir = tempfile::tempdir().unwrap();
    let when = "2027-05-09T12:00:00Z";
    let mut city = programme();
    let mut file = ProgrammeFile::create(dir.path().join("p.gpkg"), &city.programme, "A", when).unwrap();
    let report = bring(Kind::Hourly, "service.csv", SERVICE, &Wishes::default(), &mut city);
    assert!(!report.has_errors(), "{}", told(&report));
    file.change("A", when, "hours", |records| {
        records.weather.clone_from(&city.weather);
        records.hourly.clone_from(&city.hourly);
        Ok::<_, StoreError>(())
    })
    .unwrap();
    assert_eq!(file.read().unwrap().hourly, city.hourly);
    assert_eq!(city.weather[0].longitude, Some(-83.74));
    let entry = file.history().unwrap().pop().unwrap();
    assert_eq!(entry.changes["weather_hours"], 1, "a day is one row");
    file.undo("A", when).unwrap();
    assert!(file.read().unwrap().hourly.is_empty());
    assert_eq!(city.hourly[0].hours[0].time, date(2027, 5, 10).at(6, 0, 0, 0));
}
