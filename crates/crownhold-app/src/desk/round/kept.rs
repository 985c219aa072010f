//! The page of the form and what a phone needs to keep it: no record in it, and no door before it.

use std::sync::{Arc, LazyLock};

use askama::Template;
use axum::Router;
use axum::http::header::CONTENT_TYPE;
use axum::response::{Html, IntoResponse as _, Response};
use axum::routing::get;
use blake2::{Blake2s256, Digest as _};
use serde_json::json;

use crate::desk::assets;
use crate::desk::shell::broken;
use crate::desk::state::Desk;

/// Where the page is.
const PAGE: &str = "/round";

/// The page, its worker and what a phone needs to install it.
pub fn router() -> Router<Arc<Desk>> {
    Router::new()
        .route(PAGE, get(page))
        .route("/round-worker.js", get(worker))
        .route("/round.webmanifest", get(manifest))
}

#[derive(Template)]
#[template(path = "round.html")]
struct RoundPage;

impl RoundPage {
    fn asset(&self, name: &str) -> String {
        assets::url(name)
    }
}

async fn page() -> Response {
    RoundPage.render().map_or_else(|_| broken(), |html| Html(html).into_response())
}

/// What the phone keeps: the page and all it loads.
fn kept() -> Vec<String> {
    let bundled = [
        "desk.css",
        "round.css",
        "round.js",
        "favicon.svg",
        "source-sans-3-latin.woff2",
        "source-sans-3-latin-ext.woff2",
    ];
    let own = [PAGE, "/tokens.css", "/round.webmanifest"].map(str::to_owned);
    own.into_iter().chain(bundled.map(assets::url)).collect()
}

/// The worker with the list of what it keeps before it; the list's hash makes a new worker of it whenever something changes.
static WORKER: LazyLock<String> = LazyLock::new(|| {
    let kept = kept();
    let of = format!("{}{}{}", kept.join(" "), assets::tokens(), RoundPage.render().unwrap_or_default());
    let hash: String = Blake2s256::digest(of).iter().take(8).map(|b| format!("{b:02x}")).collect();
    let script = String::from_utf8_lossy(assets::bytes("round-worker.js"));
    format!("const KEEP={};const NAME=\"round-{hash}\";\n{script}", json!(kept))
});

async fn worker() -> Response {
    ([(CONTENT_TYPE, "text/javascript; charset=utf-8")], WORKER.as_str()).into_response()
}

async fn manifest() -> Response {
    let icon = json!({ "src": assets::url("favicon.svg"), "sizes": "any", "type": "image/svg+xml", "purpose": "any" });
    let told = json!({
        "name": "Crownhold, today's round",
        "short_name": "Today's round",
        "id": PAGE,
        "start_url": PAGE,
        "scope": PAGE,
        "display": "standalone",
        "background_color": "#ffffff",
        "theme_color": "#ffffff",
        "icons": [icon],
    });
    ([(CONTENT_TYPE, "application/manifest+json")], told.to_string()).into_response()
}
