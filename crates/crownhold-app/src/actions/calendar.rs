//! The season's windows and deadlines for anybody's calendar.

use crownhold::field::notices_by;
use crownhold::timing::{Timing, Window, WindowKind};
use crownhold::types::Records;
use crownhold_data::formats::{DaysToKeep, days_to_calendar};
use crownhold_print::wording::{Wording, capital, percent};
use jiff::civil::Date;

/// An iCalendar file: each window from its likely opening to its likely close, and the last day for notices of flights.
pub fn season_calendar(records: &Records, timing: &Timing) -> Vec<u8> {
    let w = Wording::new(records.programme.units);
    let mut days: Vec<DaysToKeep> = timing.windows.iter().filter_map(|of| window(of, timing, w)).collect();
    days.extend(notices(records, timing, w));
    days.sort_by(|a, b| (a.first, &a.uid).cmp(&(b.first, &b.uid)));
    days_to_calendar(&format!("{}, {}", records.programme.name, timing.season), timing.issued, &days)
}

fn uid(timing: &Timing, what: &str) -> String {
    format!("{}-{}-{}@crownhold", timing.season, timing.station, what).replace(' ', "-").to_lowercase()
}

fn window(of: &Window, timing: &Timing, w: Wording) -> Option<DaysToKeep> {
    let (first, last) = (of.opens_among_those_that_do(0.5)?, of.closes_among_those_that_do(0.5)?);
    let range = |at: fn(&Window, f64) -> Option<Date>| Some((w.date(at(of, 0.05)?), w.date(at(of, 0.95)?)));
    let (opens, closes) = (range(Window::opens_among_those_that_do)?, range(Window::closes_among_those_that_do)?);
    let note = format!(
        "Forecast of {}. Most likely opens {}, nine times in ten between {} and {}; closes {}, between {} and {}. There is \
         such a window in {} of the possible seasons. {} Look in the field before you act; the product label is the law.",
        w.date(timing.issued),
        w.date(first),
        opens.0,
        opens.1,
        w.date(last),
        closes.0,
        closes.1,
        percent(of.chance_open_after(None)),
        of.rule
    );
    let title = format!("{} window, most likely", capital(of.kind.word()));
    Some(DaysToKeep { uid: uid(timing, of.kind.word()), first, last: last.max(first), title, note, kind: "window" })
}

/// The last day for notices of flights.
fn notices(records: &Records, timing: &Timing, w: Wording) -> Option<DaysToKeep> {
    let lead = records.parameters.number("aerial.notice_days") as i64;
    let window = timing.window(WindowKind::AerialBtk)?;
    let (by, early) = (notices_by(window, lead)?, window.opens_among_those_that_do(0.1)?);
    let note = format!(
        "Forecast of {}. {lead} days before {}, the early edge of the window for flights: in one season of ten it opens \
         before that day. Local rules on notices prevail.",
        w.date(timing.issued),
        w.date(early)
    );
    let title = "Last day for notices of flights".to_owned();
    Some(DaysToKeep { uid: uid(timing, "notices"), first: by, last: by, title, note, kind: "deadline" })
}
