//! How chances, money, areas and bundles are written in the sentences of a plan.

use crate::tactics::Bundle;
use crate::types::{Area, Tactic, UnitSystem};

/// A chance in whole per cent; the ends are not rounded away.
pub(super) fn percent(p: f64) -> String {
    match p * 100.0 {
        v if v <= 0.0 => "0 %".to_owned(),
        v if v < 0.5 => "less than 1 %".to_owned(),
        v if (99.5..100.0).contains(&v) => "more than 99 %".to_owned(),
        v => format!("{v:.0} %"),
    }
}

/// Two chances that stand side by side: with as many decimals as it takes to tell them apart (at most two).
pub(super) fn percents(a: f64, b: f64) -> (String, String) {
    if (a - b).abs() < 1e-9 || percent(a) != percent(b) {
        return (percent(a), percent(b));
    }
    let with = |digits: usize| (format!("{:.digits$} %", a * 100.0), format!("{:.digits$} %", b * 100.0));
    let one = with(1);
    if one.0 == one.1 { with(2) } else { one }
}

/// Dollars with thousands separated; cents only below ten dollars.
pub(super) fn dollars(value: f64) -> String {
    if value.abs() < 10.0 {
        return format!("${value:.2}");
    }
    let digits = format!("{:.0}", value.abs());
    let mut out = String::from(if value < 0.0 { "-$" } else { "$" });
    for (i, digit) in digits.chars().enumerate() {
        if i > 0 && (digits.len() - i) % 3 == 0 {
            out.push(',');
        }
        out.push(digit);
    }
    out
}

/// An area in the programme's units; one decimal below a hundred.
pub(super) fn area(area: Area, units: UnitSystem) -> String {
    let (value, unit) = match units {
        UnitSystem::Us => (area.as_acres(), "acres"),
        UnitSystem::Metric => (area.as_hectares(), "ha"),
    };
    let digits = if value < 0.1 { 2 } else { usize::from(value < 100.0) };
    format!("{value:.digits$} {unit}")
}

/// Hours; one decimal below ten.
pub(super) fn hours(value: f64) -> String {
    let digits = usize::from(value < 9.95);
    format!("{value:.digits$} hours")
}

/// A bundle inside a sentence: "watching", "scraping and bands".
pub(super) fn bundle(bundle: &Bundle) -> String {
    let words: Vec<&str> = bundle.tactics().iter().map(|t| t.word()).collect();
    match words.split_last() {
        None => "watching".to_owned(),
        Some((only, [])) => (*only).to_owned(),
        Some((last, rest)) => format!("{} and {last}", rest.join(", ")),
    }
}

/// The same at the start of a sentence.
pub(super) fn bundle_first(of: &Bundle) -> String {
    let text = bundle(of);
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |c| c.to_uppercase().collect::<String>() + letters.as_str())
}

/// "Flown once", "Flown twice, with scraping".
pub(super) fn flown(of: &Bundle) -> String {
    let times = if of.has(Tactic::AerialTwice) { "Flown twice" } else { "Flown once" };
    let rest = Bundle::new(of.tactics().iter().copied().filter(|t| !t.is_aerial()).collect());
    if rest.tactics().is_empty() { times.to_owned() } else { format!("{times}, with {}", bundle(&rest)) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn chances() {
        let cases =
            [(0.0, "0 %"), (0.003, "less than 1 %"), (0.124, "12 %"), (0.998, "more than 99 %"), (1.0, "100 %")];
        for (p, text) in cases {
            assert_eq!(percent(p), text);
        }
        assert_eq!(percents(0.203, 0.2), ("20.3 %".to_owned(), "20.0 %".to_owned()));
        assert_eq!(percents(0.2, 0.2), ("20 %".to_owned(), "20 %".to_owned()));
    }

    #[test]
    fn money_and_bundles() {
        assert_eq!(dollars(1_234_567.4), "$1,234,567");
        assert_eq!(dollars(3.5), "$3.50");
        let of = |tactics: &[Tactic]| Bundle::new(tactics.to_vec());
        assert_eq!(bundle(&of(&[Tactic::Bands, Tactic::Scraping])), "scraping and bands");
        assert_eq!(flown(&of(&[Tactic::AerialTwice, Tactic::Scraping])), "Flown twice, with scraping");
        assert_eq!(bundle_first(&Bundle::WATCH), "Watching");
    }
}
