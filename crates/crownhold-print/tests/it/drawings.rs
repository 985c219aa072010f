//! Maps and charts of the small town: their text is kept, so that every change is seen.

use crownhold::types::UnitSystem;
use crownhold_print::Sheet;
use crownhold_print::charts::{self, OutlookBar};
use crownhold_print::maps::{self, MapBlock};
use geo::MultiPolygon;

use crate::town::{ISSUED, Town};

fn map_of(town: &Town) -> String {
    let blocks: Vec<MapBlock<'_>> = town
        .records
        .blocks
        .iter()
        .zip(&town.plan.blocks)
        .map(|(block, plan)| MapBlock { block, bundle: &plan.bundle })
        .collect();
    maps::option_map(&blocks, &town.records.no_spray, "Options by block", &Sheet::paper("map", UnitSystem::Us))
}

fn dates_of(town: &Town, today: jiff::civil::Date) -> String {
    charts::season_dates(&town.timing, today, &Sheet::paper("dates", UnitSystem::Us))
}

fn outlook_of(bars: &[OutlookBar]) -> String {
    charts::untreated_outlook(bars, &Sheet::paper("outlook", UnitSystem::Us))
}

fn bars() -> Vec<OutlookBar> {
    [("B-001 Mill Lane", "W", 0.05), ("B-002 Ferry Bank below the Old Lock", "A2+S", 0.8)]
        .map(|(label, code, mean)| OutlookBar {
            label: label.to_owned(),
            code: code.to_owned(),
            range: (mean / 2.0, mean * 1.2),
            mean,
            tolerance: 0.3,
            planned: (code != "W").then_some(mean / 4.0),
        })
        .to_vec()
}

#[test]
fn map_of_the_small_town() {
    insta::assert_snapshot!(map_of(&Town::small()));
}

#[test]
fn dates_of_the_small_town() {
    insta::assert_snapshot!(dates_of(&Town::small(), ISSUED));
}

#[test]
fn outlook_of_two_blocks() {
    insta::assert_snapshot!(outlook_of(&bars()));
}

/// For the desk and for readers of screens: scalable, named, no script, balanced tags.
#[test]
fn every_drawing_is_safe_to_embed() {
    let town = Town::small();
    let dates = charts::season_dates(&town.timing, ISSUED, &Sheet::paper("dates", UnitSystem::Metric));
    for svg in [map_of(&town), dates, outlook_of(&bars()), outlook_of(&[])] {
        assert!(svg.contains("viewBox=") && svg.contains("role=\"img\"") && svg.contains("<title id="), "{svg}");
        assert!(!svg.contains("<script") && !svg.contains("href") && !svg.contains("NaN"), "{svg}");
        for tag in ["g", "text", "title", "pattern", "defs", "svg"] {
            let opened = svg.matches(&format!("<{tag} ")).count() + svg.matches(&format!("<{tag}>")).count();
            assert_eq!(opened, svg.matches(&format!("</{tag}>")).count(), "{tag}");
        }
    }
}

#[test]
fn a_hostile_block_name_stays_text() {
    let mut town = Town::small();
    town.records.blocks[0].id = crownhold::types::BlockId::new("<script>\"&");
    let svg = map_of(&town);
    assert!(svg.contains("&lt;script&gt;&quot;&amp;") && !svg.contains("<script"));
}

#[test]
fn both_parts_of_a_block_are_drawn() {
    let svg = map_of(&Town::small());
    let with_two_parts = svg.lines().filter(|l| l.contains("fill=\"none\"") && l.matches('Z').count() == 2).count();
    assert_eq!(with_two_parts, 1);
}

#[test]
fn shapes_without_extent_do_not_break_the_map() {
    let mut town = Town::small();
    for block in &mut town.records.blocks {
        block.shape = MultiPolygon::new(Vec::new());
    }
    town.records.no_spray.clear();
    assert!(map_of(&town).contains("No blocks to draw yet."));
}

#[test]
fn a_season_without_weather_says_so() {
    let mut town = Town::small();
    town.timing.events.clear();
    town.timing.windows.clear();
    assert!(dates_of(&town, ISSUED).contains("No dates: no weather yet."));
}

/// Today's line stands only where today is on the axis.
#[test]
fn today_off_the_axis_is_said_in_words() {
    let town = Town::small();
    let svg = dates_of(&town, jiff::civil::date(2027, 1, 15));
    assert!(svg.contains("Issued January 15, 2027, before the dates shown") && !svg.contains("today,"));
}
