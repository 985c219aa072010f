//! Bad files: one small sample each, and word for word what each answers.
#![allow(clippy::unwrap_used)]

use std::io::Write as _;

use crownhold::types::Records;
use crownhold_data::formats::{Input, Kind, Wishes, import};

use crate::formats::{file, in_crs, sample, told, with_blocks, with_plots};

/// Imports, and checks the promise: with an error the records are as they were, without one they changed.
fn answer(kind: Kind, input: &Input, wishes: &Wishes, mut records: Records) -> String {
    let before = records.clone();
    let report = import(kind, input, wishes, &mut records);
    assert_eq!(
        report.has_errors(),
        records == before,
        "{}: changed with an error, or took nothing without",
        input.name
    );
    format!("== {} ==\n{}\n", input.name, told(&report))
}

fn bad(kind: Kind, name: &str, records: Records) -> String {
    answer(kind, &file(&format!("bad/{name}")), &Wishes::default(), records)
}

fn zipped(name: &str, bytes: &[u8]) -> Vec<u8> {
    let mut zip = zip::ZipWriter::new(std::io::Cursor::new(Vec::new()));
    zip.start_file(name, zip::write::SimpleFileOptions::default()).unwrap();
    zip.write_all(bytes).unwrap();
    zip.finish().unwrap().into_inner()
}

#[test]
fn coordinates() {
    let empty = crate::formats::programme;
    let mut all = String::new();
    for name in [
        "utm-called-lonlat.geojson",
        "feet-called-metres.geojson",
        "lonlat-called-utm.geojson",
        "swapped.geojson",
        "far-corner.geojson",
    ] {
        all += &bad(Kind::Blocks, name, empty());
    }
    let part = |end: &str| crownhold_data::formats::Part {
        name: format!("NY8_utm18.{end}"),
        bytes: sample(&format!("ny8/NY8_utm18.{end}")),
    };
    let no_prj = Input { name: "no-prj.shp".to_owned(), parts: vec![part("shp"), part("dbf")] };
    let wishes = Wishes { map: vec![("id".to_owned(), "AREAKEY".to_owned())], ..Wishes::default() };
    all += &answer(Kind::Blocks, &no_prj, &wishes, empty());
    all += &answer(Kind::Blocks, &file("good/blocks.geojson"), &in_crs("EPSG:4267"), empty());
    all += &answer(Kind::Blocks, &file("good/blocks.geojson"), &in_crs("the usual one"), empty());
    insta::assert_snapshot!(all);
}

#[test]
fn shapes() {
    let mut all = String::new();
    for name in
        ["unclosed.geojson", "self-crossing.geojson", "duplicate-ids.geojson", "empty-shape.geojson", "overlap.geojson"]
    {
        all += &bad(Kind::Blocks, name, crate::formats::programme());
    }
    insta::assert_snapshot!(all);
}

#[test]
fn containers() {
    let mut all = String::new();
    all += &bad(Kind::Plots, "empty.csv", with_blocks());
    all += &bad(Kind::Blocks, "cut-off.geojson", with_blocks());
    let zip = zipped("plots.csv", &sample("bad/bom.csv"));
    all += &answer(Kind::Plots, &Input::single("whole.zip", zip.clone()), &Wishes::default(), with_blocks());
    all +=
        &answer(Kind::Plots, &Input::single("truncated.zip", &zip[..zip.len() / 2]), &Wishes::default(), with_blocks());
    let shp = sample("ny8/NY8_utm18.shp");
    let part =
        |name: &str, bytes: &[u8]| crownhold_data::formats::Part { name: name.to_owned(), bytes: bytes.to_vec() };
    let cut = vec![part("tracts.shp", &shp[..10_000]), part("tracts.dbf", &sample("ny8/NY8_utm18.dbf"))];
    all += &answer(Kind::Blocks, &Input { name: "cut.shp".to_owned(), parts: cut }, &Wishes::default(), with_blocks());
    let cut = b"SQLite format 3\0 and nothing more".to_vec();
    all += &answer(Kind::Blocks, &Input::single("cut.gpkg", cut), &Wishes::default(), with_blocks());
    all += &answer(Kind::Plots, &Input::single("plots.xlsx", b"not a zip".to_vec()), &Wishes::default(), with_blocks());
    insta::assert_snapshot!(all);
}

#[test]
fn text() {
    let mut all = String::new();
    for name in [
        "bom.csv",
        "utf16.csv",
        "semicolons-decimal-commas.csv",
        "no-unit.csv",
        "no-such-column.csv",
        "extra-cells.csv",
    ] {
        all += &bad(Kind::Plots, name, with_blocks());
    }
    all += &bad(Kind::Areas, "windows-1252.csv", with_blocks());
    let wishes = Wishes {
        map: vec![("id".to_owned(), "plot no".to_owned()), ("colour".to_owned(), "plot".to_owned())],
        units: vec![("radius".to_owned(), "furlongs".to_owned())],
        ..Wishes::default()
    };
    all += &answer(Kind::Plots, &file("bad/no-unit.csv"), &wishes, with_blocks());
    insta::assert_snapshot!(all);
}

#[test]
fn counts() {
    let mut all = String::new();
    for name in ["blank-counts.csv", "dates-open.csv", "dates-both.csv", "dates-serial.csv", "unknown-plots.csv"] {
        all += &bad(Kind::Counts, name, with_plots());
    }
    insta::assert_snapshot!(all);
}

#[test]
fn trees() {
    let mut all = bad(Kind::Trees, "trees.csv", with_blocks());
    all += &answer(Kind::Trees, &file("bad/trees.csv"), &in_crs("EPSG:32617"), with_blocks());
    insta::assert_snapshot!(all);
}

#[test]
fn weather() {
    let mut all = String::new();
    for name in ["fahrenheit-called-celsius.csv", "weather-faults.csv", "winter-no-unit.csv"] {
        all += &bad(Kind::Weather, name, crate::formats::programme());
    }
    insta::assert_snapshot!(all);
}

#[test]
fn resources() {
    let mut all = bad(Kind::Resources, "resources.toml", with_blocks());
    all += &bad(Kind::Resources, "not-toml.toml", with_blocks());
    insta::assert_snapshot!(all);
}
