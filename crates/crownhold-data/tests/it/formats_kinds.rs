//! Good files of every kind, and what the records then hold.
#![allow(clippy::unwrap_used)]

use crownhold::types::{
    Area, BlockId, Consent, HostClass, LandUse, NoSprayKind, Ownership, Period, PlotId, PlotMethod, Substrate,
    Workforce,
};
use crownhold_data::formats::{DateOrder, Input, Kind, Wishes, import};
use jiff::civil::date;
use proptest::prelude::*;

use crate::formats::{bring, codes, in_crs, programme, sample, told, with_blocks, with_plots};

#[test]
fn blocks_with_attributes() {
    let records = with_blocks();
    let block = &records.blocks[1];
    assert_eq!(block.id, BlockId::from("B"));
    assert_eq!(
        (block.land_use, block.ownership, block.consent),
        (LandUse::Park, Ownership::Public, Consent::NotNeeded)
    );
    assert_eq!((block.canopy.unwrap().value(), block.dwellings), (0.6, Some(0)));
    // 400 x 400 m drawn in UTM by GDAL 3.6.2 and brought back: 39.54 acres.
    assert!((block.area().as_acres() - 160000.0 / 4046.8564224).abs() < 0.001);
}

#[test]
fn attributes_for_blocks_that_are_there() {
    let mut records = with_blocks();
    let text = "Block;Susceptible %;Resistant %;Immune %;consent;neighborhood;survey closed\nA;50;30;20;refused;Northside;20.11.2026\nB;60;;40;;;\n";
    let report = bring(Kind::Areas, "areas.csv", text, &Wishes::default(), &mut records);
    assert!(!report.has_errors(), "{}", told(&report));
    assert_eq!((report.taken.replaced, report.taken.new), (2, 0));
    let (a, b) = (&records.blocks[0], &records.blocks[1]);
    assert_eq!(
        (a.consent, a.neighbourhood.as_deref(), a.survey_closed),
        (Consent::Refused, Some("Northside"), Some(date(2026, 11, 20)))
    );
    assert!((a.hosts.unwrap().susceptible.value() - 0.5).abs() < 1e-12);
    assert!(b.hosts.unwrap().resistant.value().abs() < 1e-12);
    assert_eq!(b.consent, Consent::NotNeeded, "a blank cell leaves a value as it is");
    assert_eq!(a.land_use, LandUse::Residential, "a missing column too");
}

#[test]
fn trees_find_their_block_and_class() {
    let mut records = with_blocks();
    let text = "TREE_ID,Common Name,DBH (in),Longitude,Latitude,owner\n7,\"Oak, northern red\",14.5,-82.0035,42.9990,city\n8,Green Ash,8,-81.9985,42.9990,private\n9,birch,,-81.9000,42.9990,city\n";
    let report = bring(Kind::Trees, "trees.csv", text, &Wishes::default(), &mut records);
    assert!(!report.has_errors(), "{}", told(&report));
    let tree = &records.trees[0];
    assert_eq!((tree.block.as_ref().unwrap().as_str(), tree.class), ("A", Some(HostClass::Susceptible)));
    assert!((tree.dbh.unwrap().as_inches() - 14.5).abs() < 1e-12 && tree.public);
    assert_eq!((records.trees[1].block.as_ref().unwrap().as_str(), records.trees[1].public), ("B", false));
    assert_eq!((records.trees[2].block.clone(), records.trees[2].class, records.trees[2].dbh), (None, None, None));
    assert_eq!(codes(&report), ["I-509", "I-510"]);
}

#[test]
fn plots_of_every_method() {
    let mut records = with_blocks();
    let text = "plot,method,radius_ft,side_m,area_acres,baf,x,y\n1,fixed radius,18.617,,,,418100,4761100\n2,square,,10,,,418500,4761100\n3,whole lot,,,0.25,,418900,4761100\n4,prism,18.617,,,10,418100,4761200\n5,trap,,,,,418100,4761300\n";
    let report = bring(Kind::Plots, "plots.csv", text, &in_crs("EPSG:32617"), &mut records);
    assert!(!report.has_errors(), "{}", told(&report));
    let plots = &records.plots;
    let blocks: Vec<&str> = plots.iter().map(|p| p.block.as_str()).collect();
    assert_eq!(blocks, ["A", "B", "C", "A", "A"]);
    // survey.md 1.1: a radius of 18 ft 7.4 in (18.617 ft) is 1/40 acre.
    assert!((plots[0].area.unwrap().as_acres() - 0.025).abs() < 1e-5);
    assert_eq!(plots[1].area, Some(Area::square_metres(100.0)));
    assert_eq!(plots[2].area, Some(Area::acres(0.25)));
    assert_eq!(
        (plots[3].method, plots[4].method, plots[4].area),
        (PlotMethod::Prism { basal_area_factor: 10.0 }, PlotMethod::Trap, None)
    );
}

#[test]
fn counts_make_visits() {
    let mut records = with_plots();
    let text = "Plot\tDate\tObserver\tSubstrate\tNew\tOld\tOut of reach\tNote\nP1\t10/13/2026\tKim\ttrees\t4\t1\t2\t\nP1\t10/13/2026\tKim\tground\t0\t0\t0\tlitter wet\nP2\t11/2/2026\t\t\t0\t0\t0\t\n";
    let report = bring(Kind::Counts, "counts.tsv", text, &Wishes::default(), &mut records);
    assert!(!report.has_errors(), "{}", told(&report));
    assert_eq!(records.visits.len(), 2);
    let visit = &records.visits[0];
    assert_eq!(
        (visit.id.as_str(), visit.date, visit.note.as_str()),
        ("P1/2026-10-13/Kim", date(2026, 10, 13), "litter wet")
    );
    assert_eq!((visit.counts.len(), visit.counts[0].substrate, visit.counts[0].out_of_reach), (2, Substrate::Trees, 2));
    assert_eq!((records.visits[1].plot.clone(), records.visits[1].counts[0].new), (PlotId::from("P2"), 0));
    let again = bring(Kind::Counts, "counts.tsv", text, &Wishes::default(), &mut records);
    assert_eq!((again.taken.unchanged, records.visits.len()), (2, 2));
    // The order of days can also be told.
    let wishes = Wishes { date_order: Some(DateOrder::DayFirst), ..Wishes::default() };
    let told_order =
        bring(Kind::Counts, "c.csv", "plot,date,new,old,out_of_reach\nP3,03/04/2026,1,0,0\n", &wishes, &mut records);
    assert!(!told_order.has_errors());
    assert!(records.visits.iter().any(|v| v.date == date(2026, 4, 3)));
}

/// 1,461 days of New York 2012-2015 (npm vega-datasets 3.2.1, US Government work): first day 3.3 to 10.0
/// degrees C and 1.8 mm, as printed in the file. Units are not stated there; the summers leave no doubt.
#[test]
fn real_daily_weather() {
    let mut records = programme();
    let input = Input::single("jfk.csv", sample("good/jfk_daily_2012_2015_vega.csv"));
    let wishes = Wishes { station: Some("New York".to_owned()), ..Wishes::default() };
    let report = import(Kind::Weather, &input, &wishes, &mut records);
    assert!(!report.has_errors(), "{}", told(&report));
    let series = &records.weather[0];
    assert_eq!((series.days.len(), series.station.as_str()), (1461, "New York"));
    let first = series.days[0];
    assert_eq!(
        (first.date, first.min, first.max, first.precipitation),
        (date(2012, 1, 1), Some(3.3), Some(10.0), Some(1.8))
    );
    assert_eq!(codes(&report), ["I-603", "I-612"]);
}

/// GHCN-Daily by-element rows: tenths of a degree C, tenths of mm, failed quality flags left out.
#[test]
fn public_station_layouts() {
    let mut records = programme();
    let rows = "USC00999999,20260503,TMAX,161,,,7,\nUSC00999999,20260503,TMIN,83,,,7,\nUSC00999999,20260503,PRCP,18,,,7,\nUSC00999999,20260503,SNOW,0,,,7,\nUSC00999999,20260503,SNWD,152,,,7,\nUSC00999999,20260504,TMAX,999,,X,7,\nUSC00999999,20260504,TMIN,90,,,7,\n";
    let report = bring(Kind::Weather, "by-element.csv", rows, &Wishes::default(), &mut records);
    assert!(!report.has_errors(), "{}", told(&report));
    let days = records.weather[0].days.clone();
    assert_eq!((days[0].min, days[0].max, days[0].precipitation), (Some(8.3), Some(16.1), Some(1.8)));
    assert_eq!((days[1].min, days[1].max), (Some(9.0), None));
    assert_eq!((days[0].snow, days[1].snow), (Some(152.0), None));
    assert_eq!(codes(&report), ["I-606", "I-607"]);

    let mut text =
        "\"STATION\",\"DATE\",\"LATITUDE\",\"LONGITUDE\",\"ELEVATION\",\"NAME\",\"PRCP\",\"TMAX\",\"TMIN\"\n"
            .to_owned();
    for day in 1..=30 {
        text += &format!(
            "\"USC00999998\",\"2026-07-{day:02}\",\"43.0\",\"-82.0\",\"200.0\",\"PELLWOOD FIELD\",\"{day}\",\"  270\",\"  150\"\n"
        );
    }
    let report = bring(Kind::Weather, "by-day.csv", &text, &Wishes::default(), &mut records);
    assert!(!report.has_errors(), "{}", told(&report));
    let series = &records.weather[1];
    assert_eq!(
        (series.days[0].max, series.days[9].precipitation, series.elevation.unwrap().as_metres()),
        (Some(27.0), Some(1.0), 200.0)
    );
    assert_eq!((series.name.as_str(), series.latitude), ("PELLWOOD FIELD", Some(43.0)));
}

#[test]
fn fahrenheit_is_read_when_said() {
    let mut records = programme();
    let text =
        "date,low (\u{b0}F),high (\u{b0}F),rain_in,snow depth in\n2026-07-01,59,86,0.5,0\n2026-07-02,50,77,T,6\n";
    let report = bring(Kind::Weather, "north.csv", text, &Wishes::default(), &mut records);
    assert!(!report.has_errors(), "{}", told(&report));
    let day = records.weather[0].days[0];
    // By hand: (86 - 32) / 1.8 = 30, (59 - 32) / 1.8 = 15, 0.5 in = 12.7 mm.
    assert_eq!((day.min, day.max, day.precipitation), (Some(15.0), Some(30.0), Some(12.7)));
    assert_eq!(records.weather[0].days[1].precipitation, Some(0.0));
    assert!((records.weather[0].days[1].snow.unwrap() - 152.4).abs() < 1e-9, "6 in by hand");
}

/// What cannot be is left out by itself: the temperatures of that day are kept, and it is said so.
#[test]
fn impossible_snow_costs_only_itself() {
    let mut records = programme();
    let text = "date,tmin C,tmax C,snow depth cm\n2026-12-01,-5,2,10\n2026-12-02,-6,1,-3\n2026-12-03,-8,0,5000\n";
    let report = bring(Kind::Weather, "snow.csv", text, &Wishes::default(), &mut records);
    assert!(!report.has_errors(), "{}", told(&report));
    let days = &records.weather[0].days;
    assert_eq!(days.iter().map(|d| d.snow).collect::<Vec<_>>(), [Some(100.0), None, None]);
    assert!(days.iter().all(|d| d.min.is_some() && d.max.is_some()));
    assert_eq!(told(&report).matches("That value was left out, the rest of the day stays.").count(), 2);
}

#[test]
fn resources_and_strata_and_past() {
    let mut records = with_blocks();
    let text = "budget = 180_000\nmost_sprayed_acres = 1400.5\n\n[[hours]]\nwho = \"volunteers\"\nperiod = \"winter\"\nneighbourhood = \"Northside\"\nhours = 320\n";
    let report = bring(Kind::Resources, "money.toml", text, &Wishes::default(), &mut records);
    assert!(!report.has_errors(), "{}", told(&report));
    let resources = &records.resources;
    assert_eq!(
        (resources.budget.unwrap().as_dollars(), resources.most_sprayed.unwrap()),
        (180000.0, Area::acres(1400.5))
    );
    let hours = &resources.hours[0];
    assert_eq!((hours.who, hours.period, hours.hours.as_hours()), (Workforce::Volunteers, Period::Winter, 320.0));

    let report = bring(Kind::Strata, "strata.csv", "stratum,name\noak,Oak hills\n", &Wishes::default(), &mut records);
    assert_eq!((report.taken.new, records.strata[0].name.as_str()), (1, "Oak hills"));

    let text = "year,block,masses per acre,treatment,defoliation %,sprayed acres\n2026,A,400,bands + aerial Btk once,15,39.5\n2026,B,90,watch,5,\n";
    let report = bring(Kind::Past, "past.csv", text, &Wishes::default(), &mut records);
    assert!(!report.has_errors(), "{}", told(&report));
    let past = &records.past[0];
    assert!((past.density.unwrap().as_per_acre() - 400.0).abs() < 1e-9);
    assert_eq!((past.season, past.defoliation.unwrap().value(), past.sprayed), (2026, 0.15, Some(Area::acres(39.5))));
    assert_eq!(past.treatment, "bands + aerial Btk once");
    let wrong = bring(
        Kind::Past,
        "past.csv",
        "year,block,treatment\n2026,A,magic\n2026,Z,watch\n",
        &Wishes::default(),
        &mut records,
    );
    assert_eq!(codes(&wrong), ["I-211", "I-503"]);
}

#[test]
fn no_spray_areas() {
    let mut records = with_blocks();
    let text = r#"{"type":"FeatureCollection","features":[{"type":"Feature","properties":{"id":"N1","reason":"lake","buffer_ft":100},
        "geometry":{"type":"Polygon","coordinates":[[[-82.004,42.998],[-82.003,42.998],[-82.003,42.999],[-82.004,42.998]]]}}]}"#;
    let report = bring(Kind::NoSpray, "water.geojson", text, &Wishes::default(), &mut records);
    assert!(!report.has_errors(), "{}", told(&report));
    let area = &records.no_spray[0];
    assert_eq!((area.kind, area.buffer.unwrap().as_feet()), (NoSprayKind::Water, 100.0));
}

#[test]
fn streets_come_as_lines_and_a_new_layer_replaces_the_old() {
    let mut records = with_blocks();
    let layer = |features: &str| format!(r#"{{"type":"FeatureCollection","features":[{features}]}}"#);
    let line = |id: u32, name: &str, kind: &str, at: &str| {
        format!(
            r#"{{"type":"Feature","properties":{{"OBJECTID":{id},"FULLNAME":"{name}"}},"geometry":{{"type":"{kind}","coordinates":{at}}}}}"#
        )
    };
    let mill = line(1, "Mill St", "LineString", "[[-82.004,42.998],[-82.003,42.998]]");
    let elm = line(
        2,
        "Elm St",
        "MultiLineString",
        "[[[-82.004,42.999],[-82.003,42.999]],[[-82.003,42.998],[-82.003,42.999]]]",
    );
    let report = bring(Kind::Streets, "s.geojson", &layer(&format!("{mill},{elm}")), &Wishes::default(), &mut records);
    assert!(!report.has_errors(), "{}", told(&report));
    let brief: Vec<_> = records.streets.iter().map(|s| (s.id.as_str(), s.name.as_str(), s.lines.0.len())).collect();
    assert_eq!(brief, [("1", "Mill St", 1), ("2", "Elm St", 2)]);
    // The shared corner is the same to the last bit: there the two meet.
    assert_eq!(records.streets[0].lines.0[0].0[1], records.streets[1].lines.0[1].0[0]);
    let report = bring(Kind::Streets, "s.geojson", &layer(&elm), &Wishes::default(), &mut records);
    assert!(told(&report).contains("I-912"), "{}", told(&report));
    assert_eq!(records.streets.len(), 1);
    let before = records.clone();
    let area = r#"{"type":"Feature","properties":{"id":3},"geometry":{"type":"Polygon","coordinates":[[[-82.004,42.998],[-82.003,42.998],[-82.003,42.999],[-82.004,42.998]]]}}"#;
    let report = bring(Kind::Streets, "s.geojson", &layer(area), &Wishes::default(), &mut records);
    assert!(report.has_errors() && told(&report).contains("where lines are needed"), "{}", told(&report));
    assert_eq!(records, before);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    /// Whatever bytes come, no kind panics, and an error leaves the records alone.
    #[test]
    fn any_bytes_are_answered(bytes in proptest::collection::vec(any::<u8>(), 0..400), kind in 0..Kind::ALL.len()) {
        let mut records = programme();
        let before = records.clone();
        let report = import(Kind::ALL[kind], &Input::single("any", bytes), &Wishes::default(), &mut records);
        prop_assert!(!report.has_errors() || records == before);
    }

    /// Text that is nearly a table, too.
    #[test]
    fn any_table_is_answered(text in "(plot|date|new|tmax|tmin|block|id|x|y|species)([,;\t](plot|date|new|old|tmax|tmin|block|id|x|y|species)){0,4}(\n[0-9a-z,;.\"/ -]{0,30}){0,6}", kind in 0..Kind::ALL.len()) {
        let mut records = programme();
        let before = records.clone();
        let report = import(Kind::ALL[kind], &Input::single("any.csv", text.into_bytes()), &Wishes::default(), &mut records);
        prop_assert!(!report.has_errors() || records == before);
    }

    /// A count comes through whatever it is, with every separator.
    #[test]
    fn counts_come_through(new in 0u32..5000, old in 0u32..5000, high in 0u32..5000, separator in prop::sample::select(vec![',', ';', '\t'])) {
        let mut records = with_plots();
        let text = format!("plot,date,new,old,out_of_reach\nP1,2026-10-03,{new},{old},{high}\n").replace(',', &separator.to_string());
        let report = bring(Kind::Counts, "c.csv", &text, &Wishes::default(), &mut records);
        prop_assert!(!report.has_errors(), "{}", told(&report));
        let count = &records.visits[0].counts[0];
        prop_assert_eq!((count.new, count.old, count.out_of_reach), (new, old, high));
    }
}
