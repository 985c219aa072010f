//! The dates in words.

use crownhold::timing::{Event, HeatAxis, Timing, Window, WindowKind, date_quantile};
use crownhold_print::numbers::{event_id, window_id};
use crownhold_print::wording::{Wording, capital, chance, count};
use jiff::civil::Date;

/// A date that is read first.
pub(super) struct FigureLine {
    /// Id in the catalogue of figures; empty where it has none.
    pub(super) id: &'static str,
    pub(super) value: String,
    pub(super) label: String,
}

/// One event.
pub(super) struct EventRow {
    pub(super) id: &'static str,
    pub(super) name: String,
    pub(super) plain: &'static str,
    pub(super) early: String,
    pub(super) middle: String,
    pub(super) late: String,
}

/// The middle of a day over the seasons, and where nine in ten have it; no range where all have the same.
pub(super) struct Ends {
    pub(super) middle: String,
    pub(super) range: String,
}

/// One window.
pub(super) struct WindowRow {
    pub(super) id: &'static str,
    pub(super) name: String,
    pub(super) opens: Ends,
    pub(super) closes: Ends,
    pub(super) days: Ends,
    pub(super) week: String,
    pub(super) without: String,
    pub(super) rule: String,
}

const NEVER: &str = "not this year";

/// What comes next, when most likely, and in which range nine seasons in ten have it.
pub(super) fn sentence(timing: &Timing, today: Date, w: Wording) -> String {
    let next = timing
        .events
        .iter()
        .filter(|e| !e.event.word().contains("oak"))
        .filter_map(|e| Some((e, date_quantile(&e.dates, 0.5)?)))
        .filter(|(_, middle)| *middle > today)
        .min_by_key(|(_, middle)| *middle);
    let Some((event, middle)) = next else {
        return "The moths have laid: what is left of this season is counting the new egg masses.".to_owned();
    };
    let end = |p| date_quantile(&event.dates, p);
    let range = match (end(0.05), end(0.95)) {
        (Some(low), Some(high)) => format!("; nine seasons in ten have it between {} and {}", w.day(low), w.day(high)),
        (Some(low), None) => {
            format!("; one season in twenty has it before {}, and some have it not at all", w.day(low))
        }
        _ => String::new(),
    };
    let flying = timing.window(WindowKind::AerialBtk).filter(|_| middle.year() == timing.season);
    format!(
        "Next: {}, most likely {}{range}. {}",
        plain(event.event),
        w.date(middle),
        flying.map(|f| flights(f, today, w)).unwrap_or_default()
    )
}

fn flights(window: &Window, today: Date, w: Wording) -> String {
    let ends = window.opens_among_those_that_do(0.5).zip(window.closes_among_those_that_do(0.5));
    let Some((opens, closes)) = ends else { return "No season leaves a window for flying Btk.".to_owned() };
    if closes < today {
        return format!("The window for flying Btk has most likely been closed since {}.", w.day(closes));
    }
    format!(
        "The window for flying Btk is most likely {} to {}; in {} of the seasons it lasts a week or longer.",
        w.day(opens),
        w.day(closes),
        chance(window.chance_of_days(7.0))
    )
}

/// What the ranges are made of, as things stand.
pub(super) fn sureness(timing: &Timing, observed_to: Option<Date>, today: Date, w: Wording) -> String {
    let years = count(timing.years.len(), "past year", "past years");
    match observed_to {
        Some(last) => format!(
            "Weather is measured up to {}. The ranges are what {years} would make of the rest, and how well the model knows \
             insect and leaf; they narrow with every day brought in.",
            w.date(last)
        ),
        None if today.year() < timing.season => format!(
            "Nothing of {} can be measured yet: the ranges are how {years} differed, and how well the model knows insect and \
             leaf. They narrow from January on, with every day brought in.",
            timing.season
        ),
        None => format!(
            "No weather of {} is in: the ranges are as wide as {years} differed. Every day brought in narrows them.",
            timing.season
        ),
    }
}

/// The dates to read first.
pub(super) fn figures(timing: &Timing, due: Option<Date>, w: Wording) -> Vec<FigureLine> {
    let mut all = Vec::new();
    if let Some(day) = due {
        let label = "last day for notices of flights, counted back from the window's early edge".to_owned();
        all.push(FigureLine { id: "", value: w.day(day), label });
    }
    let hatch = timing.event(Event::HatchTenth).map(|e| (&e.dates, date_quantile(&e.dates, 0.5)));
    if let Some((dates, Some(middle))) = hatch {
        let late = date_quantile(dates, 0.95).map_or(NEVER.to_owned(), |d| w.day(d));
        let early = date_quantile(dates, 0.05).map_or(NEVER.to_owned(), |d| w.day(d));
        let label = format!("hatch begins, one mass in ten; nine seasons in ten {early} to {late}");
        all.push(FigureLine { id: event_id(Event::HatchTenth), value: w.day(middle), label });
    }
    all.extend(timing.windows.iter().filter_map(|window| window_figure(window, w)));
    all
}

/// The windows of the sprays and bands; scraping and survey are long, and stand in the table.
fn window_figure(window: &Window, w: Wording) -> Option<FigureLine> {
    let what = match window.kind {
        WindowKind::GroundBtk => "Btk from the ground",
        WindowKind::AerialBtk => "Btk from the air",
        WindowKind::Bands => "bands up and serviced",
        WindowKind::Scraping | WindowKind::Survey => return None,
    };
    let (opens, closes) = window.opens_among_those_that_do(0.5).zip(window.closes_among_those_that_do(0.5))?;
    let early = window.opens_among_those_that_do(0.05).map_or(String::new(), |d| w.day(d));
    let late = window.closes_among_those_that_do(0.95).map_or(String::new(), |d| w.day(d));
    let none = without(window).map(|share| format!("; none in {share}")).unwrap_or_default();
    let label =
        format!("{what}, middle of both ends; {early} at the earliest, {late} at the latest, nine in ten{none}");
    Some(FigureLine { id: window_id(window.kind), value: format!("{} to {}", w.day(opens), w.day(closes)), label })
}

/// All events in the order of the season.
pub(super) fn event_rows(timing: &Timing, w: Wording) -> Vec<EventRow> {
    let mut events: Vec<_> = timing.events.iter().collect();
    // An event that no season reaches comes last.
    events.sort_by_key(|e| date_quantile(&e.dates, 0.5).map_or((1, None), |d| (0, Some(d))));
    let day = |dates: &[Option<Date>], p| date_quantile(dates, p).map_or(NEVER.to_owned(), |d| w.day(d));
    events
        .into_iter()
        .map(|e| EventRow {
            id: event_id(e.event),
            name: capital(e.event.word()),
            plain: plain(e.event),
            early: day(&e.dates, 0.05),
            middle: day(&e.dates, 0.5),
            late: day(&e.dates, 0.95),
        })
        .collect()
}

/// All windows.
pub(super) fn window_rows(timing: &Timing, w: Wording) -> Vec<WindowRow> {
    timing.windows.iter().map(|window| window_row(window, w)).collect()
}

fn window_row(window: &Window, w: Wording) -> WindowRow {
    WindowRow {
        id: window_id(window.kind),
        name: capital(window.kind.word()),
        opens: ends(|p| window.opens_among_those_that_do(p), w),
        closes: ends(|p| window.closes_among_those_that_do(p), w),
        days: days(window),
        week: chance(window.chance_of_days(7.0)),
        without: without(window).unwrap_or_else(|| "none".to_owned()),
        rule: window.rule.clone(),
    }
}

fn ends(at: impl Fn(f64) -> Option<Date>, w: Wording) -> Ends {
    match (at(0.05), at(0.5), at(0.95)) {
        (Some(low), Some(middle), Some(high)) if low == high => Ends { middle: w.day(middle), range: String::new() },
        (Some(low), Some(middle), Some(high)) => {
            Ends { middle: w.day(middle), range: format!("{} to {}", w.day(low), w.day(high)) }
        }
        _ => Ends { middle: NEVER.to_owned(), range: String::new() },
    }
}

/// How long it lasts.
fn days(window: &Window) -> Ends {
    let at = |p| window.days_among_those_that_do(p);
    let Some(((low, middle), high)) = at(0.05).zip(at(0.5)).zip(at(0.95)) else {
        return Ends { middle: "0".to_owned(), range: String::new() };
    };
    let range = if low == high { String::new() } else { format!("{low:.0} to {high:.0}") };
    Ends { middle: format!("{middle:.0}"), range }
}

/// A host's leaves and flying window.
pub(super) struct HostRow {
    pub(super) host: String,
    pub(super) leaf: Ends,
    pub(super) opens: String,
    pub(super) closes: String,
    pub(super) days: Ends,
    pub(super) without: String,
}

/// The hosts, earliest leaves first.
pub(super) fn host_rows(timing: &Timing, w: Wording) -> Vec<HostRow> {
    let mut hosts: Vec<_> = timing.hosts.iter().collect();
    hosts.sort_by_key(|h| date_quantile(&h.leaf, 0.5).map_or((1, None), |d| (0, Some(d))));
    let middle = |day: Option<Date>| day.map_or(NEVER.to_owned(), |d| w.day(d));
    let row = |h: &crownhold::timing::HostDates| HostRow {
        host: capital(h.host.word()),
        leaf: ends(|p| date_quantile(&h.leaf, p), w),
        opens: middle(h.window.opens_among_those_that_do(0.5)),
        closes: middle(h.window.closes_among_those_that_do(0.5)),
        days: days(&h.window),
        without: without(&h.window).unwrap_or_else(|| "none".to_owned()),
    };
    hosts.into_iter().map(row).collect()
}

/// Another sign of hatch.
pub(super) struct SignRow {
    pub(super) says: String,
    pub(super) total: String,
    pub(super) method: String,
    pub(super) so_far: String,
    pub(super) reached: Ends,
}

/// The forecast's own half hatch, then the other signs, each with its way of counting.
pub(super) fn sign_rows(timing: &Timing, w: Wording) -> Vec<SignRow> {
    let own = timing.heat(HeatAxis::Egg).and_then(|fan| {
        let dates = &timing.event(Event::HatchHalf)?.dates;
        let mark = fan.marks.iter().find(|mark| mark.event == Event::HatchHalf)?;
        let seen = fan.observed_to.and_then(|last| fan.days.iter().find(|day| day.date == last));
        Some(SignRow {
            says: "This forecast: half of the masses have hatched".to_owned(),
            total: format!("{} ± {}", w.bare_heat(mark.heat), w.bare_heat(mark.spread)),
            method: w.heat_method(&fan.method),
            so_far: seen.map_or("nothing yet".to_owned(), |day| w.bare_heat(day.points[2])),
            reached: ends(|p| date_quantile(dates, p), w),
        })
    });
    let other = |sign: &crownhold::timing::HatchSign| SignRow {
        says: capital(sign.says),
        total: w.bare_heat(sign.heat),
        method: w.heat_method(&sign.method),
        so_far: sign.so_far.map_or("nothing yet".to_owned(), |heat| w.bare_heat(heat)),
        reached: ends(|p| date_quantile(&sign.dates, p), w),
    };
    own.into_iter().chain(timing.signs.iter().map(other)).collect()
}

/// Share of the seasons without the window; `None` where all have it.
fn without(window: &Window) -> Option<String> {
    let none = 1.0 - window.chance_open_after(None);
    (none > 0.0).then(|| chance(none))
}

/// An event as one says it.
fn plain(event: Event) -> &'static str {
    match event {
        Event::HatchTenth => "one egg mass in ten has hatched",
        Event::HatchHalf => "half the egg masses have hatched",
        Event::HatchNineTenths => "nine egg masses in ten have hatched",
        Event::SecondInstar => "half the larvae have molted once",
        Event::ThirdInstarQuarter => "a quarter of the larvae have molted twice",
        Event::ThirdInstar => "half the larvae have molted twice",
        Event::FourthInstar => "half the larvae have molted three times",
        Event::Pupae => "half have pupated",
        Event::MaleFlight => "half the males fly",
        Event::FemaleMoths => "half the females are out",
        Event::LayingOver => "nineteen females in twenty have laid",
        Event::RedOakBudbreak => "half the red oak buds are open",
        Event::RedOakLeaf => "red oak leaves have two fifths of their size",
        Event::WhiteOakBudbreak => "half the white oak buds are open",
        Event::WhiteOakLeaf => "white oak leaves have two fifths of their size",
    }
}

#[cfg(test)]
mod tests {
    use crownhold::types::{StationId, UnitSystem};
    use jiff::civil::date;

    use super::*;

    /// Ten seasons; the flying window opens on 11 to 20 May for as many days as is said, or not at all.
    fn timing(flown: [i8; 10]) -> Timing {
        let day = |month, d: i8| Some(date(2027, month, d));
        let hatch = (1..=10).map(|d| day(4, 10 + d)).collect();
        let laid = (1..=10).map(|d| if d < 10 { day(8, 10 + d) } else { None }).collect();
        let opens: Vec<_> = (1..=10).zip(flown).map(|(d, n)| if n > 0 { day(5, 10 + d) } else { None }).collect();
        let closes = (1..=10).zip(flown).map(|(d, n)| if n > 0 { day(5, 10 + d + n - 1) } else { None }).collect();
        Timing {
            season: 2027,
            issued: date(2026, 11, 25),
            station: StationId::new("S"),
            years: vec![2024, 2025, 2026],
            events: vec![
                crownhold::timing::EventDates { event: Event::HatchTenth, dates: hatch },
                crownhold::timing::EventDates { event: Event::LayingOver, dates: laid },
            ],
            windows: vec![Window { kind: WindowKind::AerialBtk, opens, closes, rule: "by rule".into() }],
            hosts: Vec::new(),
            signs: Vec::new(),
            stages: Vec::new(),
            heat: Vec::new(),
            learned: None,
            notes: Vec::new(),
        }
    }

    fn us() -> Wording {
        Wording::new(UnitSystem::Us)
    }

    #[test]
    fn the_first_sentence_has_a_date_and_its_range() {
        let timing = timing([8, 8, 8, 8, 8, 3, 3, 3, 3, 3]);
        let said = |today| sentence(&timing, today, us());
        insta::assert_snapshot!(format!(
            "{}\n{}\n{}",
            said(date(2026, 11, 25)),
            said(date(2027, 5, 10)),
            said(date(2027, 9, 30))
        ));
    }

    #[test]
    fn seasons_without_a_window_are_counted() {
        let row = |flown| window_rows(&timing(flown), us()).remove(0);
        let (all, some) = (row([8; 10]), row([8, 8, 8, 8, 8, 8, 8, 8, 0, 0]));
        assert_eq!((all.without.as_str(), some.without.as_str()), ("none", "20\u{a0}%"));
        assert_eq!(some.week, "80\u{a0}%");
        assert_eq!((all.opens.middle.as_str(), all.opens.range.as_str()), ("May 16", "May 11 to May 20"));
    }

    #[test]
    fn an_event_some_seasons_lack_says_so() {
        let rows = event_rows(&timing([8; 10]), us());
        assert_eq!((rows[0].id, rows[0].middle.as_str(), rows[0].late.as_str()), ("T-hatch10", "Apr 16", "Apr 20"));
        assert_eq!((rows[1].id, rows[1].late.as_str()), ("T-laying", NEVER));
    }

    #[test]
    fn ranges_say_what_they_are_made_of() {
        let timing = timing([8; 10]);
        let said = |seen, today| sureness(&timing, seen, today, us());
        assert!(said(None, date(2026, 11, 25)).starts_with("Nothing of 2027 can be measured yet"));
        assert!(said(None, date(2027, 5, 10)).starts_with("No weather of 2027 is in"));
        assert!(said(Some(date(2027, 5, 8)), date(2027, 5, 10)).starts_with("Weather is measured up to May 8, 2027"));
    }
}
