//! The constants behind the figures: set, restored.

use std::path::Path;

use crownhold::types::{Parameter, Parameters, Problem, Value};

use super::{By, Done, act};
use crate::trouble::Trouble;

/// Sets a parameter to a value in words, with where it comes from.
///
/// # Errors
/// When there is no such parameter, it cannot have that value, or no source is given.
pub fn set(path: &Path, name: &str, text: &str, source: &str, by: By<'_>) -> Result<Done, Trouble> {
    let defaults = Parameters::defaults();
    let default = default(&defaults, name)?;
    let value = value(text, default)?;
    if source.trim().is_empty() {
        let what = format!("The new value of {} has no source.", default.name);
        return Err(Trouble::one(Problem::error("A-052", what, "Say where it comes from.")));
    }
    act(path, by, |records| {
        records.parameters.set(&default.name, value, source.trim());
        Ok(Done::new(format!("parameter {} set to {value}", default.name), default.name.as_str()))
    })
}

/// Restores the default of one parameter.
///
/// # Errors
/// When there is no such parameter.
pub fn restore(path: &Path, name: &str, by: By<'_>) -> Result<Done, Trouble> {
    let defaults = Parameters::defaults();
    let name = default(&defaults, name)?.name.as_str();
    act(path, by, |records| {
        records.parameters.restore(name);
        Ok(Done::new(format!("parameter {name} restored to its default"), name))
    })
}

/// Restores every default.
///
/// # Errors
/// When the file cannot be changed.
pub fn restore_all(path: &Path, by: By<'_>) -> Result<Done, Trouble> {
    act(path, by, |records| {
        records.parameters = Parameters::defaults();
        Ok(Done::new("all parameters restored to their defaults", ""))
    })
}

fn default<'d>(defaults: &'d Parameters, name: &str) -> Result<&'d Parameter, Trouble> {
    defaults.get(name.trim()).ok_or_else(|| {
        let what = format!("There is no parameter \"{}\".", name.trim());
        Trouble::one(Problem::error("A-051", what, "List them with: crownhold parameters PROGRAMME"))
    })
}

/// Reads a value in the form of a parameter's default: one number, or "least,most likely,greatest", "5,50,95 %
/// points" or "mean±sd" where the default has that form.
///
/// # Errors
/// When it is none, or the parameter cannot have it.
pub fn value(text: &str, default: &Parameter) -> Result<Value, Trouble> {
    let form = default.value;
    let value = in_form(text, form).ok_or_else(|| wrong(text, form_words(form)))?;
    if default.allows(value) { Ok(value) } else { Err(wrong(text, &default.expected())) }
}

fn in_form(text: &str, form: Value) -> Option<Value> {
    let numbers: Option<Vec<f64>> = text.split([',', '±']).map(|n| n.trim().parse().ok()).collect();
    match (form, numbers?.as_slice()) {
        (_, [v]) => Some(Value::Number(*v)),
        (Value::Normal(..), [mean, sd]) => Some(Value::Normal(*mean, *sd)),
        (Value::Triangular(..), [a, b, c]) => Some(Value::Triangular(*a, *b, *c)),
        (Value::Lognormal(..), [a, b, c]) => Some(Value::Lognormal(*a, *b, *c)),
        _ => None,
    }
}

/// How a value of this form may be written.
pub fn form_words(form: Value) -> &'static str {
    match form {
        Value::Number(_) => "one number",
        Value::Triangular(..) => "one number, or least, most likely, greatest",
        Value::Lognormal(..) => "one number, or the 5,50,95 % points, above zero",
        Value::Normal(..) => "one number, or mean±sd",
    }
}

/// A value as it is typed; [`value`] reads it back.
pub fn typed(value: Value) -> String {
    match value {
        Value::Number(v) => v.to_string(),
        Value::Triangular(a, b, c) | Value::Lognormal(a, b, c) => format!("{a}, {b}, {c}"),
        Value::Normal(mean, sd) => format!("{mean} ± {sd}"),
    }
}

/// Not a value.
pub(crate) fn wrong(text: &str, expected: &str) -> Trouble {
    Trouble::one(Problem::error("A-050", format!("\"{text}\" cannot be used."), "").expected(expected))
}

#[cfg(test)]
mod tests {
    use crownhold::types::Parameters;

    use super::{typed, value};

    #[test]
    fn every_default_can_be_typed_again() {
        for p in Parameters::defaults().iter() {
            assert_eq!(value(&typed(p.value), p).ok(), Some(p.value), "{}", p.name);
        }
    }
}
