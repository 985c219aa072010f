//! Working windows: what opens each and what closes it.
//!
//! Every rule reads its numbers from the parameters. A member in which a window would close before it opens
//! has no such window; how many members that is becomes a note. Heat says when to look, not when to spray:
//! leaf and instar are to be confirmed in the field before anything is applied, and the label, the licence and
//! local rules prevail.

use jiff::civil::Date;

use super::WindowKind;
use super::course::Course;
use super::leaf::Leaf;
use super::stages::Molt;
use crate::types::{Parameters, Problem};

/// The numbers in the rules.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Rules {
    /// The season has a 29 February.
    leap: bool,
    scraping_opens: f64,
    scraping_margin: f64,
    ground_hatched: f64,
    ground_third: f64,
    aerial_not_past_first: f64,
    aerial_third: f64,
    bands_third: f64,
    bands_latest: f64,
    survey_leaf_fall: f64,
    survey_closes: f64,
}

/// Share of females whose laying is over, at which the season of the insect is over.
pub(super) const LAYING_OVER: f64 = 0.95;

impl Rules {
    /// Reads the parameters.
    ///
    /// # Errors
    /// Every share that is not between 0 and 1 and every day that no year has.
    pub(super) fn read(parameters: &Parameters, season: i16) -> Result<Self, Vec<Problem>> {
        let mut wrong = Vec::new();
        let mut read = |name: &str, range: std::ops::RangeInclusive<f64>| {
            let value = parameters.number(name);
            if !range.contains(&value) {
                let what = format!("the value {value} of {name} makes no sense.");
                wrong.push(
                    Problem::error("timing.parameter", what, "Change or restore it.").item(name).expected(format!(
                        "{} to {}",
                        range.start(),
                        range.end()
                    )),
                );
            }
            value
        };
        let (day, share) = (1.0..=365.0, 0.01..=0.99);
        let rules = Self {
            leap: jiff::civil::date(season, 1, 1).in_leap_year(),
            scraping_opens: read("timing.scraping.opens", day.clone()),
            scraping_margin: read("timing.scraping.margin", 0.0..=60.0),
            ground_hatched: read("timing.ground-btk.hatched", share.clone()),
            ground_third: read("timing.ground-btk.third-instar", share.clone()),
            aerial_not_past_first: read("timing.aerial-btk.not-past-first", share.clone()),
            aerial_third: read("timing.aerial-btk.third-instar", share.clone()),
            bands_third: read("timing.bands.third-instar", share),
            bands_latest: read("timing.bands.latest", day.clone()),
            survey_leaf_fall: read("timing.survey.leaf-fall", day.clone()),
            survey_closes: read("timing.survey.closes", day),
        };
        if wrong.is_empty() { Ok(rules) } else { Err(wrong) }
    }

    /// First and last day of a window in one member, as days from 1 January of the season (before it,
    /// negative); `None` when there is no such window.
    pub(super) fn window(&self, kind: WindowKind, course: &Course<'_>) -> Option<(i32, i32)> {
        let day = |day: Option<usize>| day.map(|d| d as i32);

        // The last day of work is the one before the day on which the closing share is reached.
        let before = |share: f64| day(course.molted(&[Molt::Third], share)).map(|d| d - 1);
        let over = day(course.molted(&[Molt::SpentF], LAYING_OVER));
        let (opens, closes) = match kind {
            // Autumn has the same length in every year, so that counting back from New Year is right.
            WindowKind::Scraping => {
                (self.scraping_opens as i32 - 366, day(course.hatched(0.1))? - self.scraping_margin as i32)
            }
            WindowKind::GroundBtk => {
                let (leaf, hatched) = (course.leaf(Leaf::RedThirty), course.hatched(self.ground_hatched));
                (day(leaf)?.max(day(hatched)?), before(self.ground_third)?)
            }
            WindowKind::AerialBtk => {
                let past_first = course.molted(&[Molt::Second], 1.0 - self.aerial_not_past_first);
                (day(course.leaf(Leaf::RedForty))?.max(day(past_first)?), before(self.aerial_third)?)
            }
            WindowKind::Bands => {
                let latest = self.day_of_year(self.bands_latest);
                (day(course.molted(&[Molt::Third], self.bands_third))?, over.map_or(latest, |d| d.min(latest)))
            }
            WindowKind::Survey => {
                (over?.max(self.day_of_year(self.survey_leaf_fall)), self.day_of_year(self.survey_closes))
            }
        };
        (opens <= closes).then_some((opens, closes))
    }

    /// Days from 1 January to a day of the year, which is counted as in a common year.
    fn day_of_year(&self, day: f64) -> i32 {
        day as i32 - 1 + i32::from(self.leap && day >= 60.0)
    }

    /// What opens and what closes a window, in words.
    pub(super) fn words(&self, kind: WindowKind) -> String {
        let percent = |share: f64| format!("{:.0} %", 100.0 * share);
        match kind {
            WindowKind::Scraping => format!(
                "opens {} of the year before, and only where masses have been counted; closes {:.0} days before hatch 10 %",
                month_and_day(self.scraping_opens),
                self.scraping_margin
            ),
            WindowKind::GroundBtk => format!(
                "opens when red oak leaves have 30 % of final size and {} have hatched; closes before third instar {}",
                percent(self.ground_hatched),
                percent(self.ground_third)
            ),
            WindowKind::AerialBtk => format!(
                "opens when red oak leaves have 40 % of final size and at most {} are egg or first instar; closes before third \
                 instar {}; confirm leaf and instar in the field",
                percent(self.aerial_not_past_first),
                percent(self.aerial_third)
            ),
            WindowKind::Bands => format!(
                "up at third instar {}; down when laying is {} over, by {} at the latest",
                percent(self.bands_third),
                percent(LAYING_OVER),
                month_and_day(self.bands_latest)
            ),
            WindowKind::Survey => format!(
                "opens when laying is {} over and leaves fall, not before {}; closes {}",
                percent(LAYING_OVER),
                month_and_day(self.survey_leaf_fall),
                month_and_day(self.survey_closes)
            ),
        }
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
