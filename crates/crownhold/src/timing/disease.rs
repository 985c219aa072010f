//! Does the weather suit the fungus? A wet-spring index, and never a share of dead larvae: no regression with
//! coefficients is published. Virus deaths follow density and not the weather (Woods & Elkinton 1987).

use std::collections::BTreeMap;

use jiff::civil::{Date, date};

use crate::types::draws::quantile;
use crate::types::records::choice;
use crate::types::{HourWeather, Parameters, WeatherSeries};

choice! {
    /// What can be said.
    Suits {
        /// More wet days than the local middle.
        Yes = "suits",
        /// As many or fewer.
        No = "does not suit",
        /// Too few days or past years.
        NotKnown = "not known",
    }
}

/// A spring's wet days beside the local normal.
#[derive(Clone, Debug, PartialEq)]
pub struct WetSpring {
    /// The spring.
    pub year: i16,
    /// First day counted (15 May).
    pub from: Date,
    /// Last day counted: 30 June, or the last known day.
    pub to: Date,
    /// Days with rain enough.
    pub wet_days: usize,
    /// Days whose rain is known.
    pub known: usize,
    /// Middle of the same count in past years; `None` with fewer than five.
    pub normal: Option<f64>,
    /// Past years it is from.
    pub years: usize,
    /// Humid nights, and nights whose humidity is known; where there are hourly readings.
    pub humid_nights: Option<(usize, usize)>,
    /// The verdict.
    pub suits: Suits,
}

/// Fewer past years make no normal.
const ENOUGH_YEARS: usize = 5;
/// Fewer days seen say nothing about a spring.
const ENOUGH_DAYS: usize = 14;
/// Share of days whose rain must be known.
const KNOWN_ENOUGH: f64 = 0.8;

/// The wet days of a spring so far, from 15 May to 30 June, beside those of past years over the same days.
///
/// Days after `today` are not looked at. `None` before the spring's 15 May, or when no day of it is known.
pub fn wet_spring(
    series: &WeatherSeries,
    hours: &[HourWeather],
    year: i16,
    today: Date,
    parameters: &Parameters,
) -> Option<WetSpring> {
    let limit = parameters.number("timing.disease.wet-day");
    let rain: BTreeMap<Date, f64> =
        series.days.iter().filter(|day| !day.forecast).filter_map(|day| Some((day.date, day.precipitation?))).collect();
    let (from, end) = (date(year, 5, 15), date(year, 6, 30).min(today));
    if end < from {
        return None;
    }
    let (to, _) = rain.range(from..=end).next_back()?;
    let count = |year: i16| {
        let (from, to) = (date(year, from.month(), from.day()), date(year, to.month(), to.day()));
        let days = || rain.range(from..=to);
        let length = f64::from((to - from).get_days()) + 1.0;
        let known = days().count();
        (days().filter(|(_, mm)| **mm >= limit).count(), known, known as f64 >= KNOWN_ENOUGH * length)
    };
    let (wet_days, known, enough) = count(year);
    let first = rain.keys().next().map_or(year, |day| day.year());
    let past: Vec<f64> = (first..year).map(count).filter(|(.., enough)| *enough).map(|(wet, ..)| wet as f64).collect();
    let normal = (past.len() >= ENOUGH_YEARS).then(|| quantile(&past, 0.5));
    let suits = match normal {
        Some(normal) if enough && known >= ENOUGH_DAYS => {
            if wet_days as f64 > normal {
                Suits::Yes
            } else {
                Suits::No
            }
        }
        _ => Suits::NotKnown,
    };
    let humid_nights = humid_nights(hours, from, *to, parameters.number("timing.disease.humid-night"));
    Some(WetSpring { year, from, to: *to, wet_days, known, normal, years: past.len(), humid_nights, suits })
}

/// Nights, from 8 in the evening to 6 in the morning, whose mean humidity reaches the limit, named by their morning.
fn humid_nights(hours: &[HourWeather], from: Date, to: Date, limit: f64) -> Option<(usize, usize)> {
    let mut nights: BTreeMap<Date, Vec<f64>> = BTreeMap::new();
    for hour in hours.iter().filter(|hour| !hour.forecast) {
        let night = match hour.time.hour() {
            20.. => hour.time.date().tomorrow().ok(),
            ..6 => Some(hour.time.date()),
            _ => None,
        };
        if let (Some(night), Some(humidity)) = (night.filter(|n| (from..=to).contains(n)), hour.humidity) {
            nights.entry(night).or_default().push(humidity);
        }
    }
    let means: Vec<f64> =
        nights.values().filter(|all| all.len() >= 6).map(|all| crate::types::draws::mean(all)).collect();
    (!means.is_empty()).then(|| (means.iter().filter(|mean| **mean >= limit).count(), means.len()))
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::types::{DayWeather, StationId};

    fn series(wet_each: &[(i16, usize)]) -> WeatherSeries {
        let mut days = Vec::new();
        for (year, every) in wet_each {
            for (i, day) in date(*year, 5, 1).series(jiff::Span::new().days(1)).take(70).enumerate() {
                let rain = if i % every == 0 { 5.0 } else { 0.0 };
                days.push(DayWeather {
                    date: day,
                    min: None,
                    max: None,
                    precipitation: Some(rain),
                    snow: None,
                    forecast: false,
                });
            }
        }
        WeatherSeries {
            station: StationId::new("A"),
            name: "A".to_owned(),
            elevation: None,
            latitude: None,
            longitude: None,
            days,
        }
    }

    #[test]
    fn a_spring_is_held_against_its_own_past() {
        let parameters = Parameters::defaults();
        let past = [(2020, 4), (2021, 5), (2022, 3), (2023, 4), (2024, 4)];
        let look = |this: usize, today| {
            let all: Vec<_> = past.into_iter().chain([(2025, this)]).collect();
            wet_spring(&series(&all), &[], 2025, today, &parameters)
        };
        let wet = look(2, date(2025, 8, 1)).unwrap();
        assert_eq!((wet.suits, wet.to, wet.years, wet.known), (Suits::Yes, date(2025, 6, 30), 5, 47));
        assert_eq!(look(9, date(2025, 8, 1)).unwrap().suits, Suits::No);
        assert_eq!(look(2, date(2025, 5, 20)).unwrap().suits, Suits::NotKnown);
        assert!(look(2, date(2025, 5, 1)).is_none());
        assert_eq!(wet_spring(&series(&[(2025, 2)]), &[], 2025, date(2025, 8, 1), &parameters).unwrap().normal, None);
    }
}
