//! A stop rule from words, with what it really does.

use crownhold::survey::stopping::StopTable;
use crownhold::survey::stopping::advice::{Advice, Expectation, advice};
use crownhold::survey::stopping::exact::{Course, course};
use crownhold::survey::stopping::lines::{Patchiness, green_table, iwao_table, kuno_table};
use crownhold::survey::stopping::wald::{Adjusted, MOST_PLOTS, Realised, WaldPlan, WaldRule};
use crownhold::types::chance::normal_quantile;
use crownhold::types::{Area, MassesPerArea, Parameters, Problem};
use crownhold_data::formats::plot_in_words;

use crate::trouble::Trouble;

/// What is asked; what is `None` comes from the parameters.
#[derive(Clone, Debug, Default)]
pub struct StopWords {
    /// wald, iwao, green or kuno.
    pub rule: String,
    /// Density where "below" is right.
    pub low: Option<MassesPerArea>,
    /// Density where "above" is right.
    pub high: Option<MassesPerArea>,
    /// Iwao's threshold.
    pub threshold: Option<MassesPerArea>,
    /// Relative standard error wished for (Green, Kuno), as a share.
    pub precision: f64,
    /// Confidence of Iwao's lines and of intervals.
    pub level: f64,
    /// Dispersion.
    pub k: Option<f64>,
    /// Nominal error.
    pub alpha: Option<f64>,
    /// Nominal error.
    pub beta: Option<f64>,
    /// Taylor's a and b.
    pub taylor: Option<(f64, f64)>,
    /// Iwao's alpha and beta; from k when they are not given.
    pub patchiness: Option<(f64, f64)>,
    /// Plot in words; blank takes the parameter.
    pub plot: String,
    /// Share of the masses on a plot that is found.
    pub found: Option<f64>,
    /// Least plots.
    pub least: Option<u32>,
    /// Most plots.
    pub most: Option<u32>,
    /// True densities for the exact figures, besides those of the rule.
    pub at: Vec<MassesPerArea>,
    /// Counts so far, one per plot.
    pub counts: Option<Vec<f64>>,
    /// Search nominal errors whose real ones keep the limits.
    pub adjust: bool,
}

/// The lines asked for.
#[derive(Clone, Debug)]
pub enum Lines {
    /// Between two densities.
    Wald {
        /// The plan.
        plan: WaldPlan,
        /// Its real errors.
        realised: Realised,
        /// The search, when it was asked for.
        adjusted: Option<Adjusted>,
    },
    /// Around one density.
    Iwao {
        /// It.
        threshold: MassesPerArea,
        /// Variance law.
        patchiness: Patchiness,
    },
    /// Fixed precision, Taylor's law.
    Green {
        /// a and b.
        taylor: (f64, f64),
    },
    /// Fixed precision, Iwao's law.
    Kuno {
        /// Variance law.
        patchiness: Patchiness,
    },
}

/// The answer.
#[derive(Clone, Debug)]
pub struct StopAnswer {
    /// Which lines.
    pub lines: Lines,
    /// The lines plot by plot.
    pub table: StopTable,
    /// Plot area.
    pub plot: Area,
    /// Share of the masses on a plot that is found; the totals of the table are of masses found.
    pub found: f64,
    /// Dispersion used for the exact figures.
    pub k: f64,
    /// Precision wished for.
    pub precision: f64,
    /// Level of intervals.
    pub level: f64,
    /// Least plots.
    pub least: u32,
    /// Exact figures by true density.
    pub exact: Vec<(MassesPerArea, Course)>,
    /// Advice after the counts.
    pub advice: Option<Advice>,
}

impl StopAnswer {
    /// Area that holds as many masses as are found on a plot: with negative binomial counts, finding the share d of them
    /// leaves counts of the same k with d times the mean.
    pub fn seen(&self) -> Area {
        self.plot * self.found
    }
}

/// Works the rule out.
///
/// # Errors
/// Every number that cannot be used.
pub fn stop_rule(words: &StopWords, parameters: &Parameters) -> Result<StopAnswer, Trouble> {
    let number = |given: Option<f64>, name: &str| given.unwrap_or_else(|| parameters.number(name));
    let plot = plot(&words.plot, parameters)?;
    let k = number(words.k, "survey.k");
    let least = words.least.unwrap_or_else(|| parameters.number("survey.stop.least") as u32);
    let most = words.most.unwrap_or_else(|| parameters.number("survey.stop.most").max(f64::from(least)) as u32);
    let found = number(words.found, "survey.detection");
    check(words, k, found, least, most)?;
    let per_acre = |given: Option<MassesPerArea>, name: &str| {
        given.unwrap_or_else(|| MassesPerArea::per_acre(parameters.number(name)))
    };
    let rule = WaldRule {
        low: per_acre(words.low, "survey.stop.low"),
        high: per_acre(words.high, "survey.stop.high"),
        k,
        alpha: number(words.alpha, "survey.stop.alpha"),
        beta: number(words.beta, "survey.stop.beta"),
        plot: plot * found,
        least,
        most,
    };
    let (lines, table) = lines(words, rule, parameters)?;
    let densities = densities(words, &lines);
    let exact = densities.into_iter().map(|d| (d, course(&table, rule.on_a_plot(d), k))).collect();
    let advice = words.counts.as_ref().map(|counts| {
        let expected = expectation(parameters, rule.plot);
        advice(&table, counts.len() as u32, counts.iter().sum(), k, expected, words.level)
    });
    Ok(StopAnswer {
        lines,
        table,
        plot,
        found,
        k,
        precision: words.precision,
        level: words.level,
        least,
        exact,
        advice,
    })
}

/// What is expected of a plot of this area before any count, from the parameters.
pub fn expectation(parameters: &Parameters, plot: Area) -> Expectation {
    let level = MassesPerArea::per_acre(parameters.number("survey.prior.level"));
    let median = level.as_per_square_metre() * plot.as_square_metres();
    Expectation { median, width: parameters.number("survey.prior.level_width") }
}

fn plot(words: &str, parameters: &Parameters) -> Result<Area, Trouble> {
    if words.trim().is_empty() {
        return Ok(Area::acres(parameters.number("survey.plot")));
    }
    plot_in_words(words).and_then(|(_, area)| area).ok_or_else(|| {
        let problem = Problem::error("A-173", format!("\"{words}\" is not a plot with an area."), "");
        Trouble::one(
            problem.column("plot").expected("a size with its unit, such as 1/40 acre, 100 m2 or circle 18.6 ft"),
        )
    })
}

fn check(words: &StopWords, k: f64, found: f64, least: u32, most: u32) -> Result<(), Trouble> {
    let mut problems = Vec::new();
    let mut need = |holds: bool, name: &str, found: String, expected: &str| {
        if !holds {
            let problem = Problem::error("A-174", format!("--{name} is {found}."), "Correct it.");
            problems.push(problem.column(name).expected(expected));
        }
    };
    need(
        ["wald", "iwao", "green", "kuno"].contains(&words.rule.as_str()),
        "rule",
        words.rule.clone(),
        "wald, iwao, green or kuno",
    );
    need((0.01..=1.0).contains(&words.precision), "precision", words.precision.to_string(), "1% to 100%");
    need((0.5..1.0).contains(&words.level), "level", words.level.to_string(), "a share from 0.5 to below 1");
    need((0.01..=1_000.0).contains(&k), "k", k.to_string(), "0.01 to 1000");
    need(found > 0.0 && found <= 1.0, "found", found.to_string(), "a share above 0, at most 100 %");
    need(
        least >= 1 && least <= most && most <= MOST_PLOTS,
        "max",
        format!("{most}, with --min {least}"),
        "1 <= min <= max <= 300",
    );
    if let Some((a, b)) = words.taylor {
        need(a > 0.0 && (0.5..2.0).contains(&b), "taylor", format!("{a},{b}"), "a above 0 and b from 0.5 to below 2");
    }
    if let Some((alpha, beta)) = words.patchiness {
        need(alpha > -1.0 && beta >= 1.0, "patchiness", format!("{alpha},{beta}"), "alpha above -1 and beta from 1");
    }
    if problems.is_empty() { Ok(()) } else { Err(problems.into()) }
}

fn lines(words: &StopWords, rule: WaldRule, parameters: &Parameters) -> Result<(Lines, StopTable), Trouble> {
    let patchiness =
        words.patchiness.map_or_else(|| Patchiness::of_k(rule.k), |(alpha, beta)| Patchiness { alpha, beta });
    let (least, most) = (rule.least, rule.most);
    Ok(match words.rule.as_str() {
        "iwao" => {
            let threshold = words.threshold.unwrap_or_else(|| rule.middle());
            let t = normal_quantile(0.5 + 0.5 * words.level);
            let table = iwao_table(rule.on_a_plot(threshold), patchiness, t, least, most);
            (Lines::Iwao { threshold, patchiness }, table)
        }
        "green" => {
            let default = (parameters.number("survey.taylor.a"), parameters.number("survey.taylor.b"));
            let (a, b) = words.taylor.unwrap_or(default);
            (Lines::Green { taylor: (a, b) }, green_table(a, b, words.precision, least, most))
        }
        "kuno" => (Lines::Kuno { patchiness }, kuno_table(patchiness, words.precision, least, most)),
        _ => {
            let plan = rule.plan()?;
            let adjusted = words.adjust.then(|| plan.adjusted());
            let table = plan.table.clone();
            (Lines::Wald { realised: plan.realised(), adjusted, plan }, table)
        }
    })
}

/// Densities of the exact figures: those asked for and those of the rule, each once, rising.
fn densities(words: &StopWords, lines: &Lines) -> Vec<MassesPerArea> {
    let mut all = words.at.clone();
    match lines {
        Lines::Wald { plan, .. } => all.extend([plan.rule.low, plan.rule.middle(), plan.rule.high]),
        Lines::Iwao { threshold, .. } => all.push(*threshold),
        Lines::Green { .. } | Lines::Kuno { .. } => {}
    }
    all.retain(|d| d.as_per_acre() > 0.0);
    all.sort_by(|a, b| a.as_per_acre().total_cmp(&b.as_per_acre()));
    all.dedup_by(|a, b| (a.as_per_acre() - b.as_per_acre()).abs() < 1e-9);
    all
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use crownhold::types::Value;

    use super::*;

    /// Counters who find two thirds: the rule is that of plots two thirds as large, and what is found is told as what is there.
    #[test]
    fn counters_who_do_not_find_everything() {
        let words = |plot: &str| StopWords {
            rule: "wald".to_owned(),
            precision: 0.25,
            level: 0.9,
            plot: plot.to_owned(),
            counts: Some(vec![2.0; 6]),
            ..StopWords::default()
        };
        let mut parameters = Parameters::defaults();
        let all = stop_rule(&words("150 m2"), &parameters).unwrap();
        let smaller = stop_rule(&words("100 m2"), &parameters).unwrap();
        assert!(parameters.set("survey.detection", Value::Number(2.0 / 3.0), "a recount"));
        let some = stop_rule(&words("150 m2"), &parameters).unwrap();
        let limits =
            |a: &StopAnswer| a.table.rows().iter().map(|r| (r.whole_below(), r.whole_above())).collect::<Vec<_>>();
        assert_eq!(limits(&some), limits(&smaller));
        assert!(limits(&some).iter().zip(limits(&all)).all(|(s, a)| s.0 <= a.0 && s.1 <= a.1));
        assert!((some.seen().as_square_metres() - 100.0).abs() < 1e-9 && some.plot == all.plot);
        let refused = stop_rule(&StopWords { found: Some(1.2), ..words("150 m2") }, &parameters);
        assert!(format!("{:?}", refused.unwrap_err()).contains("found"));
    }
}
