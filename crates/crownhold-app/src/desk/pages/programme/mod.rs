//! Programme: what it holds, who works in it, its constants, data coming in, history, backup.

mod history;
mod mend;
mod overview;

use std::sync::Arc;

use axum::Router;
use axum::routing::{get, post};

use crate::desk::state::Desk;

/// Every page and every change of this place.
pub fn router() -> Router<Arc<Desk>> {
    Router::new()
        .route("/programme", get(overview::show))
        .route("/programme/history", get(history::show))
        .route("/programme/undo", post(history::undo))
}
