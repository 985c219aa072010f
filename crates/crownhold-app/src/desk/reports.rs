//! Reports of imports, kept while the desk is open, so that each has an address of its own.

use std::collections::VecDeque;
use std::sync::{Arc, Mutex, PoisonError};

use crownhold_data::formats::Report;
use tower_sessions::session::Id;

/// What was typed beside a file, kept as it was typed.
#[derive(Clone, Debug, Default)]
pub struct Typed {
    /// Lines field = column.
    pub map: String,
    /// Lines field = unit.
    pub units: String,
    /// Coordinate system.
    pub crs: String,
    /// Layer.
    pub layer: String,
    /// Order of day and month.
    pub dates: String,
    /// Station.
    pub station: String,
}

/// An import that was tried.
#[derive(Clone, Debug)]
pub struct Tried {
    /// What came of it.
    pub report: Report,
    /// What was typed.
    pub typed: Typed,
    /// Its number in the history, when it changed anything.
    pub entry: Option<i64>,
}

/// Reports kept; older ones go.
const KEPT: usize = 30;

/// Reports by id.
#[derive(Default)]
pub struct Reports(Mutex<VecDeque<(String, Arc<Tried>)>>);

impl Reports {
    /// Keeps a report; gives its id.
    pub fn keep(&self, tried: Tried) -> String {
        let id = Id::default().to_string();
        let mut all = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        all.push_back((id.clone(), Arc::new(tried)));
        if all.len() > KEPT {
            all.pop_front();
        }
        id
    }
    /// A report.
    pub fn get(&self, id: &str) -> Option<Arc<Tried>> {
        let all = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        all.iter().find(|(own, _)| own == id).map(|(_, tried)| Arc::clone(tried))
    }
}
