//! What papers are printed from.

use std::borrow::Cow;

use crownhold::field::crews::{
    GroundBlock, GroundMix, TreeList, band_materials, crew_days, ground_block, scraping_materials, tree_list,
};
use crownhold::field::{WorkOrders, work_orders};
use crownhold::survey::Density;
use crownhold::tactics::{RuleOfThumb, no_spray_ground, threshold_rule};
use crownhold::timing::Timing;
use crownhold::types::{Application, BlockId, Hours, Records, Round, Tactic};
use crownhold_print::papers::{
    CrewBlock, application_record, crew_sheets, flight_packet, ground_sheets, notice_letter, round_sheets,
    season_dates_sheet,
};
use crownhold_print::wording::Wording;
use crownhold_print::{SeasonPlanInputs, season_plan};

use jiff::civil::Date;

use super::aerial::Aerial;
use super::plan::{Made, fresh_density};
use super::stress::tried_on;
use crate::trouble::Trouble;

/// The season plan as a PDF, with the seasons that go wrong. `fresh`: densities on fresh draws, where they are at hand.
///
/// # Errors
/// When there are no dates, or the paper cannot be set.
pub fn season_plan_pdf(made: &Made, records: &Records, fresh: Option<&Density>) -> Result<Vec<u8>, Trouble> {
    let (orders, rule) = beside(made, records)?;
    let fresh =
        fresh.map_or_else(|| fresh_density(records, &made.setting).map(Cow::Owned), |d| Ok(Cow::Borrowed(d)))?;
    let test = tried_on(made.plan.clone(), &fresh, &made.limits, &made.stages, records, &made.setting)?;
    let stress = test.table(Wording::new(records.programme.units));
    let inputs = SeasonPlanInputs { stress: Some(&stress), ..inputs(made, records, &orders, rule)? };
    Ok(season_plan(&inputs, made.setting.today)?)
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
        stress: None,
    })
}

/// Crew sheets of a tactic for some blocks.
///
/// # Errors
/// When the paper cannot be set.
pub fn crew_sheets_pdf(
    tactic: Tactic,
    work: &[(BlockId, Hours)],
    records: &Records,
    timing: Option<&Timing>,
    today: Date,
) -> Result<Vec<u8>, Trouble> {
    let p = &records.parameters;
    let block = |(id, hours): &(BlockId, Hours)| {
        let block = &records.blocks[records.block_index(id)?];
        let name = if block.name.is_empty() || block.name == id.as_str() {
            id.to_string()
        } else {
            format!("{id}, {}", block.name)
        };
        Some(CrewBlock {
            name,
            place: block.neighbourhood.clone().unwrap_or_default(),
            trees: tree_list(records, block),
            hours: *hours,
            counted: block.survey_closed.is_some(),
        })
    };
    let blocks: Vec<CrewBlock> = work.iter().filter_map(block).collect();
    let lists: Vec<TreeList> = blocks.iter().map(|b| b.trees.clone()).collect();
    let materials = if tactic == Tactic::Bands { band_materials(&lists, p) } else { scraping_materials(p) };
    Ok(crew_sheets(tactic, &blocks, &materials, timing, records).pdf(&records.programme, today)?)
}

/// Crew sheets of ground sprays for some blocks.
///
/// # Errors
/// When the paper cannot be set.
pub fn ground_sheets_pdf(
    blocks: &[BlockId],
    records: &Records,
    timing: Option<&Timing>,
    today: Date,
) -> Result<Vec<u8>, Trouble> {
    let off = no_spray_ground(records);
    let at = |id: &BlockId| records.block_index(id).map(|b| ground_block(records, &records.blocks[b], &off[b]));
    let blocks: Vec<GroundBlock> = blocks.iter().filter_map(at).collect();
    let days = crew_days(&blocks, &records.parameters);
    let sheets = ground_sheets(&blocks, &days, &GroundMix::of(&records.parameters), timing, records);
    Ok(sheets.pdf(&records.programme, today)?)
}

/// Sheets of rounds of one day and work.
///
/// # Errors
/// When the paper cannot be set.
pub fn round_sheets_pdf(rounds: &[&Round], records: &Records, today: Date) -> Result<Vec<u8>, Trouble> {
    Ok(round_sheets(rounds, records).pdf(&records.programme, today)?)
}

/// One version of an application record.
///
/// # Errors
/// When the paper cannot be set.
pub fn application_pdf(record: &Application, records: &Records, today: Date) -> Result<Vec<u8>, Trouble> {
    Ok(application_record(record, &records.programme).pdf(&records.programme, today)?)
}

/// The letter that tells of flights, in a language.
///
/// # Errors
/// When the paper cannot be set.
pub fn letter_pdf(
    lang: &str,
    flown: &[BlockId],
    records: &Records,
    timing: Option<&Timing>,
    today: Date,
) -> Result<Vec<u8>, Trouble> {
    let named = |id: &BlockId| {
        let block = &records.blocks[records.block_index(id)?];
        let plain = block.name.is_empty() || block.name == id.as_str();
        Some(if plain { id.to_string() } else { format!("{id} ({})", block.name) })
    };
    let names: Vec<String> = flown.iter().filter_map(named).collect();
    Ok(notice_letter(lang, &names, timing, &records.programme).pdf(&records.programme, today)?)
}

/// The packet for the aerial contractor.
///
/// # Errors
/// When the paper cannot be set.
pub fn flight_packet_pdf(made: &Aerial, records: &Records, today: Date) -> Result<Vec<u8>, Trouble> {
    let packet = flight_packet(&made.job, &made.craft, made.chance(), &records.programme);
    Ok(packet.pdf(&records.programme, today)?)
}
