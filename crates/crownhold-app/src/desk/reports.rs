//! Reports of imports, mailing lists and outlines to keep off, kept while the desk is open, so that each has an address of its own.

use std::collections::{BTreeMap, VecDeque};
use std::sync::{Arc, Mutex, PoisonError};

use crownhold_data::formats::Report;
use tower_sessions::session::Id;

use crate::actions::design::KeepOff;
use crate::actions::mailing::Mailing;

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

impl Typed {
    /// From the fields of the form.
    pub fn of(texts: &BTreeMap<String, String>) -> Self {
        let text = |field: &str| texts.get(field).cloned().unwrap_or_default();
        Self {
            map: text("map"),
            units: text("units"),
            crs: text("crs"),
            layer: text("layer"),
            dates: text("dates"),
            station: text("station"),
        }
    }
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

/// Things kept by id while the desk is open, `MOST` of them; older ones go.
pub struct Kept<T, const MOST: usize>(Mutex<VecDeque<(String, Arc<T>)>>);

/// Reports of imports.
pub type Reports = Kept<Tried, 30>;
/// Mailing lists. They name people's homes: in memory only, and not for long.
pub type Mailings = Kept<Mailing, 4>;
/// Outlines that proposed plots keep off.
pub type KeepOffs = Kept<KeepOff, 4>;

impl<T, const MOST: usize> Default for Kept<T, MOST> {
    fn default() -> Self {
        Self(Mutex::new(VecDeque::new()))
    }
}

impl<T, const MOST: usize> Kept<T, MOST> {
    /// Keeps a thing; gives its id.
    pub fn keep(&self, thing: T) -> String {
        let id = Id::default().to_string();
        let mut all = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        all.push_back((id.clone(), Arc::new(thing)));
        if all.len() > MOST {
            all.pop_front();
        }
        id
    }
    /// The thing of an id.
    pub fn get(&self, id: &str) -> Option<Arc<T>> {
        let all = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        all.iter().find(|(own, _)| own == id).map(|(_, thing)| Arc::clone(thing))
    }
}
