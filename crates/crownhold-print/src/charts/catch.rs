//! What bands caught, day by day, beside what the season would give.

use crownhold::field::crews::CatchDay;
use jiff::civil::Date;

use super::calendar::Calendar;
use super::{PLAIN, SMALL, screen_width};
use crate::sheet::Sheet;
use crate::svg::{Anchor, Svg, TextStyle, num};

const TOP: f64 = 62.0;
const HEIGHT: f64 = 190.0;
const FOOT: f64 = 30.0;
const LEFT: f64 = 44.0;

/// A dot a day (insects a band), a line through the means of the week up to each day, and a dashed line of what would be
/// caught if catches followed the hiding share of the season. Nothing is drawn without a day of service.
pub fn catch_curve(days: &[CatchDay], today: Date, sheet: &Sheet<'_>) -> String {
    let (inks, width) = (sheet.inks, sheet.size.units());
    let bottom = TOP + HEIGHT;
    let mut svg = Svg::new(width, bottom + FOOT);
    let (Some(first), Some(last)) = (days.first(), days.last()) else {
        return svg.finish(sheet, "Nothing was caught yet");
    };
    let month = jiff::Span::new().days(27);
    let to = last.date.max(first.date.saturating_add(month));
    let axis = Calendar { from: first.date, to, left: LEFT, right: width - 12.0 };
    axis.draw(&mut svg, sheet, TOP, bottom);
    axis.today(&mut svg, sheet, today, TOP, bottom);
    let most = days.iter().flat_map(|d| [of_day(d), d.week, d.expected.unwrap_or(0.0)]).fold(0.5, f64::max) * 1.08;
    let y = |v: f64| bottom - HEIGHT * v / most;
    svg.text((4.0, 16.0), TextStyle::new(PLAIN, inks.ink), "Insects a band and visit");
    for v in ticks(most) {
        svg.line((LEFT, y(v)), (axis.right, y(v)), inks.rule, 1.0, "");
        let words = if v.fract() == 0.0 { format!("{v:.0}") } else { format!("{v:.1}") };
        svg.text((LEFT - 6.0, y(v) + 4.0), TextStyle::new(SMALL, inks.soft).anchor(Anchor::End), &words);
    }
    let line = |value: &dyn Fn(&CatchDay) -> Option<f64>| {
        let at = |d: &CatchDay| value(d).map(|v| format!("{} {}", num(axis.noon(d.date)), num(y(v))));
        days.iter().filter_map(at).collect::<Vec<_>>()
    };
    let expected = line(&|d| d.expected);
    if expected.len() > 1 {
        let paint = format!("fill=\"none\" stroke=\"{}\" stroke-width=\"1.8\" stroke-dasharray=\"6 4\"", inks.ink);
        svg.path(&format!("M{}", expected.join("L")), &paint);
    }
    let week = line(&|d| Some(d.week));
    if week.len() > 1 {
        let paint = format!("fill=\"none\" stroke=\"{}\" stroke-width=\"2.6\"", inks.accent);
        svg.path(&format!("M{}", week.join("L")), &paint);
    }
    for d in days {
        let (cx, cy) = (num(axis.noon(d.date)), num(y(of_day(d))));
        svg.raw(&format!(
            "<circle cx=\"{cx}\" cy=\"{cy}\" r=\"3.4\" fill=\"{}\" stroke=\"{}\"/>",
            inks.accent_pale, inks.accent
        ));
    }
    key(&mut svg, sheet, bottom + FOOT - 8.0, expected.len() > 1);
    svg.finish_told(sheet, "What bands caught over the season", &told(days, sheet))
}

fn of_day(day: &CatchDay) -> f64 {
    f64::from(day.found.insects()) / f64::from(day.bands.max(1))
}

/// About four round values up to a largest one.
fn ticks(most: f64) -> Vec<f64> {
    let steps = [0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0];
    let step = steps.into_iter().find(|s| most / s <= 5.0).unwrap_or(1000.0);
    (0..).map(|i| f64::from(i) * step).take_while(|v| *v <= most).collect()
}

fn key(svg: &mut Svg, sheet: &Sheet<'_>, base: f64, expected: bool) {
    let inks = sheet.inks;
    let mut left = LEFT;
    let mut words = vec![("a day", ""), ("mean of the week", "line")];
    if expected {
        words.push((sheet.size.pick("if it followed the season", "the season's shape"), "6 4"));
    }
    for (name, kind) in words {
        if kind.is_empty() {
            let paint = format!("fill=\"{}\" stroke=\"{}\"", inks.accent_pale, inks.accent);
            svg.raw(&format!("<circle cx=\"{}\" cy=\"{}\" r=\"3.4\" {paint}/>", num(left + 8.0), num(base - 4.0)));
        } else {
            let (ink, dash) = if kind == "line" { (inks.accent, "") } else { (inks.ink, kind) };
            svg.line((left, base - 4.0), (left + 18.0, base - 4.0), ink, 2.2, dash);
        }
        svg.text((left + 24.0, base), TextStyle::new(SMALL, inks.ink), name);
        left += 36.0 + screen_width(name, SMALL);
    }
}

fn told(days: &[CatchDay], sheet: &Sheet<'_>) -> String {
    let w = sheet.wording();
    let of = |d: &CatchDay| {
        let expected = d.expected.map(|e| format!(", expected {e:.1}")).unwrap_or_default();
        format!("{}: {:.1} a band, week {:.1}{expected}.", w.day(d.date), of_day(d), d.week)
    };
    days.iter().map(of).collect::<Vec<_>>().join(" ")
}

#[cfg(test)]
mod tests {
    use crownhold::types::{Catch, UnitSystem};
    use jiff::civil::date;

    use super::*;
    use crate::sheet::Size;

    #[test]
    fn every_day_is_drawn_and_told() {
        let day = |d, large, expected| CatchDay {
            date: date(2027, 6, d),
            bands: 10,
            found: Catch { large, ..Catch::default() },
            week: f64::from(large) / 10.0,
            expected,
        };
        let days = [day(10, 30, Some(2.0)), day(12, 45, Some(4.0)), day(13, 20, Some(4.5))];
        for size in [Size::Wide, Size::Narrow] {
            let svg = catch_curve(&days, date(2027, 6, 14), &Sheet::screen("c", UnitSystem::Us, size));
            assert_eq!(svg.matches("<circle").count(), 4, "three days and the key");
            assert!(svg.contains("stroke-dasharray") && svg.contains("Jun 12: 4.5 a band"), "{svg}");
        }
        let none = catch_curve(&[], date(2027, 6, 14), &Sheet::screen("c", UnitSystem::Us, Size::Wide));
        assert!(none.contains("Nothing was caught yet"));
    }
}
