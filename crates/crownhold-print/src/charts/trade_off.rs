//! The trade-off between what is flown and what is expected to be lost.

use super::{PLAIN, SMALL};
use crate::sheet::Sheet;
use crate::svg::{Anchor, Svg, TextStyle, num};
use crate::wording::grouped;

/// Plans and the rule of thumb; areas in the unit named.
#[derive(Clone, Debug, PartialEq)]
pub struct TradeOffChart<'a> {
    /// (flown, expected over tolerance), by rising area flown.
    pub plans: &'a [(f64, f64)],
    /// The same of flying by the action threshold alone.
    pub rule: (f64, f64),
    /// Nothing done: expected over tolerance.
    pub untreated: f64,
    /// "acres" or "ha".
    pub unit: &'static str,
}

const TOP: f64 = 34.0;
const HEIGHT: f64 = 300.0;

/// Plans as numbered dots on a line, the rule of thumb as a diamond, doing nothing as a dashed line.
pub fn trade_off(of: &TradeOffChart<'_>, sheet: &Sheet<'_>) -> String {
    let (inks, width) = (sheet.inks, sheet.size.units());
    let (left, right, bottom) = (58.0, width - 24.0, TOP + HEIGHT);
    let most = of.plans.iter().map(|p| p.0).fold(of.rule.0, f64::max).max(1.0) * 1.05;
    let worst = of.untreated.max(of.rule.1).max(1.0) * 1.05;
    let x = |v: f64| left + (right - left) * v / most;
    let y = |v: f64| bottom - HEIGHT * v / worst;
    let mut svg = Svg::new(width, bottom + 46.0);
    let soft = TextStyle::new(SMALL, inks.soft);
    for v in ticks(worst) {
        svg.line((left, y(v)), (right, y(v)), inks.rule, 1.0, "");
        svg.text((left - 6.0, y(v) + 4.0), soft.anchor(Anchor::End), &grouped(v));
    }
    for v in ticks(most) {
        svg.line((x(v), bottom), (x(v), bottom + 5.0), inks.ink, 1.0, "");
        svg.text((x(v), bottom + 19.0), soft.anchor(Anchor::Middle), &grouped(v));
    }
    svg.text((left - 44.0, 14.0), TextStyle::new(PLAIN, inks.ink), &format!("Expected over tolerance, {}", of.unit));
    svg.text(
        (f64::midpoint(left, right), bottom + 38.0),
        TextStyle::new(PLAIN, inks.ink).anchor(Anchor::Middle),
        &format!("Flown, {}", of.unit),
    );
    svg.line((left, y(of.untreated)), (right, y(of.untreated)), inks.guard, 1.6, "6 4");
    svg.text((right, y(of.untreated) - 6.0), TextStyle::new(SMALL, inks.ink).anchor(Anchor::End), "nothing done");
    let path: Vec<String> = of.plans.iter().map(|p| format!("{} {}", num(x(p.0)), num(y(p.1)))).collect();
    svg.path(&format!("M{}", path.join("L")), &format!("fill=\"none\" stroke=\"{}\" stroke-width=\"2\"", inks.accent));
    for (i, p) in of.plans.iter().enumerate() {
        let (cx, cy) = (x(p.0), y(p.1));
        svg.raw(&format!("<circle cx=\"{}\" cy=\"{}\" r=\"9\" fill=\"{}\"/>", num(cx), num(cy), inks.accent));
        let number = TextStyle::new(11.0, inks.paper).bold().anchor(Anchor::Middle);
        svg.text((cx, cy + 4.0), number, &(i + 1).to_string());
    }
    let (rx, ry) = (x(of.rule.0), y(of.rule.1));
    let corner = |dx: f64, dy: f64| format!("{} {}", num(rx + dx), num(ry + dy));
    let diamond = [corner(0.0, -9.0), corner(9.0, 0.0), corner(0.0, 9.0), corner(-9.0, 0.0)].join("L");
    svg.path(&format!("M{diamond}Z"), &format!("fill=\"{}\" stroke=\"{}\" stroke-width=\"2\"", inks.paper, inks.guard));
    svg.text((rx, ry - 14.0), TextStyle::new(SMALL, inks.ink).anchor(Anchor::Middle), "rule of thumb");
    svg.finish_told(sheet, "What flying more buys", &told(of))
}

/// About five round values up to a largest one.
fn ticks(most: f64) -> Vec<f64> {
    let rough = most / 5.0;
    let ten = power_of_ten(rough);
    let step = [1.0, 2.0, 5.0, 10.0].into_iter().map(|m| m * ten).find(|s| *s >= rough).unwrap_or(rough);
    (0..).map(|i| f64::from(i) * step).take_while(|v| *v <= most).collect()
}

/// The power of ten at or below a positive value.
fn power_of_ten(v: f64) -> f64 {
    let mut ten = 1.0;
    while ten * 10.0 <= v {
        ten *= 10.0;
    }
    while ten > v && ten > 1e-9 {
        ten /= 10.0;
    }
    ten
}

fn told(of: &TradeOffChart<'_>) -> String {
    let point = |p: &(f64, f64)| format!("{} flown, {} over tolerance", grouped(p.0), grouped(p.1));
    let all: Vec<String> = of.plans.iter().map(point).collect();
    format!(
        "In {}: {}. Rule of thumb: {}. Nothing done: {}.",
        of.unit,
        all.join("; "),
        point(&of.rule),
        grouped(of.untreated)
    )
}

#[cfg(test)]
mod tests {
    use crownhold::types::UnitSystem;

    use super::{TradeOffChart, ticks, trade_off};
    use crate::sheet::{Sheet, Size};

    #[test]
    fn every_plan_is_drawn_and_told() {
        let of = TradeOffChart {
            plans: &[(0.0, 441.0), (309.0, 407.0)],
            rule: (1018.0, 403.0),
            untreated: 481.0,
            unit: "acres",
        };
        for size in [Size::Wide, Size::Narrow] {
            let svg = trade_off(&of, &Sheet::screen("t", UnitSystem::Us, size));
            assert_eq!(svg.matches("<circle").count(), 2);
            assert!(svg.contains("309 flown, 407 over tolerance") && svg.contains("1,018 flown"), "{svg}");
        }
    }

    #[test]
    fn ticks_are_round() {
        assert_eq!(ticks(481.0), [0.0, 100.0, 200.0, 300.0, 400.0]);
        assert_eq!(ticks(7.0), [0.0, 2.0, 4.0, 6.0]);
    }
}
