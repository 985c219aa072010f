//! Times the dates of a city: blocks x members x a year of days, every event, from the records in memory.
//!
//! `cargo run --release -p crownhold --example city_dates -- BLOCKS MEMBERS [REPEATS]` prints one line: best and middle
//! of the repeats in seconds, offsets, members, events, and the sum of all days of the year as a check that the work was
//! done. The weather is that of the invented city.

#![allow(clippy::print_stdout)]

use std::time::Instant;

use crownhold::Setting;
use crownhold::pellwood::pellwood;
use crownhold::timing::{Field, forecast_blocks};
use jiff::civil::date;

fn main() {
    let number = |at: usize, usual: usize| std::env::args().nth(at).and_then(|a| a.parse().ok()).unwrap_or(usual);
    let (blocks, members, repeats) = (number(1, 180), number(2, 1000), number(3, 7));
    let mut records = pellwood(1, 2027);
    records.blocks.truncate(blocks);
    let setting = Setting { today: date(2026, 11, 20), seed: 1, draws: members };
    let field = Field { samples: &[], blocks: &records.blocks };
    let mut seconds = Vec::new();
    let mut told = String::new();
    for _ in 0..repeats.max(1) {
        #[allow(clippy::disallowed_methods, reason = "an example measures from outside the domain")]
        let start = Instant::now();
        let dates = match forecast_blocks(&records.weather, field, &records.parameters, 2027, &setting) {
            Ok(dates) => dates,
            Err(problems) => {
                problems.iter().for_each(|p| println!("{p}"));
                return;
            }
        };
        seconds.push(start.elapsed().as_secs_f64());
        let days = dates.at.iter().flat_map(|at| &at.events).flat_map(|e| e.dates.iter().flatten());
        let sum: i64 = days.map(|d| i64::from(d.day_of_year())).sum();
        told = format!("offsets {} members {members} events {} sum {sum}", dates.at.len(), dates.at[0].events.len());
    }
    seconds.sort_by(f64::total_cmp);
    println!("blocks {} best {:.4} middle {:.4} {told}", records.blocks.len(), seconds[0], seconds[seconds.len() / 2]);
}
