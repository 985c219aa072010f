//! Coming in with an account or a link: pages that need no session.

use std::collections::VecDeque;
use std::sync::{Arc, Mutex, PoisonError};
use std::time::{Duration, Instant};

use askama::Template;
use axum::Router;
use axum::extract::{Form, Path, State};
use axum::http::header::{AUTHORIZATION, WWW_AUTHENTICATE};
use axum::http::{HeaderMap, StatusCode};
use axum::response::{IntoResponse as _, Redirect, Response};
use axum::routing::{get, post};
use base64ct::{Base64, Encoding as _};
use crownhold_data::access::PassKind;
use serde::{Deserialize, Serialize};
use tower_sessions::Session;

use super::shell::{Answer, Refused, Shell, page_with};
use super::state::{Desk, off};
use crate::actions::access::{self, PASSWORD, Rank};
use crate::clock;

/// Wrong passwords for one name within [`SPAN`].
const WRONG_FOR_ONE: usize = 8;
const SPAN: Duration = Duration::from_secs(900);
/// How long a password that fitted need not be tried again.
const REMEMBERED: Duration = Duration::from_secs(300);

/// Key of [`Who`] in the session.
pub const IN: &str = "in";

/// Who came in, and by which door.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Who {
    /// Name.
    pub name: String,
    /// Role.
    pub rank: Rank,
    /// Door.
    pub door: Door,
}

/// How somebody came in.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Door {
    /// By the one-time link printed on this computer.
    Printed,
    /// By a password; its mark, by which a new one puts the old one out.
    Password(String),
    /// By a link that ends; its hash is kept, not the link.
    Link(String),
}

impl Who {
    /// Whoever runs the desk, on this computer.
    pub fn here(desk: &Desk) -> Self {
        Self { name: desk.author().to_owned(), rank: Rank::Manager, door: Door::Printed }
    }
    /// As they are now: with another role, or not at all when account or link have gone.
    pub async fn now(self, desk: &Arc<Desk>) -> Option<Self> {
        // The desk may work as on another day; links end by the real one.
        let (programme, today) = (desk.path().to_owned(), clock::today());
        off(move || match &self.door {
            Door::Printed => Some(self),
            Door::Password(mark) => {
                let rank = access::rank_now(&programme, &self.name, mark).ok()??;
                Some(Self { rank, ..self })
            }
            Door::Link(token) => access::is_open(&programme, token, today).ok()?.then_some(self),
        })
        .await
    }
}

impl From<access::Known> for Who {
    fn from(known: access::Known) -> Self {
        Self { name: known.name, rank: known.rank, door: Door::Password(known.mark) }
    }
}

/// The addresses.
pub fn router() -> Router<Arc<Desk>> {
    Router::new()
        .route("/login", get(ask).post(log_in))
        .route("/logout", post(log_out))
        .route("/join/{token}", get(show).post(join))
}

#[derive(Template)]
#[template(path = "login.html")]
struct LoginPage {
    shell: Shell,
    name: String,
    wrong: String,
}

#[derive(Template)]
#[template(path = "join.html")]
struct JoinPage {
    shell: Shell,
    token: String,
    name: String,
    rank: &'static str,
    until: String,
    /// Is a password to be chosen?
    chooses: bool,
    least: usize,
    wrong: String,
}

/// Who wants in.
#[derive(Deserialize)]
pub struct Typed {
    #[serde(default)]
    name: String,
    #[serde(default)]
    password: String,
    #[serde(default)]
    again: String,
}

async fn ask() -> Answer {
    login_page(StatusCode::OK, String::new(), String::new())
}

fn login_page(status: StatusCode, name: String, wrong: String) -> Answer {
    page_with(status, &LoginPage { shell: Shell::bare("Sign in", "auto"), name, wrong })
}

#[allow(clippy::disallowed_methods)] // Passwords tried are counted by real time.
async fn log_in(State(desk): State<Arc<Desk>>, session: Session, Form(typed): Form<Typed>) -> Answer {
    if !desk.tries.may_try(&typed.name, Instant::now()) {
        let wrong = "Too many wrong passwords for this name: wait a quarter of an hour.".to_owned();
        return login_page(StatusCode::TOO_MANY_REQUESTS, typed.name, wrong);
    }
    let (programme, name, password) = (desk.path().to_owned(), typed.name.clone(), typed.password);
    match off(move || access::log_in(&programme, &name, &password)).await? {
        Some(known) => come_in(&session, known.into()).await,
        None => {
            desk.tries.was_wrong(&typed.name, Instant::now());
            let wrong = "Name and password do not fit together.".to_owned();
            login_page(StatusCode::UNAUTHORIZED, typed.name, wrong)
        }
    }
}

async fn come_in(session: &Session, who: Who) -> Answer {
    // A new id, so that nobody can have set it before.
    let came = async {
        session.flush().await?;
        session.insert(IN, who).await
    };
    came.await.map_err(|e| Refused::own_fault(&e.to_string()))?;
    Ok(Redirect::to("/").into_response())
}

async fn log_out(session: Session) -> Response {
    // A session that cannot be deleted ends by itself.
    let _ = session.flush().await;
    Redirect::to("/login").into_response()
}

async fn show(State(desk): State<Arc<Desk>>, Path(token): Path<String>) -> Answer {
    join_page(&desk, token, StatusCode::OK, String::new()).await
}

async fn join_page(desk: &Arc<Desk>, token: String, status: StatusCode, wrong: String) -> Answer {
    let (programme, asked) = (desk.path().to_owned(), token.clone());
    let found = off(move || access::pass_of(&programme, &asked, clock::today())).await?;
    let pass = found.ok_or_else(over)?;
    let rank = Rank::from_word(&pass.rank).ok_or_else(over)?;
    let page = JoinPage {
        shell: Shell::bare("Come in", "auto"),
        token,
        name: pass.name,
        rank: rank.word(),
        until: pass.until.to_string(),
        chooses: pass.kind == PassKind::Invitation,
        least: PASSWORD.0,
        wrong,
    };
    page_with(status, &page)
}

fn over() -> Refused {
    Refused::missing("This invitation or link was used before or is over. Ask the manager for another.")
}

async fn join(
    State(desk): State<Arc<Desk>>,
    Path(token): Path<String>,
    session: Session,
    Form(typed): Form<Typed>,
) -> Answer {
    let (programme, asked, today) = (desk.path().to_owned(), token.clone(), clock::today());
    let pass = off(move || access::pass_of(&programme, &asked, today)).await?.ok_or_else(over)?;
    if pass.kind == PassKind::Link {
        let rank = Rank::from_word(&pass.rank).ok_or_else(over)?;
        return come_in(&session, Who { name: pass.name, rank, door: Door::Link(pass.token) }).await;
    }
    if typed.password != typed.again {
        let wrong = "The two passwords are not the same.".to_owned();
        return join_page(&desk, token, StatusCode::UNPROCESSABLE_ENTITY, wrong).await;
    }
    let (programme, asked) = (desk.path().to_owned(), token.clone());
    match off(move || access::accept(&programme, &asked, &typed.password, today)).await {
        Ok(Some(known)) => come_in(&session, known.into()).await,
        Ok(None) => Err(over()),
        Err(trouble) => {
            let wrong = trouble.problems.iter().map(ToString::to_string).collect::<Vec<_>>().join(" ");
            join_page(&desk, token, StatusCode::UNPROCESSABLE_ENTITY, wrong).await
        }
    }
}

/// Whoever sends name and password with the request itself, as programs do; none where nothing is sent. A password that fitted is
/// remembered for some minutes by its hash, since a GIS sends it with every request.
#[allow(clippy::disallowed_methods)] // Passwords tried are counted by real time.
pub async fn by_header(desk: &Arc<Desk>, headers: &HeaderMap) -> Result<Option<Who>, Response> {
    let Some(sent) = headers.get(AUTHORIZATION) else { return Ok(None) };
    let Some((name, password)) = sent.to_str().ok().and_then(basic) else { return Err(asks_for_password()) };
    let (hidden, now) = (access::hidden(&format!("{name}\n{password}")), Instant::now());
    // One whose password was changed since is asked like anybody else.
    if let Some(who) = desk.remembered.of(&hidden, now)
        && let Some(who) = who.now(desk).await
    {
        return Ok(Some(who));
    }
    if !desk.tries.may_try(&name, now) {
        return Err((StatusCode::TOO_MANY_REQUESTS, "Too many wrong passwords for this name.\n").into_response());
    }
    let (programme, given) = (desk.path().to_owned(), name.clone());
    match off(move || access::log_in(&programme, &given, &password)).await {
        Ok(Some(known)) => {
            let who = Who::from(known);
            desk.remembered.keep(hidden, who.clone(), now);
            Ok(Some(who))
        }
        _ => {
            desk.tries.was_wrong(&name, now);
            Err(asks_for_password())
        }
    }
}

/// Name and password of a header "Basic ..." (RFC 7617).
fn basic(header: &str) -> Option<(String, String)> {
    let (scheme, coded) = header.split_once(' ')?;
    let bytes = scheme.eq_ignore_ascii_case("basic").then(|| Base64::decode_vec(coded.trim()).ok())??;
    let text = String::from_utf8(bytes).ok()?;
    let (name, password) = text.split_once(':')?;
    Some((name.to_owned(), password.to_owned()))
}

/// For programs that sent no password, or one that does not fit.
pub fn asks_for_password() -> Response {
    let ask = [(WWW_AUTHENTICATE, "Basic realm=\"Crownhold\", charset=\"UTF-8\"")];
    (StatusCode::UNAUTHORIZED, ask, "Name and password of an account are needed.\n").into_response()
}

/// Passwords that fitted of late, by hash. In memory only.
#[derive(Default)]
pub struct Remembered(Mutex<VecDeque<(Instant, String, Who)>>);

impl Remembered {
    fn of(&self, hidden: &str, now: Instant) -> Option<Who> {
        let mut all = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        while all.front().is_some_and(|(at, ..)| now.duration_since(*at) >= REMEMBERED) {
            all.pop_front();
        }
        all.iter().find(|(_, own, _)| own == hidden).map(|(.., who)| who.clone())
    }
    fn keep(&self, hidden: String, who: Who, now: Instant) {
        self.0.lock().unwrap_or_else(PoisonError::into_inner).push_back((now, hidden, who));
    }
}

/// Wrong passwords of the last quarter of an hour, by name. In memory only.
#[derive(Default)]
pub struct Tries(Mutex<VecDeque<(Instant, String)>>);

impl Tries {
    fn may_try(&self, name: &str, now: Instant) -> bool {
        let mut all = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        while all.front().is_some_and(|(at, _)| now.duration_since(*at) >= SPAN) {
            all.pop_front();
        }
        let name = name.trim().to_lowercase();
        all.iter().filter(|(_, who)| *who == name).count() < WRONG_FOR_ONE
    }
    fn was_wrong(&self, name: &str, now: Instant) {
        self.0.lock().unwrap_or_else(PoisonError::into_inner).push_back((now, name.trim().to_lowercase()));
    }
}

#[cfg(test)]
mod tests {
    use std::time::{Duration, Instant};

    use super::{Tries, WRONG_FOR_ONE};

    #[test]
    #[allow(clippy::disallowed_methods)] // Any moment will do.
    fn so_many_wrong_passwords_and_then_a_rest() {
        let (tries, start) = (Tries::default(), Instant::now());
        for _ in 0..WRONG_FOR_ONE {
            assert!(tries.may_try("Ann", start));
            tries.was_wrong(" ANN", start);
        }
        assert!(!tries.may_try("ann", start) && tries.may_try("Bob", start));
        assert!(tries.may_try("Ann", start + Duration::from_secs(901)));
    }
}
