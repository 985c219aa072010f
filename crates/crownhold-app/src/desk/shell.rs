//! What stands around every page: city, places, notices, trouble.

use std::sync::Arc;

use askama::Template;
use axum::extract::{FromRequestParts, State};
use axum::http::header::COOKIE;
use axum::http::request::Parts;
use axum::http::{Method, StatusCode};
use axum::response::{Html, IntoResponse, Redirect, Response};
use crownhold::types::{Problem, Severity};
use serde::{Deserialize, Serialize};
use tower_sessions::Session;

use super::assets;
use super::join::{Door, Who};
use super::ranks::{may, right_of};
use super::state::{Desk, Season};
use crate::actions::Done;
use crate::actions::access::Rank;
use crate::trouble::Trouble;

/// What a page answers with: itself, or trouble as a page.
pub type Answer = Result<Response, Refused>;

/// The places of the desk, in the order of the menu.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Place {
    /// What the season needs now.
    Week,
    /// Counts and densities.
    Survey,
    /// Heat, stages, windows.
    Timing,
    /// If nothing is done.
    Outlook,
    /// What is done where, and why.
    Plan,
    /// Who does what by when.
    Field,
    /// Did it work?
    Evidence,
    /// PDFs.
    Papers,
    /// People, parameters, import, history, backup.
    Programme,
}

impl Place {
    /// All places.
    pub const ALL: [Self; 9] = [
        Self::Week,
        Self::Survey,
        Self::Timing,
        Self::Outlook,
        Self::Plan,
        Self::Field,
        Self::Evidence,
        Self::Papers,
        Self::Programme,
    ];
    /// Its name.
    pub fn name(self) -> &'static str {
        match self {
            Self::Week => "This week",
            Self::Survey => "Survey",
            Self::Timing => "Timing",
            Self::Outlook => "Outlook",
            Self::Plan => "Plan",
            Self::Field => "Field",
            Self::Evidence => "Evidence",
            Self::Papers => "Papers",
            Self::Programme => "Programme",
        }
    }
    /// Its address.
    pub fn href(self) -> &'static str {
        match self {
            Self::Week => "/",
            Self::Survey => "/survey",
            Self::Timing => "/timing",
            Self::Outlook => "/outlook",
            Self::Plan => "/plan",
            Self::Field => "/field",
            Self::Evidence => "/evidence",
            Self::Papers => "/papers",
            Self::Programme => "/programme",
        }
    }
    /// Its picture in the set of icons.
    pub fn icon(self) -> &'static str {
        match self {
            Self::Week => "sun",
            Self::Survey => "search",
            Self::Timing => "thermometer",
            Self::Outlook => "leaf",
            Self::Plan => "map",
            Self::Field => "clipboard-list",
            Self::Evidence => "scale",
            Self::Papers => "file-text",
            Self::Programme => "settings",
        }
    }
}

/// A line at the top of the page after something was done.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct Notice {
    /// What was done.
    pub text: String,
    /// Can it be taken back with one press?
    pub undo: bool,
}

/// A problem as a page shows it.
#[derive(Clone, Debug)]
pub struct ProblemLine {
    /// "error", "repaired" or "notice".
    pub kind: &'static str,
    /// Where, what and expectation.
    pub what: String,
    /// What to do.
    pub remedy: String,
    /// Code.
    pub code: &'static str,
}

impl From<&Problem> for ProblemLine {
    fn from(p: &Problem) -> Self {
        let kind = match p.severity {
            Severity::Error => "error",
            Severity::Repaired => "repaired",
            Severity::Notice => "notice",
        };
        let place = &p.place;
        let row = place.row.map(|r| format!("row {r}"));
        let column = place.column.as_ref().map(|c| format!("column {c}"));
        let parts: Vec<String> = [place.file.clone(), row, column, place.item.clone()].into_iter().flatten().collect();
        let at = if parts.is_empty() { String::new() } else { format!("{}: ", parts.join(", ")) };
        let expected = if p.expected.is_empty() { String::new() } else { format!(" Expected: {}.", p.expected) };
        Self { kind, what: format!("{at}{}{expected}", p.what), remedy: p.remedy.clone(), code: p.code }
    }
}

/// Problems for a page.
pub fn lines(problems: &[Problem]) -> Vec<ProblemLine> {
    problems.iter().map(ProblemLine::from).collect()
}

/// Everything a page needs around itself.
pub struct Shell {
    /// Title of the page.
    pub title: String,
    /// Where in the menu.
    pub place: Option<Place>,
    /// The programme's name; empty when it could not be read.
    pub city: String,
    /// The spring that is planned for.
    pub season: String,
    /// Say that the data are invented?
    pub invented: bool,
    /// The day the desk works as on.
    pub today: String,
    /// "light", "dark" or "auto".
    pub theme: &'static str,
    /// Whose name changes carry.
    pub author: String,
    /// What somebody who signed in may do; `None` for whoever came in by the printed link, and before signing in.
    pub rank: Option<Rank>,
    /// What was just done.
    pub notice: Option<Notice>,
}

impl Shell {
    pub(super) fn bare(title: &str, theme: &'static str) -> Self {
        Self {
            title: title.to_owned(),
            place: None,
            city: String::new(),
            season: String::new(),
            invented: false,
            today: String::new(),
            theme,
            author: String::new(),
            rank: None,
            notice: None,
        }
    }
    /// Places of the menu.
    pub fn places(&self) -> Vec<Place> {
        let is_open = |p: &Place| self.rank.is_none_or(|rank| may(rank, right_of(&Method::GET, p.href())));
        Place::ALL.into_iter().filter(is_open).collect()
    }
    /// May whoever looks at the page manage the programme?
    pub fn manages(&self) -> bool {
        self.rank.is_none_or(|rank| rank == Rank::Manager)
    }
    /// Is it somebody who goes round with a phone?
    pub fn goes_round(&self) -> bool {
        matches!(self.rank, Some(Rank::Crew | Rank::Volunteer))
    }
    /// Is this the place shown?
    pub fn is_here(&self, place: &Place) -> bool {
        self.place == Some(*place)
    }
    /// The address of a bundled file.
    pub fn asset(&self, name: &str) -> String {
        assets::url(name)
    }
}

/// One request to a page: the desk, the season as it is now, and who asks.
pub struct Visit {
    /// Desk.
    pub desk: Arc<Desk>,
    /// Season.
    pub season: Arc<Season>,
    session: Session,
    theme: &'static str,
    who: Who,
    author: String,
    notice: Option<Notice>,
}

/// Key of the notice in the session.
const NOTICE: &str = "notice";
/// Key of the name that a visitor goes by.
const AUTHOR: &str = "author";

impl FromRequestParts<Arc<Desk>> for Visit {
    type Rejection = Refused;

    async fn from_request_parts(parts: &mut Parts, desk: &Arc<Desk>) -> Result<Self, Refused> {
        let session = Session::from_request_parts(parts, desk).await.map_err(|(_, why)| Refused::own_fault(why))?;
        let theme = theme(parts);
        let notice = session.remove::<Notice>(NOTICE).await.unwrap_or_default();
        // The door puts it there; a page that was left outside the door opens to nobody.
        let Some(who) = parts.extensions.get::<Who>().cloned() else {
            return Err(Refused::own_fault("nobody came in by the door"));
        };
        // Only whoever runs the desk may go by other names; an account's changes carry its own.
        let author = match who.door {
            Door::Printed => session.get::<String>(AUTHOR).await.unwrap_or_default(),
            Door::Password(_) | Door::Link(_) => None,
        };
        let author = author.unwrap_or_else(|| who.name.clone());
        let State(desk) =
            State::<Arc<Desk>>::from_request_parts(parts, desk).await.unwrap_or_else(|never| match never {});
        let season = desk.season().await?;
        Ok(Self { desk, season, session, theme, who, author, notice })
    }
}

fn theme(parts: &Parts) -> &'static str {
    let cookies = parts.headers.get(COOKIE).and_then(|c| c.to_str().ok()).unwrap_or_default();
    match cookies.split(';').find_map(|c| c.trim().strip_prefix("theme=")) {
        Some("light") => "light",
        Some("dark") => "dark",
        _ => "auto",
    }
}

impl Visit {
    /// The same visit after a change: the season as it is now.
    pub async fn anew(self) -> Result<Self, Trouble> {
        let season = self.desk.season().await?;
        Ok(Self { season, ..self })
    }
    /// What stands around a page.
    pub fn shell(&self, place: Place, title: &str) -> Shell {
        let programme = &self.season.records.programme;
        Shell {
            title: title.to_owned(),
            place: Some(place),
            city: programme.name.trim_end_matches(" (invented)").to_owned(),
            season: programme.season.to_string(),
            invented: programme.invented,
            today: self.season.wording().date(self.season.today),
            theme: self.theme,
            author: self.author.clone(),
            rank: (self.who.door != Door::Printed).then_some(self.who.rank),
            notice: self.notice.clone(),
        }
    }
    /// Whose name a change carries.
    pub fn author(&self) -> &str {
        &self.author
    }
    /// Takes a name for the changes that follow in this browser.
    pub async fn is_called(&self, name: &str) {
        // A session that cannot be written leaves the name as it was; the page shows which one it is.
        let _ = self.session.insert(AUTHOR, name).await;
    }
    /// Goes on to a page after something was done, saying so there with a way back.
    pub async fn done(&self, text: impl Into<String>, href: &str) -> Response {
        let undo = self.who.rank == Rank::Manager;
        self.tell(Notice { text: text.into(), undo }, href).await
    }
    /// The same, with what an action says it did and what should be looked at.
    pub async fn done_with(&self, done: Done, href: &str) -> Response {
        let notices: String = done.notices.iter().map(|p| format!(" {} {}", p.what, p.remedy)).collect();
        self.done(format!("Done: {}.{notices}", done.what), href).await
    }
    /// Goes on to a page and says something there.
    pub async fn say(&self, text: impl Into<String>, href: &str) -> Response {
        self.tell(Notice { text: text.into(), undo: false }, href).await
    }
    /// Leaves what was to be said here to the next page: this one is only passed through.
    pub async fn pass_on(&self) {
        if let Some(notice) = &self.notice {
            let _ = self.session.insert(NOTICE, notice).await;
        }
    }
    async fn tell(&self, notice: Notice, href: &str) -> Response {
        let _ = self.session.insert(NOTICE, notice).await;
        Redirect::to(href).into_response()
    }
}

/// A page.
pub fn page(template: &impl Template) -> Answer {
    page_with(StatusCode::OK, template)
}

/// A page with a status of its own: a form that is shown again with what is wrong in it.
pub fn page_with(status: StatusCode, template: &impl Template) -> Answer {
    let html = template.render().map_err(|e| Refused::own_fault(&e.to_string()))?;
    Ok((status, Html(html)).into_response())
}

/// Trouble on its way to a page of its own.
pub struct Refused {
    status: StatusCode,
    problems: Vec<Problem>,
}

impl Refused {
    /// There is no such page, block, plan ...
    pub fn missing(what: impl Into<String>) -> Self {
        let problem = Problem::error("A-141", what, "Go back, or choose from the menu.");
        Self { status: StatusCode::NOT_FOUND, problems: vec![problem] }
    }
    /// Somebody's role does not go that far.
    pub fn not_yours(rank: Rank) -> Self {
        let what = format!("Your role, {}, does not go that far. Nothing was changed.", rank.word());
        let problem = Problem::error("A-448", what, "Ask the programme's manager.");
        Self { status: StatusCode::FORBIDDEN, problems: vec![problem] }
    }
    /// The address, the form or the file could not be read at all.
    pub fn unreadable(status: StatusCode) -> Self {
        let (what, remedy) = match status {
            StatusCode::PAYLOAD_TOO_LARGE => (
                "The file is larger than the desk takes.",
                "Import it with \"crownhold import\", or cut it to the city and the years that count.",
            ),
            StatusCode::METHOD_NOT_ALLOWED => {
                ("This address is for a form, not for looking.", "Go back, or choose from the menu.")
            }
            _ => (
                "The address or the form has a part that is not understood.",
                "Check the address, or go back and fill the form in again.",
            ),
        };
        Self { status, problems: vec![Problem::error("A-155", format!("{what} Nothing was changed."), remedy)] }
    }
    /// The same as JSON, for scripts of the desk.
    pub fn as_json(&self) -> Response {
        let problem = |p: &Problem| {
            let line = ProblemLine::from(p);
            serde_json::json!({ "what": line.what, "remedy": line.remedy })
        };
        let problems: Vec<_> = self.problems.iter().map(problem).collect();
        (self.status, axum::Json(serde_json::json!({ "problems": problems }))).into_response()
    }
    pub(super) fn own_fault(why: &str) -> Self {
        let what = format!("The page could not be made: {why}.");
        let problem = Problem::error("A-142", what, "Nothing was changed. Please report this with the programme file.");
        Self { status: StatusCode::INTERNAL_SERVER_ERROR, problems: vec![problem] }
    }
}

impl From<Trouble> for Refused {
    fn from(trouble: Trouble) -> Self {
        Self { status: StatusCode::UNPROCESSABLE_ENTITY, problems: trouble.problems }
    }
}

#[derive(Template)]
#[template(path = "trouble.html")]
struct TroublePage {
    shell: Shell,
    problems: Vec<ProblemLine>,
}

impl IntoResponse for Refused {
    fn into_response(self) -> Response {
        let title = if self.status == StatusCode::NOT_FOUND { "Not here" } else { "That did not work" };
        let page = TroublePage { shell: Shell::bare(title, "auto"), problems: lines(&self.problems) };
        match page.render() {
            Ok(html) => (self.status, Html(html)).into_response(),
            Err(_) => broken(),
        }
    }
}

#[derive(Template)]
#[template(path = "door.html")]
struct DoorPage {
    shell: Shell,
}

/// For a browser that did not come in by a link.
pub fn closed_door() -> Response {
    let page = DoorPage { shell: Shell::bare("This desk is closed to you", "auto") };
    match page.render() {
        Ok(html) => (StatusCode::UNAUTHORIZED, Html(html)).into_response(),
        Err(_) => broken(),
    }
}

/// The last resort.
pub fn broken() -> Response {
    (StatusCode::INTERNAL_SERVER_ERROR, "A fault of the program. Nothing was changed; go back and try again.\n")
        .into_response()
}
