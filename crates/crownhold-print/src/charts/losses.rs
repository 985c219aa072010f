//! Foliage loss of blocks as the desk shows it: the range, its middle, what is tolerated, and what was seen.

use super::{PLAIN, SMALL, screen_width};
use crate::sheet::Sheet;
use crate::svg::{Anchor, Svg, TextStyle, escape, fit_text, num};
use crate::wording::{count, percent};

/// One block. All values are shares of favoured-host foliage, 0 to 1.
#[derive(Clone, Debug, PartialEq)]
pub struct LossRow {
    /// Block, as people call it.
    pub label: String,
    /// Where its name leads; same-page addresses only.
    pub href: Option<String>,
    /// 5 % point, middle and 95 % point of the forecast.
    pub forecast: (f64, f64, f64),
    /// Loss held to be acceptable.
    pub tolerance: f64,
    /// What was rated in the field.
    pub rated: Option<f64>,
}

const TOP: f64 = 58.0;

/// Forecast ranges with their middles on an axis from 0 to 100 %, each block's tolerance as a line, ratings as diamonds.
/// Rows stand as they are given; about 40 can be read.
pub fn loss_ranges(rows: &[LossRow], sheet: &Sheet<'_>) -> String {
    let chart = Chart::of(rows, sheet);
    let mut svg = Svg::new(sheet.size.units(), chart.bottom + 8.0);
    chart.legend(&mut svg, rows.iter().any(|row| row.rated.is_some()));
    chart.axis(&mut svg);
    for (i, row) in rows.iter().enumerate() {
        chart.row(&mut svg, row, TOP + chart.step * i as f64);
    }
    let title = "Foliage lost by block, with ranges";
    if rows.iter().any(|row| row.href.is_some()) {
        svg.finish_linked(sheet, title, &told(rows))
    } else {
        svg.finish_told(sheet, title, &told(rows))
    }
}

struct Chart<'a> {
    sheet: &'a Sheet<'a>,
    left: f64,
    right: f64,
    step: f64,
    bottom: f64,
}

impl<'a> Chart<'a> {
    fn of(rows: &[LossRow], sheet: &'a Sheet<'a>) -> Self {
        let width = sheet.size.units();
        let (left, right, step) = sheet.size.pick((150.0, width - 150.0, 22.0), (14.0, width - 18.0, 36.0));
        Self { sheet, left, right, step, bottom: TOP + step * rows.len() as f64 }
    }

    fn x(&self, share: f64) -> f64 {
        self.left + (self.right - self.left) * share.clamp(0.0, 1.0)
    }

    fn legend(&self, svg: &mut Svg, rated: bool) {
        let (inks, y) = (self.sheet.inks, 14.0);
        let style = TextStyle::new(SMALL, inks.ink);
        let mut x = self.sheet.size.pick(self.left, 10.0);
        let words = self.sheet.size.pick("forecast: middle, 5 to 95 %", "middle, 5 to 95 %");
        self.range(svg, (x, x + 24.0), y - 4.0);
        self.disc(svg, (x + 12.0, y - 4.0));
        svg.text((x + 30.0, y), style, words);
        x += 44.0 + screen_width(words, SMALL);
        svg.line((x, y - 11.0), (x, y + 3.0), inks.guard, 1.6, "");
        svg.text((x + 7.0, y), style, "tolerated");
        if rated {
            x += 24.0 + screen_width("tolerated", SMALL);
            self.diamond(svg, (x, y - 4.0));
            svg.text((x + 10.0, y), style, "rated");
        }
    }

    fn axis(&self, svg: &mut Svg) {
        let inks = self.sheet.inks;
        for quarter in 0..=4 {
            let (share, text) = (f64::from(quarter) / 4.0, format!("{}\u{a0}%", 25 * quarter));
            let x = self.x(share);
            svg.line((x, TOP - 8.0), (x, self.bottom), inks.rule, 0.8, "");
            svg.text((x, TOP - 12.0), TextStyle::new(SMALL, inks.soft).anchor(Anchor::Middle), &text);
        }
    }

    fn row(&self, svg: &mut Svg, row: &LossRow, top: f64) {
        let (inks, narrow) = (self.sheet.inks, self.sheet.size == crate::Size::Narrow);
        let y = top + if narrow { 25.0 } else { self.step / 2.0 };
        let (low, middle, high) = row.forecast;
        let line = self.x(row.tolerance);
        svg.line((line, top), (line, top + self.step), inks.guard, 1.6, "");
        self.range(svg, (self.x(low), self.x(high)), y);
        self.disc(svg, (self.x(middle), y));
        if let Some(rated) = row.rated {
            self.diamond(svg, (self.x(rated), y));
        }
        let base = if narrow { top + 13.0 } else { y + 4.5 };
        self.name(svg, row, (10.0, base), if narrow { 170.0 } else { self.left - 22.0 });
        let style = TextStyle::new(SMALL, inks.soft).anchor(Anchor::End);
        svg.text((self.sheet.size.units() - 10.0, base), style, &figures(row));
    }

    fn name(&self, svg: &mut Svg, row: &LossRow, at: (f64, f64), room: f64) {
        let text = fit_text(&row.label, PLAIN * 1.12, room);
        match &row.href {
            Some(href) => {
                svg.raw(&format!("<a href=\"{}\">", escape(href)));
                svg.text(at, TextStyle::new(PLAIN, self.sheet.inks.accent), &text);
                svg.raw("</a>");
            }
            None => svg.text(at, TextStyle::new(PLAIN, self.sheet.inks.ink), &text),
        }
    }

    fn range(&self, svg: &mut Svg, (from, to): (f64, f64), y: f64) {
        let inks = self.sheet.inks;
        let paint = format!("rx=\"2\" fill=\"{}\" stroke=\"{}\" stroke-width=\"0.8\"", inks.accent_pale, inks.accent);
        svg.rect((from, y - 4.0), ((to - from).max(1.0), 8.0), &paint);
    }

    fn disc(&self, svg: &mut Svg, (x, y): (f64, f64)) {
        let d = format!("M{} {}a4 4 0 1 0 8 0a4 4 0 1 0 -8 0Z", num(x - 4.0), num(y));
        svg.path(&d, &format!("fill=\"{}\"", self.sheet.inks.accent));
    }

    fn diamond(&self, svg: &mut Svg, (x, y): (f64, f64)) {
        let (inks, d) = (self.sheet.inks, 6.5);
        let (x0, x1, y0, y1) = (num(x - d), num(x + d), num(y - d), num(y + d));
        let shape = format!("M{x0} {}L{} {y0}L{x1} {}L{} {y1}Z", num(y), num(x), num(y), num(x));
        svg.path(&shape, &format!("fill=\"{}\" stroke=\"{}\" stroke-width=\"1.8\"", inks.paper, inks.ink));
    }
}

fn figures(row: &LossRow) -> String {
    let (low, middle, high) = row.forecast;
    match row.rated {
        Some(rated) => format!("{} to {}, rated {}", percent(low), percent(high), percent(rated)),
        None => format!("{} ({} to {})", percent(middle), percent(low), percent(high)),
    }
}

fn told(rows: &[LossRow]) -> String {
    let over = rows.iter().filter(|row| row.forecast.1 > row.tolerance).count();
    let rated = rows.iter().filter(|row| row.rated.is_some()).count();
    let rated = if rated > 0 { format!(" {rated} were rated in the field.") } else { String::new() };
    format!(
        "In {over} of {} shown the middle of the forecast is over what is tolerated.{rated}",
        count(rows.len(), "block", "blocks")
    )
}

#[cfg(test)]
mod tests {
    use crownhold::types::UnitSystem;

    use super::*;
    use crate::Size;

    fn row(middle: f64, rated: Option<f64>) -> LossRow {
        let label = "A01 <Mill>".to_owned();
        LossRow { label, href: Some("/plan/blocks/A01".into()), forecast: (0.1, middle, 0.9), tolerance: 0.4, rated }
    }

    #[test]
    fn it_tells_what_it_shows() {
        for size in [Size::Wide, Size::Narrow] {
            let sheet = Sheet::screen("loss", UnitSystem::Us, size);
            let svg = loss_ranges(&[row(0.5, None), row(0.3, Some(0.25))], &sheet);
            assert!(svg.contains("In 1 of 2 blocks shown the middle"), "{svg}");
            assert!(svg.contains("1 were rated") && svg.contains("rated 25\u{a0}%"));
            assert!(svg.contains("A01 &lt;Mill&gt;") && svg.contains("role=\"group\""));
            assert!(!loss_ranges(&[row(0.5, None)], &sheet).contains(">rated<"));
        }
    }
}
