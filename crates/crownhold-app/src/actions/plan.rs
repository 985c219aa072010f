//! Making a plan, and keeping it.

use std::time::Instant;

use crownhold::plan::{Limits, Plan, with_fresh_risk};
use crownhold::tactics::{Bundle, host_over_tolerance};
use crownhold::types::{Area, Hours, HoursSupply, Money, Period, Records, Workforce};
use crownhold::{Setting, survey};
use crownhold_plan::{SolveSetting, solve};

use super::chain::{Stages, stages};
use crate::trouble::Trouble;

/// Draws that a plan's risk is measured on again.
pub const FRESH_DRAWS: usize = 2_000;
/// Added to the seed for the fresh draws, so that they share nothing with the plan's own.
const FRESH_SEED: u64 = 0x005E_ED0F_F2E5;

/// What the user wants of a plan beyond what the programme says.
#[derive(Clone, Debug, Default)]
pub struct Wishes {
    /// Money instead of the programme's.
    pub budget: Option<f64>,
    /// All volunteer hours of the programme scaled to this sum.
    pub volunteer_hours: Option<f64>,
    /// Most acres flown instead of the programme's.
    pub max_sprayed_acres: Option<f64>,
    /// Chance accepted for every block instead of that of its land use.
    pub accepted_chance: Option<f64>,
    /// Relative gap to prove.
    pub gap: Option<f64>,
}

/// A plan with the stages it rests on.
pub struct Made {
    /// Stages.
    pub stages: Stages,
    /// Limits kept.
    pub limits: Limits,
    /// The plan.
    pub plan: Plan,
    /// Seconds in the solver.
    pub solve_seconds: f64,
}

/// Makes the least-spray plan.
///
/// # Errors
/// As the stages, and when no plan keeps the limits and decisions.
pub fn make(records: &Records, setting: &Setting, wishes: &Wishes) -> Result<Made, Trouble> {
    let mut stages = stages(records, setting)?;
    if let Some(chance) = wishes.accepted_chance {
        stages.options.blocks.iter_mut().for_each(|b| b.accepted_chance = chance);
    }
    let limits = limits(records, wishes);
    let fresh = Setting { seed: setting.seed.wrapping_add(FRESH_SEED), draws: FRESH_DRAWS, ..*setting };
    let search = SolveSetting {
        gap: wishes.gap.unwrap_or(SolveSetting::default().gap),
        units: records.programme.units,
        ..SolveSetting::default()
    };
    let (solved, density) = rayon::join(
        || {
            let start = Instant::now();
            solve(&stages.options, &limits, &search).map(|plan| (plan, start.elapsed().as_secs_f64()))
        },
        || survey::estimate(records, &fresh),
    );
    let (plan, solve_seconds) = solved?;
    let chosen: Vec<Bundle> = plan.blocks.iter().map(|b| b.bundle.clone()).collect();
    let plan =
        with_fresh_risk(plan, &host_over_tolerance(records, &density?, stages.timing.as_ref().ok(), &chosen, &fresh));
    Ok(Made { stages, limits, plan, solve_seconds })
}

/// The programme's limits with the user's wishes laid over them.
fn limits(records: &Records, wishes: &Wishes) -> Limits {
    let resources = &records.resources;
    let mut hours = resources.hours.clone();
    if let Some(wanted) = wishes.volunteer_hours {
        scale_volunteers(&mut hours, wanted);
    }
    Limits {
        budget: wishes.budget.map(Money::dollars).or(resources.budget),
        most_sprayed: wishes.max_sprayed_acres.map(Area::acres).or(resources.most_sprayed),
        hours,
        crew_wage: Money::dollars(records.parameters.number("wage.crew")),
    }
}

/// Brings all volunteer hours to a sum, each supply in proportion. Where the programme has none, the hours
/// are taken as free to work anywhere, half in winter and half in summer.
fn scale_volunteers(hours: &mut Vec<HoursSupply>, wanted: f64) {
    let volunteers = |h: &HoursSupply| h.who == Workforce::Volunteers;
    let known: f64 = hours.iter().filter(|h| volunteers(h)).map(|h| h.hours.as_hours()).sum();
    if known > 0.0 {
        for supply in hours.iter_mut().filter(|h| volunteers(h)) {
            supply.hours = supply.hours * (wanted / known);
        }
    } else {
        for period in [Period::Winter, Period::Summer] {
            let half = Hours::hours(0.5 * wanted);
            hours.push(HoursSupply { who: Workforce::Volunteers, period, neighbourhood: None, hours: half });
        }
    }
}
