//! The programme file: one GeoPackage that holds everything a programme knows.
//!
//! Any GIS opens it: blocks, trees, plots and no-spray areas are layers, the rest are plain tables
//! (`docs/formats/programme-file.md` lists them). Inside it is SQLite: every change is one transaction with one
//! entry in a journal that keeps each changed row as it was and as it became, so that it can be taken
//! back.
//!
//! ```no_run
//! use crownhold_data::store::{ProgrammeFile, StoreError};
//! # fn main() -> Result<(), StoreError> {
//! let mut file = ProgrammeFile::open("pellwood.gpkg")?;
//! let when = "2026-11-02T14:30:00Z";
//! file.change("A. Forester", when, "budget voted", |records| {
//!     records.resources.budget = Some(crownhold::types::Money::dollars(120_000.0));
//!     Ok::<_, StoreError>(())
//! })?;
//! file.undo("A. Forester", when)?;
//! # Ok(())
//! # }
//! ```
//!
//! | part | does |
//! |---|---|
//! | `file` | opens, reads, changes |
//! | `journal`, `plans` | what was changed and can be taken back; stored plans |
//! | `records` | domain records to rows and back |
//! | `row`, `sql` | rows as values; rows in and out of SQLite |
//! | `backup` | a whole copy |
//! | `schema` | the GeoPackage container, the tables, the steps between layout versions |
//! | `geometry` | geometry blobs |
//! | `layer` | a layer that leaves the programme, as a GeoPackage of its own |
//!
//! Deliberately absent: the clock (each change is told when it happens), the computing, and any cache.

mod backup;
mod error;
mod file;
mod geometry;
mod journal;
mod layer;
mod plans;
mod records;
mod row;
mod schema;
mod sql;

pub use error::StoreError;
pub use file::ProgrammeFile;
pub use journal::{JournalEntry, last_to_undo};
pub(crate) use layer::geopackage_of;
pub use plans::StoredPlan;
