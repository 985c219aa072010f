//! A level axis of days, with months, and the line of today.

use jiff::civil::Date;

use super::{SMALL, bold_width, screen_width};
use crate::sheet::Sheet;
use crate::svg::{Anchor, Svg, TextStyle};
use crate::wording::month_name;

/// Days to drawing units.
#[derive(Clone, Copy, Debug)]
pub(super) struct Calendar {
    pub(super) from: Date,
    /// Last day shown, with its whole length.
    pub(super) to: Date,
    pub(super) left: f64,
    pub(super) right: f64,
}

impl Calendar {
    /// The start of a day; days off the axis stand at its ends.
    pub(super) fn x(&self, day: Date) -> f64 {
        self.at(f64::from((day - self.from).get_days()))
    }
    /// The middle of a day.
    pub(super) fn noon(&self, day: Date) -> f64 {
        self.at(f64::from((day - self.from).get_days()) + 0.5)
    }
    fn at(&self, days: f64) -> f64 {
        let length = f64::from((self.to - self.from).get_days() + 1).max(1.0);
        self.left + (self.right - self.left) * (days / length).clamp(0.0, 1.0)
    }
    pub(super) fn holds(&self, day: Date) -> bool {
        self.from <= day && day <= self.to
    }
    /// Every day shown.
    pub(super) fn days(&self) -> impl Iterator<Item = Date> + use<> {
        let to = self.to;
        self.from.series(jiff::Span::new().days(1)).take_while(move |day| *day <= to)
    }
    /// The first days of the months shown, the first cut off where the axis begins.
    fn months(&self) -> Vec<Date> {
        self.days().filter(|day| day.day() == 1 || *day == self.from).collect()
    }

    /// Month names over the axis and a hairline at each new month, from `top` to `bottom`.
    pub(super) fn draw(&self, svg: &mut Svg, sheet: &Sheet<'_>, top: f64, bottom: f64) {
        for month in self.months().into_iter().filter(|month| month.day() == 1) {
            let x = self.x(month);
            svg.line((x, top - 15.0), (x, bottom), sheet.inks.rule, 1.0, "");
        }
        for (name, middle) in self.names() {
            let style = TextStyle::new(SMALL, sheet.inks.soft).anchor(Anchor::Middle);
            svg.text((middle, top - 5.0), style, name);
        }
        svg.line((self.left, bottom), (self.right, bottom), sheet.inks.rule, 1.0, "");
    }

    /// What fits of each month's name, and its middle.
    fn names(&self) -> Vec<(&'static str, f64)> {
        let name = |month: Date| {
            let (from, to) = (self.x(month), self.at(f64::from((month.last_of_month() - self.from).get_days()) + 1.0));
            let name = month_name(month.month());
            let fits = |name: &&str| screen_width(name, SMALL) + 6.0 < to - from;
            [name, &name[..3], &name[..1]].into_iter().find(fits).map(|name| (name, (from + to) / 2.0))
        };
        self.months().into_iter().filter_map(name).collect()
    }

    /// A line through today with its date above the months; nothing where today is off the axis.
    pub(super) fn today(&self, svg: &mut Svg, sheet: &Sheet<'_>, today: Date, top: f64, bottom: f64) {
        if self.holds(today) {
            let text = format!("today, {}", sheet.wording().day(today));
            self.flag(svg, sheet, self.noon(today), &text, (top, bottom));
        }
    }

    /// A line with a text above the months, held inside the axis.
    pub(super) fn flag(&self, svg: &mut Svg, sheet: &Sheet<'_>, x: f64, text: &str, (top, bottom): (f64, f64)) {
        let guard = sheet.inks.guard;
        let half = bold_width(text, SMALL) / 2.0;
        let on_name = |(name, middle): (&str, f64)| (x - middle).abs() < screen_width(name, SMALL) / 2.0 + 2.0;
        // A month's name is not crossed out.
        let start = if self.names().into_iter().any(on_name) { top - 2.0 } else { top - 16.0 };
        svg.line((x, start), (x, bottom), guard, 1.6, "");
        let at = if self.right - self.left > 2.0 * half { x.clamp(self.left + half, self.right - half) } else { x };
        svg.text((at, top - 21.0), TextStyle::new(SMALL, guard).bold().anchor(Anchor::Middle), text);
    }
}
