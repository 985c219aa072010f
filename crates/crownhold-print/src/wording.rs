//! Quantities, dates and chances as people read them, in the programme's own units.

use crownhold::timing::degree_days::HeatMethod;
use crownhold::types::quantity::fahrenheit;
use crownhold::types::{Area, Hours, Length, MassesPerArea, Money, UnitSystem};
use jiff::civil::Date;

/// Thin wrapper over the unit system: every figure of a paper passes through here once.
#[derive(Clone, Copy, Debug)]
pub struct Wording {
    units: UnitSystem,
}

impl Wording {
    /// For a unit system.
    pub fn new(units: UnitSystem) -> Self {
        Self { units }
    }
    /// Is it acres and feet?
    pub fn is_us(self) -> bool {
        self.units == UnitSystem::Us
    }
    /// "acres" or "ha".
    pub fn area_unit(self) -> &'static str {
        if self.is_us() { "acres" } else { "ha" }
    }
    /// "acre" or "ha", after "per".
    pub fn per_area(self) -> &'static str {
        if self.is_us() { "acre" } else { "ha" }
    }
    /// An area without its unit: whole numbers from 10 up, one decimal below.
    pub fn bare_area(self, area: Area) -> String {
        number(if self.is_us() { area.as_acres() } else { area.as_hectares() })
    }
    /// An area with its unit.
    pub fn area(self, area: Area) -> String {
        format!("{} {}", self.bare_area(area), self.area_unit())
    }
    /// The ground of a plot: "1/40 acre" where it is a whole part of an acre, else square feet; square metres.
    pub fn plot_area(self, area: Area) -> String {
        if !self.is_us() {
            return format!("{} m²", number(area.as_square_metres()));
        }
        let part = 1.0 / area.as_acres().max(1e-9);
        if (2.0..=1000.0).contains(&part) && (part / part.round() - 1.0).abs() < 0.005 {
            return format!("1/{:.0} acre", part);
        }
        format!("{} sq ft", number(area.as_square_feet()))
    }
    /// A density without its unit.
    pub fn bare_density(self, density: MassesPerArea) -> String {
        number(if self.is_us() { density.as_per_acre() } else { density.as_per_hectare() })
    }
    /// A distance over ground: tens of feet or metres.
    pub fn distance(self, length: Length) -> String {
        let (value, unit) = if self.is_us() { (length.as_feet(), "ft") } else { (length.as_metres(), "m") };
        let step = if value < 100.0 { 1.0 } else { 10.0 };
        format!("{} {unit}", number((value / step).round() * step))
    }
    /// The diameter of a trunk.
    pub fn trunk(self, dbh: Length) -> String {
        if self.is_us() { format!("{:.0} in", dbh.as_inches()) } else { format!("{:.0} cm", 100.0 * dbh.as_metres()) }
    }
    /// A way in miles or kilometres.
    pub fn way(self, length: Length) -> String {
        if self.is_us() {
            format!("{:.1} miles", length.as_metres() / 1_609.344)
        } else {
            format!("{:.1} km", length.as_metres() / 1_000.0)
        }
    }
    /// A wind speed given in m/s.
    pub fn speed(self, metres_a_second: f64) -> String {
        if self.is_us() {
            format!("{:.1} mph", metres_a_second / 0.447_04)
        } else {
            format!("{metres_a_second:.1} m/s")
        }
    }
    /// A temperature in degrees C, with its unit and one decimal.
    pub fn temperature(self, celsius: f64) -> String {
        if self.is_us() { format!("{:.1} F", fahrenheit(celsius)) } else { format!("{celsius:.1} C") }
    }
    /// Degree-days C without their unit.
    pub fn bare_heat(self, degree_days: f64) -> String {
        grouped(if self.is_us() { 1.8 * degree_days } else { degree_days })
    }
    /// "degree-days F above 37.4 F, single sine, from Jan 1": what must stand beside every heat total.
    pub fn heat_method(self, method: &HeatMethod) -> String {
        let upper = method.upper().map(|at| format!(", {} cutoff at {}", method.cutoff(), self.temperature(at)));
        self.heat_words(method, &upper.unwrap_or_default())
    }
    /// The same without the cutoff, where there is little room.
    pub fn heat_method_in_short(self, method: &HeatMethod) -> String {
        self.heat_words(method, "")
    }
    fn heat_words(self, method: &HeatMethod, upper: &str) -> String {
        let degree = if self.is_us() { "F" } else { "C" };
        let start = self.day(method.start().in_year(2001));
        format!(
            "degree-days {degree} above {}, {}{upper}, from {start}",
            self.temperature(method.base()),
            method.curve()
        )
    }
    /// A day and month.
    pub fn day(self, date: Date) -> String {
        let month = &month_name(date.month())[..3];
        if self.is_us() { format!("{month} {}", date.day()) } else { format!("{} {month}", date.day()) }
    }
    /// A full date.
    pub fn date(self, date: Date) -> String {
        let month = month_name(date.month());
        if self.is_us() {
            format!("{month} {}, {}", date.day(), date.year())
        } else {
            format!("{} {month} {}", date.day(), date.year())
        }
    }
}

/// The English name of a month, 1 to 12.
pub fn month_name(month: i8) -> &'static str {
    const NAMES: [&str; 12] = [
        "January",
        "February",
        "March",
        "April",
        "May",
        "June",
        "July",
        "August",
        "September",
        "October",
        "November",
        "December",
    ];
    NAMES[usize::try_from(month - 1).unwrap_or(0).min(11)]
}

/// Whole numbers with thousands separators from 10 up, one decimal below where it is not nought.
pub fn number(v: f64) -> String {
    if v == 0.0 || v.abs() >= 9.95 {
        return grouped(v);
    }
    let text = format!("{v:.1}");
    // A little is not nothing: "0.0" stays.
    let whole = if v.abs() >= 0.95 { text.strip_suffix(".0") } else { None };
    whole.unwrap_or(&text).to_owned()
}

/// A whole number with thousands separators.
pub fn grouped(v: f64) -> String {
    let whole = format!("{:.0}", v.abs());
    let mut out = String::new();
    for (i, digit) in whole.chars().enumerate() {
        if i > 0 && (whole.len() - i).is_multiple_of(3) {
            out.push(',');
        }
        out.push(digit);
    }
    if v < 0.0 && whole != "0" { format!("−{out}") } else { out }
}

/// Money, whole.
pub fn money(money: Money) -> String {
    let text = grouped(money.as_dollars());
    match text.strip_prefix('−') {
        Some(rest) => format!("−${rest}"),
        None => format!("${text}"),
    }
}

/// Hours without a unit.
pub fn hours(hours: Hours) -> String {
    number(hours.as_hours())
}

/// Hours with their unit: "1 hour", "12 hours".
pub fn hours_counted(of: Hours) -> String {
    let figure = hours(of);
    let unit = if figure == "1" { "hour" } else { "hours" };
    format!("{figure} {unit}")
}

/// A chance from draws (its blank does not break): never "0 %" or "100 %", which a finite number of draws cannot show.
pub fn chance(p: f64) -> String {
    if p < 0.005 {
        "<1\u{a0}%".to_owned()
    } else if p > 0.995 {
        ">99\u{a0}%".to_owned()
    } else {
        format!("{:.0}\u{a0}%", p * 100.0)
    }
}

/// A share in whole percent.
pub fn percent(share: f64) -> String {
    format!("{:.0}\u{a0}%", share * 100.0)
}

/// With a capital letter in front.
pub fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map(|c| c.to_uppercase().collect::<String>() + letters.as_str()).unwrap_or_default()
}

/// "1 block", "2 blocks".
pub fn count(n: usize, one: &str, many: &str) -> String {
    format!("{} {}", grouped(n as f64), if n == 1 { one } else { many })
}

/// "a", "a and b", "a, b and c".
pub fn listed(parts: &[String]) -> String {
    match parts {
        [] => String::new(),
        [one] => one.clone(),
        [rest @ .., last] => format!("{} and {last}", rest.join(", ")),
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use jiff::civil::date;

    #[test]
    fn figures_read_as_people_write_them() {
        assert_eq!(grouped(1_234_567.4), "1,234,567");
        assert_eq!((number(0.0), number(3.26), number(12.6)), ("0".into(), "3.3".into(), "13".into()));
        assert_eq!((number(1.0), number(0.04), number(9.97)), ("1".into(), "0.0".into(), "10".into()));
        assert_eq!(
            (hours_counted(Hours::hours(1.0)), hours_counted(Hours::hours(2.5))),
            ("1 hour".into(), "2.5 hours".into())
        );
        assert_eq!(money(Money::dollars(-1_200.0)), "−$1,200");
        assert_eq!(
            (chance(0.0), chance(1.0), chance(0.123)),
            ("<1\u{a0}%".into(), ">99\u{a0}%".into(), "12\u{a0}%".into())
        );
        assert_eq!(listed(&["a".into(), "b".into(), "c".into()]), "a, b and c");
    }

    /// 3 C is 37.4 F and 100 degree-days C are 180 F, by definition.
    #[test]
    fn heat_carries_its_method() {
        use crownhold::timing::degree_days::{Curve, Cutoff, HeatMethod, StartDay};
        let (us, metric) = (Wording::new(UnitSystem::Us), Wording::new(UnitSystem::Metric));
        let egg = HeatMethod::above(Curve::SingleSine, 3.0);
        assert_eq!(us.heat_method(&egg), "degree-days F above 37.4 F, single sine, from Jan 1");
        let larva = HeatMethod::new(Curve::SingleSine, 8.0, Some(41.0), Cutoff::Horizontal, StartDay::MARCH).unwrap();
        let words = "degree-days C above 8.0 C, single sine, horizontal cutoff at 41.0 C, from 1 Mar";
        assert_eq!(metric.heat_method(&larva), words);
        assert_eq!((us.bare_heat(100.0), metric.bare_heat(100.0)), ("180".into(), "100".into()));
    }

    #[test]
    fn units_follow_the_programme() {
        let (us, metric) = (Wording::new(UnitSystem::Us), Wording::new(UnitSystem::Metric));
        // 1 international acre = 0.40468564224 ha, exact by definition.
        assert_eq!(
            (us.area(Area::acres(100.0)), metric.area(Area::acres(100.0))),
            ("100 acres".into(), "40 ha".into())
        );
        assert_eq!((us.day(date(2027, 5, 4)), metric.day(date(2027, 5, 4))), ("May 4".into(), "4 May".into()));
    }
}
