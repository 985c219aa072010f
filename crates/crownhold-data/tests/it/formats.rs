//! What the import tests share: an invented programme, and short ways to import a sample.
#![allow(clippy::unwrap_used)]

use crownhold::types::{Programme, Records, UnitSystem};
use crownhold_data::formats::{Input, Kind, Report, Wishes, import};

/// An empty invented programme in UTM zone 17 north.
pub fn programme() -> Records {
    Records::empty(Programme {
        name: "Pellwood".to_owned(),
        season: 2027,
        epsg: 32617,
        units: UnitSystem::Us,
        invented: true,
    })
}

/// Bytes of a sample under `samples/formats`.
pub fn sample(path: &str) -> Vec<u8> {
    let root = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/it/samples/formats");
    std::fs::read(format!("{root}/{path}")).unwrap()
}

/// One file of samples as an input.
pub fn file(path: &str) -> Input {
    Input::single(path.rsplit('/').next().unwrap(), sample(path))
}

/// Imports text under a file name.
pub fn bring(kind: Kind, name: &str, text: &str, wishes: &Wishes, into: &mut Records) -> Report {
    import(kind, &Input::single(name, text.as_bytes()), wishes, into)
}

/// Wishes with only a coordinate system.
pub fn in_crs(crs: &str) -> Wishes {
    Wishes { crs: Some(crs.to_owned()), ..Wishes::default() }
}

/// A programme with three blocks of 400 m side by side: A, B, C.
pub fn with_blocks() -> Records {
    let mut records = programme();
    let report = import(Kind::Blocks, &file("good/blocks.geojson"), &Wishes::default(), &mut records);
    assert!(!report.has_errors(), "{}", told(&report));
    records
}

/// The same with four plots.
pub fn with_plots() -> Records {
    let mut records = with_blocks();
    let text = "plot,block,radius (ft)\nP1,A,18.6\nP2,A,18.6\nP3,B,18.6\nP4,C,18.6\n";
    let report = bring(Kind::Plots, "plots.csv", text, &Wishes::default(), &mut records);
    assert!(!report.has_errors(), "{}", told(&report));
    records
}

/// A report as a reader sees it.
pub fn told(report: &Report) -> String {
    let taken = report.taken;
    let head = format!(
        "{}: new {}, replaced {}, unchanged {}",
        report.kind.word(),
        taken.new,
        taken.replaced,
        taken.unchanged
    );
    std::iter::once(head).chain(report.problems.iter().map(ToString::to_string)).collect::<Vec<_>>().join("\n")
}

/// The codes of a report, in order, without doubles.
pub fn codes(report: &Report) -> Vec<&'static str> {
    let mut codes: Vec<&'static str> = report.problems.iter().map(|p| p.code).collect();
    codes.dedup();
    codes
}
