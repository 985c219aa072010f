//! The programme's year as a ring: months, life stages, working windows, today.
//!
//! September stands at the foot and the year runs clockwise, so that winter climbs on the left, spring stands at the top
//! and the weeks that matter lie on the right, where text is upright.

use std::f64::consts::{PI, TAU};

use crownhold::timing::{StageDay, Timing, Window, WindowKind};
use jiff::ToSpan as _;
use jiff::civil::{Date, date};

use super::polar::{ArcText, Pole};
use super::stages::{self, Drawn, longest_run};
use super::{bold_width, screen_width};
use crate::numbers::window_span;
use crate::sheet::{Sheet, Size};
use crate::svg::{Anchor, Svg, TextStyle, fit_text};
use crate::wording::month_name;

/// What the ring shows.
#[derive(Clone, Copy, Debug)]
pub struct YearRing<'a> {
    /// The year of the spring concerned: the ring runs from 1 September before it to 31 August.
    pub season: i16,
    /// Day of the needle; none is drawn for a day outside the ring's year.
    pub today: Date,
    /// Stages and windows; without it only months, needle and middle are drawn.
    pub timing: Option<&'a Timing>,
    /// Two lines in the middle, such as "16 weeks" and "to hatch".
    pub middle: [&'a str; 2],
}

/// Months outside; a band whose colours are the shares of the life stages on each day; inside it one lane a working
/// window, as thick as the chance that it is open that day; a needle for today.
///
/// A window that runs past August is drawn on the same days of the autumn before: the ring comes round.
pub fn year_ring(ring: &YearRing<'_>, sheet: &Sheet<'_>) -> String {
    let plan = Layout::of(sheet.size);
    let mut svg = Svg::new(plan.side, plan.side);
    let draw = Ring { ring, sheet, plan, year: Year::of(ring.season) };
    draw.lanes(&mut svg);
    draw.band(&mut svg);
    draw.months(&mut svg);
    draw.needle(&mut svg);
    draw.names(&mut svg);
    draw.middle(&mut svg);
    let title = format!("The programme's year, season {}", ring.season);
    svg.finish_told(sheet, &title, &draw.told())
}

/// Radii, drawing units.
#[derive(Clone, Copy)]
struct Layout {
    side: f64,
    months: f64,
    /// Outer and inner edge of the stages.
    band: (f64, f64),
    /// Middle of the outermost lane, and the distance to the next.
    lane: (f64, f64),
    text: f64,
    /// Larger line of the middle.
    middle: f64,
}

impl Layout {
    fn of(size: Size) -> Self {
        size.pick(
            Self { side: 560.0, months: 266.0, band: (236.0, 192.0), lane: (177.0, 19.0), text: 12.5, middle: 30.0 },
            Self { side: 360.0, months: 170.0, band: (150.0, 122.0), lane: (113.5, 12.4), text: 11.0, middle: 19.0 },
        )
    }
}

/// The order of the lanes from the outside in: as the year brings them.
const LANES: [WindowKind; 5] =
    [WindowKind::Survey, WindowKind::Scraping, WindowKind::GroundBtk, WindowKind::AerialBtk, WindowKind::Bands];

/// A stage's name may run this much, drawing units, beyond the days on which it is most of all.
const SLACK: f64 = 6.0;

/// A chance of less is not drawn: a window is not open all spring because one season in a hundred is odd.
const LEAST_SHOWN: f64 = 0.02;

/// Days to angles.
struct Year {
    from: Date,
    days: f64,
}

impl Year {
    fn of(season: i16) -> Self {
        let (from, to) = (date(season - 1, 9, 1), date(season, 9, 1));
        Self { from, days: f64::from((to - from).get_days()) }
    }
    /// The start of a day; clockwise from the top, 1 September at the foot.
    fn angle(&self, day: Date) -> f64 {
        PI + TAU * f64::from((day - self.from).get_days()) / self.days
    }
    fn step(&self) -> f64 {
        TAU / self.days
    }
    fn days(&self) -> impl Iterator<Item = Date> + use<> {
        self.from.series(1.day()).take(self.days as usize)
    }
    fn holds(&self, day: Date) -> bool {
        let at = (day - self.from).get_days();
        (0..self.days as i32).contains(&at)
    }
}

struct Ring<'a> {
    ring: &'a YearRing<'a>,
    sheet: &'a Sheet<'a>,
    plan: Layout,
    year: Year,
}

impl Ring<'_> {
    fn pole(&self) -> Pole {
        Pole { centre: (self.plan.side / 2.0, self.plan.side / 2.0) }
    }
    fn id(&self, part: &str) -> String {
        format!("{}-{part}", self.sheet.id)
    }
    fn arc_text(&self, svg: &mut Svg, style: TextStyle<'_>, part: &str, text: &str, angle: f64, radius: f64) {
        self.pole().text(svg, style, ArcText { id: &self.id(part), text, angle, radius });
    }

    /// Month names, and a tick at each first of a month. The month under today's label gives way to it.
    fn months(&self, svg: &mut Svg) {
        let (plan, inks, pole) = (self.plan, self.sheet.inks, self.pole());
        for month in self.year.days().filter(|day| day.day() == 1) {
            let (from, to) = (self.year.angle(month), self.year.angle(month.last_of_month()) + self.year.step());
            svg.line(pole.point(from, plan.band.0 + 2.0), pole.point(from, plan.months + 4.0), inks.rule, 1.0, "");
            let middle = (from + to) / 2.0;
            let covered = self.year.holds(self.ring.today) && {
                let apart = (self.today_angle() - middle).abs() * plan.months;
                apart < 0.5 * (self.today_width() + self.name_width(month)) + 2.0
            };
            if !covered {
                let name = self.name(month);
                let style = TextStyle::new(plan.text, inks.soft);
                self.arc_text(svg, style, &format!("month-{}", month.month()), name, middle, plan.months);
            }
        }
    }
    fn name(&self, month: Date) -> &'static str {
        let name = month_name(month.month());
        self.sheet.size.pick(name, &name[..3])
    }
    fn name_width(&self, month: Date) -> f64 {
        screen_width(self.name(month), self.plan.text)
    }

    fn today_angle(&self) -> f64 {
        self.year.angle(self.ring.today) + 0.5 * self.year.step()
    }
    fn today_text(&self) -> String {
        self.sheet.wording().day(self.ring.today)
    }
    fn today_width(&self) -> f64 {
        bold_width(&self.today_text(), self.plan.text) + 8.0
    }

    /// A line from the middle to the date, which stands among the months.
    fn needle(&self, svg: &mut Svg) {
        if !self.year.holds(self.ring.today) {
            return;
        }
        let (plan, inks, pole, angle) = (self.plan, self.sheet.inks, self.pole(), self.today_angle());
        let hub = self.hub();
        let (inner, outer) = (pole.point(angle, hub), pole.point(angle, plan.months - 6.0));
        svg.line(inner, outer, inks.paper, 5.0, "");
        svg.line(inner, outer, inks.guard, 2.2, "");
        let half = 0.5 * (self.today_width() - plan.text) / plan.months;
        let plate = pole.arc(angle - half, angle + half, plan.months);
        let paint = format!(
            "fill=\"none\" stroke=\"{}\" stroke-width=\"{}\" stroke-linecap=\"round\"",
            inks.guard,
            plan.text + 6.0
        );
        svg.path(&plate, &paint);
        let style = TextStyle::new(plan.text, inks.paper).bold();
        self.arc_text(svg, style, "today", &self.today_text(), angle, plan.months);
    }

    /// Radius inside which only the two lines of the middle stand.
    fn hub(&self) -> f64 {
        let (lane, step) = self.plan.lane;
        lane - step * (LANES.len() as f64 - 0.5) - 2.0
    }

    fn middle(&self, svg: &mut Svg) {
        let (inks, centre, big) = (self.sheet.inks, self.plan.side / 2.0, self.plan.middle);
        let room = 2.0 * self.hub() - 8.0;
        let [first, second] = self.ring.middle;
        let size = (big * room / screen_width(first, big).max(1.0)).clamp(self.plan.text, big);
        let style = |size, ink| TextStyle::new(size, ink).anchor(Anchor::Middle);
        let small = (0.5 * big).max(self.plan.text);
        svg.text((centre, centre + 0.1 * big), style(size, inks.ink).bold(), &fit_text(first, size, room));
        svg.text((centre, centre + 0.1 * big + small + 5.0), style(small, inks.soft), &fit_text(second, small, room));
    }

    /// Each stage as a ribbon across the band; stages stand outside in, so that the next one comes in from within.
    fn band(&self, svg: &mut Svg) {
        let (outer, inner) = self.plan.band;
        let (inks, pole) = (self.sheet.inks, self.pole());
        let whole = pole.ribbon(&self.ring_edges(inner, outer));
        let Some(timing) = self.ring.timing.filter(|t| !t.stages.is_empty()) else {
            svg.path(&whole, &format!("fill=\"{}\" stroke=\"{}\" stroke-width=\"1\"", inks.stripe, inks.rule));
            return;
        };
        let days = self.stage_days(timing);
        let at = |share: f64| inner + (outer - inner) * share;
        for stage in Drawn::PAINTED {
            let edge = |(angle, shares): (f64, &[f64; 10])| {
                let (low, high) = stage.edges(shares);
                (angle, at(low), at(high))
            };
            for run in runs(&days, stage) {
                let last = run.last().map(|d| (self.year.angle(d.date) + self.year.step(), &d.shares));
                let points = run.iter().map(|d| (self.year.angle(d.date), &d.shares)).chain(last);
                let d = pole.ribbon(&points.map(edge).collect::<Vec<_>>());
                svg.path(&d, &stage.paint(inks));
            }
        }
    }

    /// The names, over everything that might run through them.
    fn names(&self, svg: &mut Svg) {
        let Some(timing) = self.ring.timing else { return };
        let days = self.stage_days(timing);
        for stage in Drawn::STACK.into_iter().filter(|_| !timing.stages.is_empty()) {
            self.stage_name(svg, stage, &days);
        }
        for (window, radius) in self.windows(timing) {
            self.lane_name(svg, window, radius);
        }
    }

    /// The windows in their lanes.
    fn windows<'t>(&self, timing: &'t Timing) -> Vec<(&'t Window, f64)> {
        let radius = |i: usize| self.plan.lane.0 - self.plan.lane.1 * i as f64;
        let lane = |(i, kind): (usize, WindowKind)| timing.window(kind).map(|window| (window, radius(i)));
        LANES.into_iter().enumerate().filter_map(lane).collect()
    }

    fn ring_edges(&self, inner: f64, outer: f64) -> Vec<(f64, f64, f64)> {
        (0..=360_i32).map(|degree| (f64::from(degree).to_radians(), inner, outer)).collect()
    }

    /// The stages of the ring's days. The autumn before is all egg: those are the masses that were counted.
    fn stage_days(&self, timing: &Timing) -> Vec<StageDay> {
        let mut egg = [0.0; 10];
        egg[0] = 1.0;
        let known = |day: Date| timing.stages.iter().find(|d| d.date == day).map(|d| d.shares);
        self.year.days().map(|day| StageDay { date: day, shares: known(day).unwrap_or(egg) }).collect()
    }

    /// The stage's name in the band where it is most of all; outside, at its thickest day, where that is too short.
    fn stage_name(&self, svg: &mut Svg, stage: Drawn, days: &[StageDay]) {
        let (plan, inks, word) = (self.plan, self.sheet.inks, stage.word());
        let id = format!("stage-{}", word.replace(' ', "-"));
        let middle = (plan.band.0 + plan.band.1) / 2.0;
        let run = longest_run(days, stage, 0.45)
            .map(|(from, to)| (self.year.angle(days[from].date), self.year.angle(days[to].date) + self.year.step()));
        let plain = TextStyle::new(plan.text, stage.text(inks));
        let short = stage.short_word();
        for (text, style, wide) in [
            (word, plain.bold(), bold_width(word, plan.text)),
            (word, plain, screen_width(word, plan.text)),
            (short, plain.bold(), bold_width(short, plan.text)),
        ] {
            if let Some((a, b)) = run.filter(|(a, b)| (b - a) * middle + SLACK >= wide) {
                let angle = (a + b) / 2.0;
                let angle = if stage == Drawn::Egg { self.clear_of_today(angle, text) } else { angle };
                return self.arc_text(svg, style, &id, text, angle, middle);
            }
        }
        let thickest = days.iter().max_by(|a, b| stage.share(&a.shares).total_cmp(&stage.share(&b.shares)));
        let Some(day) = thickest.filter(|day| stage.share(&day.shares) > 0.0) else { return };
        let angle = self.year.angle(day.date) + 0.5 * self.year.step();
        let beside = 0.5 * plan.text + 2.5;
        // Moths come in from within, and on that side they are named.
        let radius = if stage == Drawn::Adult { plan.band.1 - beside } else { plan.band.0 + beside };
        self.bed(svg, angle, 0.5 * screen_width(word, plan.text) / radius, radius);
        self.arc_text(svg, TextStyle::new(plan.text, inks.ink), &id, word, angle, radius);
    }

    /// A paper-coloured ground, so that lines fade behind letters.
    fn bed(&self, svg: &mut Svg, angle: f64, half: f64, radius: f64) {
        let d = self.pole().arc(angle - half, angle + half, radius);
        let (ink, width) = (self.sheet.inks.paper, self.plan.text);
        svg.path(&d, &format!("fill=\"none\" stroke=\"{ink}\" stroke-opacity=\"0.75\" stroke-width=\"{width}\""));
    }

    /// The angle, moved on where the needle would cross the word.
    fn clear_of_today(&self, angle: f64, word: &str) -> f64 {
        let half = (0.5 * bold_width(word, self.plan.text) + 8.0) / self.plan.band.1;
        let today = self.today_angle();
        if self.year.holds(self.ring.today) && (today - angle).abs() < half { today + half } else { angle }
    }

    fn lanes(&self, svg: &mut Svg) {
        let (Some(timing), inks, pole) = (self.ring.timing, self.sheet.inks, self.pole()) else { return };
        for month in self.year.days().filter(|day| day.day() == 1) {
            let angle = self.year.angle(month);
            svg.line(pole.point(angle, self.hub() + 2.0), pole.point(angle, self.plan.band.1), inks.rule, 0.6, "");
        }
        for (window, radius) in self.windows(timing) {
            self.lane(svg, window, radius);
        }
    }

    /// One lane: a hairline, a pale casing where the window may be open at all, and in it the chance as thickness.
    fn lane(&self, svg: &mut Svg, window: &Window, radius: f64) {
        let (inks, pole) = (self.sheet.inks, self.pole());
        let ink = inks.window(window.kind);
        svg.path(&pole.ribbon(&self.ring_edges(radius, radius)), &hairline(inks.rule));
        let chances: Vec<(f64, f64)> =
            self.year.days().map(|day| (self.year.angle(day), self.chance(window, day))).collect();
        let half = 0.5 * self.plan.lane.1 - 1.6;
        let shown = |day: &(f64, f64)| day.1 >= LEAST_SHOWN;
        for run in chances.chunk_by(|a, b| shown(a) == shown(b)).filter(|run| shown(&run[0])) {
            let ribbon = |thick: &dyn Fn(f64) -> f64| {
                let steps = run.iter().flat_map(|(angle, chance)| {
                    let (thick, end) = (thick(*chance), *angle + self.year.step());
                    [(*angle, radius - thick, radius + thick), (end, radius - thick, radius + thick)]
                });
                pole.ribbon(&steps.collect::<Vec<_>>())
            };
            svg.path(&ribbon(&|_| half), &format!("fill=\"{ink}\" fill-opacity=\"0.22\""));
            svg.path(&ribbon(&|chance| (half * chance).max(0.6)), &format!("fill=\"{ink}\""));
        }
    }

    /// The chance that a window is open on a day of the ring, which stands for the same day a year on as well.
    fn chance(&self, window: &Window, day: Date) -> f64 {
        let next = day.checked_add(1.year()).map_or(0.0, |later| window.chance_open_on(later));
        (window.chance_open_on(day) + next).min(1.0)
    }

    /// A lane's name in its free part nearer the top.
    fn lane_name(&self, svg: &mut Svg, window: &Window, radius: f64) {
        let (plan, inks) = (self.plan, self.sheet.inks);
        let shown = || self.year.days().filter(|day| self.chance(window, *day) >= LEAST_SHOWN);
        let (Some(first), Some(last)) = (shown().next(), shown().last()) else { return };
        let (first, last) = (self.year.angle(first), self.year.angle(last) + self.year.step());
        let word = window.kind.word();
        let half = (0.5 * bold_width(word, plan.text) + 6.0) / radius;
        // Straight up is TAU: the ring runs from PI to 3 PI.
        let places = [first - half, last + half];
        let Some(angle) = places.into_iter().min_by(|a, b| (a - TAU).abs().total_cmp(&(b - TAU).abs())) else { return };
        let id = format!("window-{}", word.replace(' ', "-"));
        let style = TextStyle::new(plan.text, inks.window(window.kind)).bold();
        self.bed(svg, angle, half - 4.0 / radius, radius);
        self.arc_text(svg, style, &id, word, angle, radius);
    }

    fn told(&self) -> String {
        let w = self.sheet.wording();
        let mut parts = vec![format!("{} {}.", self.ring.middle[0], self.ring.middle[1])];
        if self.year.holds(self.ring.today) {
            parts.push(format!("The needle stands at {}.", w.date(self.ring.today)));
        }
        match self.ring.timing {
            Some(timing) => {
                parts.push(stages::told(&self.stage_days(timing), |day| w.day(day)));
                let windows = LANES.into_iter().filter_map(|kind| timing.window(kind));
                let span = |win: &Window| format!("{} {}", win.kind.word(), window_span(w, win));
                let spans: Vec<String> = windows.map(span).collect();
                parts.push(format!("Working windows, middle dates: {}.", spans.join("; ")));
            }
            None => parts.push("No stages and windows: no weather yet.".to_owned()),
        }
        parts.join(" ")
    }
}

fn hairline(ink: &str) -> String {
    format!("fill=\"none\" stroke=\"{ink}\" stroke-width=\"0.6\"")
}

/// Runs of days on which a stage is there to be seen.
fn runs(days: &[StageDay], stage: Drawn) -> impl Iterator<Item = &[StageDay]> {
    let seen = move |day: &StageDay| stage.share(&day.shares) > 0.01;
    days.chunk_by(move |a, b| seen(a) == seen(b)).filter(move |run| seen(&run[0]))
}
