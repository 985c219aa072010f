//! Making a plan.

use std::sync::{Arc, Mutex, OnceLock, PoisonError};
use std::time::Instant;

use crownhold::plan::{Limits, Plan, with_fresh_risk};
use crownhold::survey::Density;
use crownhold::tactics::{Bundle, Options, host_over_tolerance, worst_options};
use crownhold::types::{Area, Hours, HoursSupply, Money, Period, Problem, Records, Workforce};
use crownhold::{Setting, survey};
use crownhold_plan::{Learned, Progress, SolveSetting, Watch, solve_learning};

use super::chain::{Stages, stages_watched};
use super::progress::{Phase, Watcher};
use super::refuse;
use crate::trouble::Trouble;

/// Draws that a plan's risk is measured on again.
pub const FRESH_DRAWS: usize = 2_000;
/// Added to the seed for the fresh draws, so that they share nothing with the plan's own.
const FRESH_SEED: u64 = 0x005E_ED0F_F2E5;

/// What the user wants of a plan beyond what the programme says.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Wishes {
    /// Money instead of the programme's, dollars.
    pub budget: Option<f64>,
    /// All volunteer hours of the programme scaled to this sum.
    pub volunteer_hours: Option<f64>,
    /// Most acres flown instead of the programme's.
    pub max_sprayed_acres: Option<f64>,
    /// Chance accepted for every block instead of that of its land use.
    pub accepted_chance: Option<f64>,
    /// Relative gap to prove.
    pub gap: Option<f64>,
    /// Judge every option by the worst of the season as forecast, an early hatch, and weak bands.
    pub robust: bool,
}

impl Wishes {
    /// Every wish that is out of range.
    pub fn problems(&self) -> Vec<Problem> {
        let numbers = [
            ("The budget", self.budget, f64::INFINITY),
            ("The volunteer hours", self.volunteer_hours, f64::INFINITY),
            ("The most acres flown", self.max_sprayed_acres, f64::INFINITY),
            ("The accepted chance", self.accepted_chance, 1.0),
            ("The gap", self.gap, 1.0),
        ];
        numbers
            .into_iter()
            .filter_map(|(name, value, most)| {
                value.filter(|v| !(0.0..=most).contains(v) || v.is_infinite()).map(|v| (name, v, most))
            })
            .map(|(name, v, most)| {
                let expected = match most.is_finite() {
                    true => format!("a number from 0 to {most}"),
                    false => "a number from 0 up".to_owned(),
                };
                Problem::error("A-020", format!("{name}: {v}."), "").expected(expected)
            })
            .collect()
    }
}

/// A plan with the stages it rests on.
#[derive(Clone, Debug)]
pub struct Made {
    /// Stages.
    pub stages: Arc<Stages>,
    /// Day, seed and draws.
    pub setting: Setting,
    /// What was wished.
    pub wishes: Wishes,
    /// Limits kept.
    pub limits: Limits,
    /// The plan.
    pub plan: Plan,
    /// Seconds in the solver.
    pub solve_seconds: f64,
}

/// How a plan is to be made.
#[derive(Clone, Default)]
pub struct Request<'a> {
    /// Wishes.
    pub wishes: Wishes,
    /// A plan to begin the search from, such as the one before a decision was changed.
    pub start: Option<&'a Plan>,
    /// Where densities on fresh draws are kept for later plans of the same counts; worked out beside the search when not
    /// at hand.
    pub fresh: Option<&'a OnceLock<Density>>,
    /// What searches for the same blocks learned of their spray blocks: used, and added to.
    pub learned: Option<&'a Mutex<Learned>>,
    /// Who is told how far it is and may stop it.
    pub watcher: Watcher<'a>,
}

/// Makes the least-spray plan.
///
/// # Errors
/// As the stages, and when no plan keeps the limits and decisions.
pub fn make(records: &Records, setting: &Setting, wishes: &Wishes) -> Result<Made, Trouble> {
    make_with(records, setting, &Request { wishes: wishes.clone(), ..Request::default() })
}

/// The same with a start, a watcher and whatever is at hand already.
///
/// # Errors
/// As [`make`], and when it was stopped before there was any plan.
pub fn make_with(records: &Records, setting: &Setting, request: &Request<'_>) -> Result<Made, Trouble> {
    refuse(request.wishes.problems())?;
    let stages = stages_watched(records, setting, request.watcher)?;
    make_from(Arc::new(stages), records, setting, request)
}

/// Makes the plan from stages that were worked out from these records with this setting. A stop gives the best
/// plan so far (its status is feasible).
///
/// # Errors
/// As [`make_with`].
pub fn make_from(
    mut stages: Arc<Stages>,
    records: &Records,
    setting: &Setting,
    request: &Request<'_>,
) -> Result<Made, Trouble> {
    let wishes = &request.wishes;
    refuse(wishes.problems())?;
    if wishes.robust {
        let worst = in_the_worst(&stages, records, setting);
        Arc::make_mut(&mut stages).options = worst;
    }
    if let Some(chance) = wishes.accepted_chance {
        Arc::make_mut(&mut stages).options.blocks.iter_mut().for_each(|b| b.accepted_chance = chance);
    }
    let limits = limits(records, wishes);
    let (solved, worked_out) = rayon::join(
        || search(&stages, &limits, records, request),
        || match request.fresh.and_then(OnceLock::get) {
            Some(_) => Ok(None),
            None => fresh_density(records, setting).map(Some),
        },
    );
    let (plan, solve_seconds) = solved?;
    request.watcher.tell(Phase::MeasuringAgain);
    let worked_out = worked_out?;
    let kept = OnceLock::new();
    let kept = request.fresh.unwrap_or(&kept);
    if let Some(density) = worked_out {
        // Another plan may have kept the same meanwhile.
        let _ = kept.set(density);
    }
    let plan = match kept.get() {
        Some(density) => measured_again(plan, &stages, records, density, setting),
        None => plan,
    };
    Ok(Made { stages, setting: *setting, wishes: wishes.clone(), limits, plan, solve_seconds })
}

/// The options in the worst of several seasons.
pub(super) fn in_the_worst(stages: &Stages, records: &Records, setting: &Setting) -> Options {
    worst_options(&stages.options, records, &stages.density, stages.timing.as_ref().ok(), setting)
}

fn search(stages: &Stages, limits: &Limits, records: &Records, request: &Request<'_>) -> Result<(Plan, f64), Trouble> {
    let tell = |progress: Progress| request.watcher.tell(Phase::Search(progress));
    let setting = SolveSetting {
        gap: request.wishes.gap.unwrap_or(SolveSetting::default().gap),
        units: records.programme.units,
        stop: request.watcher.stop,
        start: request.start,
        watch: request.watcher.tell.map(|_| Watch(&tell)),
        ..SolveSetting::default()
    };
    let known = |kept: &Mutex<Learned>| kept.lock().unwrap_or_else(PoisonError::into_inner).clone();
    let before = request.learned.map(known);
    let setting = SolveSetting { learned: before.as_ref(), ..setting };
    let start = Instant::now();
    let (plan, learned) = solve_learning(&stages.options, limits, &setting)?;
    if let Some(kept) = request.learned {
        *kept.lock().unwrap_or_else(PoisonError::into_inner) = learned;
    }
    Ok((plan, start.elapsed().as_secs_f64()))
}

/// The setting of the fresh draws.
pub(super) fn fresh(setting: &Setting) -> Setting {
    Setting { seed: setting.seed.wrapping_add(FRESH_SEED), draws: FRESH_DRAWS, ..*setting }
}

/// Densities on the fresh draws that belong to a setting. They depend on the counts alone, so they can be kept while
/// decisions, areas and limits change.
///
/// # Errors
/// When there is no usable count.
pub fn fresh_density(records: &Records, setting: &Setting) -> Result<Density, Trouble> {
    Ok(survey::estimate(records, &fresh(setting))?)
}

/// The plan with its risk on the fresh draws.
pub(super) fn measured_again(
    plan: Plan,
    stages: &Stages,
    records: &Records,
    density: &Density,
    setting: &Setting,
) -> Plan {
    let chosen: Vec<Bundle> = plan.blocks.iter().map(|b| b.bundle.clone()).collect();
    let over = host_over_tolerance(records, density, stages.timing.as_ref().ok(), &chosen, &fresh(setting));
    with_fresh_risk(plan, &over)
}

/// The programme's limits with the user's wishes laid over them.
pub fn limits(records: &Records, wishes: &Wishes) -> Limits {
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
