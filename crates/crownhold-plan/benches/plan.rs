//! Time of the three solves for an invented city of 180 blocks with 14 options each.
#![allow(missing_docs)]

#[path = "../tests/it/city.rs"]
#[allow(dead_code)]
mod city;

use criterion::{Criterion, criterion_group, criterion_main};
use crownhold_plan::{SolveSetting, solve};

fn plan(c: &mut Criterion) {
    let mut group = c.benchmark_group("plan");
    group.sample_size(10);
    for seed in [1, 2, 3] {
        let (options, limits) = city::realistic(seed, 180);
        group.bench_function(format!("180 blocks x 14 options, seed {seed}"), |b| {
            b.iter(|| solve(&options, &limits, &SolveSetting::default()).expect("watching everywhere always fits"));
        });
    }
    group.finish();
}

criterion_group!(benches, plan);
criterion_main!(benches);
