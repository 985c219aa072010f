//! Papers, charts and maps: domain values in, bytes out.
//!
//! | module | does |
//! |---|---|
//! | [`papers`] | one file per paper: what stands on it, in which words |
//! | [`numbers`] | the catalogue of printed figures, so that each can be asked for by its id |
//! | [`maps`], [`charts`] | SVG drawings for papers and desk: `viewBox`, title, text as text, no script |
//! | [`palette`] | colours, letters and patterns |
//! | [`sheet`] | what a drawing stands on: name, inks, units, width |
//! | [`wording`] | quantities, dates and chances in the programme's units |
//! | [`stopping`] | the answer of a stop rule in words |
//! | [`cautions`] | what must be said where an act can hurt someone |
//! | `pdf`, `svg` | typesetting and SVG writing underneath |
//!
//! Nothing here reads a file, a clock or the network; the same values and date give the same bytes.
//! The typesetter's fonts are built in.

pub mod cautions;
pub mod charts;
mod error;
pub mod maps;
pub mod numbers;
pub mod palette;
pub mod papers;
mod pdf;
pub mod sheet;
pub mod stopping;
mod svg;
pub mod wording;

pub use error::PrintError;
pub use numbers::{NumberRef, number_ids};
pub use papers::{Document, SeasonPlanInputs, StressRow, StressTable, season_plan};
pub use sheet::{Sheet, Size};
