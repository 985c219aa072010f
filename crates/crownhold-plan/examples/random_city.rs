//! `random_city SEED [BLOCKS] [LEAST ACRES] [GAP PER MILLE]` prints an invented city's model and our solution of it as JSON, so that
//! another solver can be set on the same problem. With a least area, spray blocks have to be joined and that large.
#![allow(clippy::print_stdout)]

#[path = "../tests/it/city.rs"]
#[allow(dead_code)]
mod city;

use crownhold_plan::{SolveSetting, model_text, solve};

fn main() {
    let mut arguments = std::env::args().skip(1).map(|a| a.parse::<u64>());
    let mut next = |otherwise| arguments.next().map_or(Some(otherwise), Result::ok);
    let (Some(seed), Some(blocks), Some(least), Some(gap)) = (next(1), next(20), next(0), next(0)) else {
        eprintln!("usage: random_city SEED [BLOCKS] [LEAST ACRES] [GAP PER MILLE], whole numbers");
        std::process::exit(2);
    };
    let city = city::realistic(seed, usize::try_from(blocks).unwrap_or(usize::MAX));
    let (options, limits) = match least {
        0 => city,
        acres => city::on_the_ground(city, seed, [acres as f64, 600.0, 12.0]),
    };
    let setting = SolveSetting { gap: gap as f64 / 1_000.0, node_limit: 1_000_000, ..SolveSetting::default() };
    let plan = solve(&options, &limits, &setting).expect("watching everywhere always fits");
    let solution = serde_json::json!({
        "gap": plan.gap,
        "host_beyond_accepted_m2": plan.aims.host_beyond_accepted.as_square_metres(),
        "sprayed_m2": plan.aims.sprayed.as_square_metres(),
        "cost_dollars": plan.aims.cost.as_dollars(),
        "options": plan.blocks.iter().map(|b| b.option).collect::<Vec<_>>(),
    });
    println!("{{\"model\": {}, \"solution\": {solution}}}", model_text(&options, &limits));
}
