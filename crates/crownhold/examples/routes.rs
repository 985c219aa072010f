//! The search for rounds from the command line, so that other programs can be set against it.
//!
//! `routes STEPS SEED < TASK` reads lines of words from standard input and prints the rounds as JSON. The lines:
//! `places N` and N lines of N minutes; `worker START END FROM TO LOAD`; `stop PLACE WORK LOAD OPENS CLOSES WORTH`, where
//! WORTH may be `-`. Everybody may do everything.
#![allow(clippy::print_stdout)]

use std::io::Read;

use crownhold::field::rounds::{Effort, Stop, Task, Travel, Worker, faults, search};

const USAGE: &str = "usage: routes STEPS SEED < TASK";

fn main() {
    match answer() {
        Some(json) => println!("{json}"),
        None => {
            eprintln!("{USAGE}");
            std::process::exit(2);
        }
    }
}

fn answer() -> Option<String> {
    let arguments: Vec<u64> = std::env::args().skip(1).map(|a| a.parse().ok()).collect::<Option<_>>()?;
    let [steps, seed] = arguments[..] else { return None };
    let mut text = String::new();
    std::io::stdin().read_to_string(&mut text).ok()?;
    let task = read(&text)?;
    let routes = search(&task, None, Effort { steps, seed }, &mut |_| true);
    let list = |all: &[usize]| format!("[{}]", all.iter().map(usize::to_string).collect::<Vec<_>>().join(", "));
    let rounds: Vec<String> = routes.rounds.iter().map(|r| list(r)).collect();
    Some(format!(
        "{{\"rounds\": [{}], \"left\": {}, \"travel\": {}, \"cost\": {}, \"faults\": {}}}",
        rounds.join(", "),
        list(&routes.left),
        routes.all_travel(&task),
        routes.cost(&task),
        faults(&task, &routes).len()
    ))
}

fn read(text: &str) -> Option<Task> {
    let mut lines = text.lines();
    let places: usize = lines.next()?.strip_prefix("places ")?.parse().ok()?;
    let mut minutes = Vec::with_capacity(places * places);
    for _ in 0..places {
        for word in lines.next()?.split_whitespace() {
            minutes.push(word.parse().ok()?);
        }
    }
    let mut task =
        Task { travel: Travel::new(places, minutes)?, stops: Vec::new(), workers: Vec::new(), may: Vec::new() };
    for line in lines {
        let (word, rest) = line.split_once(' ')?;
        let numbers: Vec<Option<f64>> = rest.split_whitespace().map(|w| w.parse().ok()).collect();
        match (word, &numbers[..]) {
            ("worker", [Some(start), Some(end), Some(from), Some(to), Some(load)]) => task.workers.push(Worker {
                start: *start as usize,
                end: *end as usize,
                hours: (*from, *to),
                load: *load,
                pace: 1.0,
            }),
            ("stop", [Some(place), Some(work), Some(load), Some(opens), Some(closes), worth]) => {
                task.stops.push(Stop {
                    place: *place as usize,
                    work: *work,
                    load: *load,
                    open: (*opens, *closes),
                    group: 0,
                    worth: *worth,
                })
            }
            _ => return None,
        }
    }
    task.may = vec![vec![true; task.workers.len()]];
    Some(task)
}
