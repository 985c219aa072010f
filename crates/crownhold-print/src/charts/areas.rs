//! Life stages day by day, stacked.

use crownhold::timing::StageDay;
use jiff::ToSpan as _;
use jiff::civil::Date;

use super::calendar::Calendar;
use super::stages::{self, Drawn};
use super::{SMALL, bold_width, screen_width};
use crate::sheet::Sheet;
use crate::svg::{Anchor, Svg, TextStyle, num};

const TOP: f64 = 42.0;
/// Shares below this at both ends of the year are not worth the width.
const BEGUN: f64 = 0.005;

/// Areas stacked to 100 %, from before hatch to the last laying; each named where it is widest; a line for today.
///
/// Moths that have laid are drawn as the new eggs they leave.
pub fn stage_areas(days: &[StageDay], today: Date, sheet: &Sheet<'_>) -> String {
    let (width, height) = (sheet.size.units(), sheet.size.pick(250.0, 230.0));
    let bottom = TOP + height;
    let mut svg = Svg::new(width, bottom + 16.0);
    let title = "Share of each life stage, day by day";
    let Some(axis) = axis(days, width) else {
        let style = TextStyle::new(SMALL, sheet.inks.soft).anchor(Anchor::Middle);
        svg.text((width / 2.0, TOP + 40.0), style, "No stages: no weather yet.");
        return svg.finish_told(sheet, title, "No stages: no weather yet.");
    };
    let shown: Vec<StageDay> = days.iter().filter(|day| axis.holds(day.date)).cloned().collect();
    let y = |share: f64| bottom - height * share;
    axis.draw(&mut svg, sheet, TOP, bottom);
    for stage in Drawn::PAINTED {
        svg.path(&area(&shown, &axis, stage, &y), &stage.paint(sheet.inks));
    }
    percents(&mut svg, sheet, axis.left, &y);
    for stage in Drawn::STACK {
        name(&mut svg, sheet, &axis, &shown, stage, &y);
    }
    axis.today(&mut svg, sheet, today, TOP, bottom);
    svg.finish_told(sheet, title, &stages::told(&shown, |day| sheet.wording().day(day)))
}

/// From two weeks before the first are no longer eggs to two weeks after nearly all have laid.
fn axis(days: &[StageDay], width: f64) -> Option<Calendar> {
    let first = days.iter().find(|day| day.shares[0] < 1.0 - BEGUN)?.date;
    let over = |day: &&StageDay| day.shares[9] > 1.0 - 4.0 * BEGUN;
    let last = days.iter().find(over).or(days.last())?.date;
    let from = first.checked_sub(16.days()).unwrap_or(first).max(days.first()?.date);
    let to = last.checked_add(16.days()).unwrap_or(last).min(days.last()?.date);
    Some(Calendar { from, to, left: 46.0, right: width - 6.0 })
}

fn area(days: &[StageDay], axis: &Calendar, stage: Drawn, y: &dyn Fn(f64) -> f64) -> String {
    let edges = || days.iter().map(|day| (axis.noon(day.date), stage.edges(&day.shares)));
    let upper = edges().map(|(x, (_, high))| format!("{} {}", num(x), num(y(high))));
    let lower = edges().rev().map(|(x, (low, _))| format!("{} {}", num(x), num(y(low))));
    format!("M{}Z", upper.chain(lower).collect::<Vec<_>>().join("L"))
}

fn percents(svg: &mut Svg, sheet: &Sheet<'_>, left: f64, y: &dyn Fn(f64) -> f64) {
    let style = TextStyle::new(SMALL, sheet.inks.soft).anchor(Anchor::End);
    for percent in [0, 50, 100] {
        let at = y(f64::from(percent) / 100.0);
        svg.text((left - 5.0, at + 4.0), style, &format!("{percent}\u{a0}%"));
    }
}

/// The stage's name where its area leaves the most room around it: level, or upright in a steep area.
fn name(svg: &mut Svg, sheet: &Sheet<'_>, axis: &Calendar, days: &[StageDay], stage: Drawn, y: &dyn Fn(f64) -> f64) {
    let style = TextStyle::new(SMALL, stage.text(sheet.inks)).anchor(Anchor::Middle);
    let (word, line) = (stage.word(), SMALL + 3.0);
    let wide = bold_width(word, SMALL) + 8.0;
    if let Some(detail) = stage.detail()
        && let Some((x, middle, room)) = roomiest(axis, days, stage, wide.max(screen_width(detail, SMALL) + 8.0), y)
        && room >= 2.0 * line
    {
        svg.text((x, middle - 3.0), style.bold(), word);
        svg.text((x, middle - 3.0 + line), style, detail);
    } else if let Some((x, middle, room)) = roomiest(axis, days, stage, wide, y)
        && room >= line
    {
        svg.text((x, middle + 4.0), style.bold(), word);
    } else if let Some((x, middle, room)) = roomiest(axis, days, stage, line, y)
        && room >= wide
    {
        svg.raw(&format!("<g transform=\"rotate(-90 {} {})\">", num(x), num(middle)));
        svg.text((x, middle + 4.0), style.bold(), word);
        svg.raw("</g>");
    } else {
        beside(svg, sheet, axis, days, stage, y);
    }
}

/// A name to the right of an area too thin for it, with a line to its thickest day.
fn beside(svg: &mut Svg, sheet: &Sheet<'_>, axis: &Calendar, days: &[StageDay], stage: Drawn, y: &dyn Fn(f64) -> f64) {
    let thickest = days.iter().max_by(|a, b| stage.share(&a.shares).total_cmp(&stage.share(&b.shares)));
    let Some(day) = thickest.filter(|day| stage.share(&day.shares) > 0.0) else { return };
    let (low, high) = stage.edges(&day.shares);
    let level = (low + high) / 2.0;
    let there = |day: &&StageDay| (stage.edges(&day.shares).0..=stage.edges(&day.shares).1).contains(&level);
    let end = days.iter().rev().find(there).map_or(day.date, |day| day.date);
    let (x, at) = (axis.x(end) + 12.0, y(level));
    let wide = bold_width(stage.word(), SMALL) + 6.0;
    svg.rect((x, at - 9.0), (wide, 18.0), &format!("rx=\"3\" fill=\"{}\"", sheet.inks.paper));
    svg.line((axis.noon(day.date), at), (x, at), sheet.inks.paper, 1.4, "");
    svg.text((x + 3.0, at + 4.0), TextStyle::new(SMALL, sheet.inks.ink).bold(), stage.word());
}

/// Where a box of this width has the tallest free part of the area: its middle, and that height.
fn roomiest(
    axis: &Calendar,
    days: &[StageDay],
    stage: Drawn,
    width: f64,
    y: &dyn Fn(f64) -> f64,
) -> Option<(f64, f64, f64)> {
    let day_width = axis.x(days.get(1)?.date) - axis.x(days.first()?.date);
    let span = (width / day_width).ceil() as usize + 1;
    let box_of = |part: &[StageDay]| {
        let edges = || part.iter().map(|day| stage.edges(&day.shares));
        let (low, high) = (edges().map(|e| e.0).fold(0.0, f64::max), edges().map(|e| e.1).fold(1.0, f64::min));
        let x = (axis.x(part[0].date) + axis.noon(part[part.len() - 1].date)) / 2.0;
        (x, y((low + high) / 2.0), y(low) - y(high))
    };
    // Of places with as much room the middle one.
    let places: Vec<(f64, f64, f64)> = days.windows(span).map(box_of).collect();
    let most = places.iter().map(|place| place.2).fold(f64::NEG_INFINITY, f64::max);
    let best: Vec<_> = places.into_iter().filter(|place| place.2 > most - 1.0).collect();
    best.get(best.len() / 2).copied()
}
