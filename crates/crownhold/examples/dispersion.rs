//! The count statistics from the command line, so that other programs can be set against them.
//!
//! `dispersion groups` reads counts from standard input, one group a line, and prints mean, variance and k of
//! each group, the common k and Taylor's law. `dispersion probabilities MEAN K MOST`, `dispersion total TOTAL
//! SIZE LEVEL` and `dispersion share HITS OF LEVEL` print single formulas. All print JSON; null stands for
//! "cannot be estimated".
#![allow(clippy::print_stdout)]

use crownhold::survey::{intervals, negative_binomial as nb};
use std::io::Read;

const USAGE: &str = "usage: dispersion groups < COUNTS | probabilities MEAN K MOST | total TOTAL SIZE LEVEL | \
share HITS OF LEVEL";

fn main() {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    match answer(&arguments) {
        Some(json) => println!("{json}"),
        None => {
            eprintln!("{USAGE}");
            std::process::exit(2);
        }
    }
}

fn answer(arguments: &[String]) -> Option<String> {
    let (word, rest) = arguments.split_first()?;
    let numbers: Vec<f64> = rest.iter().map(|a| a.parse().ok()).collect::<Option<_>>()?;
    match (word.as_str(), numbers.as_slice()) {
        ("groups", []) => groups(&read_groups()?),
        ("probabilities", [mean, k, most]) => {
            let each = (0..=*most as u32).map(|y| number(Some(nb::ln_probability(f64::from(y), *mean, *k).exp())));
            Some(format!("[{}]", each.collect::<Vec<_>>().join(", ")))
        }
        ("total", [total, size, level]) => Some(pair(nb::exact_interval(*total, *size, *level))),
        ("share", [hits, of, level]) => {
            let (wilson, exact) = (
                intervals::wilson(*hits as u32, *of as u32, *level),
                intervals::clopper_pearson(*hits as u32, *of as u32, *level),
            );
            Some(format!("{{\"wilson\": {}, \"clopper_pearson\": {}}}", pair(wilson), pair(exact)))
        }
        _ => None,
    }
}

/// One group of whole numbers a line; blank lines are skipped.
fn read_groups() -> Option<Vec<Vec<u32>>> {
    let mut text = String::new();
    std::io::stdin().read_to_string(&mut text).ok()?;
    let lines = text.lines().filter(|l| !l.trim().is_empty());
    lines.map(|l| l.split_whitespace().map(|c| c.parse().ok()).collect()).collect()
}

fn groups(counts: &[Vec<u32>]) -> Option<String> {
    let values: Vec<Vec<f64>> = counts.iter().map(|g| g.iter().map(|c| f64::from(*c)).collect()).collect();
    let each: Vec<String> = counts.iter().zip(&values).map(|(c, v)| group(c, v)).collect();
    let taylor = nb::taylor(&values);
    Some(format!(
        "{{\"groups\": [{}], \"common_k_likelihood\": {}, \"common_k_ratio\": {}, \"taylor_a\": {}, \"taylor_b\": {}}}",
        each.join(", "),
        number(nb::common_k_by_likelihood(counts)),
        number(nb::common_k(&values)),
        number(taylor.map(|t| t.0)),
        number(taylor.map(|t| t.1)),
    ))
}

fn group(counts: &[u32], values: &[f64]) -> String {
    let (mean, variance) = nb::moments(values);
    let k = nb::k_by_likelihood(counts);
    let fit = k.map(|k| values.iter().map(|y| nb::ln_probability(*y, mean, k)).sum::<f64>());
    format!(
        "{{\"n\": {}, \"mean\": {}, \"variance\": {}, \"k_moments\": {}, \"k_likelihood\": {}, \"ln_likelihood\": {}}}",
        counts.len(),
        number(Some(mean)),
        number(Some(variance)),
        number(nb::k_by_moments(values, false)),
        number(k),
        number(fit),
    )
}

fn pair((low, high): (f64, f64)) -> String {
    format!("[{}, {}]", number(Some(low)), number(Some(high)))
}

/// A number as JSON; what is not finite becomes null.
fn number(value: Option<f64>) -> String {
    value.filter(|v| v.is_finite()).map_or("null".to_owned(), |v| v.to_string())
}
