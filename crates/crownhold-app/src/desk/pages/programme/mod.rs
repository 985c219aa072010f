//! Programme: what it holds, who works in it, its constants and tree names, data coming in, history, backup.

mod accounts;
mod backup;
mod constants;
mod history;
mod import;
mod kinds;
mod mend;
mod overview;
mod people;
mod public;
mod report;
mod species;

use std::sync::Arc;

use axum::Router;
use axum::extract::DefaultBodyLimit;
use axum::routing::{get, post};

use crate::desk::state::Desk;

/// Every page and every change of this place.
pub fn router() -> Router<Arc<Desk>> {
    Router::new()
        .route("/programme", get(overview::show))
        .route("/programme/parameters", get(constants::show))
        .route("/programme/parameters/restore", post(constants::back_all))
        .route("/programme/parameters/{name}", post(constants::change))
        .route("/programme/parameters/{name}/restore", post(constants::back))
        .route("/programme/import", get(import::choose))
        .route("/programme/import/{kind}", get(import::form).post(import::take).layer(DefaultBodyLimit::disable()))
        .route("/programme/import/reports/{id}", get(report::show))
        .route("/programme/history", get(history::show))
        .route("/programme/people", get(people::show).post(people::add))
        .route("/programme/people/{name}", post(people::change))
        .route("/programme/people/{name}/remove", post(people::remove))
        .route("/programme/accounts", get(accounts::show))
        .route("/programme/accounts/invite", post(accounts::invite))
        .route("/programme/accounts/link", post(accounts::link))
        .route("/programme/accounts/{name}/remove", post(accounts::remove))
        .route("/programme/species", get(species::show).post(species::set))
        .route("/programme/public", get(public::show).post(public::set))
        .route("/programme/public/streets", post(public::streets))
        .route("/programme/public/reports/{id}/delete", post(public::remove))
        .route("/programme/author", post(people::called))
        .route("/programme/backup", get(backup::show))
        .route("/programme/backup/file", get(backup::file))
        .route("/programme/backup/photos", get(backup::photo_file))
        .route("/programme/undo", post(history::undo))
}
