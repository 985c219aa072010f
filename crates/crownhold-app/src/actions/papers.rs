//! What papers are printed from.

use crownhold::field::{WorkOrders, work_orders};
use crownhold::tactics::{RuleOfThumb, threshold_rule};
use crownhold::timing::Timing;
use crownhold::types::Records;
use crownhold_print::papers::season_dates_sheet;
use crownhold_print::{SeasonPlanInputs, season_plan};

use super::plan::Made;
use crate::trouble::Trouble;

/// The season plan as a PDF.
///
/// # Errors
/// When there are no dates, or the paper cannot be set.
pub fn season_plan_pdf(made: &Made, records: &Records) -> Result<Vec<u8>, Trouble> {
    let (orders, rule) = beside(made, records)?;
    Ok(season_plan(&inputs(made, records, &orders, rule)?, made.setting.today)?)
}

/// The dates of the season as a PDF.
///
/// # Errors
/// When the paper cannot be set.
pub fn season_dates_pdf(timing: &Timing, records: &Records) -> Result<Vec<u8>, Trouble> {
    Ok(season_dates_sheet(timing, records).pdf(&records.programme, timing.issued)?)
}

/// Work orders, and the rule of thumb.
///
/// # Errors
/// When there are no dates.
pub fn beside(made: &Made, records: &Records) -> Result<(WorkOrders, RuleOfThumb), Trouble> {
    let notice_days = records.parameters.number("aerial.notice_days") as i64;
    let timing = made.stages.timing.as_ref().map_err(|p| Trouble::from(p.clone()))?;
    let orders = work_orders(&made.plan, &made.stages.options, timing, notice_days);
    Ok((orders, threshold_rule(records, &made.stages.density, &made.stages.options)))
}

/// What the season plan is printed from.
///
/// # Errors
/// When there are no dates.
pub fn inputs<'a>(
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
