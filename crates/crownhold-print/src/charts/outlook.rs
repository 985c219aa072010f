//! Foliage loss if nothing is done, by block.

use super::WIDTH;
use crate::palette::Inks;
use crate::sheet::Sheet;
use crate::svg::{Anchor, Svg, TextStyle, fit_text, num};
use crate::wording::percent;

/// One block of the outlook chart. All values are shares of favoured-host foliage, 0 to 1.
#[derive(Clone, Debug, PartialEq)]
pub struct OutlookBar {
    /// Block, as people call it.
    pub label: String,
    /// Letters of the planned option.
    pub code: String,
    /// 5 and 95 % points if nothing is done.
    pub range: (f64, f64),
    /// Mean if nothing is done.
    pub mean: f64,
    /// Loss held to be acceptable.
    pub tolerance: f64,
    /// Mean with the plan; `None` for a watched block, where nothing changes.
    pub planned: Option<f64>,
}

const ROW: f64 = 25.0;
const TOP: f64 = 72.0;
const LEFT: f64 = 262.0;
const RIGHT: f64 = 752.0;

/// Bars from the 5 to the 95 % point with the mean, the tolerance as a line, the plan as a diamond. Always wide.
pub fn untreated_outlook(bars: &[OutlookBar], sheet: &Sheet<'_>) -> String {
    let inks = sheet.inks;
    let bottom = TOP + ROW * bars.len() as f64;
    let mut svg = Svg::new(WIDTH, bottom + 14.0);
    axis(&mut svg, inks, bottom);
    for (i, bar) in bars.iter().enumerate() {
        draw(&mut svg, inks, bar, TOP + ROW * i as f64 + ROW / 2.0);
    }
    legend(&mut svg, inks);
    svg.finish(sheet, "Foliage loss by block if nothing is done")
}

fn x(share: f64) -> f64 {
    LEFT + (RIGHT - LEFT) * share.clamp(0.0, 1.0)
}

fn axis(svg: &mut Svg, inks: &Inks, bottom: f64) {
    let small = TextStyle::new(15.0, inks.soft);
    for tenth in [0, 25, 50, 75, 100] {
        let at = x(f64::from(tenth) / 100.0);
        svg.line((at, TOP - 4.0), (at, bottom), inks.rule, 1.0, "");
        svg.text((at, TOP - 10.0), small.anchor(Anchor::Middle), &format!("{tenth} %"));
    }
    let ids = TextStyle::new(11.0, inks.soft).anchor(Anchor::End);
    svg.text((WIDTH - 16.0, TOP - 28.0), ids, "block id + .loss → .loss-planned");
    svg.text((16.0, TOP - 10.0), small, "block and its planned option");
    svg.text((WIDTH - 16.0, TOP - 10.0), small.anchor(Anchor::End), "means: untreated → planned");
}

fn draw(svg: &mut Svg, inks: &Inks, bar: &OutlookBar, y: f64) {
    let text = TextStyle::new(16.0, inks.ink);
    svg.text((16.0, y + 5.0), text, &fit_text(&bar.label, 16.0, 180.0));
    svg.text((LEFT - 12.0, y + 5.0), text.anchor(Anchor::End), &bar.code);
    let (low, high) = bar.range;
    svg.rect((x(low), y - 6.0), (x(high) - x(low), 12.0), &format!("fill=\"{}\"", inks.accent_pale));
    svg.rect((x(bar.mean) - 2.0, y - 9.0), (4.0, 18.0), &format!("fill=\"{}\"", inks.accent));
    let at = x(bar.tolerance);
    svg.line((at, y - ROW / 2.0 + 2.0), (at, y + ROW / 2.0 - 2.0), inks.guard, 2.0, "3 2");
    let untreated = format!("{} ({} to {})", percent(bar.mean), percent(low), percent(high));
    let figures = match bar.planned {
        Some(planned) => {
            diamond(svg, inks, x(planned), y);
            format!("{untreated} → {}", percent(planned))
        }
        None => format!("{untreated}, watched"),
    };
    svg.text((WIDTH - 16.0, y + 5.0), text.anchor(Anchor::End), &figures);
}

fn diamond(svg: &mut Svg, inks: &Inks, x: f64, y: f64) {
    let (l, r, t, b) = (num(x - 5.5), num(x + 5.5), num(y - 5.5), num(y + 5.5));
    let (x, y) = (num(x), num(y));
    let paint = format!("fill=\"{}\" stroke=\"{}\" stroke-width=\"1.6\"", inks.paper, inks.ink);
    svg.path(&format!("M{l} {y}L{x} {t}L{r} {y}L{x} {b}Z"), &paint);
}

fn legend(svg: &mut Svg, inks: &Inks) {
    let y = 20.0;
    let style = TextStyle::new(15.0, inks.ink);
    svg.rect((16.0, y - 11.0), (40.0, 12.0), &format!("fill=\"{}\"", inks.accent_pale));
    svg.rect((34.0, y - 14.0), (4.0, 18.0), &format!("fill=\"{}\"", inks.accent));
    svg.text((64.0, y), style, "untreated: 5 to 95 %, mean");
    svg.line((330.0, y - 14.0), (330.0, y + 4.0), inks.guard, 2.0, "3 2");
    svg.text((342.0, y), style, "tolerated loss");
    diamond(svg, inks, 474.0, y - 5.0);
    svg.text((488.0, y), style, "mean with the plan");
}
