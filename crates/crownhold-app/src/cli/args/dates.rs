//! Dates judged, hours to spray in, and what was seen in spring.

use std::path::PathBuf;

use clap::Args as ClapArgs;
use jiff::civil::Date;

use super::{date, latitude, longitude};

/// `spray-weather`
#[derive(ClapArgs, Debug)]
pub struct SprayWeather {
    /// Hourly weather, measured or forecast (CSV)
    pub hours: PathBuf,
    /// Latitude, degrees north
    #[arg(long, allow_negative_numbers = true, value_parser = latitude)]
    pub lat: f64,
    /// Longitude, degrees east; negative in America
    #[arg(long, allow_negative_numbers = true, value_parser = longitude)]
    pub lon: f64,
    /// Hours that the file's clock is ahead of universal time, such as -04:00, where it does not say it
    /// [default: standard time of the longitude]
    #[arg(long, allow_hyphen_values = true)]
    pub offset: Option<String>,
    /// From aircraft (air) or from the ground (ground)
    #[arg(long, default_value = "air")]
    pub from: String,
    /// Take limits from this programme instead of the defaults
    #[arg(long, value_name = "FILE")]
    pub programme: Option<PathBuf>,
    /// Field=column, where a header is not understood
    #[arg(long, value_name = "F=COL")]
    pub map: Vec<String>,
    /// Field=unit, where a header does not say it
    #[arg(long, value_name = "F=UNIT")]
    pub unit: Vec<String>,
    /// Order of day and month where a column does not show it: month-first or day-first
    #[arg(long, value_name = "ORDER")]
    pub dates: Option<String>,
    /// Print JSON
    #[arg(long)]
    pub json: bool,
}

/// `hindcast`
#[derive(ClapArgs, Debug)]
pub struct Hindcast {
    /// Daily weather (any layout that can be imported), or a programme file
    pub weather: PathBuf,
    /// Dates seen: a table with year, event and date [default: the model's own dates of the whole years]
    #[arg(long, value_name = "FILE", conflicts_with = "simulated")]
    pub observed: Option<PathBuf>,
    /// Judge against dates that the model draws for the whole years: are its ranges as wide as they say?
    #[arg(long)]
    pub simulated: bool,
    /// Seed of the draws
    #[arg(long, default_value_t = 1)]
    pub seed: u64,
    /// Number of draws of each forecast
    #[arg(long, default_value_t = 500, value_parser = clap::value_parser!(u32).range(1..=100_000))]
    pub draws: u32,
    /// Weather after this day is not used [default: today]
    #[arg(long, value_parser = date)]
    pub on: Option<Date>,
    /// Field=column, where a header of the weather is not understood
    #[arg(long, value_name = "F=COL")]
    pub map: Vec<String>,
    /// Field=unit, where a header of the weather does not say it
    #[arg(long, value_name = "F=UNIT")]
    pub unit: Vec<String>,
    /// Print JSON
    #[arg(long)]
    pub json: bool,
}

/// `sample`
#[derive(ClapArgs, Debug)]
pub struct Sample {
    /// Programme file
    pub programme: PathBuf,
    /// Add a sample of this kind: first hatch, no hatch yet, instars, under bands, leaf
    #[arg(long)]
    pub kind: Option<String>,
    /// Day of the look
    #[arg(long, value_name = "DATE", value_parser = date, requires = "kind")]
    pub on: Option<Date>,
    /// Block
    #[arg(long, requires = "kind")]
    pub block: Option<String>,
    /// Where, in words
    #[arg(long, default_value = "", hide_default_value = true, requires = "kind")]
    pub place: String,
    /// Larvae by instar, then pupae: L1,L2,L3,L4,L5,L6,pupae; what is left out at the end is 0
    #[arg(long, value_delimiter = ',', requires = "kind")]
    pub counts: Vec<String>,
    /// Which oak's leaves: red oak, white oak
    #[arg(long, requires = "kind")]
    pub oak: Option<String>,
    /// Leaf size in percent of the final size
    #[arg(long, value_name = "PERCENT", requires = "kind")]
    pub leaf: Option<f64>,
    /// Free text
    #[arg(long, default_value = "", hide_default_value = true, requires = "kind")]
    pub note: String,
    /// Put the values in the place of this sample instead of adding one
    #[arg(long, value_name = "ID", requires = "kind")]
    pub correct: Option<String>,
    /// Remove this sample
    #[arg(long, value_name = "ID", conflicts_with = "kind")]
    pub remove: Option<String>,
    /// Print JSON
    #[arg(long)]
    pub json: bool,
    /// Who looked and makes the change, for the history [default: the computer's user]
    #[arg(long)]
    pub author: Option<String>,
}
