//! Forecasts of past years beside what came.

use jiff::civil::{Date, date};

use super::calendar::Calendar;
use super::{SMALL, screen_width};
use crate::sheet::Sheet;
use crate::svg::{Anchor, Svg, TextStyle};

/// One year's forecast and what came; all days on the calendar of one common year.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PastForecast {
    /// Year.
    pub year: i16,
    /// One season in twenty is earlier, the middle, one in twenty is later.
    pub forecast: [Option<Date>; 3],
    /// What came.
    pub truth: Date,
}

impl PastForecast {
    /// Does what came lie between the outer dates?
    pub fn inside(&self) -> bool {
        let [low, _, high] = self.forecast;
        low.is_none_or(|low| low <= self.truth) && high.is_none_or(|high| self.truth <= high)
    }
}

const TOP: f64 = 26.0;
const ROW: f64 = 17.0;
const FOOT: f64 = 26.0;
const LEFT: f64 = 44.0;

/// A bar a year from the 5 % to the 95 % date with a tick at the middle, and a dot where the date came: filled inside
/// the bar, a ring outside it.
pub fn past_forecasts(years: &[PastForecast], what: &str, sheet: &Sheet<'_>) -> String {
    let (width, inks) = (sheet.size.units(), sheet.inks);
    let bottom = TOP + ROW * years.len() as f64 + 6.0;
    let mut svg = Svg::new(width, bottom + FOOT);
    let (from, to) = span(years);
    let axis = Calendar { from, to, left: LEFT, right: width - 12.0 };
    axis.draw(&mut svg, sheet, TOP, bottom);
    for (i, year) in years.iter().enumerate() {
        let middle = TOP + ROW * (i as f64 + 0.5) + 3.0;
        let style = TextStyle::new(SMALL, inks.soft).anchor(Anchor::End);
        svg.text((LEFT - 8.0, middle + 4.0), style, &year.year.to_string());
        let [low, centre, high] = year.forecast.map(|day| day.map_or(axis.right, |day| axis.noon(day)));
        svg.rect(
            (low, middle - 4.0),
            ((high - low).max(3.0), 8.0),
            &format!("fill=\"{}\" stroke=\"{}\"", inks.accent_pale, inks.accent),
        );
        svg.line((centre, middle - 6.0), (centre, middle + 6.0), inks.accent, 2.2, "");
        let fill = if year.inside() { inks.ink } else { inks.paper };
        svg.raw(&format!(
            "<circle cx=\"{}\" cy=\"{}\" r=\"4.2\" fill=\"{fill}\" stroke=\"{}\" stroke-width=\"2\"/>",
            crate::svg::num(axis.noon(year.truth)),
            crate::svg::num(middle),
            inks.ink
        ));
    }
    key(&mut svg, sheet, bottom + FOOT - 8.0);
    svg.finish_told(sheet, &format!("Forecasts of past years beside what came: {what}"), &told(years, sheet))
}

fn span(years: &[PastForecast]) -> (Date, Date) {
    let days = || years.iter().flat_map(|y| y.forecast.into_iter().flatten().chain([y.truth]));
    let week = jiff::Span::new().days(4);
    let from = days().min().unwrap_or(date(2001, 4, 1)).saturating_sub(week);
    (from, days().max().unwrap_or(date(2001, 7, 1)).saturating_add(week))
}

fn key(svg: &mut Svg, sheet: &Sheet<'_>, base: f64) {
    let inks = sheet.inks;
    let mut left = LEFT;
    for (fill, words) in [(inks.ink, "came inside the range"), (inks.paper, "came outside it")] {
        svg.raw(&format!(
            "<circle cx=\"{}\" cy=\"{}\" r=\"4.2\" fill=\"{fill}\" stroke=\"{}\" stroke-width=\"2\"/>",
            crate::svg::num(left + 5.0),
            crate::svg::num(base - 4.0),
            inks.ink
        ));
        svg.text((left + 15.0, base), TextStyle::new(SMALL, inks.ink), words);
        left += 30.0 + screen_width(words, SMALL);
    }
}

fn told(years: &[PastForecast], sheet: &Sheet<'_>) -> String {
    let w = sheet.wording();
    let of = |y: &PastForecast| {
        let day = |day: Option<Date>| day.map_or("later".to_owned(), |d| w.day(d));
        let [low, middle, high] = y.forecast.map(day);
        format!("{}: forecast {middle} ({low} to {high}), came {}.", y.year, w.day(y.truth))
    };
    years.iter().map(of).collect::<Vec<_>>().join(" ")
}
