//! Words, counts and names as people write them, and how often each fault is told.
#![allow(clippy::unwrap_used)]

use crownhold::types::{Area, Consent, LandUse, PlotMethod};
use crownhold_data::formats::{Kind, Wishes};

use crate::formats::{bring, codes, in_crs, told, with_blocks, with_plots};

#[test]
fn plot_methods_with_their_size() {
    let mut records = with_blocks();
    let text = "plot,block,method,radius_ft\n1,A,1/40 acre,\n2,A,0.01 ha,\n3,A,circle,18.6\n4,A,18.6 ft,\n5,A,fixed,18.6\n\
                6,A,prism 10 BAF,18.6\n7,A,10x10 m,\n8,A,1/40 acre,\n";
    let report = bring(Kind::Plots, "plots.csv", text, &Wishes::default(), &mut records);
    assert!(!report.has_errors(), "{}", told(&report));
    let area = |i: usize| records.plots[i].area.unwrap().as_square_metres();
    // By hand: 4,046.856 / 40 = 101.171; a circle of 18.6 ft = 5.66928 m has 100.974 m2.
    for (i, size) in [(0, 101.171), (1, 100.0), (2, 100.974), (3, 100.974), (4, 100.974), (5, 100.974), (6, 100.0)] {
        assert!((area(i) - size).abs() < 0.001, "plot {}: {}", i + 1, area(i));
    }
    assert_eq!(records.plots[5].method, PlotMethod::Prism { basal_area_factor: 10.0 });
    assert_eq!((records.plots[6].method, records.plots[3].method), (PlotMethod::Square, PlotMethod::FixedRadius));
    assert_eq!(codes(&report), ["I-216"], "told once: {}", told(&report));
    assert_eq!(records.plots[7].area, Some(Area::acres(0.025)));
    insta::assert_snapshot!(told(&report));
}

#[test]
fn consents_and_land_uses() {
    let mut records = with_blocks();
    let text = "block,consent,land use,ownership\nA,granted,woodlot,private\nB,n/a,forest,public\nC,N/A,school grounds,private\n";
    let report = bring(Kind::Areas, "areas.csv", text, &Wishes::default(), &mut records);
    assert!(!report.has_errors(), "{}", told(&report));
    let got: Vec<_> = records.blocks.iter().map(|b| (b.consent, b.land_use)).collect();
    assert_eq!(got[0], (Consent::Given, LandUse::Woodland));
    assert_eq!(got[1], (Consent::NotNeeded, LandUse::Woodland));
    assert_eq!((got[2].1, with_blocks().blocks[2].consent), (LandUse::School, got[2].0), "it stays as it was");
    insta::assert_snapshot!(told(&report));
    for (word, meant) in [
        ("yes", Consent::Given),
        ("ok", Consent::Given),
        ("Approved", Consent::Given),
        ("no", Consent::Refused),
        ("declined", Consent::Refused),
        ("asked", Consent::Pending),
    ] {
        let text = format!("block,consent\nA,{word}\n");
        let report = bring(Kind::Areas, "areas.csv", &text, &Wishes::default(), &mut records);
        assert_eq!(records.blocks[0].consent, meant, "{word}");
        assert_eq!(codes(&report).contains(&"I-216"), meant == Consent::Given, "a consent is told: {word}");
    }
}

#[test]
fn a_word_is_told_once() {
    let mut records = with_plots();
    let mut text = "block,consent\n".to_owned();
    for row in 0..20 {
        text += ["A,maybe\n", "B,perhaps\n"][row % 2];
    }
    let report = bring(Kind::Areas, "areas.csv", &text, &Wishes::default(), &mut records);
    let of_words: Vec<String> = report.problems.iter().filter(|p| p.code == "I-211").map(ToString::to_string).collect();
    insta::assert_snapshot!(of_words.join("\n"));
}

#[test]
fn what_is_no_count_is_told_truly() {
    let mut records = with_plots();
    let text = "plot,date,new,old,out_of_reach\nP1,2026-10-03,none,0,0\nP2,2026-10-03,-2,0,0\nP3,2026-10-03,3.5,0,0\nP4,2026-10-03,many,0,0\n";
    let report = bring(Kind::Counts, "counts.csv", text, &Wishes::default(), &mut records);
    assert!(report.has_errors());
    assert_eq!(report.problems.len(), 4, "one each");
    insta::assert_snapshot!(told(&report));
}

#[test]
fn near_names_are_offered_and_not_taken() {
    let mut records = with_blocks();
    let text = "tree id,species,x,y\n1,Qurecus alba,418100,4761100\n2,Q. alba,418110,4761100\n3,Acer sacch.,418120,4761100\n\
                4,oak sp.,418130,4761100\n5,Quercus phantastica,418140,4761100\n6,Zelkova serrata,418150,4761100\n";
    let report = bring(Kind::Trees, "trees.csv", text, &in_crs("EPSG:32617"), &mut records);
    assert!(!report.has_errors(), "{}", told(&report));
    insta::assert_snapshot!(told(&report));
}
