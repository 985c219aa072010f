//! `crownhold parameters`

use std::process::ExitCode;

use crownhold::types::{Parameter, Parameters, Problem, Value};
use crownhold_data::store::{ProgrammeFile, StoreError};

use super::{args, say, say_json};
use crate::trouble::Trouble;
use crate::{actions, clock};

pub(super) fn run(a: &args::Parameters) -> Result<ExitCode, Trouble> {
    if let Some(assignment) = &a.set {
        return set(a, assignment);
    }
    if let Some(name) = &a.restore {
        return restore(a, name);
    }
    let parameters = actions::records(&a.programme)?.parameters;
    let shown: Vec<&Parameter> = parameters.iter().filter(|p| p.name.starts_with(&a.only)).collect();
    if a.json {
        let all: Vec<_> = shown
            .iter()
            .map(|p| {
                serde_json::json!({
                    "name": p.name, "value": p.value.to_string(), "unit": p.unit, "meaning": p.meaning,
                    "known": p.known.word(), "source": p.source
                })
            })
            .collect();
        say_json(&all);
    } else {
        shown.iter().for_each(|p| {
            say(&format!("{} = {} {}\n    {}\n    {}: {}", p.name, p.value, p.unit, p.meaning, p.known, p.source))
        });
    }
    Ok(ExitCode::SUCCESS)
}

fn set(a: &args::Parameters, assignment: &str) -> Result<ExitCode, Trouble> {
    let (name, text) = assignment.split_once('=').ok_or_else(|| wrong(assignment, "NAME=VALUE"))?;
    let defaults = Parameters::defaults();
    let default = defaults.get(name.trim()).ok_or_else(|| unknown(name))?;
    let form = default.value;
    let value = value(text, form).ok_or_else(|| wrong(text, form_words(form)))?;
    if !default.allows(value) {
        return Err(wrong(text, &default.expected()));
    }
    let source = a.source.clone().unwrap_or_default();
    change(a, &format!("parameter {} set to {value}", name.trim()), |p| {
        p.set(name.trim(), value, &source);
    })
}

fn restore(a: &args::Parameters, name: &str) -> Result<ExitCode, Trouble> {
    let defaults = Parameters::defaults();
    if name == "all" {
        return change(a, "all parameters restored to their defaults", |p| *p = defaults);
    }
    if defaults.get(name).is_none() {
        return Err(unknown(name));
    }
    change(a, &format!("parameter {name} restored to its default"), |p| {
        p.restore(name);
    })
}

fn change(a: &args::Parameters, what: &str, f: impl FnOnce(&mut Parameters)) -> Result<ExitCode, Trouble> {
    let mut file = ProgrammeFile::open(&a.programme)?;
    file.change(&actions::author(a.author.as_deref()), &clock::now(), what, |records| {
        f(&mut records.parameters);
        Ok::<_, StoreError>(())
    })?;
    file.close()?;
    say(&format!("Done: {what}."));
    Ok(ExitCode::SUCCESS)
}

/// Reads a value in the form of the default.
fn value(text: &str, form: Value) -> Option<Value> {
    let numbers: Option<Vec<f64>> = text.split([',', '±']).map(|n| n.trim().parse().ok()).collect();
    match (form, numbers?.as_slice()) {
        (_, [v]) => Some(Value::Number(*v)),
        (Value::Normal(..), [mean, sd]) => Some(Value::Normal(*mean, *sd)),
        (Value::Triangular(..), [a, b, c]) => Some(Value::Triangular(*a, *b, *c)),
        (Value::Lognormal(..), [a, b, c]) => Some(Value::Lognormal(*a, *b, *c)),
        _ => None,
    }
}

fn form_words(form: Value) -> &'static str {
    match form {
        Value::Number(_) => "one number",
        Value::Triangular(..) => "one number, or least,most likely,greatest",
        Value::Lognormal(..) => "one number, or the 5,50,95 % points, above zero",
        Value::Normal(..) => "one number, or mean±sd",
    }
}

fn wrong(text: &str, expected: &str) -> Trouble {
    Trouble::one(Problem::error("A-050", format!("\"{text}\" cannot be used."), "").expected(expected))
}

fn unknown(name: &str) -> Trouble {
    Trouble::one(Problem::error(
        "A-051",
        format!("There is no parameter \"{name}\"."),
        "List them with: crownhold parameters PROGRAMME",
    ))
}
