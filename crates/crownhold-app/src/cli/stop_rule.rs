//! `crownhold stop-rule`

use std::process::ExitCode;

use crownhold::survey::stopping::wald::{Adjusted, Realised, WaldPlan};
use crownhold::survey::stopping::{Last, StopTable};
use crownhold::types::{MassesPerArea, Parameters, Problem, UnitSystem};
use crownhold_print::stopping::{found, outlook, verdict};
use crownhold_print::wording::{Wording, chance, number, percent};

use super::table::{row, table};
use super::{args, say, say_json};
use crate::actions::stop_rule::{Lines, StopAnswer, StopWords, stop_rule};
use crate::trouble::Trouble;
use crate::wire::StopRuleJson;

/// True densities of the exact figures, per acre and per hectare.
const PER_ACRE: [f64; 7] = [100.0, 150.0, 200.0, 250.0, 300.0, 350.0, 500.0];
const PER_HECTARE: [f64; 7] = [250.0, 375.0, 500.0, 625.0, 750.0, 875.0, 1_250.0];

pub(super) fn run(a: &args::StopRule) -> Result<ExitCode, Trouble> {
    let us = per_acre(&a.per)?;
    let answer = stop_rule(&words(a, us)?, &Parameters::defaults())?;
    if a.json {
        say_json(&StopRuleJson::new(&answer, us));
    } else {
        say(&text(&answer, Wording::new(if us { UnitSystem::Us } else { UnitSystem::Metric })));
    }
    Ok(ExitCode::SUCCESS)
}

fn wrong(option: &str, found: &str, expected: &str) -> Trouble {
    let problem = Problem::error("A-174", format!("--{option} is \"{found}\"."), "Correct it.");
    Trouble::one(problem.column(option).expected(expected))
}

fn per_acre(per: &str) -> Result<bool, Trouble> {
    match per.trim().to_lowercase().as_str() {
        "acre" | "ac" | "acres" => Ok(true),
        "ha" | "hectare" | "hectares" => Ok(false),
        _ => Err(wrong("per", per, "acre or ha")),
    }
}

fn words(a: &args::StopRule, us: bool) -> Result<StopWords, Trouble> {
    let density = |v: f64| if us { MassesPerArea::per_acre(v) } else { MassesPerArea::per_hectare(v) };
    let one = |option: &str, value: Option<f64>| match value {
        Some(v) if !v.is_finite() => Err(wrong(option, &v.to_string(), "a number")),
        other => Ok(other.map(density)),
    };
    let listed = if us { PER_ACRE } else { PER_HECTARE };
    let at = a.at.as_deref().map(|t| numbers("at", t)).transpose()?.unwrap_or_else(|| listed.to_vec());
    Ok(StopWords {
        rule: a.rule.trim().to_lowercase(),
        low: one("low", a.low)?,
        high: one("high", a.high)?,
        threshold: one("threshold", a.threshold)?,
        precision: share(&a.precision)
            .ok_or_else(|| wrong("precision", &a.precision, "a share such as 25% or 0.25"))?,
        level: a.level,
        k: a.k,
        alpha: a.alpha,
        beta: a.beta,
        taylor: a.taylor.as_deref().map(|t| pair("taylor", t)).transpose()?,
        patchiness: a.patchiness.as_deref().map(|t| pair("patchiness", t)).transpose()?,
        plot: a.plot.clone().unwrap_or_default(),
        found: a
            .found
            .as_deref()
            .map(|t| share(t).ok_or_else(|| wrong("found", t, "a share such as 85% or 0.85")))
            .transpose()?,
        least: a.min,
        most: a.max,
        at: at.into_iter().map(density).collect(),
        counts: a.counts.as_deref().map(|t| numbers("counts", t)).transpose()?,
        adjust: a.adjust,
    })
}

/// "25%", "25 %" or "0.25".
pub(super) fn share(text: &str) -> Option<f64> {
    let text = text.trim();
    let (digits, by) = text.strip_suffix('%').map_or((text, 1.0), |t| (t.trim(), 0.01));
    digits.parse::<f64>().ok().filter(|v| v.is_finite() && *v > 0.0).map(|v| v * by)
}

/// Numbers not below 0 with commas or blanks between them; none at all is an empty list.
fn numbers(option: &str, text: &str) -> Result<Vec<f64>, Trouble> {
    let cells = text.split(|c: char| c == ',' || c.is_whitespace()).filter(|c| !c.is_empty());
    let read = |cell: &str| cell.parse::<f64>().ok().filter(|v| v.is_finite() && *v >= 0.0);
    cells
        .map(|c| read(c).ok_or_else(|| wrong(option, c, "numbers not below 0 with commas between them, such as 3,0,5")))
        .collect()
}

fn pair(option: &str, text: &str) -> Result<(f64, f64), Trouble> {
    let cells: Vec<Option<f64>> =
        text.split(',').map(|c| c.trim().parse().ok().filter(|v: &f64| v.is_finite())).collect();
    match cells.as_slice() {
        [Some(a), Some(b)] => Ok((*a, *b)),
        _ => Err(wrong(option, text, "two numbers with a comma between them")),
    }
}

fn text(answer: &StopAnswer, w: Wording) -> String {
    let mut out = head(answer, w);
    if let Some(advice) = &answer.advice {
        let so_far = found(advice, answer.seen(), answer.level, w);
        out += &format!("{so_far}.\n{}.\n", capital(&verdict(advice, &answer.table)));
        let outlook = outlook(advice, &answer.table);
        out += &if outlook.is_empty() { "\n".to_owned() } else { format!("{outlook}\n\n") };
    }
    out += "Add up the new masses of all plots so far.\n";
    out += &field_table(&answer.table);
    out += &last(&answer.table);
    out += &exact(answer, w);
    if let Lines::Wald { plan, realised, adjusted } = &answer.lines {
        out += &errors(plan, *realised, adjusted.as_ref(), w);
    }
    out
}

fn capital(text: &str) -> String {
    crownhold_print::wording::capital(text)
}

fn head(answer: &StopAnswer, w: Wording) -> String {
    let mut plots = format!("plots of {:.1} m2, k {}", answer.plot.as_square_metres(), answer.k);
    if answer.found < 1.0 {
        plots += &format!(", {} of the masses found", percent(answer.found));
    }
    let density = |d| format!("{} new masses per {}", w.bare_density(d), w.per_area());
    match &answer.lines {
        Lines::Wald { plan, .. } => {
            let (low, high) = (w.bare_density(plan.rule.low), density(plan.rule.high));
            format!("Wald's test: {low} against {high}, {plots}.\n\n")
        }
        Lines::Iwao { threshold, patchiness } => format!(
            "Iwao's plan around {}, {plots}, alpha {}, beta {}, {:.0} %.\n\n",
            density(*threshold),
            patchiness.alpha,
            patchiness.beta,
            100.0 * answer.level
        ),
        Lines::Green { taylor } => {
            let law = format!("Taylor's a {}, b {}", taylor.0, taylor.1);
            format!("Green's line for a standard error of {:.0} %, {plots}, {law}.\n\n", 100.0 * answer.precision)
        }
        Lines::Kuno { patchiness } => {
            let law = format!("alpha {}, beta {}", patchiness.alpha, patchiness.beta);
            format!("Kuno's line for a standard error of {:.0} %, {plots}, {law}.\n\n", 100.0 * answer.precision)
        }
    }
}

fn field_table(lines: &StopTable) -> String {
    let decides = lines.last() != Last::Nothing;
    let whole = |v: Option<u32>| v.map_or("-".to_owned(), |v| v.to_string());
    let mut rows = vec![if decides {
        row(["plots", "stop, below: total at most", "stop, above: total at least"])
    } else {
        row(["plots", "stop: total at least"])
    }];
    rows.extend(lines.rows().iter().map(|r| {
        let mut cells = vec![r.plots.to_string()];
        if decides {
            cells.push(whole(r.whole_below()));
        }
        cells.push(whole(r.whole_above()));
        cells
    }));
    table(&rows, "rrr")
}

fn last(lines: &StopTable) -> String {
    let n = lines.most();
    match lines.last() {
        Last::Mean(cut) => {
            let most = ((cut * f64::from(n)).ceil() - 1.0).max(0.0);
            format!("After plot {n} without a stop the mean decides: {most:.0} or less is below, more is above.\n\n")
        }
        Last::Nothing => format!("After plot {n} without a stop the figure is less precise than wished.\n\n"),
    }
}

fn exact(answer: &StopAnswer, w: Wording) -> String {
    let per = format!("true density per {}", w.per_area());
    let precise = answer.table.last() == Last::Nothing;
    let mut rows = vec![if precise {
        vec![per, "line reached".into(), "plots, mean".into(), "9 in 10 within".into(), "error".into(), "bias".into()]
    } else {
        vec![per, "answer \"below\"".into(), "plots, mean".into(), "9 in 10 within".into()]
    }];
    for (density, course) in &answer.exact {
        let mean = density.as_per_square_metre() * answer.seen().as_square_metres();
        let share = |v: f64| format!("{:.1} %", 100.0 * v);
        let hit = if precise { course.above } else { course.below };
        let mut cells = vec![w.bare_density(*density), share(hit), format!("{:.1}", course.mean_plots)];
        cells.push(course.enough(0.9).to_string());
        if let Some((middle, error)) = course.estimate {
            cells.extend([share(error / mean), share(middle / mean - 1.0)]);
        }
        rows.push(cells);
    }
    format!("What it really does (exact, for counts with k {}):\n{}", answer.k, table(&rows, "rrrrrr"))
}

fn errors(plan: &WaldPlan, realised: Realised, adjusted: Option<&Adjusted>, w: Wording) -> String {
    let rule = &plan.rule;
    let (low, high) = (w.bare_density(rule.low), w.bare_density(rule.high));
    let mut out = format!(
        "\n\"Above\" at {low}: asked for {}, really {:.3}. \"Below\" at {high}: asked for {}, really {:.3}.\n",
        rule.alpha, realised.alpha, rule.beta, realised.beta
    );
    match adjusted {
        None => {}
        Some(Adjusted::NeedsPlots(Some(n))) => {
            out += &format!("No lines keep both with {} plots at most; {n} plots would do.\n", rule.most);
        }
        Some(Adjusted::NeedsPlots(None)) => {
            out += "No lines keep both, and 300 plots would not either: take densities further apart.\n";
        }
        Some(Adjusted::Plan(better)) => {
            let errors = better.realised();
            let middle = better.at(rule.middle()).mean_plots;
            out += &format!(
                "To keep both: --alpha {:.4} --beta {:.4} makes {:.3} and {:.3}; at the middle {} plots on average.\n",
                better.rule.alpha,
                better.rule.beta,
                errors.alpha,
                errors.beta,
                number(middle)
            );
        }
    }
    let (half, double) = (plan.at_with_k(rule.high, 0.5 * rule.k).below, plan.at_with_k(rule.low, 0.5 * rule.k).above);
    out += &format!(
        "If k were really {}: \"above\" at {low} {}, \"below\" at {high} {}.\n",
        0.5 * rule.k,
        chance(double),
        chance(half)
    );
    out
}
