//! Working windows over the calendar, as the chance that each is open.

use crownhold::timing::Window;
use jiff::civil::Date;

use super::calendar::Calendar;
use super::{PLAIN, SMALL, bold_width, screen_width};
use crate::numbers::{share_without, window_span};
use crate::sheet::Sheet;
use crate::svg::{Anchor, Svg, TextStyle, num};

/// A day by which something must have been done.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Deadline<'a> {
    /// The day.
    pub day: Date,
    /// What, in few words: "notice due".
    pub label: &'a str,
}

/// What the strips show.
#[derive(Clone, Copy, Debug)]
pub struct WindowBars<'a> {
    /// Windows, as they are to stand.
    pub windows: &'a [&'a Window],
    /// First and last day of the axis.
    pub span: (Date, Date),
    /// Today.
    pub today: Date,
    /// A deadline to be marked.
    pub deadline: Option<Deadline<'a>>,
}

const TOP: f64 = 42.0;
/// Room for the name over a strip, the strip, and the gap under it.
const NAME: f64 = 22.0;
const STRIP: f64 = 34.0;
const GAP: f64 = 12.0;
const DEADLINE: f64 = 22.0;

/// One strip a window; its height on a day is the share of seasons in which it is open then, with lines at 10, 50 and 90 %.
///
/// An arrow head stands where a window has days beyond the axis.
pub fn window_bars(bars: &WindowBars<'_>, sheet: &Sheet<'_>) -> String {
    let width = sheet.size.units();
    let foot = if shown_deadline(bars).is_some() { DEADLINE } else { 4.0 };
    let bottom = TOP + (NAME + STRIP + GAP) * bars.windows.len() as f64;
    let axis = Calendar { from: bars.span.0, to: bars.span.1, left: 10.0, right: width - 44.0 };
    let mut svg = Svg::new(width, bottom + foot);
    axis.draw(&mut svg, sheet, TOP, bottom);
    deadline(&mut svg, sheet, &axis, bars, bottom);
    axis.today(&mut svg, sheet, bars.today, TOP, bottom);
    for (i, window) in bars.windows.iter().enumerate() {
        strip(&mut svg, sheet, &axis, window, TOP + (NAME + STRIP + GAP) * i as f64);
    }
    svg.finish_told(sheet, "Chance that each working window is open, day by day", &told(bars, sheet))
}

fn strip(svg: &mut Svg, sheet: &Sheet<'_>, axis: &Calendar, window: &Window, top: f64) {
    let (inks, w) = (sheet.inks, sheet.wording());
    let ink = inks.window(window.kind);
    let base = top + NAME + STRIP;
    let y = |chance: f64| base - STRIP * chance;
    for (percent, dash) in [(0.1, "2 3"), (0.5, "2 3"), (0.9, "2 3"), (0.0, "")] {
        svg.line((axis.left, y(percent)), (axis.right, y(percent)), inks.rule, 1.0, dash);
    }
    for percent in [10, 50, 90] {
        let at = y(f64::from(percent) / 100.0) + 4.0;
        svg.text((axis.right + 8.0, at), TextStyle::new(11.0, inks.soft), &format!("{percent}\u{a0}%"));
    }
    let days: Vec<(Date, f64)> = axis.days().map(|day| (day, window.chance_open_on(day))).collect();
    for run in days.chunk_by(|a, b| (a.1 > 0.0) == (b.1 > 0.0)).filter(|run| run[0].1 > 0.0) {
        let d = shape(axis, run, &y);
        svg.path(&d, &format!("fill=\"{ink}\" fill-opacity=\"0.55\" stroke=\"{ink}\" stroke-width=\"1.4\""));
    }
    beyond(svg, axis, window, ink, base);
    let none = share_without(window).map(|share| format!(", none in {share}")).unwrap_or_default();
    let (name, words) = (window.kind.word(), format!("{}{none}", window_span(w, window)));
    let name_wide = bold_width(name, PLAIN) + 8.0;
    // A bed, so that the lines of today and of the deadline do not run through the words.
    let bed = name_wide + screen_width(&words, SMALL) + 4.0;
    svg.rect((axis.left + 1.0, top + 4.0), (bed, NAME - 6.0), &format!("fill=\"{}\"", inks.paper));
    svg.text((axis.left, top + NAME - 6.0), TextStyle::new(PLAIN, ink).bold(), name);
    svg.text((axis.left + name_wide, top + NAME - 6.0), TextStyle::new(SMALL, inks.ink), &words);
}

/// A staircase over the days of a run.
fn shape(axis: &Calendar, run: &[(Date, f64)], y: &dyn Fn(f64) -> f64) -> String {
    let (first, last) = (run[0].0, run[run.len() - 1].0);
    let end = |day: Date| axis.x(day.tomorrow().unwrap_or(day));
    let mut d = format!("M{} {}", num(axis.x(first)), num(y(0.0)));
    for (day, chance) in run {
        d += &format!("L{} {}H{}", num(axis.x(*day)), num(y(*chance)), num(end(*day)));
    }
    format!("{d}L{} {}Z", num(end(last)), num(y(0.0)))
}

/// Arrow heads at the ends of the axis.
fn beyond(svg: &mut Svg, axis: &Calendar, window: &Window, ink: &str, base: f64) {
    let before = window.opens.iter().flatten().any(|day| *day < axis.from);
    let after = window.closes.iter().flatten().any(|day| *day > axis.to);
    for (there, x, way) in [(before, axis.left, -1.0), (after, axis.right, 1.0)] {
        if there {
            let d = format!("M{} {}l{} 6l{} 6Z", num(x + way), num(base - 12.0), num(7.0 * way), num(-7.0 * way));
            svg.path(&d, &format!("fill=\"{ink}\""));
        }
    }
}

fn shown_deadline<'a>(bars: &WindowBars<'a>) -> Option<Deadline<'a>> {
    bars.deadline.filter(|deadline| (bars.span.0..=bars.span.1).contains(&deadline.day))
}

/// A dashed line with its words under the axis, clear of those of today.
fn deadline(svg: &mut Svg, sheet: &Sheet<'_>, axis: &Calendar, bars: &WindowBars<'_>, bottom: f64) {
    let Some(due) = shown_deadline(bars) else { return };
    let (x, ink) = (axis.noon(due.day), sheet.inks.ink);
    svg.line((x, TOP), (x, bottom + 6.0), ink, 1.6, "5 3");
    let words = format!("{}, {}", due.label, sheet.wording().day(due.day));
    let half = bold_width(&words, SMALL) / 2.0;
    let at = x.clamp(axis.left + half, (axis.right - half).max(axis.left + half));
    svg.text((at, bottom + DEADLINE - 4.0), TextStyle::new(SMALL, ink).bold().anchor(Anchor::Middle), &words);
}

fn told(bars: &WindowBars<'_>, sheet: &Sheet<'_>) -> String {
    let w = sheet.wording();
    let of = |window: &&Window| {
        let none = share_without(window).map(|share| format!(", none in {share}")).unwrap_or_default();
        format!("{}: {}{none}", window.kind.word(), window_span(w, window))
    };
    let windows: Vec<String> = bars.windows.iter().map(of).collect();
    let due = bars.deadline.map(|due| format!(" {}: {}.", due.label, w.day(due.day))).unwrap_or_default();
    format!("Middle dates: {}. Today is {}.{due}", windows.join("; "), w.day(bars.today))
}
