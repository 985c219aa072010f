//! What keeping something back for spring is worth: every way to plan tried on the same springs.

use std::sync::atomic::{AtomicUsize, Ordering};

use crownhold::Setting;
use crownhold::plan::reserve::{Looks, is_of_spring, settled};
use crownhold::plan::{Harm, Limits, Plan, Policy};
use crownhold::survey::Density;
use crownhold::tactics::{Chances, Options};
use crownhold::types::chance::stream;
use crownhold::types::draws::mean;
use crownhold::types::{Draws, Money, Records};
use crownhold_plan::{Aim, SolveSetting, foresee, solve, solve_learning};
use crownhold_print::wording::{Wording, grouped, percent};
use rayon::prelude::*;

use super::chain::Stages;
use super::plan::{Wishes, fresh, fresh_density, limits, measured_again};
use crate::trouble::Trouble;

/// Gap that spring's plans are proven to. Little is left to decide then, and a thousandth of all harm would be as much as that
/// can save.
const SPRING_GAP: f64 = 1e-5;
/// Gap that February's plan with spring in view is proven to, and most nodes of that search: a plan for ten springs is a large one.
const FORESEEN: (f64, u32) = (5e-3, 200);

/// One way to plan, tried.
#[derive(Clone, Debug)]
pub struct TriedPolicy {
    /// Which.
    pub policy: Policy,
    /// February's plan.
    pub plan: Plan,
    /// Host area over tolerance after spring's decisions; `more` is against promising everything and not looking.
    pub harm: Harm,
    /// Money spent in the end, on average.
    pub cost: Money,
    /// Blocks that get something else than planned, on average.
    pub otherwise: f64,
    /// Harm in each spring, square metres.
    springs: Vec<f64>,
}

/// How one spring ends.
struct Spring {
    harm: f64,
    cost: f64,
    otherwise: f64,
}

/// All of them.
#[derive(Clone, Debug)]
pub struct ReserveTest {
    /// Everything promised in February, nothing looked at in spring.
    pub promised: Harm,
    /// Its plan.
    pub plan: Plan,
    /// The ways, in their order; without those whose February has too little for what is decided.
    pub tried: Vec<TriedPolicy>,
    /// The best way by one half of the springs, and what it saves in the other half: square metres with their error.
    pub best: Option<(usize, f64, f64)>,
    /// Springs.
    pub springs: usize,
    /// Error of a look, log standard deviation.
    pub look_error: f64,
}

/// What all ways share.
struct Field<'a> {
    options: &'a Options,
    density: &'a Density,
    limits: &'a Limits,
    setting: SolveSetting<'a>,
    /// On the draws that the plan was made on.
    known: Chances,
    /// On the springs.
    truth: Chances,
    looks: Vec<Looks>,
    /// Other springs, that a plan is made for.
    foreseen: Vec<Options>,
    error: f64,
}

/// Tries them. `told` hears how many springs are done of how many.
///
/// # Errors
/// As a plan's.
pub fn reserve(
    stages: &Stages,
    records: &Records,
    setting: &Setting,
    told: &(dyn Fn(usize, usize) + Sync),
) -> Result<ReserveTest, Trouble> {
    let all = limits(records, &Wishes::default());
    let solving = SolveSetting { units: records.programme.units, ..SolveSetting::default() };
    let (solved, density) =
        rayon::join(|| solve_learning(&stages.options, &all, &solving), || fresh_density(records, setting));
    let ((plan, learned), density) = (solved?, density?);
    let solving = SolveSetting { learned: Some(&learned), ..solving };
    let field = Field::new(stages, records, setting, &all, solving, &density);
    let promised: Vec<f64> = (0..field.looks.len()).map(|s| field.harm(&plan, s)).collect();
    let done = AtomicUsize::new(0);
    let of = Policy::ALL.len() * field.looks.len();
    let tell = || told(done.fetch_add(1, Ordering::Relaxed) + 1, of);
    let mut tried = Vec::new();
    for policy in Policy::ALL {
        tried.extend(field.tried(policy, &plan, &promised, &tell)?);
    }
    for way in &mut tried {
        way.plan = measured_again(way.plan.clone(), stages, records, &density, setting);
    }
    Ok(ReserveTest {
        promised: Harm::of(&promised, &promised),
        best: best(&tried, &promised),
        plan,
        tried,
        springs: promised.len(),
        look_error: field.error,
    })
}

impl<'a> Field<'a> {
    fn new(
        stages: &'a Stages,
        records: &Records,
        setting: &Setting,
        limits: &'a Limits,
        solving: SolveSetting<'a>,
        fresh_draws: &Density,
    ) -> Self {
        let timing = stages.timing.as_ref().ok();
        let fresh = fresh(setting);
        let number = |name| records.parameters.number(name).round() as usize;
        let springs = number("reserve.springs").clamp(4, fresh.draws);
        let few = Setting { draws: springs, ..fresh };
        let first = |b| fresh_draws.draws.block(b)[..springs].to_vec();
        let draws = Draws::from_blocks((0..records.blocks.len()).map(first).collect(), springs);
        let truth = Density { draws, ..fresh_draws.clone() };
        let error = records.parameters.number("reserve.look_error").max(0.01);
        let look = |s| Looks::at(&truth.draws, s, error, &mut stream(fresh.seed, "plan.reserve", s as u64));
        let known = Chances::on(&stages.options, records, &stages.density, timing, setting);
        let own = &stages.density.draws;
        let foreseen = number("reserve.foreseen").clamp(1, own.draws());
        let foresee = |s| Looks::at(own, s, error, &mut stream(setting.seed, "plan.foreseen", s as u64));
        Self {
            foreseen: (0..foreseen).map(|s| foresee(s).options(&stages.options, own, &known, error)).collect(),
            options: &stages.options,
            density: &stages.density,
            limits,
            setting: solving,
            known,
            looks: (0..springs).map(look).collect(),
            truth: Chances::on(&stages.options, records, &truth, timing, &few),
            error,
        }
    }

    fn harm(&self, plan: &Plan, spring: usize) -> f64 {
        self.truth.harm(self.options, plan.blocks.iter().map(|b| b.option), spring)
    }

    /// `None` where what is decided takes more than February may use.
    fn tried(
        &self,
        policy: Policy,
        whole: &Plan,
        promised: &[f64],
        tell: &(dyn Fn() + Sync),
    ) -> Result<Option<TriedPolicy>, Trouble> {
        let begun = SolveSetting { start: Some(whole), ..self.setting };
        let plan = match policy {
            Policy { foreseen: true, .. } => {
                let (gap, node_limit) = FORESEEN;
                let begun = SolveSetting { gap, node_limit, ..begun };
                foresee(self.options, self.limits, &self.foreseen, is_of_spring, &begun)?.plan
            }
            Policy { kept_back: 0.0, .. } => whole.clone(),
            _ => match solve(self.options, &policy.february(self.limits), &begun) {
                Ok(plan) => plan,
                Err(e) if !e.problems().is_empty() => return Ok(None),
                Err(e) => return Err(e.into()),
            },
        };
        let (left, set_up) = (policy.in_spring(self.options, &plan), settled(self.options, &plan).as_dollars());
        let budget = self.limits.budget.map(|b| Money::dollars(b.as_dollars() - set_up));
        let limits = Limits { budget, ..self.limits.clone() };
        let springs: Result<Vec<Spring>, Trouble> = (0..self.looks.len())
            .into_par_iter()
            .map(|s| {
                let decided = self.decided(&left, &limits, &plan, s)?;
                tell();
                let pairs = plan.blocks.iter().zip(&decided.blocks);
                Ok(Spring {
                    harm: self.harm(&decided, s),
                    cost: decided.cost().as_dollars() + set_up,
                    otherwise: pairs.filter(|(a, b)| a.bundle != b.bundle).count() as f64,
                })
            })
            .collect();
        let springs = springs?;
        let each = |of: &dyn Fn(&Spring) -> f64| -> Vec<f64> { springs.iter().map(of).collect() };
        let harms = each(&|s| s.harm);
        Ok(Some(TriedPolicy {
            policy,
            plan,
            harm: Harm::of(&harms, promised),
            cost: Money::dollars(mean(&each(&|s| s.cost))),
            otherwise: mean(&each(&|s| s.otherwise)),
            springs: harms,
        }))
    }

    /// What is done in the end, with all the money and hours there are: least canopy beyond the accepted chances, then cheapest.
    fn decided(&self, left: &Options, limits: &Limits, plan: &Plan, spring: usize) -> Result<Plan, Trouble> {
        let seen = self.looks[spring].options(left, &self.density.draws, &self.known, self.error);
        let setting =
            SolveSetting { aims: &[Aim::Host, Aim::Cost], start: Some(plan), gap: SPRING_GAP, ..self.setting };
        Ok(solve(&seen, limits, &setting)?)
    }
}

/// Chosen on the even springs, told on the odd ones, so that choosing among several does not flatter it.
fn best(tried: &[TriedPolicy], promised: &[f64]) -> Option<(usize, f64, f64)> {
    let half = |all: &[f64], from: usize| all.iter().skip(from).step_by(2).copied().collect::<Vec<f64>>();
    let by = |t: &TriedPolicy| mean(&half(&t.springs, 0));
    let (at, chosen) = tried.iter().enumerate().min_by(|a, b| by(a.1).total_cmp(&by(b.1)))?;
    let harm = Harm::of(&half(&chosen.springs, 1), &half(promised, 1));
    Some((at, -harm.more.0, harm.more.1))
}

/// A way in words.
pub fn policy_words(policy: Policy) -> String {
    let open = if policy.open { "bands and ground sprays decided in spring" } else { "all promised" };
    match policy {
        Policy { foreseen: true, .. } => format!("{open}, February planned for that"),
        Policy { kept_back: 0.0, .. } => open.to_owned(),
        _ => format!("{open}, {} kept back", percent(policy.kept_back)),
    }
}

impl ReserveTest {
    /// What follows, in a sentence or two.
    pub fn verdict(&self, w: Wording) -> String {
        let Some((at, saved, error)) = self.best else {
            return "What is decided already takes all there is; nothing can be kept back.".to_owned();
        };
        let square = |m2: f64| w.area(crownhold::types::Area::square_metres(m2.abs()));
        let way = policy_words(self.tried[at].policy);
        if saved <= 2.0 * error {
            if self.tried[at].policy == Policy::ALL[0] {
                return "No way that was tried is better than promising everything in February.".to_owned();
            }
            return format!(
                "Promising everything in February is as good as any other way: the best one ({way}) saves {} of canopy over \
                 tolerance, with an error of {}.",
                if saved > 0.0 { square(saved) } else { "none".to_owned() },
                square(error)
            );
        }
        format!(
            "Best: {way}. It saves {} ± {} of the {} of canopy that lose more leaf than tolerated when everything is promised in \
             February and nobody looks again. That is worth {} of it.",
            square(saved),
            square(error),
            w.area(self.promised.mean),
            percent(saved / self.promised.mean.as_square_metres().max(1.0))
        )
    }

    /// Lines of a table: way, expected harm with error, less than promised with error, flown in February, spent in the end,
    /// blocks decided otherwise in spring.
    pub fn lines(&self, w: Wording) -> Vec<[String; 6]> {
        let pair = |m: f64, e: f64| {
            let square = |m2: f64| w.bare_area(crownhold::types::Area::square_metres(m2.abs()));
            format!("{}{} ± {}", if m < 0.0 { "-" } else { "" }, square(m), square(e))
        };
        let expected = |h: &Harm| super::stress::expected(h, w);
        let money = |m: Money| format!("${}", grouped(m.as_dollars()));
        let mut lines = vec![[
            "all promised, nobody looks again".to_owned(),
            expected(&self.promised),
            String::new(),
            w.bare_area(self.plan.sprayed()),
            money(self.plan.cost()),
            String::new(),
        ]];
        lines.extend(self.tried.iter().map(|t| {
            [
                policy_words(t.policy),
                expected(&t.harm),
                pair(-t.harm.more.0, t.harm.more.1),
                w.bare_area(t.plan.sprayed()),
                money(t.cost),
                format!("{:.1}", t.otherwise),
            ]
        }));
        lines
    }
}
