//! The bundle and the stylesheet's colours.

use std::sync::Arc;

use axum::Router;
use axum::extract::Path;
use axum::http::header::{ACCEPT_ENCODING, CACHE_CONTROL, CONTENT_ENCODING, CONTENT_TYPE, ETAG, IF_NONE_MATCH, VARY};
use axum::http::{HeaderMap, StatusCode};
use axum::response::{IntoResponse as _, Response};
use axum::routing::get;

use super::state::Desk;

/// The address of a bundled file.
pub fn url(name: &str) -> String {
    format!("/assets/{name}")
}

/// Serves the bundle.
pub fn router() -> Router<Arc<Desk>> {
    Router::new().route("/assets/{*path}", get(asset))
}

async fn asset(Path(path): Path<String>) -> Response {
    match path.as_str() {
        "desk.css" => ([(CONTENT_TYPE, "text/css")], include_str!("../../../../web/styles/desk.css")).into_response(),
        _ => StatusCode::NOT_FOUND.into_response(),
    }
}
