//! Working windows: what opens each and what closes it.
//!
//! The rules are a table ([`RULES`]); every number in them is a parameter, and their words are made from the table. A
//! member in which a window would close before it opens has no such window; how many members that is becomes a note.
//! Heat says when to look, not when to spray: leaf and instar are to be confirmed in the field before anything is
//! applied, and the label, the licence and local rules prevail.

use std::ops::RangeInclusive;

use jiff::civil::Date;

use super::WindowKind;
use super::course::Course;
use super::stages::Molt;
use crate::types::{LeafHost, Parameters, Problem};

/// Something that has a day in every season.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Mark {
    /// A day of the year before the season; the number is its place in a common year.
    DayBefore,
    /// A day of the season's year; the number is its place in a common year.
    Day,
    /// The number is the share of all masses that have hatched.
    Hatched,
    /// The number is the size of red oak leaves; windows of other hosts stand beside it.
    Leaf,
    /// The number is the largest share that may still be egg or first instar.
    FirstInstarLeft,
    /// The number is the share of all that have reached the third instar.
    ThirdInstar,
    /// The number is the share of females whose laying is over.
    LayingOver,
}

impl Mark {
    fn range(self) -> RangeInclusive<f64> {
        match self {
            Self::DayBefore | Self::Day => 1.0..=365.0,
            Self::Leaf => 0.25..=0.75,
            _ => 0.01..=0.99,
        }
    }
}

/// By how many days a closing day lies before its mark.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Before {
    /// The last day is that of the mark.
    On,
    /// The last day of work is the one before the mark is reached.
    Eve,
    /// So many days before it, by a parameter.
    Margin(&'static str),
}

/// One window's rule: it opens when all its marks are reached, and closes by whichever comes first.
struct WrittenRule {
    kind: WindowKind,
    opens: &'static [(Mark, &'static str)],
    closes: &'static [(Mark, &'static str, Before)],
    /// What the calendar and the heat do not know.
    mind: &'static str,
}

const RULES: [WrittenRule; 5] = [
    WrittenRule {
        kind: WindowKind::Scraping,
        opens: &[(Mark::DayBefore, "timing.scraping.opens")],
        closes: &[(Mark::Hatched, "timing.scraping.hatched", Before::Margin("timing.scraping.margin"))],
        mind: "only where masses have been counted",
    },
    WrittenRule {
        kind: WindowKind::GroundBtk,
        opens: &[(Mark::Leaf, "timing.ground-btk.leaf"), (Mark::Hatched, "timing.ground-btk.hatched")],
        closes: &[(Mark::ThirdInstar, "timing.ground-btk.third-instar", Before::Eve)],
        mind: "confirm leaf and instar in the field",
    },
    WrittenRule {
        kind: WindowKind::AerialBtk,
        opens: &[(Mark::Leaf, "timing.aerial-btk.leaf"), (Mark::FirstInstarLeft, "timing.aerial-btk.not-past-first")],
        closes: &[(Mark::ThirdInstar, "timing.aerial-btk.third-instar", Before::Eve)],
        mind: "confirm leaf and instar in the field",
    },
    WrittenRule {
        kind: WindowKind::Bands,
        opens: &[(Mark::ThirdInstar, "timing.bands.third-instar")],
        closes: &[
            (Mark::LayingOver, "timing.bands.laying-over", Before::On),
            (Mark::Day, "timing.bands.latest", Before::On),
        ],
        mind: "",
    },
    WrittenRule {
        kind: WindowKind::Survey,
        opens: &[(Mark::LayingOver, "timing.survey.laying-over"), (Mark::Day, "timing.survey.leaf-fall")],
        closes: &[(Mark::Day, "timing.survey.closes", Before::On)],
        mind: "when leaves are down",
    },
];

/// A mark with its number.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Step {
    mark: Mark,
    number: f64,
    /// Days before it.
    before: i32,
}

#[derive(Clone, Debug, PartialEq)]
struct Rule {
    kind: WindowKind,
    opens: Vec<Step>,
    closes: Vec<Step>,
    mind: &'static str,
}

/// The rules with their numbers.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Rules {
    /// The season has a 29 February.
    leap: bool,
    rules: Vec<Rule>,
}

impl Rules {
    /// Reads the parameters.
    ///
    /// # Errors
    /// Every share or size outside its range and every day that no year has.
    pub(super) fn read(parameters: &Parameters, season: i16) -> Result<Self, Vec<Problem>> {
        let mut wrong = Vec::new();
        let mut read = |name: &str, range: RangeInclusive<f64>| {
            let value = parameters.number(name);
            if !range.contains(&value) {
                let what = format!("the value {value} of {name} makes no sense.");
                let expected = format!("{} to {}", range.start(), range.end());
                wrong.push(
                    Problem::error("timing.parameter", what, "Change or restore it.").item(name).expected(expected),
                );
            }
            value
        };
        let mut rule = |written: &WrittenRule| Rule {
            kind: written.kind,
            opens: (written.opens.iter())
                .map(|(mark, name)| Step { mark: *mark, number: read(name, mark.range()), before: 0 })
                .collect(),
            closes: (written.closes.iter())
                .map(|(mark, name, before)| Step {
                    mark: *mark,
                    number: read(name, mark.range()),
                    before: match before {
                        Before::On => 0,
                        Before::Eve => 1,
                        Before::Margin(days) => read(days, 0.0..=60.0) as i32,
                    },
                })
                .collect(),
            mind: written.mind,
        };
        let rules = RULES.iter().map(&mut rule).collect();
        let leap = jiff::civil::date(season, 1, 1).in_leap_year();
        if wrong.is_empty() { Ok(Self { leap, rules }) } else { Err(wrong) }
    }

    /// First and last day of a window in one member, as days from 1 January of the season (before it, negative), by
    /// the leaves of red oak; `None` when there is no such window.
    pub(super) fn window(&self, kind: WindowKind, course: &Course<'_>) -> Option<(i32, i32)> {
        self.by_host(kind, &[LeafHost::RedOak], course).pop().flatten()
    }

    /// The same by the leaves of each host.
    pub(super) fn by_host(&self, kind: WindowKind, hosts: &[LeafHost], course: &Course<'_>) -> Vec<Option<(i32, i32)>> {
        let none = || vec![None; hosts.len()];
        let Some(rule) = self.rules.iter().find(|rule| rule.kind == kind) else { return none() };
        let (leaves, others): (Vec<&Step>, Vec<&Step>) = rule.opens.iter().partition(|step| step.mark == Mark::Leaf);
        let last = |steps: &[&Step], host| {
            let days: Option<Vec<i32>> = steps.iter().map(|step| self.day(step, host, course)).collect();
            days.map(|days| days.into_iter().fold(i32::MIN, i32::max))
        };
        let Some(opened) = last(&others, LeafHost::RedOak) else { return none() };
        let closes = rule.closes.iter().filter_map(|step| self.day(step, LeafHost::RedOak, course)).min();
        let Some(closes) = closes else { return none() };
        let window = |host: &LeafHost| {
            let opens = last(&leaves, *host)?.max(opened);
            (opens <= closes).then_some((opens, closes))
        };
        hosts.iter().map(window).collect()
    }

    /// Size of leaves at which aircraft may fly.
    pub(super) fn leaf_to_fly(&self) -> f64 {
        let steps = self.rules.iter().filter(|rule| rule.kind == WindowKind::AerialBtk).flat_map(|rule| &rule.opens);
        steps.filter(|step| step.mark == Mark::Leaf).map(|step| step.number).fold(0.25, f64::max)
    }

    fn day(&self, step: &Step, host: LeafHost, course: &Course<'_>) -> Option<i32> {
        let reached = match step.mark {
            // Autumn has the same length in every year, so that counting back from New Year is right.
            Mark::DayBefore => return Some(step.number as i32 - 366 - step.before),
            Mark::Day => return Some(self.day_of_year(step.number) - step.before),
            Mark::Hatched => course.hatched(step.number),
            Mark::Leaf => course.leaf(host, step.number),
            Mark::FirstInstarLeft => course.molted(&[Molt::Second], 1.0 - step.number),
            Mark::ThirdInstar => course.molted(&[Molt::Third], step.number),
            Mark::LayingOver => course.molted(&[Molt::SpentF], step.number),
        };
        reached.map(|day| day as i32 - step.before)
    }

    /// Days from 1 January to a day of the year, which is counted as in a common year.
    fn day_of_year(&self, day: f64) -> i32 {
        day as i32 - 1 + i32::from(self.leap && day >= 60.0)
    }

    /// What opens and what closes a window, in words.
    pub(super) fn words(&self, kind: WindowKind, host: LeafHost) -> String {
        let Some(rule) = self.rules.iter().find(|rule| rule.kind == kind) else { return String::new() };
        let all =
            |steps: &[Step], glue: &str| steps.iter().map(|step| words(step, host)).collect::<Vec<_>>().join(glue);
        let first = if rule.closes.len() > 1 { ", whichever comes first" } else { "" };
        let mind = if rule.mind.is_empty() { String::new() } else { format!("; {}", rule.mind) };
        format!("opens {}; closes {}{first}{mind}", all(&rule.opens, " and "), all(&rule.closes, " or "))
    }
}

/// A mark in words.
fn words(step: &Step, host: LeafHost) -> String {
    let percent = format!("{:.0} %", 100.0 * step.number);
    let lead = match (step.mark, step.before) {
        (Mark::Day | Mark::DayBefore, _) => "on".to_owned(),
        (_, 0) => "when".to_owned(),
        (_, 1) => "before".to_owned(),
        (_, days) => format!("{days} days before"),
    };
    match step.mark {
        Mark::DayBefore => format!("{lead} {} of the year before", month_and_day(step.number)),
        Mark::Day => format!("{lead} {}", month_and_day(step.number)),
        Mark::Hatched => format!("{lead} {percent} have hatched"),
        Mark::Leaf => format!("{lead} {host} leaves have {percent} of final size"),
        Mark::FirstInstarLeft => format!("{lead} at most {percent} are egg or first instar"),
        Mark::ThirdInstar => format!("{lead} {percent} have reached the third instar"),
        Mark::LayingOver => format!("{lead} laying is {percent} over"),
    }
}

/// Month and day of a day of a common year.
fn month_and_day(day_of_year: f64) -> String {
    let day = jiff::Span::new().days(day_of_year as i64 - 1);
    jiff::civil::date(2001, 1, 1).checked_add(day).map_or_else(|_| String::new(), |d| d.strftime("%-d %B").to_string())
}

/// A date from days after 1 January of the season.
pub(super) fn date(season: i16, day: i32) -> Option<Date> {
    jiff::civil::date(season, 1, 1).checked_add(jiff::Span::new().days(day)).ok()
}
