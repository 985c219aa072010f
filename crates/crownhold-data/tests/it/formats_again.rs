//! The same data brought in again: what is known stays, and weather is not taken twice.
#![allow(clippy::unwrap_used)]

use crownhold::types::{Area, Consent, HostClass, NoSprayKind, PlotMethod, Records, Share};
use crownhold_data::formats::{Kind, Report, Wishes, import};

use crate::formats::{bring, codes, file, in_crs, programme, told, with_blocks};

fn fine(kind: Kind, name: &str, text: &str, wishes: &Wishes, into: &mut Records) -> Report {
    let report = bring(kind, name, text, wishes, into);
    assert!(!report.has_errors(), "{}", told(&report));
    report
}

fn told_kept(report: &Report) -> Vec<String> {
    report.problems.iter().filter(|p| p.code == "I-526").map(|p| p.what.clone()).collect()
}

#[test]
fn blank_cells_leave_trees_as_they_are() {
    let (mut records, utm) = (with_blocks(), in_crs("EPSG:32617"));
    let full =
        "tree id,species,dbh_cm,owner,x,y\n1,red oak,30,private,418100,4761100\n2,red maple,20,city,418110,4761100\n";
    fine(Kind::Trees, "trees.csv", full, &utm, &mut records);
    let before = records.trees.clone();
    let blank = "tree id,species,dbh_cm,owner,x,y\n1,,,,,\n2,red maple,25,city,418110,4761100\n";
    let report = fine(Kind::Trees, "trees.csv", blank, &utm, &mut records);
    assert_eq!(records.trees[0], before[0]);
    assert!((records.trees[1].dbh.unwrap().as_centimetres() - 25.0).abs() < 1e-9, "a given value goes before");
    let known = "Blank where something is known: 1 diameters, 1 owners, 1 species names, 1 positions.";
    assert_eq!(told_kept(&report), [known]);
    let absent = "tree id,species,x,y\n1,red oak,418100,4761100\n2,white oak,418110,4761100\n";
    let report = fine(Kind::Trees, "trees.csv", absent, &utm, &mut records);
    assert_eq!(records.trees[0], before[0], "a private tree stays private without a column");
    assert_eq!(
        (records.trees[1].species.as_str(), records.trees[1].class),
        ("white oak", Some(HostClass::Susceptible))
    );
    assert_eq!(told_kept(&report), ["Not in the file, though known: diameters (2), owners (2)."]);
}

#[test]
fn blank_cells_leave_plots_as_they_are() {
    let (mut records, utm) = (with_blocks(), in_crs("EPSG:32617"));
    let full =
        "plot,block,method,radius_ft,baf,x,y\n1,A,prism,18.6,10,418100,4761100\n2,A,circle,18.6,,418110,4761100\n";
    fine(Kind::Plots, "plots.csv", full, &utm, &mut records);
    let before = records.plots.clone();
    let report =
        fine(Kind::Plots, "plots.csv", "plot,block,method,radius_ft,x,y\n1,,,,,\n2,A,,,,\n", &utm, &mut records);
    assert_eq!(records.plots, before);
    assert_eq!(told_kept(&report).len(), 1);
    assert!(!codes(&report).contains(&"I-514"), "their methods are known");
    // Another method: the circle's size says nothing of a square.
    let report = bring(Kind::Plots, "plots.csv", "plot,block,method\n2,A,square\n", &utm, &mut records);
    assert!(report.problems.iter().any(|p| p.code == "I-515"), "{}", told(&report));
    fine(Kind::Plots, "plots.csv", "plot,block,method,side_m\n2,A,square,10\n", &utm, &mut records);
    let plot = &records.plots[1];
    assert_eq!(
        (plot.method, plot.area, plot.place),
        (PlotMethod::Square, Some(Area::square_metres(100.0)), before[1].place)
    );
}

#[test]
fn outlines_again_leave_attributes_as_they_are() {
    let mut records = with_blocks();
    let text = "block,canopy %,susceptible %,resistant %,immune %,survey_closed,name\nA,40,50,30,20,2026-11-20,Hill\n";
    fine(Kind::Areas, "areas.csv", text, &Wishes::default(), &mut records);
    let before = records.blocks.clone();
    // The layer of the blocks has no host shares and no closing day.
    let report = import(Kind::Blocks, &file("good/blocks.geojson"), &Wishes::default(), &mut records);
    assert_eq!((records.blocks[0].hosts, records.blocks[0].survey_closed), (before[0].hosts, before[0].survey_closed));
    assert_eq!(told_kept(&report).len(), 1, "{}", told(&report));
    let report = fine(Kind::Areas, "areas.csv", "block,canopy %,consent\nA,,given\n", &Wishes::default(), &mut records);
    assert_eq!((records.blocks[0].canopy, records.blocks[0].consent), (before[0].canopy, Consent::Given));
    assert_eq!(records.blocks[0].canopy, Share::new(0.4));
    assert_eq!(told_kept(&report), ["Blank where something is known: 1 canopy shares."]);
}

#[test]
fn no_spray_areas_keep_reason_and_buffer() {
    let mut records = with_blocks();
    let layer = |properties: &str| {
        format!(
            r#"{{"type":"FeatureCollection","features":[{{"type":"Feature","properties":{{{properties}}},
            "geometry":{{"type":"Polygon","coordinates":[[[-82.004,42.998],[-82.003,42.998],[-82.003,42.999],[-82.004,42.998]]]}}}}]}}"#
        )
    };
    let full = layer(r#""id":"N1","reason":"lake","buffer_ft":100,"note":"spawning""#);
    fine(Kind::NoSpray, "water.geojson", &full, &Wishes::default(), &mut records);
    let before = records.no_spray.clone();
    fine(Kind::NoSpray, "water.geojson", &layer(r#""id":"N1""#), &Wishes::default(), &mut records);
    assert_eq!(records.no_spray, before);
    assert_eq!(before[0].kind, NoSprayKind::Water);
}

fn july(station: &str, warmer: f64) -> String {
    let mut text = "station,date,min (C),max (C)\n".to_owned();
    for day in 1..=20 {
        let high = 22.0 + f64::from(day) / 4.0 + warmer;
        text += &format!("{station},2026-07-{day:02},{},{high}\n", high - 11.0);
    }
    text
}

#[test]
fn one_station_under_two_names_is_refused() {
    let mut records = programme();
    fine(Kind::Weather, "north.csv", &july("North", 0.0), &Wishes::default(), &mut records);
    let report = bring(Kind::Weather, "airport.csv", &july("Airport", 0.0), &Wishes::default(), &mut records);
    assert_eq!(codes(&report), ["I-614"]);
    insta::assert_snapshot!(told(&report));
    // The remedy works, the station itself may come again, and another station is another station.
    let wishes = Wishes { station: Some("North".to_owned()), ..Wishes::default() };
    let report = fine(Kind::Weather, "airport.csv", &july("Airport", 0.0), &wishes, &mut records);
    assert_eq!((report.taken.unchanged, records.weather.len()), (20, 1));
    fine(Kind::Weather, "north.csv", &july("North", 0.0), &Wishes::default(), &mut records);
    fine(Kind::Weather, "hill.csv", &july("Hill", -0.5), &Wishes::default(), &mut records);
    assert_eq!(records.weather.len(), 2);
    // By element, in tenths of a degree: the same days again.
    let rows: String = records.weather[0]
        .days
        .iter()
        .map(|d| {
            let day = d.date.strftime("%Y%m%d").to_string();
            let tenths = |v: Option<f64>| (v.unwrap() * 10.0).round();
            format!("USC00999999,{day},TMAX,{},,,7,\nUSC00999999,{day},TMIN,{},,,7,\n", tenths(d.max), tenths(d.min))
        })
        .collect();
    let report = bring(Kind::Weather, "by-element.csv", &rows, &Wishes::default(), &mut records);
    assert_eq!(codes(&report), ["I-614"], "{}", told(&report));
    fine(Kind::Weather, "by-element.csv", &rows, &wishes, &mut records);
    assert_eq!(records.weather.len(), 2);
}
