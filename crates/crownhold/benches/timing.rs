//! How long a season forecast takes: 1, 180 and 500 members of 30 made-up years.

#![allow(missing_docs)]

use criterion::{Criterion, criterion_group, criterion_main};
use crownhold::Setting;
use crownhold::timing::{Field, forecast};
use crownhold::types::{DayWeather, Parameters, StationId, WeatherSeries};
use jiff::civil::{Date, date};

fn weather() -> WeatherSeries {
    let mean = |day: Date| {
        let (t, year) = (f64::from(day.day_of_year()), f64::from(day.year()));
        9.0 - 15.0 * ((t - 20.0) * std::f64::consts::TAU / 365.25).cos() + 4.0 * (t / 9.0 + 1.7 * year).sin()
    };
    let day = |date| DayWeather {
        date,
        min: Some(mean(date) - 6.0),
        max: Some(mean(date) + 6.0),
        precipitation: None,
        forecast: false,
    };
    let days = date(1996, 1, 1).series(jiff::Span::new().days(1)).take_while(|d| *d <= date(2026, 4, 1));
    WeatherSeries {
        station: StationId::new("S1"),
        name: "Bench".to_owned(),
        elevation: None,
        latitude: None,
        longitude: None,
        days: days.map(day).collect(),
    }
}

fn forecasts(c: &mut Criterion) {
    let (weather, parameters) = ([weather()], Parameters::defaults());
    for draws in [1, 180, 500] {
        let setting = Setting { today: date(2026, 4, 1), seed: 1, draws };
        c.bench_function(&format!("forecast of {draws} members"), |b| {
            b.iter(|| {
                forecast(&weather, Field::default(), &parameters, 2026, &setting).map(|timing| timing.stages.len())
            });
        });
    }
}

criterion_group!(benches, forecasts);
criterion_main!(benches);
