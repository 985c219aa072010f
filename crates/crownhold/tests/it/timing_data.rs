//! Weather for the timing tests: the JFK record, and made-up years.

#![allow(clippy::unwrap_used)]

use crownhold::types::{DayWeather, StationId, WeatherSeries};
use jiff::civil::{Date, date};

fn series(days: Vec<DayWeather>) -> WeatherSeries {
    WeatherSeries {
        station: StationId::new("S1"),
        name: "Test station".to_owned(),
        elevation: None,
        latitude: None,
        longitude: None,
        days,
    }
}

/// Daily weather of JFK 2012-2015 (see `reference/degree_days/NOTICE.md`).
pub fn jfk() -> WeatherSeries {
    let text = include_str!("reference/degree_days/jfk_daily_2012_2015_vega.csv");
    let day = |line: &str| {
        let cells: Vec<&str> = line.split(',').collect();
        let number = |i: usize| cells[i].parse().ok();
        DayWeather {
            date: cells[0].parse().unwrap(),
            min: number(3),
            max: number(2),
            precipitation: number(1),
            snow: None,
            forecast: false,
        }
    };
    series(text.lines().skip(1).map(day).collect())
}

/// The typical year of Pittsburgh (see `reference/degree_days/NOTICE.md`), dated 2021 and 2022: it is stitched
/// together from months of different years and has no year of its own.
pub fn pittsburgh() -> WeatherSeries {
    let text = include_str!("reference/degree_days/pittsburgh_agc_tmy3_daily.csv");
    let days = [2021, 2022].into_iter().flat_map(|year| {
        text.lines().skip(1).map(move |line| {
            let cells: Vec<f64> = line.split(',').map(|cell| cell.parse().unwrap()).collect();
            DayWeather {
                date: date(year, cells[0] as i8, cells[1] as i8),
                min: Some(cells[2]),
                max: Some(cells[3]),
                precipitation: None,
                snow: None,
                forecast: false,
            }
        })
    });
    series(days.collect())
}

/// Made-up weather of a cold-winter place, from the first of January of `first` to `last`: a yearly wave with
/// weeks of warm and cold that differ by year. `warmer` is added to every value.
pub fn cold_place(first: i16, last: Date, warmer: f64) -> WeatherSeries {
    let wave = |day: Date| {
        let t = f64::from(day.day_of_year());
        let year = f64::from(day.year());
        let season = 9.0 - 15.0 * ((t - 20.0) * std::f64::consts::TAU / 365.25).cos();
        let week = 4.0 * (t / 9.0 + 1.7 * year).sin() + 2.0 * (t / 2.3 + 0.9 * year * year).sin();
        season + week + 1.5 * (2.1 * year).sin() + warmer
    };
    let days = date(first, 1, 1).series(jiff::Span::new().days(1)).take_while(|day| *day <= last);
    series(
        days.map(|date| DayWeather {
            date,
            min: Some(wave(date) - 6.0),
            max: Some(wave(date) + 6.0),
            precipitation: None,
            snow: None,
            forecast: false,
        })
        .collect(),
    )
}
