//! What residents are told through the year.

use jiff::civil::{Date, date};

use crownhold::Setting;
use crownhold::field::{Advice, advice};
use crownhold::pellwood::pellwood;
use crownhold::timing::{self, Field, Timing};
use crownhold::types::Records;

fn town() -> (Records, Timing) {
    let records = pellwood(1, 2027);
    let field = Field { samples: &[], blocks: &records.blocks };
    let setting = Setting { today: date(2027, 3, 1), seed: 1, draws: 200 };
    let timing = timing::forecast(&records.weather, field, &records.parameters, 2027, &setting).unwrap();
    (records, timing)
}

fn on(day: Date) -> Vec<Advice> {
    let (records, timing) = town();
    advice(records.blocks.iter().find(|b| b.survey_closed.is_some()), Some(&timing), day)
}

#[test]
fn the_year_of_a_resident() {
    assert_eq!(on(date(2027, 2, 1)), [Advice::Scrape]);
    let may = on(date(2027, 5, 5));
    assert!(!may.contains(&Advice::Scrape), "{may:?}");
    let june = on(date(2027, 6, 20));
    assert!(june.contains(&Advice::EmptyBand) && june.contains(&Advice::KeepOff), "{june:?}");
    assert!(on(date(2027, 9, 1)).contains(&Advice::LookForMasses));
}

#[test]
fn nothing_is_scraped_where_the_count_is_open() {
    let (mut records, timing) = town();
    records.blocks[0].survey_closed = None;
    assert_eq!(advice(Some(&records.blocks[0]), Some(&timing), date(2027, 1, 10)), [Advice::LeaveUntilCounted]);
}

#[test]
fn no_weather_no_dates() {
    assert_eq!(advice(None, None, date(2027, 1, 10)), [Advice::NoDates]);
}

#[test]
fn every_day_of_the_season_says_something_and_never_to_scrape_hatching_eggs() {
    let (records, timing) = town();
    let mut day = date(2026, 12, 1);
    while day < date(2027, 10, 1) {
        let all = advice(Some(&records.blocks[3]), Some(&timing), day);
        assert!(!all.is_empty(), "{day}");
        assert!(!(all.contains(&Advice::Scrape) && all.contains(&Advice::KeepOff)), "{day}: {all:?}");
        day = day.tomorrow().unwrap();
    }
}
