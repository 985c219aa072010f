//! Parameters: every constant of the trade with its value, unit, source and how it is known.
//!
//! The catalogue of defaults is put together from one list per room. A programme keeps its own
//! values beside them; a default can always be restored. Values stay in the unit of their source;
//! the room that reads one converts it.

use std::collections::BTreeMap;

use super::records::choice;

choice! {
    /// How a value is known.
    Known {
        /// Read in a publication that is named.
        Published = "published",
        /// Worked out from published data or a published identity that is named.
        Derived = "derived from published data",
        /// Common practice; no source.
        CommonPractice = "common practice, no source",
        /// From memory of a publication; to be checked.
        FromMemory = "from memory",
        /// An assumption of this program, to be replaced by local knowledge.
        Assumption = "assumption",
        /// Entered by this programme.
        Local = "entered by this programme",
    }
}

/// A value: one number, or a distribution.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Value {
    /// One number.
    Number(f64),
    /// Triangular: least, most likely, greatest.
    Triangular(f64, f64, f64),
    /// Lognormal by its 5 %, 50 % and 95 % points (the tails may be uneven; each side has its own spread).
    Lognormal(f64, f64, f64),
    /// Normal: mean and standard deviation.
    Normal(f64, f64),
}

impl Value {
    /// The central value: the number, the mode, the median or the mean.
    pub fn centre(self) -> f64 {
        match self {
            Self::Number(v) | Self::Triangular(_, v, _) | Self::Lognormal(_, v, _) | Self::Normal(v, _) => v,
        }
    }
    /// The value at a quantile between 0 and 1 (for a number, the number).
    pub fn quantile(self, p: f64) -> f64 {
        match self {
            Self::Number(v) => v,
            Self::Triangular(low, mode, high) => triangular_quantile(p, low, mode, high),
            Self::Lognormal(low, median, high) => {
                let z = super::chance::normal_quantile(p);
                let far = if z < 0.0 { median / low } else { high / median };
                median * libm::exp(z * libm::log(far) / 1.644_853_626_951_472_2)
            }
            Self::Normal(mean, sd) => mean + sd * super::chance::normal_quantile(p),
        }
    }
    /// The numbers that say what it spans; for a normal only its mean.
    pub fn ends(self) -> Vec<f64> {
        match self {
            Self::Number(v) | Self::Normal(v, _) => vec![v],
            Self::Triangular(a, b, c) | Self::Lognormal(a, b, c) => vec![a, b, c],
        }
    }
    /// Mean of the distribution.
    pub fn mean(self) -> f64 {
        match self {
            Self::Number(v) | Self::Normal(v, _) => v,
            Self::Triangular(a, b, c) => (a + b + c) / 3.0,
            Self::Lognormal(..) => (0..200).map(|i| self.quantile((f64::from(i) + 0.5) / 200.0)).sum::<f64>() / 200.0,
        }
    }
    /// Is it well formed: finite, in order, spreads not negative?
    pub fn is_sound(self) -> bool {
        match self {
            Self::Number(v) => v.is_finite(),
            Self::Triangular(a, b, c) => a.is_finite() && c.is_finite() && a <= b && b <= c,
            Self::Lognormal(a, b, c) => a > 0.0 && a <= b && b <= c && c.is_finite(),
            Self::Normal(m, s) => m.is_finite() && s.is_finite() && s >= 0.0,
        }
    }
}

fn triangular_quantile(p: f64, low: f64, mode: f64, high: f64) -> f64 {
    if high <= low {
        return mode;
    }
    let split = (mode - low) / (high - low);
    if p < split {
        low + (p * (high - low) * (mode - low)).sqrt()
    } else {
        high - ((1.0 - p) * (high - low) * (high - mode)).sqrt()
    }
}

impl std::fmt::Display for Value {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Number(v) => write!(f, "{v}"),
            Self::Triangular(a, b, c) | Self::Lognormal(a, b, c) if a >= c => write!(f, "{b}"),
            Self::Triangular(a, b, c) => write!(f, "{b} ({a} to {c})"),
            Self::Lognormal(a, b, c) => write!(f, "{b} (5-95 %: {a} to {c})"),
            Self::Normal(m, s) => write!(f, "{m} ± {s}"),
        }
    }
}

/// One parameter.
#[derive(Clone, Debug, PartialEq)]
pub struct Parameter {
    /// Dotted name: room, thing, part.
    pub name: String,
    /// Value in `unit`.
    pub value: Value,
    /// Unit.
    pub unit: String,
    /// What it is, in one line.
    pub meaning: String,
    /// Source, or why this value.
    pub source: String,
    /// How known.
    pub known: Known,
}

impl Parameter {
    /// Can it have this value? A share or a chance lies between 0 and 1; what is not negative by default never is.
    pub fn allows(&self, value: Value) -> bool {
        let (low, high) = self.bounds();
        value.is_sound() && value.ends().iter().all(|v| (low..=high).contains(v))
    }

    /// The values it can have, in words.
    pub fn expected(&self) -> String {
        match self.bounds() {
            (0.0, 1.0) => "a share from 0 to 1".to_owned(),
            (0.0, _) => format!("not less than 0, in {}", self.unit),
            _ => format!("a number in {}", self.unit),
        }
    }

    fn bounds(&self) -> (f64, f64) {
        let is = |word: &str| self.unit == word || self.unit.starts_with(&format!("{word} "));
        if (is("share") || is("chance")) && self.value.ends().iter().all(|v| (0.0..=1.0).contains(v)) {
            (0.0, 1.0)
        } else if self.value.ends().iter().all(|v| *v >= 0.0) && !self.unit.contains("logit") {
            (0.0, f64::INFINITY)
        } else {
            (f64::NEG_INFINITY, f64::INFINITY)
        }
    }
}

/// A line of the catalogue of defaults.
pub(crate) struct Default(pub &'static str, pub Value, pub &'static str, pub &'static str, pub Known, pub &'static str);

/// The parameters of a programme: the defaults, with this programme's own values laid over them.
#[derive(Clone, Debug, PartialEq)]
pub struct Parameters {
    all: BTreeMap<String, Parameter>,
}

impl Parameters {
    /// The catalogue of defaults.
    pub fn defaults() -> Self {
        let rooms = [
            super::super::timing::DEFAULTS,
            super::super::timing::weather_defaults::DEFAULTS,
            super::super::survey::DEFAULTS,
            super::super::outlook::DEFAULTS,
            super::super::tactics::DEFAULTS,
            super::super::tactics::stress::DEFAULTS,
            super::super::plan::DEFAULTS,
            super::super::plan::reserve::DEFAULTS,
            super::super::field::DEFAULTS,
            super::super::field::crews::DEFAULTS,
            super::super::field::rounds::DEFAULTS,
        ];
        let all = rooms
            .into_iter()
            .flatten()
            .map(|Default(name, value, unit, meaning, known, source)| {
                let parameter = Parameter {
                    name: (*name).to_owned(),
                    value: *value,
                    unit: (*unit).to_owned(),
                    meaning: (*meaning).to_owned(),
                    source: (*source).to_owned(),
                    known: *known,
                };
                (parameter.name.clone(), parameter)
            })
            .collect();
        Self { all }
    }

    /// Every parameter in name order.
    pub fn iter(&self) -> impl Iterator<Item = &Parameter> {
        self.all.values()
    }

    /// One parameter by name, if there is one.
    pub fn get(&self, name: &str) -> Option<&Parameter> {
        self.all.get(name)
    }

    /// The value of a parameter of the catalogue.
    ///
    /// # Panics
    /// If the catalogue has no such name; names are constants of the rooms, so that is our own fault.
    pub fn value(&self, name: &str) -> Value {
        self.all.get(name).unwrap_or_else(|| panic!("parameter {name} is in the catalogue")).value
    }

    /// The central value of a parameter of the catalogue.
    pub fn number(&self, name: &str) -> f64 {
        self.value(name).centre()
    }

    /// Takes over a programme's own value. False when the catalogue has no such name or the value cannot be
    /// (see [`Parameter::allows`]).
    pub fn set(&mut self, name: &str, value: Value, source: &str) -> bool {
        match self.all.get_mut(name) {
            Some(p) if p.allows(value) => {
                p.value = value;
                p.known = Known::Local;
                source.clone_into(&mut p.source);
                true
            }
            _ => false,
        }
    }

    /// Takes the default back. False when the catalogue has no such name.
    pub fn restore(&mut self, name: &str) -> bool {
        match (self.all.get_mut(name), Self::defaults().all.remove(name)) {
            (Some(own), Some(default)) => {
                *own = default;
                true
            }
            _ => false,
        }
    }

    /// The names that differ from the default, with the default.
    pub fn changed(&self) -> Vec<(&Parameter, Parameter)> {
        let defaults = Self::defaults();
        self.iter().filter_map(|p| defaults.all.get(&p.name).filter(|d| *d != p).map(|d| (p, d.clone()))).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn quantiles_meet_their_points() {
        let t = Value::Triangular(0.1, 0.25, 0.5);
        assert!((t.quantile(0.0) - 0.1).abs() < 1e-12 && (t.quantile(1.0) - 0.5).abs() < 1e-12);
        let l = Value::Lognormal(250.0, 500.0, 900.0);
        for (p, x) in [(0.05, 250.0), (0.5, 500.0), (0.95, 900.0)] {
            assert!((l.quantile(p) - x).abs() < 1e-6, "{p}");
        }
    }

    #[test]
    fn nonsense_is_not_taken() {
        let mut p = Parameters::defaults();
        assert!(!p.set("aerial.price", Value::Number(-3.0), "x"));
        assert!(!p.set("aerial.kill.once", Value::Number(1.5), "x"));
        assert!(!p.set("outlook.accepted_chance.school", Value::Number(5.0), "x"));
        assert!(p.set("outlook.trend.falling", Value::Number(-1.0), "local plots"));
        assert!(p.set("aerial.price", Value::Number(88.0), "bid"));
        assert_eq!(p.get("aerial.price").map(|p| p.known), Some(Known::Local));
    }

    #[test]
    fn every_default_is_sound_and_explained() {
        for p in Parameters::defaults().iter() {
            assert!(p.value.is_sound(), "{}", p.name);
            assert!(!p.unit.is_empty() && !p.meaning.is_empty() && !p.source.is_empty(), "{}", p.name);
        }
    }
}
