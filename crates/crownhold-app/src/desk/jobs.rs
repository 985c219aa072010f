//! Long work: started by one request, watched and stopped by others.

use std::collections::HashMap;
use std::convert::Infallible;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex, PoisonError};

use axum::response::sse::{Event, KeepAlive, Sse};
use futures_util::stream::{self, Stream};
use tokio::sync::watch;
use tower_sessions::session::Id;

use crate::trouble::Trouble;

/// How far a job is, as the page shows it.
#[derive(Clone, Debug, Default)]
pub struct State {
    /// What is being done, in words.
    pub phase: String,
    /// Share done, 0 to 1.
    pub share: f64,
    /// Where to go when it is done.
    pub href: Option<String>,
    /// Why it came to nothing.
    pub problems: Vec<String>,
}

impl State {
    fn is_over(&self) -> bool {
        self.href.is_some() || !self.problems.is_empty()
    }
}

/// One piece of long work.
pub struct Job {
    state: watch::Sender<State>,
    /// Set to stop; the work answers with the best it has.
    pub stop: AtomicBool,
}

impl Job {
    /// Says what is being done now.
    pub fn at(&self, phase: impl Into<String>, share: f64) {
        self.state.send_modify(|s| (s.phase, s.share) = (phase.into(), share));
    }
    /// Was it asked to stop?
    pub fn is_to_stop(&self) -> bool {
        self.stop.load(Ordering::Relaxed)
    }
    /// How far it is.
    pub fn state(&self) -> State {
        self.state.borrow().clone()
    }
}

/// Jobs by id. Kept while the desk is open; each is a few words.
#[derive(Default)]
pub struct Jobs(Mutex<HashMap<String, Arc<Job>>>);

impl Jobs {
    /// Starts work on a thread of its own; the work gives the page to go to.
    pub fn start(&self, work: impl FnOnce(&Job) -> Result<String, Trouble> + Send + 'static) -> (String, Arc<Job>) {
        let job = Arc::new(Job { state: watch::Sender::new(State::default()), stop: AtomicBool::new(false) });
        let id = Id::default().to_string();
        self.0.lock().unwrap_or_else(PoisonError::into_inner).insert(id.clone(), Arc::clone(&job));
        let running = Arc::clone(&job);
        std::thread::spawn(move || {
            // A panic must not leave a page waiting for ever.
            let end = std::panic::catch_unwind(std::panic::AssertUnwindSafe(|| work(&running)));
            running.state.send_modify(|s| match end {
                Ok(Ok(href)) => (s.share, s.href) = (1.0, Some(href)),
                Ok(Err(trouble)) => s.problems = trouble.problems.iter().map(ToString::to_string).collect(),
                Err(_) => {
                    s.problems = vec!["The work broke off by a fault of the program. Nothing was changed.".into()]
                }
            });
        });
        (id, job)
    }
    /// A job.
    pub fn get(&self, id: &str) -> Option<Arc<Job>> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner).get(id).cloned()
    }
    /// Asks a job to stop.
    pub fn stop(&self, id: &str) {
        if let Some(job) = self.get(id) {
            job.stop.store(true, Ordering::Relaxed);
        }
    }
}

/// A state as an event: a plain message while it goes on, "done" or "failed" at the end.
fn event(state: &State) -> Event {
    let (name, data) = match &state.href {
        Some(href) => ("done", serde_json::json!({ "href": href })),
        None if state.is_over() => {
            let problems: Vec<_> = state.problems.iter().map(|p| serde_json::json!({ "what": p })).collect();
            ("failed", serde_json::json!({ "problems": problems }))
        }
        None => ("message", serde_json::json!({ "phase": state.phase, "share": state.share })),
    };
    Event::default().event(name).json_data(data).unwrap_or_default()
}

/// The states of a job as server-sent events, ending with the last one.
pub fn watched(job: &Job) -> Sse<impl Stream<Item = Result<Event, Infallible>> + use<>> {
    let watching = job.state.subscribe();
    let states = stream::unfold((watching, true, false), |(mut watching, first, over)| async move {
        if over || (!first && watching.changed().await.is_err()) {
            return None;
        }
        let state = watching.borrow_and_update().clone();
        let event = event(&state);
        Some((Ok(event), (watching, false, state.is_over())))
    });
    Sse::new(states).keep_alive(KeepAlive::default())
}
