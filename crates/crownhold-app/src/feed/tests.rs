//! The feed of Pellwood.
#![allow(clippy::unwrap_used)]

use crownhold::Setting;
use crownhold::pellwood::pellwood;
use crownhold::types::{Records, UnitSystem};
use jiff::civil::date;
use serde_json::Value;

use super::{Globe, city, plan, trees};
use crate::actions::chain::{Stages, stages};
use crate::actions::plan::{Wishes, make};
use crate::wire::PlanJson;

const SETTING: Setting = Setting { today: date(2026, 11, 25), seed: 1, draws: 60 };

fn staged(records: &Records) -> Stages {
    stages(records, &SETTING).unwrap()
}

fn json(value: &impl serde::Serialize) -> Value {
    serde_json::to_value(value).unwrap()
}

/// EPSG:32616 to longitude and latitude by PROJ 9.1.1 (`gdaltransform -s_srs EPSG:32616 -t_srs OGC:CRS84`): Pellwood's south-west corner, and 10 km east, 5 km north of it.
#[test]
fn positions_are_those_of_proj() {
    let globe = Globe::of(&pellwood(1, 2027)).unwrap();
    for (x, y, want) in [
        (497_000.0, 4_815_000.0, [-87.037_100_956, 43.487_915_770]),
        (507_000.0, 4_820_000.0, [-86.913_366_771, 43.532_910_388]),
    ] {
        let [lon, lat] = globe.position(x, y).unwrap();
        assert!((lon - want[0]).abs() < 2e-6 && (lat - want[1]).abs() < 2e-6, "{x} {y}: {lon} {lat}");
    }
}

#[test]
fn the_city_has_all_its_parts_inside_its_bounds() {
    let records = pellwood(1, 2027);
    let feed = json(&city(&records, Some(&staged(&records))).unwrap());
    let list = |name: &str| feed[name]["features"].as_array().unwrap().clone();
    assert_eq!(list("blocks").len(), records.blocks.len());
    assert_eq!(list("noSpray").len(), records.no_spray.len());
    assert_eq!(list("plots").len(), records.plots.iter().filter(|p| p.place.is_some()).count());
    let bounds: Vec<f64> = feed["bounds"].as_array().unwrap().iter().map(|v| v.as_f64().unwrap()).collect();
    for block in list("blocks") {
        for ring in block["geometry"]["coordinates"].as_array().unwrap().iter().flat_map(|p| p.as_array().unwrap()) {
            for corner in ring.as_array().unwrap() {
                let (lon, lat) = (corner[0].as_f64().unwrap(), corner[1].as_f64().unwrap());
                assert!(bounds[0] <= lon && lon <= bounds[2] && bounds[1] <= lat && lat <= bounds[3]);
            }
        }
    }
}

/// The quantiles rise, their middle is the median of the draws, and the unit is the programme's.
#[test]
fn quantiles_are_those_of_the_draws() {
    let mut records = pellwood(1, 2027);
    let stages = staged(&records);
    let q = |records: &Records, b: usize| -> Vec<f64> {
        let feed = json(&city(records, Some(&stages)).unwrap());
        let list = feed["blocks"]["features"][b]["properties"]["q"].as_array().unwrap().clone();
        list.iter().map(|v| v.as_f64().unwrap()).collect()
    };
    let acre = q(&records, 3);
    assert!(acre.len() == 41 && acre.windows(2).all(|w| w[0] <= w[1]));
    let median = stages.density.draws.quantile(3, 0.5) * 0.404_685_642_24;
    assert!((acre[20] / median - 1.0).abs() < 0.01, "{} {median}", acre[20]);
    records.programme.units = UnitSystem::Metric;
    assert!((q(&records, 3)[20] / acre[20] - 2.471).abs() < 0.02);
}

#[test]
fn without_stages_there_are_no_densities() {
    let feed = json(&city(&pellwood(1, 2027), None).unwrap());
    let block = &feed["blocks"]["features"][0]["properties"];
    assert!(block.get("estimate").is_none() && block["id"].is_string());
}

#[test]
fn every_tree_has_its_three_columns() {
    let records = pellwood(1, 2027);
    let feed = json(&trees(&records).unwrap());
    for column in ["lon", "lat", "class"] {
        assert_eq!(feed[column].as_array().unwrap().len(), records.trees.len());
    }
}

/// Classes count every block once; a broken plan is refused.
#[test]
fn a_plan_is_drawn_or_refused() {
    let records = pellwood(1, 2027);
    let kept = json(&PlanJson::new(&make(&records, &SETTING, &Wishes::default()).unwrap(), &records));
    let feed = json(&plan(&kept, UnitSystem::Us).unwrap());
    let counted: u64 = feed["classes"].as_array().unwrap().iter().map(|c| c["blocks"].as_u64().unwrap()).sum();
    assert_eq!(counted as usize, records.blocks.len());
    assert_eq!(feed["classes"].as_array().unwrap().last().unwrap()["option"], "watch");
    assert!(plan(&serde_json::json!({ "blocks": [{ "id": "A01", "option": "prayer" }] }), UnitSystem::Us).is_err());
}
