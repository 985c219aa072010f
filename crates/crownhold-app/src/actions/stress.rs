//! A plan tried on seasons that go wrong.

use crownhold::Setting;
use crownhold::plan::{Harm, Limits, Plan, only_less};
use crownhold::survey::Density;
use crownhold::tactics::{Bundle, Stress, host_over_tolerance};
use crownhold::types::draws::mean;
use crownhold::types::{Area, BlockId, Records};
use crownhold_plan::{Aim, SolveSetting, solve};
use crownhold_print::wording::Wording;
use crownhold_print::{StressRow, StressTable};
use rayon::prelude::*;

use super::aerial::aerial;
use super::chain::Stages;
use super::plan::{Wishes, fresh, fresh_density, limits};
use crate::trouble::Trouble;

/// One way to go wrong.
#[derive(Clone, Debug, PartialEq)]
pub struct Tried {
    /// Which.
    pub stress: Stress,
    /// In words.
    pub happens: String,
    /// What it does; `None` when what is decided cannot be done at all.
    pub harm: Option<Harm>,
    /// Blocks whose scraping or bands cannot be done for want of hands.
    pub undone: Vec<BlockId>,
}

/// The plan in all of them.
#[derive(Clone, Debug, PartialEq)]
pub struct StressTest {
    /// The plan.
    pub plan: Plan,
    /// As forecast.
    pub forecast: Harm,
    /// If nothing were done, as forecast.
    pub untreated: Area,
    /// Each way to go wrong.
    pub tried: Vec<Tried>,
    /// Suitable mornings that the flights take; 0 when nothing is flown.
    pub mornings: u32,
    /// How many fresh draws.
    pub draws: usize,
}

/// Makes the plan and tries it.
///
/// # Errors
/// As a plan's.
pub fn stress(stages: &Stages, records: &Records, setting: &Setting) -> Result<StressTest, Trouble> {
    let limits = limits(records, &Wishes::default());
    let solving = SolveSetting { units: records.programme.units, ..SolveSetting::default() };
    let (plan, density) = rayon::join(|| solve(&stages.options, &limits, &solving), || fresh_density(records, setting));
    tried_on(plan?, &density?, &limits, stages, records, setting)
}

/// Tries a plan that there is already, made within these limits.
///
/// # Errors
/// When its flights cannot be laid out.
pub fn tried_on(
    plan: Plan,
    density: &Density,
    limits: &Limits,
    stages: &Stages,
    records: &Records,
    setting: &Setting,
) -> Result<StressTest, Trouble> {
    let timing = stages.timing.as_ref().ok();
    let mornings = match plan.blocks.iter().any(|b| b.bundle.flies()) {
        true => aerial(&plan, records, timing)?.job.mornings,
        false => 0,
    };
    let test = Test { stages, records, density, setting, limits, plan: &plan, mornings };
    let chosen: Vec<Bundle> = plan.blocks.iter().map(|b| b.bundle.clone()).collect();
    let forecast = test.measured(None, &chosen);
    let tried: Result<Vec<Tried>, Trouble> =
        Stress::ALL.par_iter().map(|s| test.tried(*s, &chosen, &forecast)).collect();
    let tried = tried?;
    let untreated = test.measured(None, &vec![Bundle::WATCH; chosen.len()]);
    Ok(StressTest {
        forecast: Harm::of(&forecast, &forecast),
        untreated: Area::square_metres(mean(&untreated)),
        tried,
        mornings,
        draws: forecast.len(),
        plan,
    })
}

struct Test<'a> {
    stages: &'a Stages,
    records: &'a Records,
    density: &'a Density,
    setting: &'a Setting,
    limits: &'a Limits,
    plan: &'a Plan,
    mornings: u32,
}

impl Test<'_> {
    fn tried(&self, stress: Stress, chosen: &[Bundle], forecast: &[f64]) -> Result<Tried, Trouble> {
        let done = match stress {
            Stress::FewVolunteers => self.with_fewer_hands(stress)?,
            _ => Some(chosen.to_vec()),
        };
        let undone = done.iter().flat_map(|done| {
            let pairs = self.plan.blocks.iter().zip(done);
            pairs.filter(|(planned, done)| planned.bundle != **done).map(|(planned, _)| planned.block.clone())
        });
        Ok(Tried {
            stress,
            happens: stress.happens(&self.records.parameters),
            undone: undone.collect(),
            harm: done.map(|done| Harm::of(&self.measured(Some(stress), &done), forecast)),
        })
    }

    /// Host area over tolerance in each fresh draw, square metres.
    fn measured(&self, stress: Option<Stress>, chosen: &[Bundle]) -> Vec<f64> {
        let timing = self.stages.timing.as_ref().ok();
        let fresh = fresh(self.setting);
        let Some(stress) = stress else {
            return host_over_tolerance(self.records, self.density, timing, chosen, &fresh);
        };
        let p = &self.records.parameters;
        let records = Records { parameters: stress.parameters(p, self.mornings), ..self.records.clone() };
        let timing = timing.map(|t| stress.timing(t, p));
        host_over_tolerance(&records, self.density, timing.as_ref(), chosen, &fresh)
    }

    /// The planned work with fewer hours: flights stay, and of scraping, bands and ground sprays as much is left as can
    /// be done, where it helps most. `None` when fixed decisions take more hours than there are.
    fn with_fewer_hands(&self, stress: Stress) -> Result<Option<Vec<Bundle>>, Trouble> {
        let hours = stress.hours(&self.limits.hours, &self.records.parameters);
        let limits = Limits { hours, ..self.limits.clone() };
        let setting = SolveSetting { aims: &[Aim::Host], start: Some(self.plan), ..SolveSetting::default() };
        match solve(&only_less(&self.stages.options, self.plan), &limits, &setting) {
            Ok(less) => Ok(Some(less.blocks.into_iter().map(|b| b.bundle).collect())),
            Err(e) if !e.problems().is_empty() => Ok(None),
            Err(e) => Err(e.into()),
        }
    }
}

/// A line of a table.
#[derive(Clone, Debug, PartialEq)]
pub struct Cells {
    /// Expected, with its error.
    pub mean: String,
    /// More than in the season as forecast, with its error.
    pub more: String,
    /// Mean of the worst tenth.
    pub worst_tenth: String,
    /// Blocks that want hands.
    pub undone: String,
}

/// Expected harm with its error, for a table.
pub fn expected(harm: &Harm, w: Wording) -> String {
    format!("{} ± {}", w.bare_area(harm.mean), w.bare_area(harm.standard_error))
}

impl StressTest {
    /// For paper.
    pub fn table(&self, w: Wording) -> StressTable {
        let first = StressRow {
            happens: "as forecast".to_owned(),
            mean: expected(&self.forecast, w),
            more: String::new(),
            worst_tenth: w.bare_area(self.forecast.worst_tenth),
            undone: String::new(),
        };
        let rows = self.tried.iter().map(|t| {
            let cells = t.cells(w);
            StressRow {
                happens: t.happens.clone(),
                mean: cells.mean,
                more: cells.more,
                worst_tenth: cells.worst_tenth,
                undone: cells.undone,
            }
        });
        StressTable { draws: self.draws, untreated: self.untreated, rows: std::iter::once(first).chain(rows).collect() }
    }
}

impl Tried {
    /// In words, for a table.
    pub fn cells(&self, w: Wording) -> Cells {
        let undone = match self.undone.len() {
            0 => String::new(),
            1 => "1 block".to_owned(),
            n => format!("{n} blocks"),
        };
        let Some(harm) = &self.harm else {
            let cannot = "what is decided cannot be done".to_owned();
            return Cells { mean: cannot, more: String::new(), worst_tenth: String::new(), undone };
        };
        let square = |m2: f64| w.bare_area(Area::square_metres(m2.abs()));
        let sign = if harm.more.0 < 0.0 { "-" } else { "" };
        Cells {
            mean: expected(harm, w),
            more: format!("{sign}{} ± {}", square(harm.more.0), square(harm.more.1)),
            worst_tenth: w.bare_area(harm.worst_tenth),
            undone,
        }
    }
}
