//! How long the stages of Pellwood take: `cargo bench -p crownhold --bench season`.

use criterion::{Criterion, criterion_group, criterion_main};
use crownhold::pellwood::pellwood;
use crownhold::{Setting, outlook, survey, tactics};
use jiff::civil::date;

fn stages(c: &mut Criterion) {
    let city = pellwood(1, 2027);
    let setting = Setting { today: date(2026, 11, 25), seed: 1, draws: 500 };
    let density = survey::estimate(&city, &setting).expect("Pellwood has counts");
    let mut group = c.benchmark_group("pellwood, 500 draws");
    group.sample_size(10);
    group.bench_function("city", |b| b.iter(|| pellwood(1, 2027)));
    group.bench_function("density", |b| b.iter(|| survey::estimate(&city, &setting)));
    group.bench_function("outlook", |b| b.iter(|| outlook::forecast(&city, &density, &setting)));
    group.bench_function("options", |b| b.iter(|| tactics::options(&city, &density, None, &setting)));
    group.finish();
}

criterion_group!(benches, stages);
criterion_main!(benches);
