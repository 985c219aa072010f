//! Who may come in, and what every answer carries.
//!
//! The desk listens on the loopback address only. A browser comes in by a link that works once and gets a session
//! cookie for it; accounts come with the work on people. Requests that name another host (a page elsewhere that
//! points its own name at this computer) and changes asked for by other pages are turned away.

use std::sync::Arc;

use axum::Router;
use axum::extract::{Path, Request, State};
use axum::http::header::{
    CACHE_CONTROL, CONTENT_SECURITY_POLICY, HOST, ORIGIN, REFERRER_POLICY, X_CONTENT_TYPE_OPTIONS,
};
use axum::http::{HeaderMap, HeaderValue, Method, StatusCode};
use axum::middleware::{Next, from_fn_with_state};
use axum::response::{IntoResponse as _, Redirect, Response};
use axum::routing::get;
use tower_http::catch_panic::CatchPanicLayer;
use tower_http::limit::RequestBodyLimitLayer;
use tower_sessions::cookie::SameSite;
use tower_sessions::{MemoryStore, Session, SessionManagerLayer};

use super::shell;
use super::state::Desk;

/// No script or style but the desk's own, and nothing from anywhere else. Styles on elements are needed by the map.
const POLICY: &str = "default-src 'self'; img-src 'self' data: blob:; style-src 'self' 'unsafe-inline'; \
     worker-src 'self'; object-src 'none'; base-uri 'none'; form-action 'self'; frame-ancestors 'none'";
/// Largest file that can be sent for import, bytes.
const LARGEST_BODY: usize = 256 << 20;
/// Key in the session of a browser that came in by a link.
const IN: &str = "in";

/// Puts the door in front of the pages.
pub fn guard(pages: Router<Arc<Desk>>, desk: Arc<Desk>) -> Router {
    let sessions = SessionManagerLayer::new(MemoryStore::default())
        .with_name("crownhold")
        .with_secure(false)
        .with_same_site(SameSite::Lax);
    pages
        .layer(from_fn_with_state(Arc::clone(&desk), only_known))
        .route("/enter/{token}", get(enter))
        .merge(super::town::router())
        .merge(super::assets::router())
        .layer(sessions)
        .layer(from_fn_with_state(Arc::clone(&desk), only_here))
        .layer(RequestBodyLimitLayer::new(LARGEST_BODY))
        .layer(CatchPanicLayer::custom(|_: Box<dyn std::any::Any + Send>| shell::broken()))
        .with_state(desk)
}

async fn enter(State(desk): State<Arc<Desk>>, Path(token): Path<String>, session: Session) -> Response {
    let already = matches!(session.get::<bool>(IN).await, Ok(Some(true)));
    if (desk.use_link(&token) || already) && session.insert(IN, true).await.is_ok() {
        return Redirect::to("/").into_response();
    }
    shell::closed_door()
}

/// Only browsers that came in by a link.
async fn only_known(session: Session, request: Request, next: Next) -> Response {
    match session.get::<bool>(IN).await {
        Ok(Some(true)) => next.run(request).await,
        _ => shell::closed_door(),
    }
}

/// Only requests to this desk by its own name; changes only from its own pages.
async fn only_here(State(desk): State<Arc<Desk>>, request: Request, next: Next) -> Response {
    if !is_for(&desk, request.headers()) || !is_own(&desk, request.method(), request.headers()) {
        return (StatusCode::FORBIDDEN, "This desk answers its own pages only.\n").into_response();
    }
    let mut response = next.run(request).await;
    let headers = response.headers_mut();
    for (name, value) in
        [(CONTENT_SECURITY_POLICY, POLICY), (X_CONTENT_TYPE_OPTIONS, "nosniff"), (REFERRER_POLICY, "same-origin")]
    {
        headers.insert(name, HeaderValue::from_static(value));
    }
    headers.entry(CACHE_CONTROL).or_insert(HeaderValue::from_static("private, no-cache"));
    response
}

fn is_for(desk: &Desk, headers: &HeaderMap) -> bool {
    headers.get(HOST).and_then(|h| h.to_str().ok()).is_some_and(|host| desk.hosts().iter().any(|own| own == host))
}

fn is_own(desk: &Desk, method: &Method, headers: &HeaderMap) -> bool {
    if matches!(*method, Method::GET | Method::HEAD) {
        return true;
    }
    let origin = headers.get(ORIGIN).and_then(|o| o.to_str().ok());
    origin.and_then(|o| o.strip_prefix("http://")).is_some_and(|o| desk.hosts().iter().any(|own| own == o))
}
