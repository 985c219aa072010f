//! Two people at one record: what a form was filled from must still stand when it comes back.

use std::fmt::Debug;

use blake2::{Blake2s256, Digest as _};
use crownhold::types::{Problem, Records};

use crate::trouble::Trouble;

/// Code of the problem that a record was changed meanwhile.
pub const CHANGED_MEANWHILE: &str = "A-450";

/// What a form is about.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Item {
    /// A visit to a plot.
    Visit(String),
    /// A field sample.
    Sample(String),
    /// The last version of an application record.
    Application(String),
    /// A no-spray area.
    NoSpray(String),
    /// A parameter.
    Parameter(String),
}

impl Item {
    fn name(&self) -> String {
        match self {
            Self::Visit(id) => format!("visit {id}"),
            Self::Sample(id) => format!("field sample {id}"),
            Self::Application(id) => format!("application record {id}"),
            Self::NoSpray(id) => format!("no-spray area {id}"),
            Self::Parameter(name) => format!("parameter {name}"),
        }
    }
    /// A short print of it as it stands: another print, another record.
    pub fn print(&self, records: &Records) -> String {
        match self {
            Self::Visit(id) => print(records.visits.iter().find(|v| v.id.as_str() == id)),
            Self::Sample(id) => print(records.samples.iter().find(|s| s.id.as_str() == id)),
            Self::Application(id) => print(records.log.applications.iter().rfind(|a| a.id.as_str() == id)),
            Self::NoSpray(id) => print(records.no_spray.iter().find(|a| a.id.as_str() == id)),
            Self::Parameter(name) => print(records.parameters.get(name)),
        }
    }
    /// With the print that a form brings back; a form without one is not held to anything.
    pub fn as_seen(self, print: &str) -> Option<Seen> {
        (!print.is_empty()).then(|| Seen { item: self, print: print.to_owned() })
    }
}

/// A short print of a record.
pub fn print(record: Option<&impl Debug>) -> String {
    Blake2s256::digest(format!("{record:?}")).iter().take(8).map(|b| format!("{b:02x}")).collect()
}

/// What a form was filled from.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Seen {
    item: Item,
    print: String,
}

impl Seen {
    pub(super) fn check(&self, records: &Records) -> Result<(), Trouble> {
        if self.item.print(records) == self.print {
            return Ok(());
        }
        let what =
            format!("Somebody changed {} after this page was opened. Nothing of yours was written.", self.item.name());
        let remedy = "Look at what stands there now (Programme, History says who); save again if yours is to stand in its place.";
        Err(Trouble::one(Problem::error(CHANGED_MEANWHILE, what, remedy)))
    }
}
