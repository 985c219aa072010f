//! Ten past springs of invented hours, in step with the invented days.

use jiff::civil::Date;

use crate::types::chance::{normal, stream, uniform};
use crate::types::{DayWeather, HourWeather, HourlySeries, WeatherSeries};

/// Minutes ahead of universal time in spring: daylight time of the invented city's longitude.
const OFFSET: i16 = -300;

/// April to June of the ten years before the season.
///
/// Temperature swings between the day's low and high, damp follows it, wind is calm at dawn and freshens to the
/// afternoon with a strength that remembers yesterday, and a wet day's rain falls in a spell of two to eight hours.
pub(super) fn springs(seed: u64, season: i16, days: &WeatherSeries) -> HourlySeries {
    let mut hours = Vec::new();
    for year in season - 10..season {
        let mut rng = stream(seed, "pellwood.hours", u64::from(year.unsigned_abs()));
        let mut strength = 0.0;
        let (from, to) = (Date::constant(year, 4, 1), Date::constant(year, 6, 30));
        for day in days.days.iter().filter(|day| (from..=to).contains(&day.date)) {
            strength = 0.6 * strength + 0.8 * normal(&mut rng);
            let spell = (24.0 * uniform(&mut rng), 2.0 + 6.0 * uniform(&mut rng), 360.0 * uniform(&mut rng));
            let noise: [f64; 24] = std::array::from_fn(|_| normal(&mut rng));
            hours.extend((0..24_i8).filter_map(|hour| one(day, hour, strength, spell, noise)));
        }
    }
    HourlySeries { station: days.station.clone(), hours }
}

fn one(day: &DayWeather, hour: i8, strength: f64, spell: (f64, f64, f64), noise: [f64; 24]) -> Option<HourWeather> {
    let (low, high) = (day.min?, day.max?);
    let at = f64::from(hour);
    let noise = noise[usize::try_from(hour).ok()?];
    // 0 at five in the morning, 1 at three in the afternoon.
    let warm = 0.5 - 0.5 * libm::cos(std::f64::consts::PI * ((at - 5.0).rem_euclid(24.0) / 10.0).min(1.0));
    let warm = if (15.0..24.0).contains(&at) || at < 5.0 {
        0.5 + 0.5 * libm::cos(std::f64::consts::PI * (at - 15.0).rem_euclid(24.0) / 14.0)
    } else {
        warm
    };
    let rain = day.precipitation.unwrap_or(0.0);
    let raining = rain > 0.0 && (at - spell.0).rem_euclid(24.0) < spell.1;
    let tenth = |v: f64| (v * 10.0).round() / 10.0;
    let wind = tenth((1.4 + 2.6 * warm) * libm::exp(0.45 * strength) + 0.5 * noise).max(0.0);
    let damp = 94.0 - 46.0 * warm + if rain > 0.0 { 10.0 } else { 0.0 } + 3.0 * noise;
    Some(HourWeather {
        temperature: Some(tenth(low + (high - low) * warm)),
        humidity: Some(if raining { 97.0 } else { damp.clamp(20.0, 99.0).round() }),
        wind: Some(wind),
        gust: (wind > 5.0).then(|| tenth(1.5 * wind)),
        direction: Some((spell.2 / 10.0).round() * 10.0 % 360.0),
        precipitation: Some(if raining { tenth(rain / spell.1) } else { 0.0 }),
        ..HourWeather::empty(day.date.at(hour, 0, 0, 0), OFFSET)
    })
}
