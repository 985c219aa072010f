//! Heat through the season against what past years would add.

use crownhold::timing::{FanDay, HeatFan, HeatMark};
use crownhold::types::UnitSystem;
use jiff::ToSpan as _;
use jiff::civil::Date;

use super::calendar::Calendar;
use super::{SMALL, screen_width};
use crate::sheet::Sheet;
use crate::svg::{Anchor, Svg, TextStyle, num};
use crate::wording::{capital, grouped};

const TOP: f64 = 62.0;
/// A fan with marks is shown until its middle has passed the last of them by this much.
const PAST_LAST_MARK: f64 = 1.25;

/// The total so far, the middle of what past years would add with half and nine tenths of them around it, and the middle
/// of past years themselves; totals at which events are expected as level lines.
pub fn heat_fan(fan: &HeatFan, today: Date, sheet: &Sheet<'_>) -> String {
    let chart = Chart::of(fan, today, sheet);
    let mut svg = Svg::new(sheet.size.units(), chart.bottom + 10.0);
    svg.text((8.0, 14.0), TextStyle::new(SMALL, sheet.inks.soft), &chart.unit());
    let title = format!("{} through the season", capital(fan.axis.word()));
    if chart.days.len() < 2 {
        return svg.finish_told(sheet, &title, "No days to show.");
    }
    chart.grid(&mut svg);
    chart.bands(&mut svg);
    chart.lines(&mut svg);
    chart.marks(&mut svg);
    chart.names(&mut svg);
    chart.calendar.today(&mut svg, sheet, today, TOP, chart.bottom);
    svg.finish_told(sheet, &title, &chart.told())
}

struct Chart<'a> {
    fan: &'a HeatFan,
    sheet: &'a Sheet<'a>,
    today: Date,
    days: Vec<&'a FanDay>,
    calendar: Calendar,
    bottom: f64,
    /// Largest total shown, degree-days C.
    top_heat: f64,
}

impl<'a> Chart<'a> {
    fn of(fan: &'a HeatFan, today: Date, sheet: &'a Sheet<'a>) -> Self {
        let (width, height) = (sheet.size.units(), sheet.size.pick(280.0, 250.0));
        let last_mark = fan.marks.iter().map(|mark| mark.heat + mark.spread).fold(0.0, f64::max);
        let enough = |day: &&FanDay| last_mark > 0.0 && day.points[2] > PAST_LAST_MARK * last_mark;
        let end = fan.days.iter().position(|day| enough(&day)).map_or(fan.days.len(), |i| i + 1);
        // Winter adds nothing worth seeing.
        let warm =
            fan.days[..end].iter().position(|day| day.points[4] > 0.02 * fan.days[end - 1].points[4]).unwrap_or(0);
        // The names of marks need a free corner.
        let back = if fan.marks.is_empty() { 0 } else { 1 };
        let from = fan.days.get(warm).map(|day| day.date.first_of_month().saturating_sub(back.months()));
        let days: Vec<&FanDay> =
            fan.days[..end].iter().filter(|day| from.is_none_or(|from| day.date >= from)).collect();
        let top_heat = days.last().map_or(1.0, |day| day.points[4].max(day.usual)).max(1.0);
        let span = days.first().zip(days.last()).map_or((today, today), |(a, b)| (a.date, b.date));
        let calendar = Calendar { from: span.0, to: span.1, left: 46.0, right: width - sheet.size.pick(74.0, 60.0) };
        Self { fan, sheet, today, days, calendar, bottom: TOP + height, top_heat }
    }

    fn us(&self) -> bool {
        self.sheet.units == UnitSystem::Us
    }
    /// Degree-days in the sheet's units.
    fn shown(&self, heat: f64) -> f64 {
        if self.us() { 1.8 * heat } else { heat }
    }
    fn y(&self, heat: f64) -> f64 {
        self.bottom - (self.bottom - TOP - 6.0) * (heat / self.top_heat)
    }

    fn unit(&self) -> String {
        let (w, method) = (self.sheet.wording(), &self.fan.method);
        self.sheet.size.pick(w.heat_method(method), w.heat_method_in_short(method))
    }

    fn grid(&self, svg: &mut Svg) {
        let inks = self.sheet.inks;
        self.calendar.draw(svg, self.sheet, TOP, self.bottom);
        let step = round_step(self.shown(self.top_heat) / 4.0);
        let per_shown = self.top_heat / self.shown(self.top_heat);
        for i in 0..=8 {
            let value = step * f64::from(i);
            let y = self.y(value * per_shown);
            if y < TOP {
                break;
            }
            svg.line((self.calendar.left, y), (self.calendar.right, y), inks.rule, 0.7, "");
            let style = TextStyle::new(SMALL, inks.soft).anchor(Anchor::End);
            svg.text((self.calendar.left - 5.0, y + 4.0), style, &grouped(value));
        }
    }

    /// The days from the last known one on: before it all lines are one.
    fn ahead(&self) -> &[&'a FanDay] {
        let known = self.fan.known_to;
        let from = self.days.iter().rposition(|day| known.is_some_and(|known| day.date <= known)).unwrap_or(0);
        &self.days[from..]
    }

    fn line(&self, days: &[&FanDay], heat: impl Fn(&FanDay) -> f64) -> String {
        let point = |day: &&FanDay| format!("{} {}", num(self.calendar.noon(day.date)), num(self.y(heat(day))));
        format!("M{}", days.iter().map(point).collect::<Vec<_>>().join("L"))
    }

    fn bands(&self, svg: &mut Svg) {
        let inks = self.sheet.inks;
        let ahead = self.ahead();
        let back: Vec<&FanDay> = ahead.iter().rev().copied().collect();
        for (low, high, paint) in [
            (0, 4, format!("fill=\"{}\" fill-opacity=\"0.55\"", inks.accent_pale)),
            (1, 3, format!("fill=\"{}\"", inks.accent_pale)),
        ] {
            let (upper, lower) = (self.line(ahead, |d| d.points[high]), self.line(&back, |d| d.points[low]));
            svg.path(&format!("{upper}L{}Z", lower.trim_start_matches('M')), &paint);
        }
        for edge in [0, 4] {
            svg.path(&self.line(ahead, |d| d.points[edge]), &stroke(inks.accent, 0.8, ""));
        }
    }

    fn lines(&self, svg: &mut Svg) {
        let inks = self.sheet.inks;
        svg.path(&self.line(&self.days, |d| d.usual), &stroke(inks.soft, 1.6, "2 3"));
        svg.path(&self.line(self.ahead(), |d| d.points[2]), &stroke(inks.accent, 2.2, ""));
        let upto = |last: Option<Date>| -> Vec<&FanDay> {
            self.days.iter().filter(|day| last.is_some_and(|last| day.date <= last)).copied().collect()
        };
        for (known, dash) in [(upto(self.fan.known_to), "5 2"), (upto(self.fan.observed_to), "")] {
            if known.len() > 1 {
                svg.path(&self.line(&known, |d| d.points[2]), &stroke(inks.ink, 3.0, dash));
            }
        }
    }

    /// A level line at each fixed total, with its name, and a dot where the middle gets there.
    fn marks(&self, svg: &mut Svg) {
        let inks = self.sheet.inks;
        for mark in self.fan.marks.iter().filter(|mark| mark.heat <= self.top_heat) {
            let y = self.y(mark.heat);
            svg.line((self.calendar.left, y), (self.calendar.right, y), inks.guard, 1.0, "4 3");
            if let Some(day) = self.middle_reaches(mark) {
                let at = (self.calendar.noon(day), y);
                svg.path(
                    &circle(at, 3.6),
                    &format!("fill=\"{}\" stroke=\"{}\" stroke-width=\"1.6\"", inks.paper, inks.guard),
                );
            }
        }
        let shown: Vec<&HeatMark> = self.fan.marks.iter().filter(|mark| mark.heat <= self.top_heat).collect();
        let wanted: Vec<f64> = shown.iter().map(|mark| self.y(mark.heat) - 4.0).collect();
        for (mark, y) in shown.iter().zip(spread_out(&wanted, SMALL + 2.0)) {
            let words = format!("{}: {}", mark.event.word(), grouped(self.shown(mark.heat)));
            let wide = screen_width(&words, SMALL) + 4.0;
            svg.rect(
                (self.calendar.left + 3.0, y - SMALL + 1.0),
                (wide, SMALL + 2.0),
                &format!("fill=\"{}\"", inks.paper),
            );
            svg.text((self.calendar.left + 5.0, y), TextStyle::new(SMALL, inks.guard), &words);
        }
    }

    fn middle_reaches(&self, mark: &HeatMark) -> Option<Date> {
        self.days.iter().find(|day| day.points[2] >= mark.heat).map(|day| day.date)
    }

    /// Names of the lines at the right, moved apart.
    fn names(&self, svg: &mut Svg) {
        let (Some(last), inks) = (self.days.last(), self.sheet.inks) else { return };
        let ends = [
            ("19 in 20", last.points[4], inks.accent),
            ("middle", last.points[2], inks.accent),
            ("1 in 20", last.points[0], inks.accent),
            ("usual", last.usual, inks.soft),
        ];
        let mut ends: Vec<(&str, f64, &str)> = ends.map(|(name, heat, ink)| (name, self.y(heat) + 4.0, ink)).to_vec();
        ends.sort_by(|a, b| a.1.total_cmp(&b.1));
        let wanted: Vec<f64> = ends.iter().map(|end| end.1).collect();
        for ((name, _, ink), y) in ends.iter().zip(spread_out(&wanted, SMALL + 2.0)) {
            svg.text((self.calendar.right + 6.0, y), TextStyle::new(SMALL, ink), name);
        }
    }

    fn told(&self) -> String {
        let w = self.sheet.wording();
        let at = self.days.iter().find(|day| day.date == self.today);
        let now = match (at, self.fan.observed_to) {
            (Some(day), Some(_)) => format!(
                "On {} the total is {}, in past years {} by then.",
                w.date(self.today),
                grouped(self.shown(day.points[2])),
                grouped(self.shown(day.usual))
            ),
            _ => "Nothing of this season is counted yet.".to_owned(),
        };
        let reached = |mark: &HeatMark| format!("{} at {}", mark.event.word(), grouped(self.shown(mark.heat)));
        let marks: Vec<String> = self.fan.marks.iter().map(reached).collect();
        let marks = if marks.is_empty() { String::new() } else { format!(" Expected: {}.", marks.join("; ")) };
        format!("{}. {now}{marks}", capital(&self.unit()))
    }
}

fn stroke(ink: &str, width: f64, dash: &str) -> String {
    let dash = if dash.is_empty() { String::new() } else { format!(" stroke-dasharray=\"{dash}\"") };
    format!("fill=\"none\" stroke=\"{ink}\" stroke-width=\"{width}\" stroke-linejoin=\"round\"{dash}")
}

fn circle((x, y): (f64, f64), r: f64) -> String {
    let r2 = num(r);
    format!("M{} {}a{r2} {r2} 0 1 0 {} 0a{r2} {r2} 0 1 0 {} 0Z", num(x - r), num(y), num(2.0 * r), num(-2.0 * r))
}

/// 1, 2 or 5 times a power of ten, not above `most` where that can be had.
fn round_step(most: f64) -> f64 {
    let decade = 10f64.powf(most.max(1e-9).log10().floor());
    [5.0, 2.0, 1.0].into_iter().map(|m| m * decade).find(|step| *step <= most).unwrap_or(decade)
}

/// Places in rising or falling order moved apart to at least `gap`, as little as may be from the first on.
fn spread_out(wanted: &[f64], gap: f64) -> Vec<f64> {
    let mut order: Vec<usize> = (0..wanted.len()).collect();
    order.sort_by(|a, b| wanted[*a].total_cmp(&wanted[*b]));
    let mut places = wanted.to_vec();
    for pair in order.windows(2) {
        places[pair[1]] = places[pair[1]].max(places[pair[0]] + gap);
    }
    // What was pushed down is shared out upwards, so that a crowd stays around where it belongs.
    let pushed = order.last().map_or(0.0, |last| places[*last] - wanted[*last]);
    places.iter().map(|place| place - pushed / 2.0).collect()
}
