//! The field log from sheets.

use crownhold::types::{Block, Records};
use crownhold_data::formats::{Input, Kind, Report, Wishes, import};

use crate::sample;

fn take(kind: Kind, text: &str) -> (Report, Records) {
    let mut records = Records::empty(sample::programme());
    records.blocks = vec![Block { survey_closed: None, ..sample::block(1) }, sample::block(2)];
    let report = import(kind, &Input::single("log.csv", text), &Wishes::default(), &mut records);
    (report, records)
}

fn codes(report: &Report) -> Vec<(&'static str, Option<u64>)> {
    report.problems.iter().map(|p| (p.code, p.place.row)).collect()
}

/// Two crews in one block on one day are two visits; the same sheet again changes nothing.
#[test]
fn visits_of_one_day_stay_apart() {
    let sheet = "date,block,low,hours\n2027-01-16,B-002,12,1.5\n2027-01-16,B-002,30,\n";
    let (report, mut records) = take(Kind::Scraping, sheet);
    assert_eq!(codes(&report), []);
    let ids: Vec<&str> = records.log.scraping.iter().map(|v| v.id.as_str()).collect();
    assert_eq!(ids, ["2027-01-16 B-002", "2027-01-16 B-002 (2)"]);
    let again = import(Kind::Scraping, &Input::single("log.csv", sheet), &Wishes::default(), &mut records);
    assert_eq!((again.taken.new, again.taken.unchanged), (0, 2));
}

#[test]
fn every_fault_is_told_and_nothing_is_taken() {
    let sheet = "date,block,bands,large,minutes\nsoon,B-002,1,2,3\n,B-002,1,2,3\n2027-06-15,,1,2,3\n2027-06-15,X,1,2,3\n\
                 2027-06-15,B-002,0,2,3\n2027-06-15,B-002,1,-2,3\n2027-06-15,B-002,1,2,-3\n";
    let (report, records) = take(Kind::Bands, sheet);
    let mut found = codes(&report);
    found.sort_by_key(|(_, row)| *row);
    let wanted = ["I-212", "I-280", "I-280", "I-503", "I-281", "I-208", "I-283"];
    let rows: Vec<_> = wanted.iter().zip(2..).map(|(code, row)| (*code, Some(row))).collect();
    assert_eq!(found, rows);
    assert_eq!(records.log.bands, []);
}

#[test]
fn scraping_where_the_count_is_open_is_noticed() {
    let (report, records) = take(Kind::Scraping, "date,block,low\n2027-01-16,B-001,12\n2027-01-17,B-002,3\n");
    assert_eq!(report.problems.iter().map(|p| p.code).collect::<Vec<_>>(), ["I-282"]);
    assert!(report.problems[0].what.ends_with("B-001."), "{:?}", report.problems);
    assert_eq!(records.log.scraping.len(), 2);
}
