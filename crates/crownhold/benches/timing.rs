//! How long a season forecast takes: 1, 180 and 500 members of 30 made-up years; the same with five field samples; and
//! the dates of 180 invented blocks with 1,000 members.

#![allow(missing_docs)]

use criterion::{Criterion, criterion_group, criterion_main};
use crownhold::Setting;
use crownhold::pellwood::pellwood;
use crownhold::timing::{Field, forecast, forecast_blocks};
use crownhold::types::{
    DayWeather, FieldSample, InstarCounts, LeafHost, Parameters, SampleId, Seen, Share, StationId, WeatherSeries,
};
use jiff::civil::{Date, date};

fn weather() -> WeatherSeries {
    season_to(date(2026, 4, 1))
}

fn season_to(last: Date) -> WeatherSeries {
    let mean = |day: Date| {
        let (t, year) = (f64::from(day.day_of_year()), f64::from(day.year()));
        9.0 - 15.0 * ((t - 20.0) * std::f64::consts::TAU / 365.25).cos() + 4.0 * (t / 9.0 + 1.7 * year).sin()
    };
    let day = |date| DayWeather {
        date,
        min: Some(mean(date) - 6.0),
        max: Some(mean(date) + 6.0),
        precipitation: None,
        snow: None,
        forecast: false,
    };
    let days = date(1996, 1, 1).series(jiff::Span::new().days(1)).take_while(|d| *d <= last);
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

/// Five samples of one spring; what is measured is the update with everything around it at one member, and the whole at
/// 500.
fn samples(c: &mut Criterion) {
    let (weather, parameters) = ([season_to(date(2026, 6, 5))], Parameters::defaults());
    let look = |id: &str, day: Date, seen| FieldSample {
        id: SampleId::new(id),
        date: day,
        block: None,
        place: String::new(),
        observer: String::new(),
        seen,
        note: String::new(),
    };
    let counts = |n| Seen::Instars(InstarCounts(n));
    let seen = [
        look("1", date(2026, 5, 4), Seen::FirstHatch),
        look("2", date(2026, 5, 18), counts([30, 8, 0, 0, 0, 0, 0])),
        look("3", date(2026, 5, 25), counts([6, 28, 6, 0, 0, 0, 0])),
        look("4", date(2026, 6, 2), counts([0, 9, 27, 4, 0, 0, 0])),
        look("5", date(2026, 5, 24), Seen::Leaf { host: LeafHost::RedOak, size: Share::clamped(0.4) }),
    ];
    for (samples, name) in [(&seen[..0], "without samples"), (&seen[..], "with five samples")] {
        let field = Field { samples, blocks: &[] };
        for draws in [1, 500] {
            let setting = Setting { today: date(2026, 6, 5), seed: 1, draws };
            c.bench_function(&format!("forecast of {draws} members {name}"), |b| {
                b.iter(|| forecast(&weather, field, &parameters, 2026, &setting).map(|timing| timing.learned));
            });
        }
    }
}

fn city(c: &mut Criterion) {
    let records = pellwood(1, 2027);
    let setting = Setting { today: date(2026, 11, 20), seed: 1, draws: 1000 };
    let field = Field { samples: &[], blocks: &records.blocks };
    c.bench_function("dates of the invented city, 1,000 members", |b| {
        b.iter(|| forecast_blocks(&records.weather, field, &records.parameters, 2027, &setting).map(|d| d.at.len()));
    });
}

criterion_group!(benches, forecasts, samples, city);
criterion_main!(benches);
