//! The whole trade-off: what flying more buys, and a plan to pick from it.

use std::sync::Arc;

use askama::Template;
use axum::extract::Path;
use axum::response::{IntoResponse as _, Redirect};
use crownhold::plan::Plan;
use crownhold::types::Area;
use crownhold_plan::Along;
use crownhold_print::charts::{TradeOffChart, trade_off};
use crownhold_print::wording::{Wording, grouped};

use super::picture::Picture;
use crate::actions::frontier::{Question, TradeOff, trade_off_from};
use crate::actions::plan::{Made, Wishes, limits};
use crate::actions::plans::keep;
use crate::actions::progress::Watcher;
use crate::clock;
use crate::desk::shell::{Answer, Place, Refused, Shell, Visit, page};
use crate::desk::state::{Season, off};
use crate::wire::PlanJson;

/// Plans on the page: enough to see the bend, few enough to wait for.
const POINTS: usize = 9;

#[derive(Template)]
#[template(path = "frontier.html")]
struct FrontierPage {
    shell: Shell,
    view: Option<View>,
    can: bool,
}

/// The trade-off as the page shows it.
struct View {
    picture: Picture,
    rows: Vec<Row>,
    unit: &'static str,
    sentence: String,
}

/// One plan.
struct Row {
    number: usize,
    flown: String,
    over: String,
    again: String,
    cost: String,
    volunteers: String,
    more: String,
}

pub async fn show(visit: Visit) -> Answer {
    let found = visit.desk.trade_off.of(&visit.season);
    page(&FrontierPage {
        view: found.map(|all| view(&visit.season, &all)),
        can: visit.season.stages.is_ok(),
        shell: visit.shell(Place::Plan, "Trade-off"),
    })
}

fn view(season: &Season, all: &TradeOff) -> View {
    let w = season.wording();
    let own = |a: Area| if w.is_us() { a.as_acres() } else { a.as_hectares() };
    let points: Vec<(f64, f64)> = all.plans.iter().map(|p| (own(p.sprayed()), own(p.risk.in_sample))).collect();
    let chart = TradeOffChart {
        plans: &points,
        rule: (own(all.rule.flown), own(all.rule.over_tolerance)),
        untreated: own(all.untreated),
        unit: w.area_unit(),
    };
    View {
        picture: Picture::of(season, "trade-off", |sheet| trade_off(&chart, sheet)),
        rows: (0..all.plans.len()).map(|i| row(&all.plans, i, w)).collect(),
        unit: w.area_unit(),
        sentence: sentence(all, w),
    }
}

/// What the first and the last flown part buys.
fn sentence(all: &TradeOff, w: Wording) -> String {
    let [first, .., last] = all.plans.as_slice() else { return String::new() };
    format!(
        "Nothing done, {} of favoured-tree canopy are expected to lose more leaf than tolerated. Work from the ground alone leaves {}; \
         flying {} as well leaves {}. By the action threshold alone {} would be flown and {} left.",
        w.area(all.untreated),
        w.area(first.risk.in_sample),
        w.area(last.sprayed()),
        w.area(last.risk.in_sample),
        w.area(all.rule.flown),
        w.area(all.rule.over_tolerance)
    )
}

fn row(plans: &[Plan], at: usize, w: Wording) -> Row {
    let p = &plans[at];
    let more = at.checked_sub(1).map(|before| {
        let before = &plans[before];
        let saved = before.risk.in_sample.as_square_metres() - p.risk.in_sample.as_square_metres();
        let flown = p.sprayed().as_square_metres() - before.sprayed().as_square_metres();
        format!("{:.1}", 100.0 * saved / flown.max(1.0))
    });
    let again = p.risk.out_of_sample.zip(p.risk.standard_error);
    Row {
        number: at + 1,
        flown: w.bare_area(p.sprayed()),
        over: w.bare_area(p.risk.in_sample),
        again: again.map(|(mean, error)| format!("{} ± {}", w.bare_area(mean), w.bare_area(error))).unwrap_or_default(),
        cost: grouped(p.cost().as_dollars()),
        volunteers: grouped(p.blocks.iter().map(|b| b.volunteer_hours.as_hours()).sum()),
        more: more.unwrap_or_default(),
    }
}

/// Starts the search; the page of the job shows how far it is.
pub async fn start(visit: Visit) -> Answer {
    let (season, desk) = (Arc::clone(&visit.season), Arc::clone(&visit.desk));
    let (id, _) = visit.desk.jobs.start(move |job| {
        let stages = Arc::clone(season.stages.as_ref().map_err(Clone::clone)?);
        let question = Question { along: Along::Sprayed, points: POINTS, wishes: Wishes::default() };
        let told = |n: usize, of: usize| job.at(format!("{n} of {of} plans"), n as f64 / of as f64);
        let watcher = Watcher { tell: None, stop: Some(&job.stop) };
        let all = trade_off_from(&stages, &season.records, &season.setting(), &question, watcher, &told)?;
        desk.trade_off.keep(&season, all);
        Ok("/plan/frontier".to_owned())
    });
    Ok(Redirect::to(&format!("/jobs/{id}")).into_response())
}

/// Keeps one of the plans under a name that says what it is.
pub async fn pick(visit: Visit, Path(number): Path<usize>) -> Answer {
    let gone =
        || Refused::missing("The trade-off was worked out for an earlier state of the programme. Work it out again.");
    let all = visit.desk.trade_off.of(&visit.season).ok_or_else(gone)?;
    let plan = number.checked_sub(1).and_then(|at| all.plans.get(at)).cloned().ok_or_else(gone)?;
    let name = format!("trade-off, {} flown", visit.season.wording().area(plan.sprayed()));
    let wishes =
        Wishes { max_sprayed_acres: Some(plan.sprayed().as_acres()), accepted_chance: Some(0.0), ..Wishes::default() };
    keep_as(visit, name, plan, wishes).await
}

/// Keeps a plan that was worked out with others, and goes to it.
pub(super) async fn keep_as(visit: Visit, name: String, plan: Plan, wishes: Wishes) -> Answer {
    let season = Arc::clone(&visit.season);
    let stages = Arc::clone(season.stages.as_ref().map_err(Clone::clone)?);
    let limits = limits(&season.records, &wishes);
    let made = Made { stages, setting: season.setting(), wishes, limits, plan, solve_seconds: 0.0 };
    let (file, author) = (visit.desk.path().to_owned(), visit.author().to_owned());
    let words = name.clone();
    let id = off(move || {
        let json = PlanJson::new(&made, &season.records);
        keep(&file, &name, &json, season.history.last().map(|e| e.id), &author, &clock::now())
    });
    let id = id.await?;
    Ok(visit.done(format!("The plan \"{words}\" is kept."), &format!("/plan?plan={id}")).await)
}
