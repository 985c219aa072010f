//! The season plan of the small town, and of towns that try its layout.

use std::collections::BTreeSet;

use crownhold::tactics::Bundle;
use crownhold::types::{Area, Draws, UnitSystem, Value};
use crownhold_print::papers::season_plan::season_plan_data;
use crownhold_print::{PrintError, number_ids, season_plan};

use crate::town::{ISSUED, Town};

/// Pages of a PDF: each page object names its type once, uncompressed.
fn pages(pdf: &[u8]) -> usize {
    count(pdf, b"/Type/Page/")
}

fn count(pdf: &[u8], what: &[u8]) -> usize {
    pdf.windows(what.len()).filter(|w| *w == what).count()
}

fn has(pdf: &[u8], what: &str) -> bool {
    count(pdf, what.as_bytes()) > 0
}

#[test]
fn it_is_a_tagged_pdf_with_title_and_language() {
    let pdf = season_plan(&Town::small().inputs(), ISSUED).unwrap();
    assert!(pdf.starts_with(b"%PDF-1.7"));
    // PDF 32000-1: 14.7 structure tree, 14.8 mark information; ISO 14289-1: the PDF/UA identifier in the metadata.
    for part in ["/StructTreeRoot", "/MarkInfo", "/Lang", "pdfuaid:part", "Pellwood: spongy moth season plan 2027"] {
        assert!(has(&pdf, part), "{part}");
    }
    assert!(pages(&pdf) > 2, "{} pages", pages(&pdf));
}

#[test]
fn same_inputs_same_bytes() {
    let first = season_plan(&Town::small().inputs(), ISSUED).unwrap();
    let again = season_plan(&Town::small().inputs(), ISSUED).unwrap();
    assert!(first == again, "{} and {} bytes", first.len(), again.len());
    let later = season_plan(&Town::small().inputs(), ISSUED.tomorrow().unwrap()).unwrap();
    assert!(first != later, "the date of issue is on the paper");
}

/// Everything the paper says, in order; the layout only sets it.
#[test]
fn words_of_the_small_town() {
    let mut data = season_plan_data(&Town::small().inputs(), ISSUED).unwrap();
    // The drawings have their own snapshots.
    for part in ["map", "dates", "outlook"] {
        data[part]["svg"] = "…".into();
    }
    insta::assert_snapshot!(serde_json::to_string_pretty(&data).unwrap());
}

/// Every id on the paper can be asked for, and each is there once.
#[test]
fn printed_ids_are_in_the_catalogue() {
    let town = Town::small();
    let catalogue = number_ids(&town.inputs());
    let ids: BTreeSet<&str> = catalogue.iter().map(|n| n.id.as_str()).collect();
    assert_eq!(ids.len(), catalogue.len(), "an id stands twice");
    for id in [
        "P-cost",
        "P-risk-low",
        "B-004.density",
        "B-004.found",
        "T-hatch50",
        "W-aerial.opens",
        "W-aerial.none",
        "timing.hatch.heat",
        "C-A2.cost",
    ] {
        assert!(ids.contains(id), "{id}");
    }
    let data = season_plan_data(&town.inputs(), ISSUED).unwrap();
    let sentences = data["sentences"].as_array().unwrap().iter().chain([&data["proof"], &data["outlook"]["sentence"]]);
    let printed: Vec<&str> = sentences.flat_map(|s| s.as_array().unwrap()).filter_map(|p| p["id"].as_str()).collect();
    assert!(printed.len() > 10);
    for id in printed {
        assert!(ids.contains(id), "{id} is printed");
    }
}

/// A figure on the paper is the sum of its parts.
#[test]
fn totals_add_up() {
    let town = Town::small();
    let catalogue = number_ids(&town.inputs());
    let text = |id: &str| catalogue.iter().find(|n| n.id == id).unwrap().value_text.clone();
    let cost: f64 = town.plan.blocks.iter().map(|b| b.cost.as_dollars()).sum();
    assert_eq!(text("P-cost").replace([',', '$'], ""), format!("{cost:.0}"));
    assert_eq!(text("C-all.cost"), text("P-cost"));
    assert_eq!(text("P-crew-hours"), format!("{} hours", text("C-all.crew")));
    let flown: f64 = town.plan.blocks.iter().map(|b| b.sprayed.as_acres()).sum();
    assert_eq!(text("P-sprayed"), format!("{flown:.0} acres"));
}

#[test]
fn metric_programmes_read_hectares_on_a4() {
    let mut town = Town::small();
    town.records.programme.units = UnitSystem::Metric;
    let data = season_plan_data(&town.inputs(), ISSUED).unwrap();
    assert_eq!((data["head"]["paper"].as_str(), data["head"]["area_unit"].as_str()), (Some("a4"), Some("ha")));
    assert_eq!(data["head"]["issued"], "20 April 2027");
    assert!(!data["map"]["svg"].as_str().unwrap().contains(" ft<"));
    let pdf = season_plan(&town.inputs(), ISSUED).unwrap();
    // ISO 216: A4 is 210 by 297 mm, which is 595.3 by 841.9 points of 1/72 inch.
    assert!(has(&pdf, "/MediaBox[0 0 595.") && has(&pdf, "/MediaBox[0 0 841."));
}

#[test]
fn invented_data_is_said_and_real_data_is_not() {
    let mut town = Town::small();
    let banner = |town: &Town| season_plan_data(&town.inputs(), ISSUED).unwrap()["head"]["invented"].clone();
    assert!(banner(&town).as_str().unwrap().starts_with("Invented data."));
    town.records.programme.invented = false;
    assert!(banner(&town).is_null());
    season_plan(&town.inputs(), ISSUED).unwrap();
}

#[test]
fn local_values_come_first_and_are_marked() {
    let mut town = Town::small();
    let name = town.records.parameters.iter().last().unwrap().name.clone();
    let value = town.records.parameters.value(&name);
    assert!(town.records.parameters.set(&name, value, "own plots of 2024"));
    let data = season_plan_data(&town.inputs(), ISSUED).unwrap();
    let room = name.split('.').next().unwrap();
    let group = data["assumptions"].as_array().unwrap().iter().find(|g| g["room"] == room).unwrap();
    assert_eq!((&group["rows"][0]["id"], &group["rows"][0]["local"]), (&name.into(), &true.into()));
    season_plan(&town.inputs(), ISSUED).unwrap();
}

/// The reason a block is barred from flying stands in its row; a caution stands over every treated class.
#[test]
fn bars_and_cautions_stand_where_they_matter() {
    let data = season_plan_data(&Town::small().inputs(), ISSUED).unwrap();
    let classes = data["classes"].as_array().unwrap();
    let rows = classes.iter().flat_map(|c| c["rows"].as_array().unwrap());
    let barred = rows.into_iter().find(|r| r["block"] == "B-005").unwrap()["barred"].as_array().unwrap();
    assert_eq!(barred.as_slice(), ["The owner has refused consent to spray from the air."]);
    for class in classes {
        assert_eq!(class["cautions"].as_array().unwrap().is_empty(), class["name"] == "watch", "{}", class["name"]);
    }
}

/// The text of an id in the catalogue.
fn text_of(town: &Town, id: &str) -> String {
    number_ids(&town.inputs()).into_iter().find(|n| n.id == id).unwrap().value_text
}

/// The density printed is the one the plan reckons with; what was found stands beside it.
#[test]
fn density_is_that_of_the_plan() {
    let mut town = Town::small();
    // 247.105 per hectare are 100 per acre (1 acre = 0.40468564224 ha, exact); the median of 3 values is the middle.
    let per_acre = |v: f64| v * 2.471_053_8;
    let blocks = town.records.blocks.len();
    town.density.draws = Draws::from_blocks(vec![[300.0, 40.0, 100.0].map(per_acre).to_vec(); blocks], 3);
    assert_eq!(text_of(&town, "B-001.density"), "100");
    // Linear between order statistics: 40 + 0.1 x 60 and 100 + 0.9 x 200.
    assert_eq!(text_of(&town, "B-001.density-range"), "46 to 280");
    assert_eq!(text_of(&town, "B-001.found"), "40 masses/acre on 4 plots");
    assert_eq!(text_of(&town, "B-008.found"), "no plot, borrowed from its stratum");
}

/// Means on both sides; where nothing is done nothing changes, whatever the options say.
#[test]
fn a_watched_block_does_not_change() {
    let mut town = Town::small();
    town.options.blocks[0].options[0].expected_defoliation += 0.2;
    assert!(town.plan.blocks[0].bundle.tactics().is_empty());
    let untreated = text_of(&town, "B-001.loss");
    assert!(untreated.starts_with(&format!("{} (", text_of(&town, "B-001.loss-planned"))), "{untreated}");
    let data = season_plan_data(&town.inputs(), ISSUED).unwrap();
    assert!(data["outlook"]["svg"].as_str().unwrap().contains(&format!("{untreated}, watched")));
}

/// Seasons without a window are counted, and do not push its dates later.
#[test]
fn windows_are_those_of_the_seasons_that_have_them() {
    let town = Town::small();
    // Six of thirty members lack it.
    assert_eq!(text_of(&town, "W-aerial.none"), "20\u{a0}%");
    assert!(!number_ids(&town.inputs()).iter().any(|n| n.id == "W-bands.none"));
    let later = number_ids(&town.inputs()).into_iter().filter(|n| n.id.starts_with("W-"));
    assert!(later.into_iter().all(|n| !n.value_text.contains("after") && !n.value_text.contains("later")));
}

/// Watched blocks within their accepted chance stand in the short table, the others with their reasons.
#[test]
fn watched_blocks_are_short_unless_over_their_chance() {
    let mut town = Town::small();
    town.plan.blocks[0].chance_over = 0.9;
    let data = season_plan_data(&town.inputs(), ISSUED).unwrap();
    let watch = data["classes"].as_array().unwrap().iter().find(|c| c["name"] == "watch").unwrap();
    let ids = |part: &str| -> Vec<String> {
        watch[part].as_array().unwrap().iter().map(|r| r["block"].as_str().unwrap().to_owned()).collect()
    };
    let watched = town.plan.blocks.iter().filter(|b| b.bundle == Bundle::WATCH).count();
    assert_eq!(ids("rows"), ["B-001"]);
    assert!(ids("calm").len() == watched - 1 && !ids("calm").contains(&"B-001".to_owned()));
}

/// Where hand work is told of at the density of an outbreak, what bands take is said; elsewhere not.
#[test]
fn bands_are_not_flattered_at_outbreak_density() {
    let mut town = Town::small();
    let said = |town: &Town| {
        let data = season_plan_data(&town.inputs(), ISSUED).unwrap();
        let rows: Vec<_> =
            data["classes"].as_array().unwrap().iter().flat_map(|c| c["rows"].as_array().unwrap().clone()).collect();
        rows.iter().find(|r| r["block"] == "B-006").unwrap()["bands"].clone()
    };
    // The town's bands remove 0.016 of the larvae of such a block.
    assert_eq!(said(&town), "At this density bands alone would take under 2 in 100 larvae.");
    town.density.draws = town.density.draws.map(|v| v / 10.0);
    assert!(said(&town).is_null());
}

/// A reason is given once in a row.
#[test]
fn reasons_are_not_repeated() {
    let mut town = Town::small();
    let refused = "The owner has refused consent to spray from the air.";
    let next = "It would leave 21 %, but it needs $4,332 more than is left.";
    town.plan.blocks[4].why =
        format!("Bands would leave 21 %, but it needs $4,332 more than is left. Barred: {refused}");
    town.plan.blocks[4].runner_up.as_mut().unwrap().why_not = next.to_owned();
    let data = season_plan_data(&town.inputs(), ISSUED).unwrap();
    let rows = data["classes"].as_array().unwrap().iter().flat_map(|c| c["rows"].as_array().unwrap());
    let row = rows.into_iter().find(|r| r["block"] == "B-005").unwrap();
    assert!(row["runner_up"].is_null() && row["barred"].as_array().unwrap().is_empty(), "{row}");
}

/// Words that only the people who reckon use stay out of the paper.
#[test]
fn words_are_those_of_the_field() {
    let mut data = season_plan_data(&Town::small().inputs(), ISSUED).unwrap();
    // Units of parameters may be what they are.
    for part in ["assumptions", "numbers"] {
        data[part] = "".into();
    }
    let mut text = data.to_string();
    text.extend(number_ids(&Town::small().inputs()).iter().map(|n| n.label.as_str()).filter(|l| !l.contains("logit")));
    for word in ["fresh", "logit", "solve", "anywhere", "or later"] {
        assert!(!text.contains(word), "{word}");
    }
}

#[test]
fn stages_of_different_records_are_refused_with_every_block_named() {
    let mut town = Town::small();
    town.density.blocks.remove(2);
    town.plan.blocks[5].option = 99;
    town.plan.blocks.remove(0);
    let error = season_plan(&town.inputs(), ISSUED).unwrap_err();
    let PrintError::Inputs(problems) = &error else { panic!("{error}") };
    let named: Vec<String> = problems.iter().map(|p| p.place.to_string()).collect();
    assert_eq!(named, ["block B-003", "block B-006", "block B-001"]);
    insta::assert_snapshot!(error.to_string());
}

#[test]
fn a_city_of_180_blocks_is_set() {
    let town = Town::grid(15, 12);
    let pdf = season_plan(&town.inputs(), ISSUED).unwrap();
    assert!((10..33).contains(&pages(&pdf)), "{} pages", pages(&pdf));
}

/// Something done to a town.
type Change = fn(&mut Town);

#[test]
fn odd_towns_are_set_all_the_same() {
    let odd: [(&str, Change); 8] = [
        ("long names and markup", |t| {
            t.records.blocks[0].name = "Upper Ferry Bank and the Old Orchard beyond the Long Meadow Road ".repeat(4);
            t.records.blocks[1].name = "#panic() $x$ *a* _b_ @c <d> \\ \"e\" [f] // g".to_owned();
            t.plan.blocks[1].why = "A_very_long_word_without_a_blank_".repeat(12);
            t.records.programme.name =
                "The United Townships of Pellwood, Nether Pellwood and Pellwood-by-the-Water".to_owned();
        }),
        ("no plot counted", |t| {
            for (_, d) in &mut t.density.blocks {
                d.plots = 0;
            }
            t.density.new_share = None;
            t.density.dispersion.plots = None;
        }),
        ("all watched, no risk", |t| {
            for (p, o) in t.plan.blocks.iter_mut().zip(&t.options.blocks) {
                (p.option, p.bundle) = (0, Bundle::WATCH);
                (p.chance_over, p.chance_over_untreated) = (0.0, 0.0);
                (p.sprayed, p.cost) = (o.options[0].sprayed, o.options[0].cost);
            }
            (t.plan.risk.in_sample, t.plan.risk.untreated) = (Area::ZERO, Area::ZERO);
            (t.plan.risk.out_of_sample, t.plan.risk.standard_error, t.plan.risk.range) = (None, None, None);
            t.orders.orders.clear();
        }),
        ("nothing limits", |t| {
            t.plan.binding.clear();
            t.plan.hours.clear();
            t.records.resources.budget = None;
            t.over_threshold = None;
        }),
        ("no weather", |t| {
            t.timing.events.clear();
            t.timing.windows.clear();
            t.timing.years.clear();
        }),
        ("nothing in the outlook but foliage", |t| {
            for d in [&mut t.outlook.dead_trees, &mut t.outlook.loss] {
                *d = Draws::from_blocks(Vec::new(), 1);
            }
        }),
        ("other scripts", |t| {
            t.records.programme.name = "山の町".to_owned();
            t.records.blocks[0].name = "🌳 Übermühl \u{202e}Łąka".to_owned();
            t.records.blocks[1].name = "مدرسة שָׁלוֹם किताब".to_owned();
            t.plan.hours[2].neighbourhood = Some("שכונה Ὀδός Приют Trois-Rivie\u{300}res".to_owned());
        }),
        ("skewed values", |t| {
            let name = t.records.parameters.iter().next().unwrap().name.clone();
            assert!(t.records.parameters.set(&name, Value::Lognormal(0.001, 5.0, 1e9), "a\nb\u{0}c"));
        }),
    ];
    for (what, change) in odd {
        let mut town = Town::small();
        change(&mut town);
        let pdf = season_plan(&town.inputs(), ISSUED).unwrap_or_else(|e| panic!("{what}: {e}"));
        assert!(pages(&pdf) > 2, "{what}: {} pages", pages(&pdf));
    }
}

#[test]
fn a_programme_without_blocks_is_set() {
    let town = Town::grid(0, 0);
    let pdf = season_plan(&town.inputs(), ISSUED).unwrap();
    assert!(pages(&pdf) > 2, "{} pages", pages(&pdf));
}
