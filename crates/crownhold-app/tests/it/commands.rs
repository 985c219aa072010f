//! The words of the command line: help and errors, as people see them.

use std::process::{Command, Output};

pub fn crownhold(args: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_crownhold")).args(args).env("USER", "tester").output().unwrap()
}

pub fn text(output: &Output) -> String {
    String::from_utf8(output.stdout.clone()).unwrap()
}

pub fn trouble(output: &Output) -> String {
    assert!(!output.status.success());
    String::from_utf8(output.stderr.clone()).unwrap()
}

#[test]
fn help() {
    insta::assert_snapshot!(text(&crownhold(&["--help"])));
}

#[test]
fn help_of_every_command() {
    let commands = [
        "demo",
        "new",
        "import",
        "blocks",
        "check",
        "degree-days",
        "design",
        "stop-rule",
        "survey",
        "recount",
        "split",
        "timing",
        "hindcast",
        "outlook",
        "plan",
        "frontier",
        "worth",
        "papers",
        "aerial",
        "mailing",
        "map-files",
        "teams",
        "rounds",
        "calibrate",
        "decide",
        "parameters",
        "history",
        "undo",
        "explain",
        "close-count",
        "species",
        "people",
        "sample",
        "spray-weather",
        "next-plots",
        "stress",
        "reserve",
        "blocks",
        "accounts",
        "serve",
        "backup",
    ];
    let all: String = commands.iter().map(|c| format!("## {c}\n{}\n", text(&crownhold(&[c, "--help"])))).collect();
    insta::assert_snapshot!(all);
}

/// Each wrong call names what was found, what was expected and what to do.
#[test]
fn wrong_calls() {
    let dir = tempfile::tempdir().unwrap();
    let file = dir.path().join("p.gpkg");
    let file = file.to_str().unwrap();
    assert!(
        crownhold(&["new", file, "--name", "Pellwood", "--crs", "EPSG:32616", "--season", "2027"]).status.success()
    );
    let calls: [&[&str]; 13] = [
        &["new", file, "--name", "Again", "--crs", "EPSG:32616"],
        &["new", "x.gpkg", "--name", "X", "--crs", "here"],
        &["new", "x.gpkg", "--name", "X", "--crs", "EPSG:32616", "--units", "furlongs"],
        &["survey", "nowhere.gpkg"],
        &["survey", file],
        &["plan", file, "--budget", "-5", "--max-sprayed-acres", "inf"],
        &["timing", file],
        &["import", "nowhere.csv", "--as", "trees", "--into", file],
        &["import", "nowhere.csv", "--as", "bees", "--into", file],
        &["decide", file, "A01", "--never", "singing"],
        &["parameters", file, "--set", "survey.k=minus", "--source", "guess"],
        &["undo", file],
        &["calibrate", "--speed", "140", "--swath", "-3ft", "--rate", "0.5gal/min", "--dose", "36 BIU/ac"],
    ];
    let all: String = calls
        .iter()
        .map(|call| {
            let shown: Vec<String> = call.iter().map(|a| a.replace(file, "p.gpkg")).collect();
            format!("$ crownhold {}\n{}\n", shown.join(" "), trouble(&crownhold(call)).replace(file, "p.gpkg"))
        })
        .collect();
    insta::assert_snapshot!(all);
}
