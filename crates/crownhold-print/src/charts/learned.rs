//! Dates without and with what was seen in the field, one under the other.

use crownhold::timing::{Event, EventDates, date_quantile};
use jiff::civil::Date;

use super::calendar::Calendar;
use super::{PLAIN, SMALL};
use crate::sheet::Sheet;
use crate::svg::{Svg, TextStyle};
use crate::wording::{Wording, capital};

/// One event without and with the samples.
#[derive(Clone, Copy, Debug)]
pub struct LearnedEvent<'a> {
    /// Which.
    pub event: Event,
    /// Its dates by the forecast alone.
    pub prior: &'a EventDates,
    /// Its dates with the samples taken in.
    pub posterior: &'a EventDates,
}

const TOP: f64 = 42.0;
const NAME: f64 = 24.0;
const BAR: f64 = 12.0;
const ROW: f64 = NAME + 2.0 * (BAR + 6.0) + 10.0;
const FOOT: f64 = 26.0;

/// Two bars an event, from the 5 % to the 95 % date with a tick at the middle: the upper, open one without the samples,
/// the lower, full one with them. The bars differ by outline, so that the picture can be read in grey.
pub fn learned_dates(events: &[LearnedEvent<'_>], today: Date, sheet: &Sheet<'_>) -> String {
    let width = sheet.size.units();
    let bottom = TOP + ROW * events.len() as f64;
    let mut svg = Svg::new(width, bottom + FOOT);
    let (from, to) = span(events, today);
    let axis = Calendar { from, to, left: 10.0, right: width - 12.0 };
    axis.draw(&mut svg, sheet, TOP, bottom);
    axis.today(&mut svg, sheet, today, TOP, bottom);
    for (i, event) in events.iter().enumerate() {
        let top = TOP + ROW * i as f64;
        let name = capital(event.event.word());
        let bed = super::bold_width(&name, PLAIN) + 4.0;
        svg.rect((axis.left + 1.0, top + 6.0), (bed, NAME - 6.0), &format!("fill=\"{}\"", sheet.inks.paper));
        svg.text((axis.left, top + NAME - 5.0), TextStyle::new(PLAIN, sheet.inks.ink).bold(), &name);
        bar(&mut svg, sheet, &axis, event.prior, top + NAME, false);
        bar(&mut svg, sheet, &axis, event.posterior, top + NAME + BAR + 6.0, true);
    }
    key(&mut svg, sheet, bottom + FOOT - 8.0);
    svg.finish_told(sheet, "Dates without and with what was seen in the field", &told(events, sheet.wording()))
}

/// A month at least, with room at both ends.
fn span(events: &[LearnedEvent<'_>], today: Date) -> (Date, Date) {
    let ends = |p: f64| {
        events
            .iter()
            .flat_map(move |e| [date_quantile(&e.prior.dates, p), date_quantile(&e.posterior.dates, p)])
            .flatten()
    };
    let week = jiff::Span::new().days(7);
    let from = ends(0.05).min().unwrap_or(today).saturating_sub(week);
    let to = ends(0.95).max().unwrap_or(today).saturating_add(week);
    (from, to.max(from.saturating_add(jiff::Span::new().days(30))))
}

fn bar(svg: &mut Svg, sheet: &Sheet<'_>, axis: &Calendar, dates: &EventDates, top: f64, full: bool) {
    let at = |p| date_quantile(&dates.dates, p).map(|day| axis.noon(day).clamp(axis.left, axis.right));
    let (Some(left), Some(middle)) = (at(0.05), at(0.5)) else { return };
    let right = at(0.95).unwrap_or(axis.right);
    svg.rect((left, top), ((right - left).max(3.0), BAR), &paint(sheet, full));
    svg.line((middle, top - 3.0), (middle, top + BAR + 3.0), sheet.inks.ink, 2.4, "");
}

fn paint(sheet: &Sheet<'_>, full: bool) -> String {
    let inks = sheet.inks;
    let (fill, dash) = if full { (inks.soft, "") } else { (inks.paper, " stroke-dasharray=\"4 3\"") };
    format!("fill=\"{fill}\" stroke=\"{}\" stroke-width=\"1.2\"{dash}", inks.ink)
}

fn key(svg: &mut Svg, sheet: &Sheet<'_>, base: f64) {
    let mut left = 10.0;
    for (full, words) in [(false, "without samples"), (true, "with samples")] {
        svg.rect((left, base - 10.0), (22.0, BAR), &paint(sheet, full));
        svg.text((left + 28.0, base), TextStyle::new(SMALL, sheet.inks.ink), words);
        left += 40.0 + super::screen_width(words, SMALL);
    }
}

fn told(events: &[LearnedEvent<'_>], w: Wording) -> String {
    let day = |dates: &EventDates, p| date_quantile(&dates.dates, p).map_or("later".to_owned(), |d| w.day(d));
    let span = |dates: &EventDates| format!("{} ({} to {})", day(dates, 0.5), day(dates, 0.05), day(dates, 0.95));
    let of = |e: &LearnedEvent<'_>| {
        format!("{}: without samples {}, with them {}.", e.event, span(e.prior), span(e.posterior))
    };
    events.iter().map(of).collect::<Vec<_>>().join(" ")
}
