//! One season of Pellwood through the commands.

use std::path::Path;

use serde_json::Value;

use crate::commands::{crownhold, text, trouble};

fn pellwood(dir: &Path) -> String {
    let made = crownhold(&["demo", dir.to_str().unwrap(), "--seed", "1", "--season", "2027"]);
    assert!(made.status.success());
    dir.join("pellwood.gpkg").to_str().unwrap().to_owned()
}

fn json(args: &[&str]) -> Value {
    let output = crownhold(args);
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    serde_json::from_str(&text(&output)).unwrap()
}

const ON: [&str; 2] = ["--on", "2026-11-25"];

/// The JSON shapes that programs rely on: every name, down to the leaves.
#[test]
fn shapes_of_the_json() {
    let dir = tempfile::tempdir().unwrap();
    let file = pellwood(dir.path());
    let few = ["--draws", "60", "--json"];
    let mut all = String::new();
    for command in ["survey", "timing", "outlook", "plan"] {
        let args: Vec<&str> = [&[command, file.as_str()], &ON[..], &few[..]].concat();
        all += &format!("## {command}\n{}\n", shape(&json(&args), 0));
    }
    insta::assert_snapshot!(all);
}

/// Names and kinds of a JSON value; lists by their first member.
fn shape(value: &Value, depth: usize) -> String {
    let pad = "  ".repeat(depth);
    match value {
        Value::Object(map) => map
            .iter()
            .map(|(k, v)| match v {
                Value::Object(_) | Value::Array(_) => format!("{pad}{k}:\n{}", shape(v, depth + 1)),
                other => format!("{pad}{k}: {}\n", kind(other)),
            })
            .collect(),
        Value::Array(list) => match list.first() {
            Some(first @ (Value::Object(_) | Value::Array(_))) => format!("{pad}list of\n{}", shape(first, depth + 1)),
            Some(first) => format!("{pad}list of {}\n", kind(first)),
            None => format!("{pad}list\n"),
        },
        other => format!("{pad}{}\n", kind(other)),
    }
}

fn kind(value: &Value) -> &'static str {
    match value {
        Value::Null => "null",
        Value::Bool(_) => "boolean",
        Value::Number(_) => "number",
        Value::String(_) => "text",
        _ => "more",
    }
}

/// Same seed, any number of threads: byte for byte the same, but for the seconds the solver took.
#[test]
fn threads_do_not_matter() {
    let dir = tempfile::tempdir().unwrap();
    let file = pellwood(dir.path());
    let run = |threads: &str| {
        let out =
            text(&crownhold(&["--threads", threads, "plan", &file, "--on", "2026-11-25", "--draws", "60", "--json"]));
        out.lines().filter(|l| !l.contains("solve_seconds")).collect::<Vec<_>>().join("\n")
    };
    let one = run("1");
    assert!(one.len() > 10_000);
    assert_eq!(one, run("3"));
}

/// Limits are kept, decisions are kept, and what was decided can be taken back.
#[test]
fn limits_and_decisions() {
    let dir = tempfile::tempdir().unwrap();
    let file = pellwood(dir.path());
    let plan = |extra: &[&str]| {
        json(&[&["plan", file.as_str(), "--on", "2026-11-25", "--draws", "60", "--json"], extra].concat())
    };
    let dry = plan(&["--max-sprayed-acres", "0"]);
    assert_eq!(dry["sprayed_acres"], 0.0);
    let poor = plan(&["--budget", "20000"]);
    assert!(poor["cost"].as_f64().unwrap() <= 20_000.0);
    let usual = plan(&[]);
    let flown =
        usual["blocks"].as_array().unwrap().iter().find(|b| b["sprayed_acres"].as_f64().unwrap() > 0.0).unwrap();
    let id = flown["id"].as_str().unwrap();
    assert!(crownhold(&["decide", &file, id, "--never-fly", "--note", "council"]).status.success());
    let after = plan(&[]);
    let now = after["blocks"].as_array().unwrap().iter().find(|b| b["id"] == id).unwrap().clone();
    assert_eq!(now["sprayed_acres"], 0.0);
    assert!(crownhold(&["undo", &file]).status.success());
    assert_eq!(plan(&[])["blocks"], usual["blocks"]);
    let history = text(&crownhold(&["history", &file]));
    assert!(history.contains(&format!("block {id}: never fly")) && history.contains("tester"));
}

/// A parameter can be set with its source, is shown as the programme's own, and restored.
#[test]
fn parameters_can_be_set_and_restored() {
    let dir = tempfile::tempdir().unwrap();
    let file = pellwood(dir.path());
    let shown = || text(&crownhold(&["parameters", &file, "--only", "aerial.price"]));
    let before = shown();
    let set = ["parameters", &file, "--set", "aerial.price=60,88,120", "--source", "bid of March"];
    assert!(crownhold(&set).status.success());
    assert!(shown().contains("88 (60 to 120)") && shown().contains("entered by this programme: bid of March"));
    assert!(crownhold(&["parameters", &file, "--restore", "aerial.price"]).status.success());
    assert_eq!(shown(), before);
}

/// Printed figures can be asked for; unknown ones are refused with what to do.
#[test]
fn figures_explain_themselves() {
    let dir = tempfile::tempdir().unwrap();
    let file = pellwood(dir.path());
    let ask = |id: &str| crownhold(&["explain", &file, id, "--on", "2026-11-25", "--draws", "60"]);
    let list = text(&ask("list"));
    assert!(list.lines().count() > 1_000);
    insta::assert_snapshot!(text(&ask("A07.density")));
    assert!(trouble(&ask("A07.colour")).contains("explain PROGRAMME list"));
}

/// Masses marked and looked for again become the programme's own value, with its source; what gives no share changes nothing.
/// The density between the plots comes as layers, with the chance of more than a line.
#[test]
fn what_is_found_and_what_lies_between_the_plots() {
    let dir = tempfile::tempdir().unwrap();
    let file = pellwood(dir.path());
    let none = trouble(&crownhold(&["recount", &file, "--found", "40", "--marked", "44"]));
    assert!(none.contains("44 of 40 masses give no share") && none.contains("at least 1"), "{none}");
    let both = ["--found", "40", "--marked", "34", "--all", "100", "--on-trees", "74", "--note", "R. Ames"];
    assert!(crownhold(&[&["recount", file.as_str()], &both[..]].concat()).status.success());
    let found = json(&["parameters", &file, "--only", "survey.detection", "--json"]);
    assert_eq!(found[0]["value"], "0.847 (5-95 %: 0.74 to 0.9238)");
    assert_eq!(found[0]["source"], "marked recount: 34 of 40 masses bore a mark; R. Ames");
    let maps = dir.path().join("maps");
    let to = ["--map", maps.to_str().unwrap(), "--side", "600ft", "--over", "300", "--draws", "60"];
    let made = crownhold(&[&["survey", file.as_str()], &ON[..], &to[..]].concat());
    assert!(made.status.success(), "{}", String::from_utf8_lossy(&made.stderr));
    let squares: Value = serde_json::from_slice(&std::fs::read(maps.join("density_squares.geojson")).unwrap()).unwrap();
    let squares = squares["features"].as_array().unwrap();
    assert!(squares.len() >= 187, "{}", squares.len());
    for square in squares {
        let number = |name: &str| square["properties"][name].as_f64().unwrap();
        assert!(number("low") <= number("middle") && number("middle") <= number("high"));
        assert!((0.0..=100.0).contains(&number("pct_over")) && (number("line") - 300.0).abs() < 1e-9);
    }
    let wrong = trouble(&crownhold(&["survey", &file, "--map", maps.to_str().unwrap(), "--side", "6 cubits"]));
    assert!(wrong.contains("--side is \"6 cubits\"") && wrong.contains("such as 200ft"), "{wrong}");
}

/// Half of the city is kept off: every place lies in the other half. A layer without outlines is told.
#[test]
fn proposed_plots_keep_off_what_is_given() {
    let dir = tempfile::tempdir().unwrap();
    let file = pellwood(dir.path());
    let places = |more: &[&str]| {
        let made = json(&[&["design", file.as_str(), "--plots", "60", "--json"], more].concat());
        let all = made["places"].as_array().unwrap().clone();
        all.iter().map(|p| (p["longitude"].as_f64().unwrap(), p["latitude"].as_f64().unwrap())).collect::<Vec<_>>()
    };
    let free = places(&[]);
    let mut longitudes: Vec<f64> = free.iter().map(|p| p.0).collect();
    longitudes.sort_by(f64::total_cmp);
    let middle = longitudes[longitudes.len() / 2];
    let (west, east) = (longitudes[0] - 0.02, middle);
    let (south, north) = free.iter().fold((90.0_f64, -90.0_f64), |(s, n), p| (s.min(p.1), n.max(p.1)));
    let (south, north) = (south - 0.02, north + 0.02);
    let ring = format!("[[{west},{south}],[{east},{south}],[{east},{north}],[{west},{north}],[{west},{south}]]");
    let layer = |geometry: &str| {
        format!(
            r#"{{"type":"FeatureCollection","features":[{{"type":"Feature","properties":{{}},"geometry":{geometry}}}]}}"#
        )
    };
    let off = dir.path().join("off.geojson");
    std::fs::write(&off, layer(&format!(r#"{{"type":"Polygon","coordinates":[{ring}]}}"#))).unwrap();
    let kept = places(&["--keep-off", off.to_str().unwrap()]);
    // As many plots as asked for; a stratum that lies in the west alone has none.
    assert!(kept.len() > 30 && kept.iter().all(|p| p.0 > middle), "{} of {}", kept.len(), free.len());
    std::fs::write(&off, layer(&format!(r#"{{"type":"Point","coordinates":[{east},{north}]}}"#))).unwrap();
    let none = trouble(&crownhold(&["design", &file, "--plots", "60", "--keep-off", off.to_str().unwrap()]));
    insta::assert_snapshot!(none.replace(off.to_str().unwrap(), "off.geojson"));
}

/// A block cut in parts keeps its ground, trees, plots, past and decisions; the plan goes on with the parts, and an undo makes
/// the block whole.
#[test]
fn large_blocks_in_parts() {
    let dir = tempfile::tempdir().unwrap();
    let file = pellwood(dir.path());
    let read = || crownhold_app::actions::records(Path::new(&file)).unwrap();
    assert!(crownhold(&["decide", &file, "A07", "--never-fly", "--note", "school"]).status.success());
    let before = read();
    let whole = before.blocks.iter().find(|b| b.id.as_str() == "A07").unwrap().clone();
    let none = trouble(&crownhold(&["split", &file, "--larger-than", "500acre"]));
    assert!(none.contains("No block that is meant is larger than 500 acres"), "{none}");
    let tiny = trouble(&crownhold(&["split", &file, "--larger-than", "50m2"]));
    assert!(tiny.contains("at least half an acre"), "{tiny}");
    let size = format!("{:.0}m2", whole.area().as_square_metres() / 2.5);
    let made = text(&crownhold(&["split", &file, "A07", "--larger-than", &size]));
    assert!(made.starts_with("Done: 1 block cut into 4 parts."), "{made}");
    let after = read();
    let is_part = |id: &str| id.starts_with("A07-");
    let parts: Vec<_> = after.blocks.iter().filter(|b| is_part(b.id.as_str())).collect();
    let ground: f64 = parts.iter().map(|b| b.area().as_square_metres()).sum();
    assert!(parts.len() == 4 && (ground / whole.area().as_square_metres() - 1.0).abs() < 1e-6);
    assert!(parts.iter().all(|b| b.hosts == whole.hosts && b.consent == whole.consent));
    let trees = |r: &crownhold::types::Records, of: &dyn Fn(&str) -> bool| {
        r.trees.iter().filter(|t| t.block.as_ref().is_some_and(|b| of(b.as_str()))).count()
    };
    assert_eq!(trees(&before, &|b| b == "A07"), trees(&after, &is_part));
    let plots = |r: &crownhold::types::Records, of: &dyn Fn(&str) -> bool| {
        r.plots.iter().filter(|p| of(p.block.as_str())).count()
    };
    assert_eq!(plots(&before, &|b| b == "A07"), plots(&after, &is_part));
    assert_eq!(after.decisions.iter().filter(|d| is_part(d.block.as_str())).count(), 4);
    let plan = json(&["plan", &file, "--on", "2026-11-25", "--draws", "60", "--json"]);
    let planned = plan["blocks"].as_array().unwrap();
    assert_eq!(planned.iter().filter(|b| is_part(b["id"].as_str().unwrap())).count(), 4);
    assert!(crownhold(&["undo", &file]).status.success());
    assert!(read() == before, "an undo makes it whole");
}
