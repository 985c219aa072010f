//! Getting data in: from the files a city already has to records.
//!
//! One call, [`import`], takes the bytes of one file (or of the parts of a shapefile), finds the layout,
//! reads it into one common [`table`], and lets the taker of the asked [`Kind`] turn rows into records.
//! Nothing is guessed in silence: what was put right is reported as repaired, what was left open is an
//! error, and with any error the records stay exactly as they were.
//!
//! | module | answers |
//! |---|---|
//! | [`crs`] | which coordinate system is meant, and how do its coordinates become the programme's? |
//! | [`table`] | rows, cells and shapes, whatever file they came from |
//! | `text`, `delimited`, `geojson`, `shapefile`, `geopackage`, `archive` | bytes to a table |
//! | `columns`, `cells`, `words`, `dates`, `hours` | which column is meant, in which unit; cells to values |
//! | `keep` | known values that a blank cell leaves alone |
//! | `shapes`, `places` | polygons put right; points and outlines brought into the programme's system |
//! | `lon_lat` | drawn shapes and places in longitude and latitude, to the programme's system and back |
//! | `blocks`, `areas`, `trees`, `plots`, `counts`, `weather`, `hourly`, `resources`, `past`, `samples`, `teams`, `streets`, `field_log` | rows to records |
//! | `to_fly` | the aerial job as GeoJSON, KML, GPX and shapefiles |
//! | `addresses` | whom to write to: a list that is read, and kept nowhere |
//! | `outlines` | bare outlines to keep off, kept nowhere either |
//! | `observed` | dates seen in the field, for judging forecasts |
//! | [`grid`], [`shares`] | blocks from a city boundary; host shares from the tree inventory |
//!
//! Absent on purpose: opening files (the caller does), fetching anything, and guessing units.

pub mod crs;
pub mod grid;
pub mod report;
pub mod shares;
pub mod table;

mod addresses;
mod archive;
mod areas;
mod blocks;
mod calendar;
mod cells;
mod columns;
mod counts;
mod dates;
mod delimited;
mod field_log;
mod geojson;
mod geopackage;
mod gpx_file;
mod hourly;
mod hours;
mod job;
mod keep;
mod kinds;
mod lon_lat;
mod methods;
mod no_spray;
mod observed;
mod outlines;
mod past;
mod places;
mod plots;
mod reading;
mod records_csv;
mod resources;
mod samples;
mod shapefile;
mod shapes;
mod station;
mod strata;
mod streets;
mod teams;
mod text;
pub(crate) mod to_fly;
mod trees;
mod twins;
mod weather;
mod wkt;
mod words;

pub use addresses::{Addresses, addresses, mailing_csv};
pub use archive::zipped;
pub use calendar::{DaysToKeep, days_to_calendar};
pub use columns::Heading;
pub use dates::DateOrder;
pub use gpx_file::{PlaceToGo, places_to_gpx};
pub use hours::utc_offset;
pub use lon_lat::{LonLat, ToLonLat, block_at, place_from_lon_lat, shape_from_lon_lat, to_lon_lat};
pub use methods::plot_in_words;
pub use observed::observed_dates;
pub use outlines::{Outlines, outlines};
pub use plots::AREAS as PLOT_AREAS;
pub use records_csv::applications_to_csv;
pub use report::{Kind, Report, Taken, UsedColumn};
pub use shapes::overlaps;
pub use teams::time_of_day;
pub use to_fly::{AreaToFly, LineToFly, NamedFile, files_to_fly};
pub use trees::place_trees;

use crownhold::types::Records;

/// One file of an input, or one part of a shapefile.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Part {
    /// Its name with extension.
    pub name: String,
    /// Its bytes.
    pub bytes: Vec<u8>,
}

/// What is to be imported: one file, or the parts of one shapefile.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Input {
    /// The name as the user gave it; used in every message.
    pub name: String,
    /// One part, or for a shapefile its .shp, .dbf, .prj and so on.
    pub parts: Vec<Part>,
}

impl Input {
    /// A single file.
    pub fn single(name: &str, bytes: impl Into<Vec<u8>>) -> Self {
        Self { name: name.to_owned(), parts: vec![Part { name: name.to_owned(), bytes: bytes.into() }] }
    }
}

/// What the user said about the file beyond the file itself.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct Wishes {
    /// Coordinate system of the file: "EPSG:2253", a proj string or WKT. Overrides what the file says.
    pub crs: Option<String>,
    /// Field = column, overriding the names looked for.
    pub map: Vec<(String, String)>,
    /// Field = unit, for columns whose header does not say it.
    pub units: Vec<(String, String)>,
    /// Layer of a GeoPackage that has several.
    pub layer: Option<String>,
    /// Order of day and month where the column does not show it.
    pub date_order: Option<DateOrder>,
    /// Name of the station, for weather files that do not name it.
    pub station: Option<String>,
    /// Minutes that the clock of an hourly file is ahead of universal time, where the file does not say it.
    pub offset: Option<i16>,
}

/// Takes one input into the records. With any error in the report the records are unchanged.
pub fn import(kind: Kind, input: &Input, wishes: &Wishes, records: &mut Records) -> Report {
    let mut job = job::Job::new(kind, &input.name, wishes, records);
    if kind == Kind::Resources {
        resources::take(&mut job, input);
    } else if let Some(table) = reading::read(&mut job, input) {
        take(&mut job, &table);
    }
    job.finish(records)
}

/// The fields that columns are looked for when rows of this kind are imported; none for resources, which are no table.
pub fn headings(kind: Kind) -> Vec<Heading> {
    let fields = match kind {
        Kind::Blocks | Kind::Areas => areas::FIELDS,
        Kind::NoSpray => no_spray::FIELDS,
        Kind::Trees => trees::FIELDS,
        Kind::Plots => plots::FIELDS,
        Kind::Counts => counts::FIELDS,
        Kind::Weather => weather::FIELDS,
        Kind::Hourly => hourly::FIELDS,
        Kind::Strata => strata::FIELDS,
        Kind::Past => past::FIELDS,
        Kind::Samples => samples::FIELDS,
        Kind::Bands => field_log::BANDS,
        Kind::Scraping => field_log::SCRAPING,
        Kind::Teams => teams::FIELDS,
        Kind::Streets => streets::FIELDS,
        Kind::Resources => &[],
    };
    fields.iter().map(Heading::from).collect()
}

fn take(job: &mut job::Job<'_>, table: &table::Table) {
    match job.kind {
        Kind::Blocks => blocks::take(job, table),
        Kind::Areas => areas::take(job, table),
        Kind::NoSpray => no_spray::take(job, table),
        Kind::Trees => trees::take(job, table),
        Kind::Plots => plots::take(job, table),
        Kind::Counts => counts::take(job, table),
        Kind::Weather => weather::take(job, table),
        Kind::Hourly => hourly::take(job, table),
        Kind::Strata => strata::take(job, table),
        Kind::Past => past::take(job, table),
        Kind::Samples => samples::take(job, table),
        Kind::Bands => field_log::bands::take(job, table),
        Kind::Scraping => field_log::scraping::take(job, table),
        Kind::Teams => teams::take(job, table),
        Kind::Streets => streets::take(job, table),
        Kind::Resources => {}
    }
}
