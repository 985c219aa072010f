//! What was typed into a form of the log, and what is wrong with it.

use std::collections::BTreeMap;

use crownhold::types::{Area, BlockId, Problem, Speed};
use crownhold_data::formats::time_of_day;
use jiff::civil::{Date, Time};

use crate::actions::seen::CHANGED_MEANWHILE;
use crate::desk::state::Season;

/// A form with what was typed and what is wrong with it.
#[derive(Clone, Default)]
pub(super) struct Typed {
    typed: BTreeMap<String, String>,
    wrong: BTreeMap<String, String>,
}

impl Typed {
    /// What came from the browser.
    pub(super) fn of(typed: BTreeMap<String, String>) -> Self {
        Self { typed, wrong: BTreeMap::new() }
    }
    /// A form that is filled in beforehand.
    pub(super) fn filled<const N: usize>(pairs: [(&str, String); N]) -> Self {
        Self::of(pairs.map(|(name, value)| (name.to_owned(), value)).into())
    }
    pub(super) fn value(&self, name: &str) -> &str {
        self.typed.get(name).map_or("", String::as_str)
    }
    pub(super) fn wrong(&self, name: &str) -> &str {
        self.wrong.get(name).map_or("", String::as_str)
    }
    pub(super) fn is_wrong(&self) -> bool {
        !self.wrong.is_empty()
    }
    fn note(&mut self, name: &str, what: &str) {
        self.wrong.insert(name.to_owned(), what.to_owned());
    }

    /// Puts what an action found wrong beside its fields; false when something has no field here.
    pub(super) fn take(&mut self, problems: &[Problem]) -> bool {
        let fields: Vec<(&str, String)> = problems
            .iter()
            .filter_map(|p| {
                let field = if p.code == CHANGED_MEANWHILE { "seen" } else { p.place.column.as_deref()? };
                Some((field, format!("{} {}", p.what, p.remedy)))
            })
            .collect();
        let all = fields.len() == problems.len();
        for (field, words) in fields {
            // A form with several blocks has its own name for the field.
            let name = if field == "block" && self.typed.contains_key("blocks") { "blocks" } else { field };
            self.note(name, &words);
        }
        all
    }

    pub(super) fn text(&self, name: &str) -> String {
        self.value(name).trim().to_owned()
    }
    /// A day that has come.
    pub(super) fn date(&mut self, name: &str, today: Date) -> Option<Date> {
        match self.value(name).trim().parse::<Date>() {
            Err(_) => self.note(name, "Write the day as year-month-day."),
            Ok(date) if date > today => self.note(name, "This day has not come yet."),
            Ok(date) => return Some(date),
        }
        None
    }
    /// A count; a blank is 0.
    pub(super) fn count(&mut self, name: &str) -> u32 {
        match self.value(name).trim() {
            "" => 0,
            text => text.parse().unwrap_or_else(|_| {
                self.note(name, "Write a whole number; a blank is 0.");
                0
            }),
        }
    }
    /// A time of day.
    pub(super) fn time_of_day(&mut self, name: &str) -> Option<Time> {
        let time = time_of_day(self.value(name));
        if time.is_none() {
            self.note(name, "Write a time of day, such as 16:30.");
        }
        time
    }
    /// A number in a range; a blank is not known.
    pub(super) fn number(&mut self, name: &str, low: f64, high: f64) -> Option<f64> {
        let text = self.value(name).trim().replace(',', "");
        if text.is_empty() {
            return None;
        }
        let value = text.parse::<f64>().ok().filter(|v| (low..=high).contains(v));
        if value.is_none() {
            self.note(name, &format!("Write a number from {low} to {high}, or leave it blank."));
        }
        value
    }
    pub(super) fn time(&mut self, name: &str) -> Option<Time> {
        let text = self.value(name).trim().to_owned();
        if text.is_empty() {
            return None;
        }
        let time = Time::strptime("%H:%M", &text).ok();
        if time.is_none() {
            self.note(name, "Write a time as 06:30.");
        }
        time
    }
    /// Block names between commas.
    pub(super) fn blocks(&self, name: &str) -> Vec<BlockId> {
        self.value(name).split(',').map(BlockId::new).filter(|b| !b.as_str().is_empty()).collect()
    }
    /// A word of a list of choices.
    pub(super) fn choice<T>(&mut self, name: &str, from_word: impl Fn(&str) -> Option<T>) -> Option<T> {
        let found = from_word(self.value(name));
        if found.is_none() {
            self.note(name, "Choose one.");
        }
        found
    }
    pub(super) fn area(&mut self, name: &str, season: &Season) -> Option<Area> {
        let own = if season.wording().is_us() { Area::acres } else { Area::hectares };
        self.number(name, 0.0, 1_000_000.0).map(own)
    }
    pub(super) fn wind(&mut self, name: &str, season: &Season) -> Option<Speed> {
        let own = if season.wording().is_us() { Speed::miles_per_hour } else { Speed::metres_per_second };
        self.number(name, 0.0, 100.0).map(own)
    }
    /// A temperature in degrees C.
    pub(super) fn temperature(&mut self, name: &str, season: &Season) -> Option<f64> {
        let value = self.number(name, -60.0, 130.0)?;
        Some(if season.wording().is_us() { (value - 32.0) / 1.8 } else { value })
    }
}
