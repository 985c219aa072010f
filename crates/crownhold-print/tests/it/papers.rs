//! Papers made of ordinary parts.

use crownhold::field::crews::tree_list;
use crownhold::types::{Application, Hours, SprayMethod, Tactic};
use crownhold_print::papers::{
    CrewBlock, Document, LANGUAGES, Part, application_record, crew_sheets, notice_letter, season_dates_sheet,
};
use jiff::civil::date;

use crate::town::{ISSUED, Town};

/// Every word of a paper.
fn words(paper: &Document, town: &Town) -> String {
    paper.data(&town.inputs().records.programme, ISSUED).to_string()
}

#[test]
fn letters_are_whole_in_every_language() {
    let town = Town::small();
    let inputs = town.inputs();
    let blocks = ["B-001 (Mill Woods)".to_owned(), "B-002".to_owned()];
    for lang in LANGUAGES {
        let programme = &inputs.records.programme;
        let letter = notice_letter(lang, &blocks, Some(inputs.timing), programme);
        let all = words(&letter, &town);
        assert!(!all.contains("{from}") && !all.contains("{to}") && !all.contains("{blocks}"), "{lang}: {all}");
        assert!(all.contains("B-001 (Mill Woods), B-002") && all.contains("2027"), "{lang}");
        let without = words(&notice_letter(lang, &blocks, None, programme), &town);
        assert!(!without.contains("{from}"), "{lang} without dates");
        let pdf = letter.pdf(programme, ISSUED).unwrap();
        assert_eq!(pdf, letter.pdf(programme, ISSUED).unwrap(), "same parts, same bytes");
    }
}

/// Sheets are handed out one by one: each has its caution, and one of a block that is not counted says so.
#[test]
fn every_crew_sheet_has_its_caution() {
    let town = Town::small();
    let inputs = town.inputs();
    let block = |i: usize, counted| CrewBlock {
        name: inputs.records.blocks[i].id.to_string(),
        place: String::new(),
        trees: tree_list(inputs.records, &inputs.records.blocks[i]),
        hours: Hours::hours(3.0),
        counted,
    };
    for tactic in [Tactic::Scraping, Tactic::Bands] {
        let blocks = [block(0, true), block(1, false)];
        let sheets = crew_sheets(tactic, &blocks, &[], Some(inputs.timing), inputs.records);
        let pages = sheets.parts.iter().filter(|p| matches!(p, Part::NewPage)).count();
        let gloves = sheets.parts.iter().filter(|p| matches!(p, Part::Caution(c) if c.contains("gloves"))).count();
        assert_eq!((pages, gloves), (2, 3), "{tactic}");
        assert_eq!(words(&sheets, &town).contains("Scrape nothing here"), tactic == Tactic::Scraping);
        sheets.pdf(&inputs.records.programme, ISSUED).unwrap();
    }
}

#[test]
fn a_record_says_what_is_blank_and_what_it_amends() {
    let town = Town::small();
    let blank = Application {
        id: "2027-0001".into(),
        version: 2,
        reason: "wind misread".into(),
        closed: None,
        method: SprayMethod::Air,
        blocks: Vec::new(),
        place: String::new(),
        date: date(2027, 5, 28),
        from: None,
        to: None,
        product: String::new(),
        registration: String::new(),
        formulation: String::new(),
        rate: String::new(),
        total: String::new(),
        area: None,
        wind: None,
        wind_from: None,
        temperature: None,
        humidity: None,
        applicator: String::new(),
        licence: String::new(),
        craft: String::new(),
        note: String::new(),
    };
    let all = words(&application_record(&blank, &town.inputs().records.programme), &town);
    assert!(all.contains("amends version 1: wind misread") && all.contains("may still be written on"), "{all}");
    assert_eq!(all.matches("not written down").count(), 16, "{all}");
}

#[test]
fn the_dates_sheet_tells_its_windows() {
    let town = Town::small();
    let inputs = town.inputs();
    let sheet = season_dates_sheet(inputs.timing, inputs.records);
    let all = words(&sheet, &town);
    for part in ["Aerial Btk", "Egg-mass survey", "Notices of flights must be out by", "Heat says when to look"] {
        assert!(all.contains(part), "{part}");
    }
    sheet.pdf(&inputs.records.programme, ISSUED).unwrap();
}
