//! The season's dates and working windows on one calendar axis.

use crownhold::timing::{Event, Timing, Window, date_quantile};
use jiff::civil::Date;
use jiff::{Span, ToSpan as _};

use super::WIDTH;
use crate::numbers::{date_range, event_id, share_without, window_id, window_span};
use crate::palette::Inks;
use crate::sheet::Sheet;
use crate::svg::{Anchor, Svg, TextStyle, num};
use crate::wording::{Wording, month_name};

const ROW: f64 = 26.0;
const TOP: f64 = 62.0;
const LEFT: f64 = 216.0;
const RIGHT: f64 = 694.0;

/// One line of the chart.
enum Line<'a> {
    Heading(&'static str),
    Event(Event, &'a [Option<Date>]),
    Window(&'a Window),
}

/// Event dates as 5 to 95 % bars with the median; windows from their first to their last day over the seasons that
/// have them, pale where only some of these would have them open; a line for today. Always wide.
pub fn season_dates(timing: &Timing, today: Date, sheet: &Sheet<'_>) -> String {
    let (w, inks) = (sheet.wording(), sheet.inks);
    let lines = lines(timing);
    let bottom = TOP + ROW * lines.len() as f64;
    let mut svg = Svg::new(WIDTH, bottom + 40.0);
    let title = format!("Dates and working windows of season {}", timing.season);
    let Some(axis) = Axis::over(timing) else {
        svg.text(
            (WIDTH / 2.0, TOP),
            TextStyle::new(18.0, inks.soft).anchor(Anchor::Middle),
            "No dates: no weather yet.",
        );
        return svg.finish(sheet, &title);
    };
    axis.draw(&mut svg, inks, bottom);
    for (i, line) in lines.iter().enumerate() {
        Row { svg: &mut svg, inks, axis: &axis, w }.draw(line, TOP + ROW * i as f64 + ROW / 2.0);
    }
    axis.today(&mut svg, inks, w, today, bottom);
    legend(&mut svg, inks, bottom + 30.0);
    svg.finish(sheet, &title)
}

/// The heading an event stands under.
fn group(event: Event) -> &'static str {
    match event {
        Event::RedOakBudbreak | Event::RedOakLeaf | Event::WhiteOakBudbreak | Event::WhiteOakLeaf => "Oak leaves",
        _ => "Insect",
    }
}

fn lines(timing: &Timing) -> Vec<Line<'_>> {
    let mut lines = Vec::new();
    for heading in ["Insect", "Oak leaves"] {
        let of_group: Vec<_> = timing.events.iter().filter(|e| group(e.event) == heading).collect();
        if !of_group.is_empty() {
            lines.push(Line::Heading(heading));
        }
        lines.extend(of_group.into_iter().map(|e| Line::Event(e.event, &e.dates)));
    }
    if !timing.windows.is_empty() {
        lines.push(Line::Heading("Working windows"));
    }
    lines.extend(timing.windows.iter().map(Line::Window));
    lines
}

/// First and last of the 5, 50 and 95 % points.
fn span<'a>(all: impl Iterator<Item = &'a [Option<Date>]>) -> Option<(Date, Date)> {
    let points: Vec<Date> =
        all.flat_map(|dates| [0.05, 0.5, 0.95].map(|p| date_quantile(dates, p))).flatten().collect();
    Some((*points.iter().min()?, *points.iter().max()?))
}

/// Days to drawing units.
struct Axis {
    from: Date,
    to: Date,
}

impl Axis {
    /// Whole months around the dates of the events; around those of the windows where there are no events.
    /// Windows may run past it: months of winter work must not squeeze the weeks that matter.
    fn over(timing: &Timing) -> Option<Self> {
        let events = timing.events.iter().map(|e| e.dates.as_slice());
        let windows = timing.windows.iter().flat_map(|w| [w.opens.as_slice(), w.closes.as_slice()]);
        let (first, last) = span(events).or_else(|| span(windows))?;
        Some(Self { from: first.first_of_month(), to: last.last_of_month() })
    }
    fn days(&self, date: Date) -> f64 {
        f64::from((date - self.from).get_days())
    }
    fn x(&self, date: Date) -> f64 {
        LEFT + (RIGHT - LEFT) * (self.days(date) / self.days(self.to).max(1.0)).clamp(0.0, 1.0)
    }
    fn holds(&self, date: Date) -> bool {
        self.from <= date && date <= self.to
    }
    fn draw(&self, svg: &mut Svg, inks: &Inks, bottom: f64) {
        let step: Span = 1.month();
        for (i, month) in self.from.series(step).take_while(|m| *m <= self.to).enumerate() {
            let (x, next) = (self.x(month), self.x(month.last_of_month()));
            if i % 2 == 0 {
                svg.rect((x, TOP - 26.0), (next - x, bottom - TOP + 26.0), &format!("fill=\"{}\"", inks.stripe));
            }
            let name = month_name(month.month());
            let name = if next - x > 70.0 { name } else { &name[..if next - x > 34.0 { 3 } else { 1 }] };
            let style = TextStyle::new(15.0, inks.soft).anchor(Anchor::Middle);
            svg.text(((x + next) / 2.0, TOP - 9.0), style, name);
        }
        svg.line((16.0, TOP - 2.0), (WIDTH - 16.0, TOP - 2.0), inks.rule, 1.0, "");
        svg.text((WIDTH - 16.0, TOP - 9.0), TextStyle::new(15.0, inks.soft).anchor(Anchor::End), "median (5 to 95 %)");
    }
    fn today(&self, svg: &mut Svg, inks: &Inks, w: Wording, today: Date, bottom: f64) {
        let text = TextStyle::new(15.0, inks.guard).bold();
        if !self.holds(today) {
            let side = if today < self.from { "before" } else { "after" };
            let note = format!("Issued {}, {side} the dates shown", w.date(today));
            svg.text((16.0, 22.0), TextStyle::new(15.0, inks.soft), &note);
            return;
        }
        let x = self.x(today);
        // In two pieces, so that the month keeps its name.
        svg.line((x, 27.0), (x, TOP - 23.0), inks.guard, 1.8, "");
        svg.line((x, TOP - 4.0), (x, bottom), inks.guard, 1.8, "6 3");
        svg.text((x, 22.0), text.anchor(Anchor::Middle), &format!("today, {}", w.day(today)));
    }
}

/// What the rows are drawn with.
struct Row<'a> {
    svg: &'a mut Svg,
    inks: &'a Inks,
    axis: &'a Axis,
    w: Wording,
}

impl Row<'_> {
    fn draw(&mut self, line: &Line<'_>, y: f64) {
        let (w, inks) = (self.w, self.inks);
        let label = TextStyle::new(16.0, inks.ink);
        match line {
            Line::Heading(text) => self.svg.text((16.0, y + 7.0), TextStyle::new(16.0, inks.accent).bold(), text),
            Line::Event(event, dates) => {
                self.svg.text((28.0, y + 5.0), label, event.word());
                self.event_bar(dates, y);
                self.figures(y, &date_range(w, dates), event_id(*event));
            }
            Line::Window(win) => {
                self.svg.text((28.0, y + 5.0), label, win.kind.word());
                self.window_bar(win, y);
                let none = share_without(win).map(|share| format!(", none in {share}")).unwrap_or_default();
                self.figures(y, &format!("{}{none}", window_span(w, win)), window_id(win.kind));
            }
        }
    }

    fn figures(&mut self, y: f64, text: &str, id: &str) {
        self.svg.text((RIGHT + 16.0, y + 5.0), TextStyle::new(11.0, self.inks.soft), id);
        self.svg.text((WIDTH - 16.0, y + 5.0), TextStyle::new(15.0, self.inks.ink).anchor(Anchor::End), text);
    }

    fn event_bar(&mut self, dates: &[Option<Date>], y: f64) {
        let (svg, inks, axis) = (&mut *self.svg, self.inks, self.axis);
        let Some(low) = date_quantile(dates, 0.05) else { return };
        // Years in which it does not happen count as later than the axis.
        let high = date_quantile(dates, 0.95).unwrap_or(axis.to);
        let (from, to) = (axis.x(low), axis.x(high));
        svg.rect((from, y - 5.0), ((to - from).max(2.0), 10.0), &format!("fill=\"{}\"", inks.accent_pale));
        if let Some(mid) = date_quantile(dates, 0.5) {
            svg.rect((axis.x(mid) - 2.0, y - 8.5), (4.0, 17.0), &format!("fill=\"{}\"", inks.accent));
        }
    }

    fn window_bar(&mut self, win: &Window, y: f64) {
        let (svg, inks, axis) = (&mut *self.svg, self.inks, self.axis);
        let ends = (win.opens_among_those_that_do(0.05), win.closes_among_those_that_do(0.95));
        let (Some(first), Some(last)) = ends else { return };
        if first > axis.to || last < axis.from {
            let (x, way) = if first > axis.to { (RIGHT, 1.0) } else { (LEFT, -1.0) };
            return beyond(svg, inks, x, y, way);
        }
        let (from, to) = (axis.x(first), axis.x(last));
        let outline = format!("fill=\"{}\" stroke=\"{}\" stroke-width=\"1\"", inks.paper, inks.accent);
        svg.rect((from, y - 6.0), ((to - from).max(2.0), 12.0), &outline);
        let sure = (win.opens_among_those_that_do(0.95), win.closes_among_those_that_do(0.05));
        if let (Some(a), Some(b)) = sure
            && a <= b
        {
            let width = (axis.x(b) - axis.x(a)).max(2.0);
            svg.rect((axis.x(a), y - 6.0), (width, 12.0), &format!("fill=\"{}\"", inks.accent));
        }
        if first < axis.from {
            beyond(svg, inks, LEFT, y, -1.0);
        }
        if last > axis.to {
            beyond(svg, inks, RIGHT, y, 1.0);
        }
        let middles = [win.opens_among_those_that_do(0.5), win.closes_among_those_that_do(0.5)];
        for mid in middles.into_iter().flatten().filter(|d| axis.holds(*d)) {
            let (x, top, foot) = (num(axis.x(mid)), num(y - 10.0), num(y + 10.0));
            svg.path(
                &format!("M{x} {top}V{foot}"),
                &format!("stroke=\"{}\" stroke-width=\"2.4\" fill=\"none\"", inks.ink),
            );
        }
    }
}

/// An arrow head where a window runs past the axis.
fn beyond(svg: &mut Svg, inks: &Inks, x: f64, y: f64, way: f64) {
    let d = format!("M{} {}L{} {}L{} {}Z", num(x), num(y - 6.0), num(x + 9.0 * way), num(y), num(x), num(y + 6.0));
    svg.path(&d, &format!("fill=\"{}\"", inks.accent));
}

fn legend(svg: &mut Svg, inks: &Inks, y: f64) {
    let style = TextStyle::new(15.0, inks.ink);
    svg.rect((16.0, y - 10.0), (36.0, 10.0), &format!("fill=\"{}\"", inks.accent_pale));
    svg.rect((32.0, y - 13.5), (4.0, 17.0), &format!("fill=\"{}\"", inks.accent));
    svg.text((60.0, y), style, "event: 5 to 95 %, median");
    let outline = format!("fill=\"{}\" stroke=\"{}\" stroke-width=\"1\"", inks.paper, inks.accent);
    svg.rect((268.0, y - 11.0), (60.0, 12.0), &outline);
    svg.rect((286.0, y - 11.0), (24.0, 12.0), &format!("fill=\"{}\"", inks.accent));
    for x in ["M279", "M318"] {
        svg.path(
            &format!("{x} {}V{}", num(y - 15.0), num(y + 5.0)),
            &format!("stroke=\"{}\" stroke-width=\"2.4\" fill=\"none\"", inks.ink),
        );
    }
    svg.text((338.0, y), style, "window, in seasons that have it: perhaps open, surely open (19 of 20), median ends");
}
