//! How a plot is counted, as crews write it: "prism 10 BAF", "1/40 acre", "18.6 ft", "10x10 m".

use crownhold::types::{Area, Length, PlotMethod};

use super::cells;

/// A method, and the counted area where the words give it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Method {
    /// The method; a prism without its factor carries NaN until a column gives it.
    pub method: PlotMethod,
    /// The area in the words.
    pub area: Option<Area>,
}

/// A method in words, with the counted area where they give it: "fixed radius", "1/40 acre", "circle 18.6 ft",
/// "square 10 m", "prism 10 BAF". `None` when not every word has its place, or a prism lacks its factor.
pub fn plot_in_words(text: &str) -> Option<(PlotMethod, Option<Area>)> {
    let method = by_name(text).map(|method| Method { method, area: None }).or_else(|| by_size(text))?;
    let whole = !matches!(method.method, PlotMethod::Prism { basal_area_factor } if basal_area_factor.is_nan());
    whole.then_some((method.method, method.area))
}

/// By a plain name of the method.
pub(super) fn by_name(word: &str) -> Option<PlotMethod> {
    let plain: String = word.chars().filter(char::is_ascii_alphanumeric).collect::<String>().to_lowercase();
    Some(match plain.as_str() {
        "fixedradius" | "fixed" | "fixedplot" | "fixedarea" | "circle" | "circular" | "circularplot" | "radius" => {
            PlotMethod::FixedRadius
        }
        "square" | "squareplot" | "quadrat" => PlotMethod::Square,
        "wholelot" | "lot" | "parcel" | "wholeparcel" => PlotMethod::WholeLot,
        "prism" | "prismplot" | "variable" | "variableradius" | "fixedandvariableradius" => {
            PlotMethod::Prism { basal_area_factor: f64::NAN }
        }
        "timedwalk" | "walk" | "fiveminutewalk" => PlotMethod::TimedWalk,
        "burlap" | "band" => PlotMethod::Burlap,
        "trap" | "pheromonetrap" => PlotMethod::Trap,
        _ => return None,
    })
}

/// By words that give a size or factor, perhaps with the form; `None` unless every word of them has its place.
pub(super) fn by_size(text: &str) -> Option<Method> {
    let parts = Parts::of(text)?;
    let only = |allowed: &[&str]| parts.words.iter().all(|w| allowed.contains(&w.as_str()));
    let says = |any: &[&str]| parts.words.iter().any(|w| any.contains(&w.as_str()));
    let made = |method, area| Some(Method { method, area: Some(area) });
    let squared = |l: Length, by: f64| Area::square_metres(l.as_metres() * l.as_metres() * by);
    match (parts.numbers.as_slice(), parts.unit) {
        (&[factor], None) if says(&["prism", "baf"]) && only(&["prism", "baf", "variable", "radius", "factor"]) => {
            Some(Method { method: PlotMethod::Prism { basal_area_factor: factor }, area: None })
        }
        (&[one, other], Some(Unit::Length(unit))) if one == other && only(&["square"]) => {
            made(PlotMethod::Square, squared(cells::length(one, unit)?, 1.0))
        }
        (&[side], Some(Unit::Length(unit))) if says(&["square", "side"]) && only(&["square", "side"]) => {
            made(PlotMethod::Square, squared(cells::length(side, unit)?, 1.0))
        }
        (&[radius], Some(Unit::Length(unit))) if only(&["circle", "circular", "fixed", "radius", "r"]) => {
            made(PlotMethod::FixedRadius, squared(cells::length(radius, unit)?, std::f64::consts::PI))
        }
        (&[size], Some(Unit::Area(unit))) => {
            let area = cells::area(size, unit)?;
            match parts.words.as_slice() {
                [] => made(PlotMethod::FixedRadius, area),
                words => made(by_name(&words.concat()).filter(|m| m.is_area_count() && !is_prism(*m))?, area),
            }
        }
        _ => None,
    }
}

/// Is it a prism plot, with or without its factor?
pub(super) fn is_prism(method: PlotMethod) -> bool {
    matches!(method, PlotMethod::Prism { .. })
}

#[derive(Clone, Copy)]
enum Unit {
    Length(&'static str),
    Area(&'static str),
}

/// Numbers, one unit and the other words of a cell.
struct Parts {
    numbers: Vec<f64>,
    unit: Option<Unit>,
    words: Vec<String>,
}

/// Words that say nothing about the method.
const FILLERS: [&str; 8] = ["plot", "plots", "x", "by", "of", "area", "a", "with"];

impl Parts {
    /// `None` when a number cannot be read, is not above zero, or two units stand there.
    fn of(text: &str) -> Option<Self> {
        let mut parts = Self { numbers: Vec::new(), unit: None, words: Vec::new() };
        for token in tokens(&text.to_lowercase()) {
            if token.starts_with(|c: char| c.is_ascii_digit() || c == '.') {
                parts.numbers.push(number(&token)?);
            } else if let Some(unit) = unit(&token) {
                let same = parts.unit.is_none_or(|u| named(u) == named(unit));
                parts.unit = same.then_some(unit);
                parts.unit?;
            } else if !FILLERS.contains(&token.as_str()) {
                parts.words.push(token);
            }
        }
        Some(parts)
    }
}

fn named(unit: Unit) -> &'static str {
    match unit {
        Unit::Length(name) | Unit::Area(name) => name,
    }
}

/// "1/40" and "0.025"; a comma is not taken, it could part thousands.
fn number(token: &str) -> Option<f64> {
    let value = match token.split_once('/') {
        Some((over, under)) => over.parse::<f64>().ok()? / under.parse::<f64>().ok()?,
        None => token.parse().ok()?,
    };
    (value.is_finite() && value > 0.0).then_some(value)
}

fn unit(token: &str) -> Option<Unit> {
    Some(match token {
        "ac" | "acre" | "acres" => Unit::Area("acres"),
        "ha" | "hectare" | "hectares" => Unit::Area("ha"),
        "m2" | "m\u{b2}" | "sqm" => Unit::Area("m2"),
        "ft2" | "ft\u{b2}" | "sqft" => Unit::Area("ft2"),
        "m" | "metre" | "metres" | "meter" | "meters" => Unit::Length("m"),
        "ft" | "foot" | "feet" => Unit::Length("ft"),
        _ => return None,
    })
}

/// Parted at blanks and marks, and where a number ends: "10x10m" is 10, x, 10, m. The 2 of "m2" stays with it.
fn tokens(text: &str) -> Vec<String> {
    let mut tokens: Vec<String> = Vec::new();
    let mut token = String::new();
    let numeric = |c: char| c.is_ascii_digit() || c == '.' || c == '/' || c == ',';
    for c in text.chars().map(|c| if c == '\u{d7}' { 'x' } else { c }) {
        let in_number = token.starts_with(|c: char| c.is_ascii_digit() || c == '.');
        let goes_on = match c {
            '2' | '\u{b2}' if token == "m" || token == "ft" => true,
            c if numeric(c) => in_number,
            c if c.is_alphabetic() => !in_number,
            _ => false,
        };
        if !goes_on && !token.is_empty() {
            tokens.push(std::mem::take(&mut token));
        }
        if c.is_alphanumeric() || c == '\u{b2}' || (numeric(c) && (in_number || c == '.')) {
            token.push(c);
        }
    }
    if !token.is_empty() {
        tokens.push(token);
    }
    tokens
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    fn read(text: &str) -> (PlotMethod, f64) {
        let method = by_size(text).unwrap_or_else(|| panic!("{text}"));
        (method.method, method.area.map_or(f64::NAN, Area::as_square_metres))
    }

    /// By hand: 1/40 acre is 4,046.856 / 40 = 101.171 m2; a circle of 18.6 ft (5.66928 m) has 100.974 m2;
    /// 0.01 ha and 10 m squared have 100 m2; 33 ft squared is 1,089 ft2 = 101.171 m2.
    #[test]
    fn sizes_in_words() {
        let circle = PlotMethod::FixedRadius;
        let cases = [
            ("1/40 acre", circle, 101.171),
            ("1/40-acre plot", circle, 101.171),
            ("0.025 ac", circle, 101.171),
            ("fixed radius 1/40 ac", circle, 101.171),
            ("0.01 ha", circle, 100.0),
            ("100 m2", circle, 100.0),
            ("18.6 ft", circle, 100.974),
            ("18.6ft radius", circle, 100.974),
            ("circle, 18.6 feet", circle, 100.974),
            ("10x10 m", PlotMethod::Square, 100.0),
            ("10 m x 10 m", PlotMethod::Square, 100.0),
            ("10\u{d7}10m", PlotMethod::Square, 100.0),
            ("33 x 33 ft square", PlotMethod::Square, 101.171),
            ("square 10 m", PlotMethod::Square, 100.0),
            ("whole lot 0.25 acre", PlotMethod::WholeLot, 1_011.714),
        ];
        for (text, method, area) in cases {
            let (got, size) = read(text);
            assert_eq!(got, method, "{text}");
            assert!((size - area).abs() < 0.001, "{text}: {size}");
        }
        for text in ["prism 10 BAF", "BAF 10", "10 baf prism", "Prism-10"] {
            assert_eq!(read(text).0, PlotMethod::Prism { basal_area_factor: 10.0 }, "{text}");
        }
    }

    #[test]
    fn what_is_not_certain_is_not_read() {
        for text in [
            "",
            "10",
            "10 x 20 m",
            "18.6",
            "prism",
            "0,5 ha",
            "10 m diameter",
            "1/0 acre",
            "10 m 5 ft",
            "baf 10 acre",
            "5 minutes",
            "-5 m2x",
        ] {
            assert_eq!(by_size(text), None, "{text}");
        }
    }
}
