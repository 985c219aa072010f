//! The season-dates sheet: when each kind of work helps, by when notices must be out, and what the dates rest on.

use crownhold::field::notices_by;
use crownhold::timing::{Event, HeatAxis, Timing, Window, WindowKind, date_quantile};
use crownhold::types::Records;
use jiff::civil::{Date, date};

use super::document::{Column, Document, Part};
use crate::charts::{Deadline, WindowBars, window_bars};
use crate::sheet::Sheet;
use crate::wording::{Wording, capital, count};

const NEVER: &str = "not this year";

/// The sheet, as of the day of the forecast.
pub fn season_dates_sheet(timing: &Timing, records: &Records) -> Document {
    let w = Wording::new(records.programme.units);
    let days = records.parameters.number("aerial.notice_days");
    let due = timing.window(WindowKind::AerialBtk).and_then(|window| notices_by(window, days as i64));
    let mut parts = vec![
        Part::Heading("When can what be done?".to_owned()),
        drawing(timing, due, records),
        Part::Soft(
            "The higher a strip, the more of the possible seasons have the window open on that day; lines at 10, 50 and 90 %."
                .to_owned(),
        ),
        Part::Caution(
            "Heat says when to look, not when to spray. Confirm leaf and instar in the field before anything is applied. The \
             product label is the law; licences and local rules prevail."
                .to_owned(),
        ),
    ];
    parts.extend(due.map(|due| Part::Text(notice(due, days, w))));
    parts.push(windows(timing, w));
    parts.push(Part::Heading("Flying, host by host".to_owned()));
    parts.push(Part::Soft(
        "Middle of the seasons. Where leaves come late, the larvae may be too old by then.".to_owned(),
    ));
    parts.push(hosts(timing, w));
    parts.push(Part::Heading("Stages and leaves".to_owned()));
    parts.push(events(timing, w));
    parts.push(Part::Heading("Other signs of hatch".to_owned()));
    parts.push(Part::Soft(
        "Totals named by extension services, each with its own way of counting. They are not mixed into the forecast."
            .to_owned(),
    ));
    parts.push(signs(timing, w));
    parts.push(Part::Heading("What it rests on".to_owned()));
    parts.push(Part::List(basis(timing, w)));
    Document {
        title: format!("Season dates {}", timing.season),
        lead: format!(
            "As forecast on {}. Take a fresh sheet when weather or field samples come in.",
            w.date(timing.issued)
        ),
        lang: "en",
        parts,
    }
}

fn drawing(timing: &Timing, due: Option<Date>, records: &Records) -> Part {
    let windows: Vec<&Window> = timing.windows.iter().collect();
    let bars = WindowBars {
        windows: &windows,
        span: (date(timing.season, 3, 1), date(timing.season, 12, 31)),
        today: timing.issued,
        deadline: due.map(|day| Deadline { day, label: "notice due" }),
    };
    Part::Picture {
        svg: window_bars(&bars, &Sheet::paper("windows", records.programme.units)),
        alt: "Strips over the year, one a working window; the table below has their dates.".to_owned(),
        height: 0.5,
    }
}

fn notice(due: Date, days: f64, w: Wording) -> String {
    format!(
        "Notices of flights must be out by {}: {days:.0} days before the early edge of the window, which one season in ten \
         reaches.",
        w.date(due)
    )
}

fn middle_and_range(at: impl Fn(f64) -> Option<Date>, w: Wording) -> String {
    match (at(0.05), at(0.5), at(0.95)) {
        (Some(low), Some(middle), Some(high)) if low != high => {
            format!("{} ({} to {})", w.day(middle), w.day(low), w.day(high))
        }
        (_, Some(middle), _) => w.day(middle),
        _ => NEVER.to_owned(),
    }
}

fn length(window: &Window) -> String {
    let at = |p| window.days_among_those_that_do(p);
    match (at(0.05), at(0.5), at(0.95)) {
        (Some(low), Some(middle), Some(high)) => format!("{middle:.0} ({low:.0} to {high:.0})"),
        _ => "none".to_owned(),
    }
}

fn windows(timing: &Timing, w: Wording) -> Part {
    let row = |window: &Window| {
        vec![
            capital(window.kind.word()),
            middle_and_range(|p| window.opens_among_those_that_do(p), w),
            middle_and_range(|p| window.closes_among_those_that_do(p), w),
            length(window),
            window.rule.clone(),
        ]
    };
    Part::table(
        vec![
            Column::words("Window"),
            Column::wide("Opens: middle (nine in ten)", 1.0),
            Column::wide("Closes", 1.0),
            Column::words("Days"),
            Column::wide("Rule", 1.5),
        ],
        timing.windows.iter().map(row).collect(),
    )
}

fn hosts(timing: &Timing, w: Wording) -> Part {
    let row = |host: &crownhold::timing::HostDates| {
        let day = |day: Option<Date>| day.map_or(NEVER.to_owned(), |d| w.day(d));
        vec![
            capital(host.host.word()),
            middle_and_range(|p| date_quantile(&host.leaf, p), w),
            day(host.window.opens_among_those_that_do(0.5)),
            day(host.window.closes_among_those_that_do(0.5)),
            length(&host.window),
        ]
    };
    Part::table(
        vec![
            Column::wide("Host", 1.0),
            Column::wide("Leaves large enough", 2.0),
            Column::words("Opens"),
            Column::words("Closes"),
            Column::words("Days"),
        ],
        timing.hosts.iter().map(row).collect(),
    )
}

fn events(timing: &Timing, w: Wording) -> Part {
    let mut events: Vec<_> = timing.events.iter().collect();
    events.sort_by_key(|e| date_quantile(&e.dates, 0.5).map_or((1, None), |d| (0, Some(d))));
    let rows = events.into_iter().map(|e| {
        let day = |p| date_quantile(&e.dates, p).map_or(NEVER.to_owned(), |d| w.day(d));
        vec![capital(e.event.word()), day(0.05), day(0.5), day(0.95)]
    });
    Part::table(
        vec![
            Column::wide("Event", 1.0),
            Column::words("One in twenty before"),
            Column::words("Middle"),
            Column::words("One in twenty after"),
        ],
        rows.collect(),
    )
}

fn signs(timing: &Timing, w: Wording) -> Part {
    let mut rows = Vec::new();
    if let (Some(fan), Some(half)) = (timing.heat(HeatAxis::Egg), timing.event(Event::HatchHalf))
        && let Some(mark) = fan.marks.iter().find(|mark| mark.event == Event::HatchHalf)
    {
        rows.push(vec![
            "This forecast: half have hatched".to_owned(),
            format!("{} in {}", w.bare_heat(mark.heat), w.heat_method(&fan.method)),
            middle_and_range(|p| date_quantile(&half.dates, p), w),
        ]);
    }
    rows.extend(timing.signs.iter().map(|sign| {
        vec![
            capital(sign.says),
            format!("{} in {}", w.bare_heat(sign.heat), w.heat_method(&sign.method)),
            middle_and_range(|p| date_quantile(&sign.dates, p), w),
        ]
    }));
    Part::table(vec![Column::wide("Sign", 1.0), Column::wide("Total", 1.6), Column::wide("Reached", 1.0)], rows)
}

fn basis(timing: &Timing, w: Wording) -> Vec<String> {
    let seen = timing.heat(HeatAxis::Egg).and_then(|fan| fan.observed_to);
    let mut points = vec![
        format!(
            "Station {}, {}; blocks differ by height and built-up share.",
            timing.station,
            count(timing.years.len(), "past year", "past years")
        ),
        seen.map_or(format!("No day of {} is measured yet.", timing.season), |day| {
            format!("Measured to {}; later days are what past years would make of them.", w.date(day))
        }),
        "The numbers in the rules are parameters of the programme, each with its source.".to_owned(),
    ];
    if timing.learned.is_some() {
        points.push("Field samples are taken in.".to_owned());
    }
    points.extend(timing.notes.iter().map(|note| format!("{} {}", capital(&note.what), note.remedy)));
    points
}
