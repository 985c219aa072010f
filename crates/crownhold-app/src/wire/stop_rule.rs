//! `stop-rule --json`.

use crownhold::survey::stopping::advice::Advice;
use crownhold::survey::stopping::exact::Course;
use crownhold::survey::stopping::wald::{Adjusted, WaldPlan};
use crownhold::survey::stopping::{End, Last, Row};
use crownhold::types::MassesPerArea;
use serde::Serialize;

use super::round;
use crate::actions::stop_rule::{Lines, StopAnswer};

/// A stop rule with its exact figures.
#[derive(Serialize, Debug)]
pub struct StopRuleJson {
    rule: &'static str,
    per: &'static str,
    plot_square_metres: f64,
    share_found: f64,
    k: f64,
    min: u32,
    max: u32,
    #[serde(flatten)]
    lines: LinesJson,
    table: Vec<RowJson>,
    last_plot_below_up_to: Option<u32>,
    exact: Vec<ExactJson>,
    advice: Option<AdviceJson>,
}

#[derive(Serialize, Debug)]
#[serde(untagged)]
enum LinesJson {
    Wald {
        low: f64,
        high: f64,
        alpha: f64,
        beta: f64,
        slope: f64,
        low_intercept: f64,
        high_intercept: f64,
        realised_alpha: f64,
        realised_beta: f64,
        #[serde(skip_serializing_if = "Option::is_none")]
        adjusted: Option<AdjustedJson>,
    },
    Iwao {
        threshold: f64,
        level: f64,
        patchiness_alpha: f64,
        patchiness_beta: f64,
    },
    Green {
        precision: f64,
        taylor_a: f64,
        taylor_b: f64,
    },
    Kuno {
        precision: f64,
        patchiness_alpha: f64,
        patchiness_beta: f64,
    },
}

#[derive(Serialize, Debug)]
struct AdjustedJson {
    found: bool,
    plots_enough: Option<u32>,
    #[serde(flatten)]
    plan: Option<AdjustedPlanJson>,
}

#[derive(Serialize, Debug)]
struct AdjustedPlanJson {
    alpha: f64,
    beta: f64,
    slope: f64,
    low_intercept: f64,
    high_intercept: f64,
    realised_alpha: f64,
    realised_beta: f64,
}

#[derive(Serialize, Debug)]
struct RowJson {
    n: u32,
    stop_below: Option<u32>,
    stop_above: Option<u32>,
}

#[derive(Serialize, Debug)]
struct ExactJson {
    density: f64,
    #[serde(skip_serializing_if = "Option::is_none")]
    p_below: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    p_reached: Option<f64>,
    mean_plots: f64,
    nine_in_ten_plots: u32,
    #[serde(skip_serializing_if = "Option::is_none")]
    relative_error: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    relative_bias: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    wald_p_below: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    wald_mean_plots: Option<f64>,
}

#[derive(Serialize, Debug)]
struct AdviceJson {
    plots: u32,
    total: f64,
    density: Option<f64>,
    low: Option<f64>,
    high: Option<f64>,
    level: f64,
    stop: Option<&'static str>,
    by_line: bool,
    more_plots: Option<f64>,
    more_plots_nine_in_ten: Option<u32>,
    more_plots_at_most: Option<u32>,
    chance_above: Option<f64>,
}

/// Densities in the unit asked for.
#[derive(Clone, Copy, Debug)]
struct Unit {
    us: bool,
}

impl Unit {
    fn read(self, density: MassesPerArea) -> f64 {
        round(if self.us { density.as_per_acre() } else { density.as_per_hectare() })
    }
}

impl StopRuleJson {
    /// Twin of an answer; densities per acre or per hectare.
    pub fn new(answer: &StopAnswer, us: bool) -> Self {
        let unit = Unit { us };
        let on_a_plot = |d: MassesPerArea| d.as_per_square_metre() * answer.seen().as_square_metres();
        let wald = match &answer.lines {
            Lines::Wald { plan, .. } => Some(plan),
            _ => None,
        };
        let (rule, lines) = lines(answer, unit);
        Self {
            rule,
            per: if us { "acre" } else { "ha" },
            plot_square_metres: round(answer.plot.as_square_metres()),
            share_found: round(answer.found),
            k: answer.k,
            min: answer.least,
            max: answer.table.most(),
            lines,
            table: answer.table.rows().iter().map(RowJson::from).collect(),
            last_plot_below_up_to: last(answer),
            exact: answer.exact.iter().map(|(d, c)| exact(unit.read(*d), on_a_plot(*d), *d, c, wald)).collect(),
            advice: answer.advice.as_ref().map(|a| advice(a, answer, unit)),
        }
    }
}

/// The greatest whole total that ends "below" at the last plot.
fn last(answer: &StopAnswer) -> Option<u32> {
    match answer.table.last() {
        Last::Mean(cut) => Some(((cut * f64::from(answer.table.most())).ceil() - 1.0).max(0.0) as u32),
        Last::Nothing => None,
    }
}

fn lines(answer: &StopAnswer, unit: Unit) -> (&'static str, LinesJson) {
    match &answer.lines {
        Lines::Wald { plan, realised, adjusted } => (
            "wald",
            LinesJson::Wald {
                low: unit.read(plan.rule.low),
                high: unit.read(plan.rule.high),
                alpha: plan.rule.alpha,
                beta: plan.rule.beta,
                slope: round(plan.slope),
                low_intercept: round(plan.low_intercept),
                high_intercept: round(plan.high_intercept),
                realised_alpha: round(realised.alpha),
                realised_beta: round(realised.beta),
                adjusted: adjusted.as_ref().map(AdjustedJson::from),
            },
        ),
        Lines::Iwao { threshold, patchiness } => (
            "iwao",
            LinesJson::Iwao {
                threshold: unit.read(*threshold),
                level: answer.level,
                patchiness_alpha: patchiness.alpha,
                patchiness_beta: patchiness.beta,
            },
        ),
        Lines::Green { taylor } => {
            ("green", LinesJson::Green { precision: answer.precision, taylor_a: taylor.0, taylor_b: taylor.1 })
        }
        Lines::Kuno { patchiness } => (
            "kuno",
            LinesJson::Kuno {
                precision: answer.precision,
                patchiness_alpha: patchiness.alpha,
                patchiness_beta: patchiness.beta,
            },
        ),
    }
}

impl From<&Adjusted> for AdjustedJson {
    fn from(adjusted: &Adjusted) -> Self {
        match adjusted {
            Adjusted::NeedsPlots(plots) => Self { found: false, plots_enough: *plots, plan: None },
            Adjusted::Plan(plan) => {
                let realised = plan.realised();
                let plan = AdjustedPlanJson {
                    alpha: round(plan.rule.alpha),
                    beta: round(plan.rule.beta),
                    slope: round(plan.slope),
                    low_intercept: round(plan.low_intercept),
                    high_intercept: round(plan.high_intercept),
                    realised_alpha: round(realised.alpha),
                    realised_beta: round(realised.beta),
                };
                Self { found: true, plots_enough: None, plan: Some(plan) }
            }
        }
    }
}

impl From<&Row> for RowJson {
    fn from(row: &Row) -> Self {
        Self { n: row.plots, stop_below: row.whole_below(), stop_above: row.whole_above() }
    }
}

fn exact(shown: f64, mean: f64, density: MassesPerArea, course: &Course, wald: Option<&WaldPlan>) -> ExactJson {
    let estimate = course.estimate;
    let wald = wald.map(|plan| plan.wald_approximation(density));
    ExactJson {
        density: shown,
        p_below: estimate.is_none().then(|| round(course.below)),
        p_reached: estimate.is_some().then(|| round(course.above)),
        mean_plots: round(course.mean_plots),
        nine_in_ten_plots: course.enough(0.9),
        relative_error: estimate.map(|(_, error)| round(error / mean)),
        relative_bias: estimate.map(|(middle, _)| round(middle / mean - 1.0)),
        wald_p_below: wald.map(|(below, _)| round(below)),
        wald_mean_plots: wald.map(|(_, plots)| round(plots)),
    }
}

fn advice(advice: &Advice, answer: &StopAnswer, unit: Unit) -> AdviceJson {
    let density = |m: f64| unit.read(MassesPerArea::per_square_metre(m / answer.seen().as_square_metres()));
    let precise = answer.table.last() == Last::Nothing;
    AdviceJson {
        plots: advice.plots,
        total: round(advice.total),
        density: advice.mean.map(density),
        low: advice.interval.map(|i| density(i.0)),
        high: advice.interval.map(|i| density(i.1)),
        level: answer.level,
        stop: advice.end.map(|end| match end {
            End::Below => "below",
            End::Above if precise => "precise enough",
            End::Above => "above",
            End::Open => "not precise enough",
        }),
        by_line: advice.by_line,
        more_plots: advice.more.map(|m| round(m.mean)),
        more_plots_nine_in_ten: advice.more.map(|m| m.nine_in_ten),
        more_plots_at_most: advice.more.map(|m| m.at_most),
        chance_above: advice.more.map(|m| round(m.above)),
    }
}
