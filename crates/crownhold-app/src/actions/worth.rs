//! What a little more would buy: money, hours in an area, a consent, an opt-out taken back. By making the plan again with it.

use std::sync::Arc;

use crownhold::Setting;
use crownhold::plan::{Limits, Plan};
use crownhold::tactics::no_spray_ground;
use crownhold::types::{
    Area, Consent, Hours, Money, NoSprayArea, NoSprayId, NoSprayKind, Period, Records, Value, Workforce,
};
use crownhold_plan::{SolveSetting, solve, solve_learning};
use crownhold_print::wording::{Wording, grouped};
use geo::Area as _;
use rayon::prelude::*;

use super::aerial::aerial;
use super::chain::{Stages, stages};
use super::plan::{Wishes, limits};
use crate::trouble::Trouble;

/// Money that is added, dollars.
pub const MORE_MONEY: f64 = 10_000.0;
/// Volunteer hours that are added in an area and period.
pub const MORE_HOURS: f64 = 100.0;
/// Differences of area flown and of money below these are not told: they are the search's play.
const LEAST_ACRES: f64 = 1.0;
const LEAST_MONEY: f64 = 500.0;
/// Consents that are looked at, the largest blocks first.
const MOST_CONSENTS: usize = 8;
/// Opt-outs that are looked at, those that keep most ground off first.
const MOST_OPT_OUTS: usize = 6;

/// Something the programme could have more of.
#[derive(Clone, Debug, PartialEq)]
pub enum More {
    /// [`MORE_MONEY`] more.
    Money,
    /// [`MORE_HOURS`] more volunteer hours in a period and neighbourhood; `None` anywhere.
    Volunteers(Period, Option<String>),
    /// One more morning that suits, of so many that the flights take.
    Morning(u32),
    /// The consent of a block that is pending or refused.
    Consent(String),
    /// An opt-out taken back: its id, and the ground that it keeps off with its buffer.
    OptOut(NoSprayId, Area),
}

impl More {
    /// In words.
    pub fn words(&self, w: Wording) -> String {
        match self {
            Self::Money => format!("${} more", grouped(MORE_MONEY)),
            Self::Volunteers(period, place) => {
                let place = place.as_deref().unwrap_or("anywhere");
                format!("{} volunteer hours more, {period}, {place}", grouped(MORE_HOURS))
            }
            Self::Morning(needed) => {
                format!("one more morning that suits, of the {needed} that the flights take")
            }
            Self::Consent(block) => format!("consent for block {block}"),
            Self::OptOut(id, area) => format!("opt-out {id} taken back: {} no longer kept off", w.area(*area)),
        }
    }
}

/// The plan with a little more of one thing, less the plan as it is: below 0 is less.
#[derive(Clone, Debug, PartialEq)]
pub struct Worth {
    /// What there is more of.
    pub more: More,
    /// Host area beyond the accepted chances, the first aim.
    pub beyond: Area,
    /// The same of the plan as it is: what there is to save.
    pub beyond_now: Area,
    /// Area flown less, repeats counted; below 0 more is flown.
    pub flown_less: f64,
    /// Money spent less, dollars; below 0 more is spent.
    pub cheaper: f64,
    /// Expected host area over tolerance less, square metres.
    pub safer: f64,
    /// The plan with it.
    pub plan: Plan,
}

/// The plan as it is, and what a little more would change.
#[derive(Clone, Debug)]
pub struct Worths {
    /// The plan as it is.
    pub now: Plan,
    /// Everything looked at, what helps most first.
    pub all: Vec<Worth>,
}

/// Makes the plan again with a little more of each thing. `told` hears how many are done of how many.
///
/// Each is one solve begun from the plan as it is, which keeps all limits still. Differences below the gap asked for may be
/// the search and not the thing.
///
/// # Errors
/// As a plan's.
pub fn worth(
    at_hand: &Arc<Stages>,
    records: &Records,
    setting: &Setting,
    told: &(dyn Fn(usize, usize) + Sync),
) -> Result<Worths, Trouble> {
    let solve_setting = SolveSetting { units: records.programme.units, ..SolveSetting::default() };
    let limits_now = limits(records, &Wishes::default());
    let (now, learned) = solve_learning(&at_hand.options, &limits_now, &solve_setting)?;
    let solve_setting = SolveSetting { learned: Some(&learned), ..solve_setting };
    let mut asked = questions(records, &limits_now);
    if now.blocks.iter().any(|b| b.bundle.flies()) {
        asked.push(More::Morning(aerial(&now, records, at_hand.timing.as_ref().ok())?.job.mornings.max(1)));
    }
    let done = std::sync::atomic::AtomicUsize::new(0);
    let one = |more: &More| {
        let found = with(more, at_hand, records, setting, &limits_now, &now, &solve_setting);
        let n = done.fetch_add(1, std::sync::atomic::Ordering::Relaxed) + 1;
        told(n, asked.len());
        found.map(|plan| compare(more.clone(), &now, plan))
    };
    let all: Result<Vec<Worth>, Trouble> = asked.par_iter().map(one).collect();
    let mut all = all?;
    let saved = |w: &Worth| w.beyond_now.as_square_metres() - w.beyond.as_square_metres();
    all.sort_by(|a, b| {
        saved(b).total_cmp(&saved(a)).then(b.flown_less.total_cmp(&a.flown_less)).then(b.cheaper.total_cmp(&a.cheaper))
    });
    Ok(Worths { now, all })
}

fn questions(records: &Records, limits: &Limits) -> Vec<More> {
    let mut all = Vec::new();
    if limits.budget.is_some() {
        all.push(More::Money);
    }
    let volunteers = limits.hours.iter().filter(|h| h.who == Workforce::Volunteers);
    all.extend(volunteers.map(|h| More::Volunteers(h.period, h.neighbourhood.clone())));
    let mut without: Vec<_> =
        records.blocks.iter().filter(|b| matches!(b.consent, Consent::Pending | Consent::Refused)).collect();
    without.sort_by(|a, b| b.area().as_square_metres().total_cmp(&a.area().as_square_metres()));
    all.extend(without.iter().take(MOST_CONSENTS).map(|b| More::Consent(b.id.to_string())));
    all.extend(opt_outs(records).into_iter().take(MOST_OPT_OUTS).map(|(id, area)| More::OptOut(id, area)));
    all
}

/// Opt-outs with the ground that each keeps off by itself, most first.
fn opt_outs(records: &Records) -> Vec<(NoSprayId, Area)> {
    let ground = |area: &NoSprayArea| {
        let alone = Records { no_spray: vec![area.clone()], ..records.clone() };
        no_spray_ground(&alone).iter().map(|g| Area::square_metres(g.unsigned_area())).sum::<Area>()
    };
    let asked: Vec<&NoSprayArea> = records.no_spray.iter().filter(|a| a.kind == NoSprayKind::OptOut).collect();
    let mut all: Vec<(NoSprayId, Area)> = asked.into_par_iter().map(|a| (a.id.clone(), ground(a))).collect();
    all.sort_by(|a, b| b.1.as_square_metres().total_cmp(&a.1.as_square_metres()).then_with(|| a.0.cmp(&b.0)));
    all
}

fn with(
    more: &More,
    at_hand: &Arc<Stages>,
    records: &Records,
    setting: &Setting,
    limits: &Limits,
    now: &Plan,
    solve_setting: &SolveSetting<'_>,
) -> Result<Plan, Trouble> {
    let mut limits = limits.clone();
    let begun = SolveSetting { start: Some(now), ..*solve_setting };
    match more {
        More::Money => limits.budget = limits.budget.map(|b| Money::dollars(b.as_dollars() + MORE_MONEY)),
        More::Volunteers(period, place) => {
            let own = |h: &&mut crownhold::types::HoursSupply| {
                h.who == Workforce::Volunteers && h.period == *period && h.neighbourhood == *place
            };
            limits.hours.iter_mut().filter(own).take(1).for_each(|h| h.hours = h.hours + Hours::hours(MORE_HOURS));
        }
        More::Morning(needed) => {
            let mut luckier = records.clone();
            // Its ground is flown in time: the other way round as a lost one under `stress`.
            let in_time = (records.parameters.number("aerial.in_time") + 1.0 / f64::from(*needed)).min(1.0);
            luckier.parameters.set("aerial.in_time", Value::Number(in_time), "one more suitable morning");
            let stages = stages(&luckier, setting)?;
            return Ok(solve(&stages.options, &limits, &begun)?);
        }
        More::Consent(id) => {
            let mut asked = records.clone();
            asked.blocks.iter_mut().filter(|b| b.id.as_str() == id).for_each(|b| b.consent = Consent::Given);
            let stages = stages(&asked, setting)?;
            return Ok(solve(&stages.options, &limits, &begun)?);
        }
        More::OptOut(id, _) => {
            let mut without = records.clone();
            without.no_spray.retain(|a| a.id != *id);
            let stages = stages(&without, setting)?;
            return Ok(solve(&stages.options, &limits, &begun)?);
        }
    }
    Ok(solve(&at_hand.options, &limits, &begun)?)
}

fn compare(more: More, now: &Plan, plan: Plan) -> Worth {
    let flown = |p: &Plan| p.sprayed().as_square_metres();
    Worth {
        more,
        beyond: plan.aims.host_beyond_accepted,
        beyond_now: now.aims.host_beyond_accepted,
        flown_less: flown(now) - flown(&plan),
        cheaper: now.cost().as_dollars() - plan.cost().as_dollars(),
        safer: now.risk.in_sample.as_square_metres() - plan.risk.in_sample.as_square_metres(),
        plan,
    }
}

impl Worth {
    /// What it buys, in the order of the aims; `None` where nothing but the search's own play is left.
    pub fn buys(&self, w: Wording) -> Option<String> {
        let gap = SolveSetting::default().gap;
        let square = |m2: f64| w.area(Area::square_metres(m2.abs()));
        let saved = self.beyond_now.as_square_metres() - self.beyond.as_square_metres();
        let mut parts = Vec::new();
        if saved > gap * self.beyond_now.as_square_metres().max(1.0) {
            parts.push(format!("{} less canopy beyond the accepted chances", square(saved)));
        }
        if self.flown_less.abs() > Area::acres(LEAST_ACRES).as_square_metres() {
            parts.push(format!(
                "{} {} flown",
                square(self.flown_less),
                if self.flown_less > 0.0 { "less" } else { "more" }
            ));
        }
        if self.cheaper.abs() >= LEAST_MONEY {
            let less = if self.cheaper > 0.0 { "less" } else { "more" };
            parts.push(format!("${} {less} spent", grouped(self.cheaper.abs())));
        }
        (!parts.is_empty()).then(|| parts.join(", "))
    }
}
