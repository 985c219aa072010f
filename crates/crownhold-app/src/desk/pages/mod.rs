//! One file per place. A page asks the season or an action and says it in a template; nothing is worked out here.

mod field;
mod papers;
mod plan;
mod solving;
mod week;
mod why;

use std::sync::Arc;

use axum::Router;
use axum::routing::{get, post};

use super::shell::{Answer, Refused};
use super::state::Desk;

/// Every page and every change.
pub fn router() -> Router<Arc<Desk>> {
    Router::new()
        .route("/", get(week::show))
        .route("/plan", get(plan::show))
        .route("/plan/compare", get(plan::compare))
        .route("/plan/blocks/{id}", get(plan::block))
        .route("/plan/solve", post(solving::start))
        .route("/jobs/{id}", get(solving::show))
        .route("/jobs/{id}/events", get(solving::events))
        .route("/jobs/{id}/stop", post(solving::stop))
        .route("/field", get(field::show))
        .route("/papers", get(papers::show))
        .route("/papers/season-plan/{id}", get(papers::season_plan))
        .route("/why/{id}", get(why::show))
        .fallback(missing)
}

async fn missing() -> Answer {
    Err(Refused::missing("There is no such page."))
}
