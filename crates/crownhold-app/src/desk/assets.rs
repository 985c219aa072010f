//! The bundle, and the stylesheet's colours.

use std::sync::{Arc, LazyLock};

use axum::Router;
use axum::extract::Path;
use axum::http::header::{ACCEPT_ENCODING, CACHE_CONTROL, CONTENT_ENCODING, CONTENT_TYPE, ETAG, VARY};
use axum::http::{HeaderMap, StatusCode};
use axum::response::{IntoResponse as _, Response};
use axum::routing::get;
use crownhold_print::palette::{Theme, declarations};
use crownhold_ui::{Encoding, asset};

use super::state::Desk;

/// The palette of the papers as a stylesheet: one table of colours for paper and screen.
static TOKENS: LazyLock<String> = LazyLock::new(|| {
    let (light, dark) = (declarations(Theme::Light), declarations(Theme::Dark));
    format!(
        ":root {{\n{light}}}\n:root[data-theme=\"dark\"] {{\n{dark}}}\n\
         @media (prefers-color-scheme: dark) {{ :root[data-theme=\"auto\"] {{\n{dark}}} }}\n\
         @media print {{ :root, :root[data-theme] {{\n{light}}} }}\n"
    )
});

/// The address of a bundled file.
pub fn url(name: &str) -> String {
    crownhold_ui::url(name)
}

/// The palette as a stylesheet.
pub fn tokens() -> &'static str {
    &TOKENS
}

/// A bundled file as it is.
pub fn bytes(name: &str) -> &'static [u8] {
    let url = url(name);
    let path = url.strip_prefix(crownhold_ui::PREFIX).unwrap_or_default();
    asset(path, Encoding::Identity).map_or(&[], |file| file.bytes)
}

/// Serves bundle and colours.
pub fn router() -> Router<Arc<Desk>> {
    Router::new().route("/tokens.css", get(palette)).route("/assets/{*path}", get(bundled))
}

async fn palette() -> Response {
    ([(CONTENT_TYPE, "text/css; charset=utf-8")], tokens()).into_response()
}

/// Names carry a hash of the content, so a browser may keep them for ever.
async fn bundled(Path(path): Path<String>, headers: HeaderMap) -> Response {
    let accepted = headers.get(ACCEPT_ENCODING).and_then(|h| h.to_str().ok()).unwrap_or_default();
    let Some(file) = asset(&path, Encoding::accepted(accepted)) else { return StatusCode::NOT_FOUND.into_response() };
    let mut response = (
        [
            (CONTENT_TYPE, file.content_type),
            (CACHE_CONTROL, "public, max-age=31536000, immutable"),
            (VARY, "Accept-Encoding"),
        ],
        [(ETAG, file.etag)],
        file.bytes,
    )
        .into_response();
    if let Some(word) = file.encoding.word() {
        response.headers_mut().insert(CONTENT_ENCODING, axum::http::HeaderValue::from_static(word));
    }
    response
}
