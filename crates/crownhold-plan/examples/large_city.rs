//! `large_city BLOCKS [SEED] [LEAST ACRES] [GAP]` plans an invented city with spray blocks that have to be joined and
//! large enough, and prints what each of the three aims took. With MODEL=file the model is written there first, for other solvers;
//! with ONLY_HOST=1 only the first aim is searched.
#![allow(clippy::print_stdout, clippy::disallowed_methods, reason = "it prints, and it measures")]

#[path = "../tests/it/city.rs"]
#[allow(dead_code)]
mod city;

use std::time::Instant;

use crownhold::plan::{Groups, check};
use crownhold_plan::{Aim, Progress, SolveSetting, Watch, model_text, solve};

fn main() {
    let given: Vec<f64> = std::env::args().skip(1).filter_map(|a| a.parse().ok()).collect();
    let at = |i: usize, otherwise: f64| given.get(i).copied().unwrap_or(otherwise);
    let (blocks, seed, least, gap) = (at(0, 180.0) as usize, at(1, 1.0) as u64, at(2, 40.0), at(3, 1e-3));
    let (options, limits) = city::on_the_ground(city::realistic(seed, blocks), seed, [least, 600.0, 12.0]);
    if let Some(file) = std::env::var_os("MODEL") {
        std::fs::write(file, model_text(&options, &limits)).expect("the file can be written");
    }
    for aims in [&[Aim::Host][..], &Aim::ALL] {
        if aims.len() > 1 && std::env::var_os("ONLY_HOST").is_some() {
            break;
        }
        let began = Instant::now();
        let tell = |p: Progress| {
            if let (Some(best), Some(bound)) = (p.best, p.bound) {
                eprintln!("{:7.1} s {:?} {best:.3} {bound:.3}", began.elapsed().as_secs_f64(), p.aim);
            }
        };
        let watch = std::env::var_os("WATCH").map(|_| Watch(&tell));
        let setting = SolveSetting { gap, aims, watch, ..SolveSetting::default() };
        let plan = solve(&options, &limits, &setting).expect("watching everywhere always fits");
        let seconds = began.elapsed().as_secs_f64();
        let choice: Vec<usize> = plan.blocks.iter().map(|b| b.option).collect();
        println!(
            "{blocks} blocks, seed {seed}, at least {least} acres, {aims:?}: {seconds:.2} s, gap {:.3} %, {:?}, {} spray blocks, {:.0} acres flown, {} wrong",
            100.0 * plan.gap,
            plan.status,
            Groups::new(&options, &choice).members().len(),
            plan.sprayed().as_acres(),
            check(&plan, &options, &limits).len(),
        );
    }
}
