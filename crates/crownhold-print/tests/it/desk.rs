//! The pictures of the desk: what every one must be, and what each must say.

use crownhold::Setting;
use crownhold::pellwood::pellwood;
use crownhold::timing::{Field, HeatAxis, Timing, Window, WindowKind, forecast};
use crownhold::types::{Area, BlockId, MassesPerArea, Parameters, PastSeason, Share, UnitSystem};
use crownhold_print::charts::{
    CompareBar, Deadline, DensityRow, LearnedEvent, LedgerYear, WindowBars, YearRing, bars_compare, density_dots,
    heat_fan, learned_dates, ledger, season_ledger, stage_areas, window_bars, year_ring,
};
use crownhold_print::maps::{MapBlock, option_map};
use crownhold_print::palette::TOKENS;
use crownhold_print::{Sheet, Size};
use jiff::civil::{Date, date};
use std::collections::BTreeSet;
use std::sync::LazyLock;

use crate::town::Town;

const TODAY: Date = date(2026, 11, 20);

/// Pellwood's season, computed once.
static TIMING: LazyLock<Timing> = LazyLock::new(|| {
    let setting = Setting { today: TODAY, seed: 1, draws: 60 };
    forecast(&pellwood(1, 2027).weather, Field::default(), &Parameters::defaults(), 2027, &setting).unwrap()
});

fn screen(id: &str, size: Size) -> Sheet<'_> {
    Sheet::screen(id, UnitSystem::Us, size)
}
fn ring(today: Date, timing: Option<&Timing>) -> String {
    let ring = YearRing { season: 2027, today, timing, middle: ["23 weeks", "to <hatch>"] };
    year_ring(&ring, &screen("ring", Size::Wide))
}
fn row(label: &str, href: Option<&str>, own: bool) -> DensityRow {
    DensityRow {
        label: label.to_owned(),
        href: href.map(str::to_owned),
        estimate: MassesPerArea::per_acre(120.0),
        interval: (MassesPerArea::per_acre(0.0), MassesPerArea::per_acre(900.0)),
        own,
        threshold: MassesPerArea::per_acre(250.0),
    }
}
fn bars(windows: &[&Window], deadline: Option<Deadline<'_>>, sheet: &Sheet<'_>) -> String {
    let span = (date(2027, 3, 1), date(2027, 9, 30));
    window_bars(&WindowBars { windows, span, today: date(2027, 4, 20), deadline }, sheet)
}

/// Half hatch, once as it is and once a fortnight later.
fn learned(timing: &Timing) -> Vec<LearnedEvent<'_>> {
    let [half, second] = [1, 3].map(|i| &timing.events[i]);
    vec![LearnedEvent { event: half.event, prior: half, posterior: second }]
}

/// Every picture, at one size, each under its own id.
fn all(size: Size) -> Vec<String> {
    let timing = &*TIMING;
    let windows: Vec<&Window> = timing.windows.iter().collect();
    let due = Some(Deadline { day: date(2027, 4, 28), label: "notice due" });
    let compared = [("nothing done", false), ("this plan", true)].map(|(label, main)| CompareBar {
        label: label.to_owned(),
        value: 300.0,
        range: Some((200.0, 420.0)),
        main,
    });
    let rows = [row("A01 Mill Lane", Some("/blocks/A01"), true), row("A02 Ferry Bank", None, false)];
    let ring = |timing| YearRing { season: 2027, today: TODAY, timing, middle: ["23 weeks", "to hatch"] };
    let town = Town::small();
    let mapped: Vec<MapBlock<'_>> = town
        .records
        .blocks
        .iter()
        .zip(&town.plan.blocks)
        .map(|(block, p)| MapBlock { block, bundle: &p.bundle })
        .collect();
    let mut drawn: Vec<String> = HeatAxis::ALL
        .iter()
        .zip(["heat-a", "heat-b", "heat-c"])
        .map(|(axis, id)| heat_fan(timing.heat(*axis).unwrap(), TODAY, &screen(id, size)))
        .collect();
    drawn.extend([
        year_ring(&ring(Some(timing)), &screen("ring-a", size)),
        year_ring(&ring(None), &screen("ring-b", size)),
        stage_areas(&timing.stages, date(2027, 5, 20), &screen("stages", size)),
        stage_areas(&[], TODAY, &screen("no-stages", size)),
        learned_dates(&learned(timing), TODAY, &screen("learned", size)),
        bars(&windows, due, &screen("windows", size)),
        density_dots(&rows, &screen("density", size)),
        bars_compare(&compared, "Host area over tolerance", "acres", &screen("compare", size)),
        season_ledger(&ledger(&pellwood(1, 2027).past), &screen("ledger", size)),
        option_map(&mapped, &town.records.no_spray, "Options by block", &screen("map", size)),
    ]);
    drawn
}

/// The values of an attribute.
fn attributes<'a>(svg: &'a str, name: &str) -> Vec<&'a str> {
    svg.split(&format!(" {name}=\"")).skip(1).filter_map(|rest| rest.split('"').next()).collect()
}

/// For a strict content policy, for phones and for readers of screens.
#[test]
fn every_picture_is_safe_to_stand_in_a_page() {
    for svg in [Size::Wide, Size::Narrow].into_iter().flat_map(all) {
        let open = svg.split('>').next().unwrap();
        assert!(open.contains("viewBox=") && !open.contains(" width=") && !open.contains(" height="), "{open}");
        assert!(open.contains("role=\"img\"") || svg.contains("<a href=") && open.contains("role=\"group\""), "{open}");
        assert!(!svg.contains("style=") && !svg.contains("<style") && !svg.contains("<script"), "{open}");
        assert!(!svg.contains("NaN") && !svg.contains("inf"), "{svg}");
        let ids: BTreeSet<&str> = attributes(&svg, "id").into_iter().collect();
        for named in attributes(&svg, "aria-labelledby").into_iter().flat_map(|list| list.split(' ')) {
            assert!(ids.contains(named), "{named}");
        }
        for used in svg.split("url(#").skip(1).filter_map(|rest| rest.split(')').next()) {
            assert!(ids.contains(used), "{used}");
        }
        for path in svg.split("<textPath href=\"#").skip(1).filter_map(|rest| rest.split('"').next()) {
            assert!(ids.contains(path), "{path}");
        }
        for tag in ["g", "a", "text", "textPath", "title", "desc", "pattern", "defs", "svg"] {
            let opened = svg.matches(&format!("<{tag} ")).count() + svg.matches(&format!("<{tag}>")).count();
            assert_eq!(opened, svg.matches(&format!("</{tag}>")).count(), "{tag}");
        }
    }
}

#[test]
fn ids_of_all_pictures_of_a_page_differ() {
    let page: Vec<String> = all(Size::Wide);
    let ids: Vec<&str> = page.iter().flat_map(|svg| attributes(svg, "id")).collect();
    let distinct: BTreeSet<&&str> = ids.iter().collect();
    assert_eq!(ids.len(), distinct.len());
}

/// A picture of the desk has no colour of its own: it follows the page. (The map has those of the options.)
#[test]
fn every_colour_is_a_token() {
    for svg in [Size::Wide, Size::Narrow].into_iter().flat_map(all).filter(|svg| !svg.contains("id=\"map-title\"")) {
        for paint in ["fill", "stroke"].into_iter().flat_map(|name| attributes(&svg, name)) {
            let token = paint.trim_start_matches("var(").trim_end_matches(')');
            assert!(paint == "none" || TOKENS.iter().any(|(name, ..)| *name == token), "{paint}");
        }
    }
}

/// At 360 CSS pixels no text of a narrow picture is under 11. (The map is always wide.)
#[test]
fn text_on_a_phone_is_large_enough() {
    for svg in all(Size::Narrow).iter().filter(|svg| !svg.contains("id=\"map-title\"")) {
        assert!(attributes(svg, "viewBox")[0].starts_with("0 0 360 "));
        let sizes: Vec<f64> = attributes(svg, "font-size").iter().map(|size| size.parse().unwrap()).collect();
        assert!(sizes.iter().all(|size| *size >= 11.0), "{sizes:?}");
    }
}

/// Nothing is written outside the picture: starts of level texts lie in it.
#[test]
fn texts_stand_inside() {
    for svg in [Size::Wide, Size::Narrow].into_iter().flat_map(all) {
        let edges: Vec<f64> = attributes(&svg, "viewBox")[0].split(' ').map(|v| v.parse().unwrap()).collect();
        for text in svg.split("<text x=\"").skip(1) {
            let x: f64 = text.split('"').next().unwrap().parse().unwrap();
            let y: f64 = text.split("y=\"").nth(1).unwrap().split('"').next().unwrap().parse().unwrap();
            assert!((0.0..=edges[2]).contains(&x) && (0.0..=edges[3]).contains(&y), "{x} {y} in {edges:?}");
        }
    }
}

#[test]
fn the_ring_names_months_stages_windows_and_today() {
    let svg = ring(TODAY, Some(&TIMING));
    for word in ["September", "March", "young larvae", "old larvae", "aerial Btk", "egg-mass survey", ">Nov 20<"] {
        assert!(svg.contains(word), "{word}");
    }
    // The month under today's label gives way to it.
    assert!(!svg.contains(">November<"));
    assert!(svg.contains("23 weeks") && svg.contains("to &lt;hatch&gt;"));
    assert!(svg.contains("The needle stands at November 20, 2026."));
}

#[test]
fn a_ring_without_weather_has_months_needle_and_middle() {
    let svg = ring(TODAY, None);
    assert!(svg.contains(">March<") && svg.contains(">Nov 20<") && svg.contains("23 weeks"));
    assert!(
        svg.contains("No stages and windows: no weather yet.") && !svg.contains("larvae") && !svg.contains(">bands<")
    );
}

#[test]
fn a_day_outside_the_rings_year_has_no_needle() {
    for outside in [date(2026, 8, 31), date(2027, 9, 1)] {
        let svg = ring(outside, None);
        assert!(!svg.contains("needle stands") && !svg.contains("ring-today") && svg.contains(">November<"));
    }
    for inside in [date(2026, 9, 1), date(2027, 8, 31)] {
        assert!(ring(inside, None).contains("ring-today"), "{inside}");
    }
}

/// A survey from October on is drawn on the autumn before, where the ring's September to December lie.
#[test]
fn a_window_of_the_coming_autumn_comes_round() {
    let mut timing = TIMING.clone();
    timing.windows.retain(|w| w.kind == WindowKind::Survey);
    let ink = "fill=\"var(--win-survey)\"";
    assert!(ring(TODAY, Some(&timing)).contains(ink));
    for window in &mut timing.windows {
        window.opens.fill(None);
        window.closes.fill(None);
    }
    let svg = ring(TODAY, Some(&timing));
    assert!(!svg.contains(ink) && svg.contains("not this year"));
}

#[test]
fn heat_says_how_it_is_counted_in_either_unit() {
    let fan = TIMING.heat(HeatAxis::Egg).unwrap();
    let us = heat_fan(fan, TODAY, &Sheet::screen("a", UnitSystem::Us, Size::Wide));
    let metric = heat_fan(fan, TODAY, &Sheet::screen("a", UnitSystem::Metric, Size::Wide));
    // Johnson et al. 1983: 282 degree-days C = 507.6 F above 3 C = 37.4 F.
    assert!(us.contains("degree-days F above 37.4 F, single sine, from Jan 1") && us.contains("hatch 50 %: 508"));
    assert!(
        metric.contains("degree-days C above 3.0 C, single sine, from 1 Jan") && metric.contains("hatch 50 %: 282")
    );
    assert!(us.contains("Nothing of this season is counted yet."));
}

#[test]
fn larval_heat_has_no_marks() {
    let svg = heat_fan(TIMING.heat(HeatAxis::Larva).unwrap(), TODAY, &screen("a", Size::Wide));
    assert!(!svg.contains("%:") && svg.contains("horizontal cutoff at 84.2 F"));
}

#[test]
fn every_stage_is_named_where_it_is() {
    for size in [Size::Wide, Size::Narrow] {
        let svg = stage_areas(&TIMING.stages, date(2027, 5, 20), &screen("a", size));
        for word in [">eggs<", ">young larvae<", ">old larvae<", ">pupae<", ">moths<", ">new eggs<", "today, May 20"] {
            assert!(svg.contains(word), "{word} {size:?}");
        }
    }
    assert!(stage_areas(&[], TODAY, &screen("a", Size::Wide)).contains("No stages: no weather yet."));
}

#[test]
fn strips_mark_the_deadline_only_where_it_is_on_the_axis() {
    let window = TIMING.window(WindowKind::AerialBtk).unwrap();
    let due = |day| Some(Deadline { day, label: "notice due" });
    let with = bars(&[window], due(date(2027, 4, 28)), &screen("a", Size::Wide));
    assert!(with.contains(">notice due, Apr 28<") && with.contains(">today, Apr 20<"));
    let off = bars(&[window], due(date(2027, 1, 5)), &screen("a", Size::Wide));
    assert!(!off.contains(">notice due, Jan 5<") && off.contains("notice due: Jan 5."));
    assert!(!bars(&[window], None, &screen("a", Size::Wide)).contains("notice"));
}

#[test]
fn own_and_borrowed_densities_differ_by_shape_and_links_are_links() {
    let one = |row: DensityRow| density_dots(&[row], &screen("a", Size::Wide));
    let (own, borrowed) = (one(row("A01", None, true)), one(row("A01", None, false)));
    // One mark each in the legend, and one for the row.
    let diamonds = |svg: &str| attributes(svg, "d").iter().filter(|d| d.contains('L')).count();
    assert_eq!((diamonds(&own), diamonds(&borrowed)), (1, 2));
    let linked = one(row("A01 <b>", Some("/blocks/A01?x=1&y=\""), true));
    assert!(linked.contains("<a href=\"/blocks/A01?x=1&amp;y=&quot;\">") && linked.contains("A01 &lt;b&gt;"));
    assert!(own.contains("0 of 1 block shown are at or over their action threshold"));
}

#[test]
fn densities_follow_the_units() {
    let metric = density_dots(&[row("A01", None, true)], &Sheet::screen("a", UnitSystem::Metric, Size::Wide));
    // 120 per acre / 0.404686 ha = 296.5 per ha; 900 -> 2,224.
    assert!(metric.contains("297 (0 to 2,224)") && metric.contains("new egg masses per ha"));
}

/// By hand: two blocks in 2025, one of them flown twice over 10 acres; one block in 2026 without an observation.
#[test]
fn the_ledger_adds_up() {
    let season = |season, acres: Option<f64>, lost: Option<f64>| PastSeason {
        season,
        block: BlockId::new("B"),
        density: None,
        treatment: "watch".to_owned(),
        defoliation: lost.and_then(Share::new),
        sprayed: acres.map(Area::acres),
    };
    let past = [season(2026, None, None), season(2025, Some(20.0), Some(0.1)), season(2025, None, Some(0.5))];
    let years = ledger(&past);
    let seen: Vec<(i16, f64, Option<f64>, usize)> =
        years.iter().map(|y| (y.season, y.sprayed.unwrap().as_acres(), y.defoliation, y.observed)).collect();
    assert_eq!(seen, [(2025, 20.0, Some(0.3), 2), (2026, 0.0, None, 0)]);
    let svg = season_ledger(&years, &screen("a", Size::Wide));
    assert!(svg.contains("30\u{a0}%") && svg.contains(">not observed<"));
    assert!(svg.contains("2025: 20 acres sprayed, 30\u{a0}% of foliage lost over 2 blocks."));
    let flown = PastSeason { treatment: "aerial Btk once".to_owned(), ..season(2026, None, None) };
    assert!(season_ledger(&ledger(&[flown]), &screen("a", Size::Wide)).contains(">area not recorded<"));
    let none: [LedgerYear; 0] = [];
    assert!(season_ledger(&none, &screen("a", Size::Wide)).contains("viewBox"));
}

/// The longest bar or whisker ends at the edge; a bar of nothing is still a line.
#[test]
fn bars_are_drawn_to_one_scale() {
    let bar = |value, range| CompareBar { label: "x".to_owned(), value, range, main: false };
    let svg = bars_compare(&[bar(50.0, Some((40.0, 100.0))), bar(0.0, None)], "t", "acres", &screen("a", Size::Wide));
    let widths: Vec<f64> = attributes(&svg, "width").iter().map(|w| w.parse().unwrap()).collect();
    assert_eq!(widths, [370.0, 1.0]);
    assert!(svg.contains("50 acres (40 to 100)"));
}

/// The open bar without samples and the full one with them are told apart without colour, and both are in the words.
#[test]
fn what_was_learned_is_told_in_grey_and_in_words() {
    let drawn = learned_dates(&learned(&TIMING), TODAY, &screen("learned", Size::Wide));
    assert_eq!(drawn.matches("stroke-dasharray=\"4 3\"").count(), 2, "the bar and its key");
    assert!(drawn.contains("without samples") && drawn.contains("with samples"));
    assert!(drawn.contains("hatch 50 %: without samples") && drawn.contains(", with them "), "{drawn}");
}
