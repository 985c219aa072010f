//! What can be spent, from a TOML file: money, hours, the most acres flown, and parameter values.
//!
//! ```toml
//! budget = 180000
//! most_sprayed_acres = 1400
//!
//! [[hours]]
//! who = "volunteers"
//! period = "winter"
//! neighbourhood = "Northside"
//! hours = 320
//!
//! [parameters]
//! "room.name" = { value = 35, source = "bid of 2026-11-03" }
//! ```

use crownhold::types::{Area, Hours, HoursSupply, Money, Period, Problem, Resources, Value, Workforce};
use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::Input;
use super::job::Job;
use super::text;

/// Takes resources and parameter values over.
pub(super) fn take(job: &mut Job<'_>, input: &Input) {
    let bytes = input.parts.first().map_or(&[][..], |p| p.bytes.as_slice());
    let text = match text::decode(bytes) {
        Ok((text, note)) => {
            note.into_iter().for_each(|n| job.note(n));
            text.into_owned()
        }
        Err(problem) => return job.note(*problem),
    };
    let line = |at: usize| 1 + text.as_bytes()[..at.min(text.len())].iter().filter(|b| **b == b'\n').count() as u64;
    let root = match DeTable::parse(&text) {
        Ok(root) => root,
        Err(e) => {
            let row = e.span().map_or(1, |s| line(s.start));
            let what = format!("This is not TOML: {}.", e.message());
            return job.note(Problem::error("I-701", what, "Correct the line.").row(row));
        }
    };
    let mut sheet = Sheet { job, line: &line, resources: Resources::default(), given: 0 };
    for (key, value) in root.get_ref() {
        sheet.top(key.get_ref(), value);
    }
    sheet.hand_over();
}

/// The file at work.
struct Sheet<'s, 'j> {
    job: &'s mut Job<'j>,
    line: &'s dyn Fn(usize) -> u64,
    resources: Resources,
    given: usize,
}

type Node<'d> = Spanned<DeValue<'d>>;

fn number(value: &Node<'_>) -> Option<f64> {
    match value.get_ref() {
        DeValue::Integer(n) => n.as_str().replace('_', "").parse().ok(),
        DeValue::Float(n) => n.as_str().replace('_', "").parse().ok(),
        _ => None,
    }
    .filter(|v: &f64| v.is_finite())
}

impl Sheet<'_, '_> {
    fn wrong(&mut self, code: &'static str, key: &str, value: &Node<'_>, what: &str, expected: &str) {
        let problem = Problem::error(code, format!("{key}: {what}"), "Correct the entry.");
        self.job.note(problem.row((self.line)(value.span().start)).expected(expected));
    }

    fn amount(&mut self, key: &str, value: &Node<'_>) -> Option<f64> {
        let amount = number(value).filter(|v| *v >= 0.0);
        if amount.is_none() {
            self.wrong("I-702", key, value, "this is not an amount.", "a number, 0 or more");
        }
        amount
    }

    fn top(&mut self, key: &str, value: &Node<'_>) {
        self.given += 1;
        match (key, value.get_ref()) {
            ("budget", _) => self.resources.budget = self.amount(key, value).map(Money::dollars),
            ("most_sprayed_acres", _) => self.resources.most_sprayed = self.amount(key, value).map(Area::acres),
            ("most_sprayed_ha", _) => self.resources.most_sprayed = self.amount(key, value).map(Area::hectares),
            ("hours", DeValue::Array(list)) => list.iter().for_each(|entry| self.hours(entry)),
            ("parameters" | "prices", DeValue::Table(table)) => self.parameters("", table),
            ("hours" | "parameters" | "prices", _) => {
                self.wrong(
                    "I-702",
                    key,
                    value,
                    "this is not written as it should be.",
                    "[[hours]] entries, a [parameters] table",
                );
            }
            _ => self.wrong(
                "I-703",
                key,
                value,
                "there is no such entry.",
                "one of: budget, most_sprayed_acres, most_sprayed_ha, hours, parameters, prices",
            ),
        }
    }

    fn hours(&mut self, entry: &Node<'_>) {
        let DeValue::Table(table) = entry.get_ref() else {
            return self.wrong(
                "I-702",
                "hours",
                entry,
                "this is not an entry.",
                "who, period, hours and perhaps neighbourhood",
            );
        };
        let word = |name: &str| table.get(name).and_then(|v| v.get_ref().as_str()).unwrap_or_default().to_owned();
        for (key, value) in table {
            if !["who", "period", "neighbourhood", "hours"].contains(&key.get_ref().as_ref()) {
                let key = format!("hours.{}", key.get_ref());
                self.wrong(
                    "I-703",
                    &key,
                    value,
                    "there is no such entry.",
                    "one of: who, period, neighbourhood, hours",
                );
            }
        }
        let who = Workforce::from_word(&word("who"));
        let period = Period::from_word(&word("period"));
        let hours = table.get("hours").and_then(number).filter(|h| *h >= 0.0);
        match (who, period, hours) {
            (Some(who), Some(period), Some(hours)) => {
                let neighbourhood = Some(word("neighbourhood")).filter(|n| !n.is_empty());
                self.resources.hours.push(HoursSupply { who, period, neighbourhood, hours: Hours::hours(hours) });
            }
            _ => {
                let what = format!(
                    "who \"{}\", period \"{}\", hours {}.",
                    word("who"),
                    word("period"),
                    hours.map_or("missing".to_owned(), |h| h.to_string())
                );
                self.wrong(
                    "I-704",
                    "hours",
                    entry,
                    &what,
                    "who = crew or volunteers; period = winter, spring or summer; hours = a number, 0 or more",
                );
            }
        }
    }

    /// Names with dots may be written in quotes or as nested tables.
    fn parameters(&mut self, before: &str, table: &DeTable<'_>) {
        for (key, value) in table {
            let name =
                if before.is_empty() { key.get_ref().to_string() } else { format!("{before}.{}", key.get_ref()) };
            match value.get_ref() {
                DeValue::Table(inner) if !FORMS.iter().any(|f| inner.contains_key(*f)) => self.parameters(&name, inner),
                _ => self.parameter(&name, value),
            }
        }
    }

    fn parameter(&mut self, name: &str, value: &Node<'_>) {
        let Some(read) = parameter_value(value) else {
            let expected = "a number, or { value = 1 }, { triangular = [low, mode, high] }, { lognormal = [p05, p50, p95] }, { normal = [mean, sd] }, with a source";
            return self.wrong("I-705", name, value, "this is not a value.", expected);
        };
        let source = match value.get_ref() {
            DeValue::Table(t) => t.get("source").and_then(|s| s.get_ref().as_str()).map(str::to_owned),
            _ => None,
        };
        let source = source.unwrap_or_else(|| format!("{} (no source given)", self.job.report.file));
        if self.job.draft.parameters.set(name, read, &source) {
            return;
        }
        let known = self
            .job
            .draft
            .parameters
            .iter()
            .map(|p| p.name.clone())
            .filter(|n| alike(n, name))
            .take(6)
            .collect::<Vec<_>>();
        let expected = if known.is_empty() {
            "a name of the parameter catalogue".to_owned()
        } else {
            format!("a name such as {}", known.join(", "))
        };
        self.wrong("I-706", name, value, "the catalogue has no such parameter, or the value is not sound.", &expected);
    }

    fn hand_over(self) {
        let old = &mut self.job.draft.resources;
        let new = Resources {
            budget: self.resources.budget.or(old.budget),
            most_sprayed: self.resources.most_sprayed.or(old.most_sprayed),
            hours: if self.resources.hours.is_empty() { old.hours.clone() } else { self.resources.hours },
        };
        *old = new;
        self.job.report.taken.new = self.given;
    }
}

const FORMS: [&str; 4] = ["value", "triangular", "lognormal", "normal"];

fn parameter_value(value: &Node<'_>) -> Option<Value> {
    let DeValue::Table(table) = value.get_ref() else { return number(value).map(Value::Number) };
    if let Some(single) = table.get("value") {
        return number(single).map(Value::Number);
    }
    let list = |name: &str| -> Option<Vec<f64>> {
        let DeValue::Array(list) = table.get(name)?.get_ref() else { return None };
        list.iter().map(number).collect()
    };
    if let Some([a, b, c]) = list("triangular").as_deref() {
        return Some(Value::Triangular(*a, *b, *c));
    }
    if let Some([a, b, c]) = list("lognormal").as_deref() {
        return Some(Value::Lognormal(*a, *b, *c));
    }
    match list("normal").as_deref() {
        Some([mean, sd]) => Some(Value::Normal(*mean, *sd)),
        _ => None,
    }
}

/// Do two names share their room or their last word?
fn alike(one: &str, other: &str) -> bool {
    let ends = |s: &str| {
        (s.split('.').next().unwrap_or_default().to_owned(), s.rsplit('.').next().unwrap_or_default().to_owned())
    };
    let ((a, b), (c, d)) = (ends(one), ends(other));
    a == c || b == d
}
