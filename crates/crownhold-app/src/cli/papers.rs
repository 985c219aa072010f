//! `crownhold papers`

use std::process::ExitCode;

use crownhold::field::{WorkOrders, work_orders};
use crownhold::tactics::{RuleOfThumb, threshold_rule};
use crownhold::types::Records;
use crownhold_print::{SeasonPlanInputs, season_plan};

use super::{args, say};
use crate::actions;
use crate::actions::plan::Made;
use crate::trouble::Trouble;

pub(super) fn run(a: &args::Papers) -> Result<ExitCode, Trouble> {
    let records = actions::records(&a.plan.stage.programme)?;
    let made = super::plan::kept_or_made(&a.plan, a.kept.as_deref(), &records)?;
    let (orders, flown) = beside(&made, &records)?;
    let pdf = season_plan(&inputs(&made, &records, &orders, flown)?, made.setting.today)?;
    std::fs::create_dir_all(&a.out).map_err(|e| Trouble::file(&a.out, &e))?;
    let path = a.out.join("season-plan.pdf");
    std::fs::write(&path, pdf).map_err(|e| Trouble::file(&path, &e))?;
    say(&path.display().to_string());
    Ok(ExitCode::SUCCESS)
}

/// Work orders, and the rule of thumb.
pub(super) fn beside(made: &Made, records: &Records) -> Result<(WorkOrders, RuleOfThumb), Trouble> {
    let notice_days = records.parameters.number("aerial.notice_days") as i64;
    let timing = made.stages.timing.as_ref().map_err(|p| Trouble::from(p.clone()))?;
    let orders = work_orders(&made.plan, &made.stages.options, timing, notice_days);
    Ok((orders, threshold_rule(records, &made.stages.density, &made.stages.options)))
}

/// What the season plan is printed from.
pub(super) fn inputs<'a>(
    made: &'a Made,
    records: &'a Records,
    orders: &'a WorkOrders,
    over_threshold: RuleOfThumb,
) -> Result<SeasonPlanInputs<'a>, Trouble> {
    Ok(SeasonPlanInputs {
        records,
        density: &made.stages.density,
        outlook: &made.stages.outlook,
        timing: made.stages.timing.as_ref().map_err(|p| Trouble::from(p.clone()))?,
        options: &made.stages.options,
        plan: &made.plan,
        orders,
        over_threshold: Some(over_threshold),
    })
}
