//! One file per place.

mod week;

use std::sync::Arc;

use axum::Router;
use axum::routing::get;

use super::shell::{Answer, Refused};
use super::state::Desk;

/// Every page and every change.
pub fn router() -> Router<Arc<Desk>> {
    Router::new().route("/", get(week::show)).fallback(missing)
}

async fn missing() -> Answer {
    Err(Refused::missing("There is no such page."))
}
