//! Words every room uses: quantities, ids, records, parameters, draws, problems.
//!
//! This room uses no other. A thing belongs here only when two rooms need it.

mod alike;
#[cfg(test)]
mod bare;
pub mod chance;
pub mod draws;
pub mod hourly;
pub mod id;
pub mod log;
pub mod parameters;
pub mod people;
pub mod problem;
pub mod quantity;
pub mod records;
pub mod samples;
pub mod species;
pub mod weather;

pub use draws::Draws;
pub use hourly::{HourWeather, HourlySeries};
pub use id::{BlockId, LogId, NoSprayId, PlotId, SampleId, StationId, StratumId, StreetId, TreeId, VisitId};
pub use log::{Application, Audience, BandVisit, BandWork, Catch, Log, Means, NoticeSent, ScrapingVisit, SprayMethod};
pub use parameters::{Known, Parameter, Parameters, Value};
pub use people::{Person, Role, Round, RoundStop, RoundWork, Team};
pub use problem::{Place, Problem, Severity};
pub use quantity::{
    Area, Dose, Flow, Hours, Length, MassesPerArea, Money, Share, Speed, Strength, UnitSystem, Volume, VolumePerArea,
};
pub use records::*;
pub use samples::{FieldSample, InstarCounts, LeafHost, SampleKind, Seen};
pub use weather::{DayWeather, WeatherSeries};
