//! Life stages day by day, stacked.

use crownhold::timing::StageDay;
use jiff::ToSpan as _;
use jiff::civil::Date;

use super::calendar::Calendar;
use super::stages::{self, Drawn};
use super::{SMALL, screen_width};
use crate::sheet::Sheet;
use crate::svg::{Anchor, Svg, TextStyle, num};

const TOP: f64 = 42.0;
/// Shares below this at both ends of the year are not worth the width.
const BEGUN: f64 = 0.005;
/// A stage that is never more than this is not named.
const LEAST_NAMED: f64 = 0.05;

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
    for stage in Drawn::STACK {
        let d = area(&shown, &axis, stage, &y);
        let paint = format!("fill=\"{}\" stroke=\"{}\" stroke-width=\"0.8\"", stage.ink(sheet.inks), sheet.inks.paper);
        svg.path(&d, &paint);
    }
    axis.draw(&mut svg, sheet, TOP, bottom);
    percents(&mut svg, sheet, axis.left, &y);
    for stage in Drawn::STACK {
        name(&mut svg, sheet, &axis, &shown, stage, &y);
    }
    axis.today(&mut svg, sheet, today, TOP, bottom);
    svg.finish_told(sheet, title, &stages::told(&shown, |day| sheet.wording().day(day)))
}

/// From a week before the first are no longer eggs to a week after nearly all have laid.
fn axis(days: &[StageDay], width: f64) -> Option<Calendar> {
    let first = days.iter().find(|day| day.shares[0] < 1.0 - BEGUN)?.date;
    let over = |day: &&StageDay| day.shares[9] > 1.0 - 4.0 * BEGUN;
    let last = days.iter().find(over).or(days.last())?.date;
    let from = first.checked_sub(10.days()).unwrap_or(first).max(days.first()?.date);
    let to = last.checked_add(10.days()).unwrap_or(last).min(days.last()?.date);
    Some(Calendar { from, to, left: 40.0, right: width - 6.0 })
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

/// The stage's name where its area leaves the most room around it; on a plate where it has too little everywhere.
fn name(svg: &mut Svg, sheet: &Sheet<'_>, axis: &Calendar, days: &[StageDay], stage: Drawn, y: &dyn Fn(f64) -> f64) {
    let style = TextStyle::new(SMALL, stage.text(sheet.inks)).bold().anchor(Anchor::Middle);
    for word in [sheet.size.pick(stage.long_word(), stage.word()), stage.word()] {
        if let Some((x, middle, room)) = roomiest(axis, days, stage, screen_width(word, SMALL) + 6.0, y)
            && room >= SMALL + 2.0
        {
            return svg.text((x, middle + 4.0), style, word);
        }
    }
    let thickest = days.iter().max_by(|a, b| stage.share(&a.shares).total_cmp(&stage.share(&b.shares)));
    let Some(day) = thickest.filter(|day| stage.share(&day.shares) >= LEAST_NAMED) else { return };
    let (low, high) = stage.edges(&day.shares);
    let (x, middle, wide) = (axis.noon(day.date), y((low + high) / 2.0), screen_width(stage.word(), SMALL) + 8.0);
    svg.rect((x - wide / 2.0, middle - 9.0), (wide, 18.0), &format!("rx=\"3\" fill=\"{}\"", sheet.inks.paper));
    svg.text((x, middle + 4.0), TextStyle { fill: sheet.inks.ink, ..style }, stage.word());
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
    days.windows(span).map(box_of).max_by(|a, b| a.2.total_cmp(&b.2))
}
