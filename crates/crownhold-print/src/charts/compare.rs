//! A few bars to be compared.

use super::{PLAIN, SMALL, bold_width, screen_width};
use crate::sheet::Sheet;
use crate::svg::{Anchor, Svg, TextStyle};
use crate::wording::number;

/// One bar.
#[derive(Clone, Debug, PartialEq)]
pub struct CompareBar {
    /// What it is: "nothing done".
    pub label: String,
    /// Its length, in the chart's unit; not negative.
    pub value: f64,
    /// Ends of its interval.
    pub range: Option<(f64, f64)>,
    /// The one the reader is to look at.
    pub main: bool,
}

const ROW: f64 = 46.0;
const TOP: f64 = 8.0;
const LEFT: f64 = 10.0;

/// Bars with their figures and intervals. `unit` stands after every figure.
pub fn bars_compare(bars: &[CompareBar], title: &str, unit: &str, sheet: &Sheet<'_>) -> String {
    let width = sheet.size.units();
    let mut svg = Svg::new(width, TOP + ROW * bars.len() as f64 + 4.0);
    let end = |bar: &CompareBar| bar.range.map_or(bar.value, |(_, high)| high.max(bar.value));
    let most = bars.iter().map(end).fold(0.0, f64::max);
    let scale = (width - 2.0 * LEFT) / if most > 0.0 { most } else { 1.0 };
    // On a phone long ranges give way, all of them: they are drawn, and told.
    let fits = |bar: &CompareBar| {
        bold_width(&bar.label, PLAIN) + screen_width(&figures(bar, unit), SMALL) + 12.0 <= width - 2.0 * LEFT
    };
    let whole = bars.iter().all(fits);
    for (i, bar) in bars.iter().enumerate() {
        let words = if whole { figures(bar, unit) } else { format!("{} {unit}", number(bar.value)) };
        draw(&mut svg, sheet, bar, &words, scale, TOP + ROW * i as f64);
    }
    svg.finish_told(
        sheet,
        title,
        &bars.iter().map(|bar| format!("{}: {}. ", bar.label, figures(bar, unit))).collect::<String>(),
    )
}

fn figures(bar: &CompareBar, unit: &str) -> String {
    let range = bar.range.map(|(low, high)| format!(" ({} to {})", number(low), number(high))).unwrap_or_default();
    format!("{} {unit}{range}", number(bar.value))
}

fn draw(svg: &mut Svg, sheet: &Sheet<'_>, bar: &CompareBar, words: &str, scale: f64, top: f64) {
    let inks = sheet.inks;
    let (y, x) = (top + 30.0, |value: f64| LEFT + scale * value.max(0.0));
    let label = if bar.main { TextStyle::new(PLAIN, inks.ink).bold() } else { TextStyle::new(PLAIN, inks.ink) };
    svg.text((LEFT, top + 14.0), label, &bar.label);
    svg.text((sheet.size.units() - LEFT, top + 14.0), TextStyle::new(SMALL, inks.ink).anchor(Anchor::End), words);
    let fill = if bar.main { inks.accent } else { inks.accent_pale };
    svg.line((LEFT, y), (sheet.size.units() - LEFT, y), inks.rule, 1.0, "");
    let paint = format!("fill=\"{fill}\" stroke=\"{}\" stroke-width=\"1\"", inks.accent);
    svg.rect((LEFT, y - 8.0), ((x(bar.value) - LEFT).max(1.0), 16.0), &paint);
    if let Some((low, high)) = bar.range {
        // A paper-coloured edge, so that the line shows on the bar as well.
        for (ink, wide) in [(inks.paper, 4.5), (inks.ink, 1.8)] {
            svg.line((x(low), y), (x(high), y), ink, wide, "");
            for end in [x(low), x(high)] {
                svg.line((end, y - 5.0), (end, y + 5.0), ink, wide, "");
            }
        }
    }
}
