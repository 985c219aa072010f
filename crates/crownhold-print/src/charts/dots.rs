//! Blocks by their density, with intervals and the action threshold.

use crownhold::types::{MassesPerArea, UnitSystem};

use super::{PLAIN, SMALL, screen_width};
use crate::sheet::Sheet;
use crate::svg::{Anchor, Svg, TextStyle, escape, fit_text, num};
use crate::wording::{count, grouped};

/// One block.
#[derive(Clone, Debug, PartialEq)]
pub struct DensityRow {
    /// Block, as people call it.
    pub label: String,
    /// Where its name leads; same-page addresses only.
    pub href: Option<String>,
    /// New egg masses: estimate, and both ends of its interval.
    pub estimate: MassesPerArea,
    /// Ends of the interval.
    pub interval: (MassesPerArea, MassesPerArea),
    /// From plots of its own, or borrowed from its stratum?
    pub own: bool,
    /// Action threshold of its land use.
    pub threshold: MassesPerArea,
}

const TOP: f64 = 58.0;
/// Below this many masses per acre (or 2.5 times as many per hectare) the axis is nearly even, above it nearly
/// logarithmic, so that nought has its place.
const BEND: f64 = 10.0;

/// Estimate (a disc from own plots, a hollow diamond where borrowed) and interval on a bent axis, each block's action
/// threshold as a line. Rows stand as they are given; about 40 can be read.
pub fn density_dots(rows: &[DensityRow], sheet: &Sheet<'_>) -> String {
    let chart = Chart::of(rows, sheet);
    let mut svg = Svg::new(sheet.size.units(), chart.bottom + 8.0);
    chart.legend(&mut svg);
    chart.axis(&mut svg);
    for (i, row) in rows.iter().enumerate() {
        chart.row(&mut svg, row, TOP + chart.step * i as f64);
    }
    let told = told(rows, sheet);
    let title = "Egg masses by block, with intervals";
    if rows.iter().any(|row| row.href.is_some()) {
        svg.finish_linked(sheet, title, &told)
    } else {
        svg.finish_told(sheet, title, &told)
    }
}

struct Chart<'a> {
    sheet: &'a Sheet<'a>,
    left: f64,
    right: f64,
    step: f64,
    bottom: f64,
    /// Largest value, in the sheet's unit.
    most: f64,
}

impl<'a> Chart<'a> {
    fn of(rows: &[DensityRow], sheet: &'a Sheet<'a>) -> Self {
        let width = sheet.size.units();
        let (left, right, step) = sheet.size.pick((186.0, width - 150.0, 22.0), (10.0, width - 14.0, 36.0));
        let end = |row: &DensityRow| shown(sheet, row.interval.1).max(shown(sheet, row.threshold));
        let most = rows.iter().map(end).fold(0.0, f64::max) * 1.1;
        Self { sheet, left, right, step, bottom: TOP + step * rows.len() as f64, most: most.max(1.0) }
    }

    fn x(&self, value: f64) -> f64 {
        let bent = |v: f64| (v.max(0.0) / bend(self.sheet)).ln_1p();
        self.left + (self.right - self.left) * bent(value) / bent(self.most)
    }

    fn legend(&self, svg: &mut Svg) {
        let (inks, y) = (self.sheet.inks, 14.0);
        let style = TextStyle::new(SMALL, inks.ink);
        let x = self.sheet.size.pick(self.left, 10.0);
        self.mark(svg, (x + 6.0, y - 4.0), true);
        svg.text((x + 16.0, y), style, "own plots");
        let second = x + 28.0 + screen_width("own plots", SMALL);
        self.mark(svg, (second, y - 4.0), false);
        svg.text((second + 10.0, y), style, "borrowed");
        let third = second + 28.0 + screen_width("borrowed", SMALL);
        svg.line((third, y - 11.0), (third, y + 3.0), inks.guard, 1.6, "");
        svg.text((third + 7.0, y), style, "threshold");
        let unit = format!("new egg masses per {}", self.sheet.wording().per_area());
        let style = TextStyle::new(SMALL, inks.soft).anchor(Anchor::End);
        // On a phone it stands in a line of its own.
        let y = self.sheet.size.pick(y, y + 16.0);
        svg.text((self.sheet.size.units() - 10.0, y), style, &unit);
    }

    fn axis(&self, svg: &mut Svg) {
        let inks = self.sheet.inks;
        let mut free_from = self.left - 20.0;
        for tick in [0.0, 10.0, 30.0, 100.0, 300.0, 1_000.0, 3_000.0, 10_000.0, 30_000.0] {
            let (x, text) = (self.x(tick), grouped(tick));
            let wide = screen_width(&text, SMALL) / 2.0;
            if tick > self.most || x - wide < free_from {
                continue;
            }
            free_from = x + wide + 6.0;
            svg.line((x, TOP - 8.0), (x, self.bottom), inks.rule, 0.8, "");
            svg.text((x, TOP - 12.0), TextStyle::new(SMALL, inks.soft).anchor(Anchor::Middle), &text);
        }
    }

    fn row(&self, svg: &mut Svg, row: &DensityRow, top: f64) {
        let (inks, narrow) = (self.sheet.inks, self.sheet.size == crate::Size::Narrow);
        let y = top + if narrow { 25.0 } else { self.step / 2.0 };
        let [low, middle, high] = [row.interval.0, row.estimate, row.interval.1].map(|v| shown(self.sheet, v));
        let line = self.x(shown(self.sheet, row.threshold));
        svg.line((line, top), (line, top + self.step), inks.guard, 1.6, "");
        svg.line((self.x(low), y), (self.x(high), y), inks.accent, 2.0, "");
        self.mark(svg, (self.x(middle), y), row.own);
        let base = if narrow { top + 13.0 } else { y + 4.5 };
        let room = if narrow { 200.0 } else { self.left - 22.0 };
        self.name(svg, row, (10.0, base), room);
        let figures = format!("{} ({} to {})", grouped(middle), grouped(low), grouped(high));
        let style = TextStyle::new(SMALL, inks.soft).anchor(Anchor::End);
        svg.text((self.sheet.size.units() - 10.0, base), style, &figures);
    }

    fn name(&self, svg: &mut Svg, row: &DensityRow, at: (f64, f64), room: f64) {
        let style =
            TextStyle::new(PLAIN, if row.href.is_some() { self.sheet.inks.accent } else { self.sheet.inks.ink });
        let text = fit_text(&row.label, PLAIN * 1.12, room);
        match &row.href {
            Some(href) => {
                svg.raw(&format!("<a href=\"{}\">", escape(href)));
                svg.text(at, style, &text);
                svg.raw("</a>");
            }
            None => svg.text(at, style, &text),
        }
    }

    /// A disc, or a hollow diamond.
    fn mark(&self, svg: &mut Svg, (x, y): (f64, f64), own: bool) {
        let inks = self.sheet.inks;
        let (r, d) = (num(4.2), 5.6);
        let shape = if own {
            format!("M{} {}a{r} {r} 0 1 0 8.4 0a{r} {r} 0 1 0 -8.4 0Z", num(x - 4.2), num(y))
        } else {
            let (x0, x1, y0, y1) = (num(x - d), num(x + d), num(y - d), num(y + d));
            format!("M{x0} {}L{} {y0}L{x1} {}L{} {y1}Z", num(y), num(x), num(y), num(x))
        };
        let fill = if own { inks.accent } else { inks.paper };
        svg.path(&shape, &format!("fill=\"{fill}\" stroke=\"{}\" stroke-width=\"1.6\"", inks.accent));
    }
}

fn shown(sheet: &Sheet<'_>, density: MassesPerArea) -> f64 {
    if sheet.units == UnitSystem::Us { density.as_per_acre() } else { density.as_per_hectare() }
}

fn bend(sheet: &Sheet<'_>) -> f64 {
    if sheet.units == UnitSystem::Us { BEND } else { 2.5 * BEND }
}

fn told(rows: &[DensityRow], sheet: &Sheet<'_>) -> String {
    let over = rows.iter().filter(|row| row.estimate >= row.threshold).count();
    let borrowed = rows.iter().filter(|row| !row.own).count();
    format!(
        "{over} of {} shown are at or over their action threshold, in new egg masses per {}; {borrowed} borrow their estimate.",
        count(rows.len(), "block", "blocks"),
        sheet.wording().per_area()
    )
}
