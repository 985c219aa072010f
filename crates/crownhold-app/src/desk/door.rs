//! Who may come in, and what every answer carries.
//!
//! On the loopback address a browser comes in by a link that works once and gets a session cookie for it. Accounts and
//! links that end (`join`) open the desk to others; what each role may do is in `ranks`, and who has been taken out is out with
//! the next request. Requests that name another host (a page elsewhere that points its own name at this computer) and changes
//! asked for by other pages are turned away.

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
use tower_sessions::cookie::time::Duration;
use tower_sessions::{Expiry, Session, SessionManagerLayer};

use super::join::{IN, Who};
use super::ranks::{is_in, may, right_of};
use super::shell::{self, Refused};
use super::state::Desk;
use super::trim::trimmed;

/// No script or style but the desk's own, and nothing from anywhere else. Styles on elements are needed by the map.
const POLICY: &str = "default-src 'self'; img-src 'self' data: blob:; style-src 'self' 'unsafe-inline'; \
     worker-src 'self'; object-src 'none'; base-uri 'none'; form-action 'self'; frame-ancestors 'none'";
/// Largest file that can be sent for import, bytes.
const LARGEST_BODY: usize = 256 << 20;
/// A session ends after so many hours without a request: a working day.
const INACTIVE: i64 = 12;

/// Puts the door in front of the pages.
pub fn guard(pages: Router<Arc<Desk>>, desk: Arc<Desk>) -> Router {
    let sessions = SessionManagerLayer::new(desk.sessions())
        .with_name("crownhold")
        .with_secure(desk.is_behind_tls())
        .with_expiry(Expiry::OnInactivity(Duration::hours(INACTIVE)))
        .with_same_site(SameSite::Lax);
    pages
        .merge(super::api::router())
        .merge(super::round::router())
        .layer(from_fn_with_state(Arc::clone(&desk), only_known))
        .route("/enter/{token}", get(enter))
        .merge(super::join::router())
        .merge(super::town::router())
        .merge(super::round::open_router())
        .merge(super::assets::router())
        .layer(sessions)
        .layer(from_fn_with_state(Arc::clone(&desk), only_here))
        .layer(RequestBodyLimitLayer::new(LARGEST_BODY))
        .layer(CatchPanicLayer::custom(|_: Box<dyn std::any::Any + Send>| shell::broken()))
        .with_state(desk)
}

async fn enter(State(desk): State<Arc<Desk>>, Path(token): Path<String>, session: Session) -> Response {
    let already = matches!(session.get::<Who>(IN).await, Ok(Some(_)));
    if already || (desk.use_link(&token) && session.insert(IN, Who::here(&desk)).await.is_ok()) {
        return Redirect::to("/").into_response();
    }
    shell::closed_door()
}

/// Only browsers that came in, each as far as its role goes.
async fn only_known(State(desk): State<Arc<Desk>>, session: Session, mut request: Request, next: Next) -> Response {
    let is_program = is_in(request.uri().path(), super::api::ROOT);
    let by_header = if is_program { super::join::by_header(&desk, request.headers()).await } else { Ok(None) };
    let came = match by_header {
        Err(refused) => return refused,
        Ok(Some(who)) => Some(who),
        Ok(None) => session.get::<Who>(IN).await.ok().flatten(),
    };
    let Some(came) = came else {
        if is_program {
            return super::join::asks_for_password();
        }
        return if desk.has_accounts() { Redirect::to("/login").into_response() } else { shell::closed_door() };
    };
    let Some(who) = came.now(&desk).await else {
        // Account or link have gone; a session that cannot be deleted is refused again.
        let _ = session.flush().await;
        return if is_program { super::join::asks_for_password() } else { Redirect::to("/login").into_response() };
    };
    if !may(who.rank, right_of(request.method(), request.uri().path())) {
        return Refused::not_yours(who.rank).into_response();
    }
    let rank = who.rank;
    request.extensions_mut().insert(who);
    trimmed(next.run(request).await, rank).await
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
    let host = |o: &'_ str| o.strip_prefix("http://").or(o.strip_prefix("https://")).map(str::to_owned);
    origin.and_then(host).is_some_and(|o| desk.hosts().contains(&o))
}
