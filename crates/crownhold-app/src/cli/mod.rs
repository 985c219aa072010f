//! Arguments in, text or JSON out. One file per command; each asks an action and prints the answer.

mod accounts;
mod aerial;
mod args;
mod backup;
mod blocks;
mod calibrate;
mod check;
mod close_count;
mod decide;
mod degree_days;
mod demo;
mod design;
mod explain;
mod frontier;
mod hindcast;
mod history;
mod import;
mod mailing;
mod map_files;
mod new;
mod next_plots;
mod outlook;
mod papers;
mod parameters;
mod people;
mod plan;
mod plan_difference;
mod recount;
mod reserve;
mod rounds;
mod sample;
mod serve;
mod species;
mod split;
mod spray_weather;
mod stop_rule;
mod stress;
mod survey;
mod table;
mod teams;
mod timing;
mod worth;

use std::io::Write as _;
use std::process::ExitCode;

use clap::Parser as _;
use crownhold::types::Problem;
use serde::Serialize;

pub use args::Args;
use args::Command;

use crate::trouble::Trouble;

/// Runs the command line of this process.
pub fn run() -> ExitCode {
    match dispatch(Args::parse()) {
        Ok(code) => code,
        Err(trouble) => {
            // Nothing sensible is left to do when the screen itself is gone.
            let _ = write!(std::io::stderr(), "{trouble}");
            ExitCode::FAILURE
        }
    }
}

fn dispatch(args: Args) -> Result<ExitCode, Trouble> {
    if let Some(threads) = args.threads {
        // Only the first call in a process can set the pool; this is the first.
        let _ = rayon::ThreadPoolBuilder::new().num_threads(threads).build_global();
    }
    match args.command {
        Command::Demo(a) => demo::run(&a),
        Command::New(a) => new::run(&a),
        Command::Import(a) => import::run(&a),
        Command::Blocks(a) => blocks::run(&a),
        Command::Split(a) => split::run(&a),
        Command::Aerial(a) => aerial::run(&a),
        Command::Mailing(a) => mailing::run(&a),
        Command::Accounts(a) => accounts::run(&a),
        Command::Teams(a) => teams::run(&a),
        Command::Rounds(a) => rounds::run(&a),
        Command::Calibrate(a) => calibrate::run(&a),
        Command::Check(a) => check::run(&a),
        Command::DegreeDays(a) => degree_days::run(&a),
        Command::Design(a) => design::run(&a),
        Command::StopRule(a) => stop_rule::run(&a),
        Command::Survey(a) => survey::run(&a),
        Command::Recount(a) => recount::run(&a),
        Command::Timing(a) => timing::run(&a),
        Command::SprayWeather(a) => spray_weather::run(&a),
        Command::Hindcast(a) => hindcast::run(&a),
        Command::Outlook(a) => outlook::run(&a),
        Command::Plan(a) => plan::run(&a),
        Command::Frontier(a) => frontier::run(&a),
        Command::MapFiles(a) => map_files::run(&a),
        Command::Worth(a) => worth::run(&a),
        Command::Stress(a) => stress::run(&a),
        Command::Reserve(a) => reserve::run(&a),
        Command::NextPlots(a) => next_plots::run(&a),
        Command::Papers(a) => papers::run(&a),
        Command::Decide(a) => decide::run(&a),
        Command::Parameters(a) => parameters::run(&a),
        Command::CloseCount(a) => close_count::run(&a),
        Command::Species(a) => species::run(&a),
        Command::Serve(a) => serve::run(&a),
        Command::History(a) => history::run(&a),
        Command::Undo(a) => history::undo(&a),
        Command::Explain(a) => explain::run(&a),
        Command::People(a) => people::run(&a),
        Command::Sample(a) => sample::run(&a),
        Command::Backup(a) => backup::run(&a),
    }
}

/// Prints text to standard output; a reader that has gone away (`| head`) is no error.
fn say(text: &str) {
    let mut out = std::io::stdout().lock();
    let _ =
        out.write_all(text.as_bytes()).and_then(|()| if text.ends_with('\n') { Ok(()) } else { out.write_all(b"\n") });
}

/// Prints a remark to standard error, so that it does not mix with the answer.
fn warn(problem: &Problem) {
    let _ = writeln!(std::io::stderr(), "{problem}");
}

/// Prints a value as JSON.
fn say_json(value: &impl Serialize) {
    say(&serde_json::to_string_pretty(value).expect("our own shapes have string keys only"));
}
