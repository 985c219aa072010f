//! Where a figure comes from.

use askama::Template;
use axum::extract::{Path, Query};

use super::plan::Which;
use crate::actions::explain::figure;
use crate::desk::shell::{Answer, Place, Refused, Shell, Visit, page};
use crate::desk::state::off;

#[derive(Template)]
#[template(path = "why.html")]
struct WhyPage {
    shell: Shell,
    id: String,
    label: String,
    value: String,
    how: &'static str,
    inputs: &'static [&'static str],
    behind: Vec<String>,
    parameters: Vec<(String, String, String, String)>,
    formulas: &'static str,
    draws: usize,
    seed: u64,
    plan: String,
}

pub async fn show(visit: Visit, Path(id): Path<String>, Query(which): Query<Which>) -> Answer {
    let season = std::sync::Arc::clone(&visit.season);
    let kept =
        season.kept(which.plan).ok_or_else(|| Refused::missing("Figures are asked of a plan: make one first."))?;
    let made = season.made(kept)?;
    let name = kept.name.clone();
    let fresh = ["P-RISK-NEW", "P-RISK-LOW", "P-RISK-HIGH", "P-RISK-ERROR"].contains(&id.to_uppercase().as_str());
    let draws = if fresh { made.plan.risk.fresh_draws } else { made.plan.draws };
    let seed = made.plan.seed;
    let asked = std::sync::Arc::clone(&season);
    let figure = off(move || figure(&id, &made, &asked.records)).await?;
    page(&WhyPage {
        shell: visit.shell(Place::Plan, "Where this figure comes from"),
        id: figure.number.id,
        label: figure.number.label,
        value: figure.number.value_text,
        how: figure.origin.how,
        inputs: figure.origin.inputs,
        behind: figure.behind,
        parameters: figure.parameters.into_iter().map(|(n, v, k, s)| (n, v, k.word().to_owned(), s)).collect(),
        formulas: figure.origin.page,
        draws,
        seed,
        plan: name,
    })
}
