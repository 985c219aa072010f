//! Programme: what it holds, who works in it, its constants, data coming in, history, backup.

mod history;
mod import;
mod kinds;
mod mend;
mod overview;
mod report;

use std::sync::Arc;

use axum::Router;
use axum::extract::DefaultBodyLimit;
use axum::routing::{get, post};

use crate::desk::state::Desk;

/// Every page and every change of this place.
pub fn router() -> Router<Arc<Desk>> {
    Router::new()
        .route("/programme", get(overview::show))
        .route("/programme/import", get(import::choose))
        .route("/programme/import/{kind}", get(import::form).post(import::take).layer(DefaultBodyLimit::disable()))
        .route("/programme/import/reports/{id}", get(report::show))
        .route("/programme/history", get(history::show))
        .route("/programme/undo", post(history::undo))
}
