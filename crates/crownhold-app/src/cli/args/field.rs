//! Commands of the field work.

use std::path::PathBuf;

use clap::Args as ClapArgs;
use jiff::civil::Date;

use super::WhichPlan;

/// `calibrate`
#[derive(ClapArgs, Debug)]
pub struct Calibrate {
    /// Speed over ground while spraying, such as 140mph, 225km/h or 120kn
    #[arg(long)]
    pub speed: String,
    /// Width that one pass treats, such as 150ft or 45m
    #[arg(long, allow_hyphen_values = true)]
    pub swath: String,
    /// Mix per area, such as 0.5gal/ac, 64floz/ac or 4.7L/ha
    #[arg(long, required_unless_present = "flow", conflicts_with = "flow")]
    pub rate: Option<String>,
    /// Flow of all nozzles instead, such as 3gal/min or 24L/min; the rate is worked out
    #[arg(long)]
    pub flow: Option<String>,
    /// Potency per area, such as 36BIU/ac or 90BIU/ha; needs --strength
    #[arg(long)]
    pub dose: Option<String>,
    /// Potency of the product as bought, such as 48BIU/gal or 12.7BIU/L; needs --dose
    #[arg(long)]
    pub strength: Option<String>,
    /// Print JSON
    #[arg(long)]
    pub json: bool,
}

/// `aerial`
#[derive(ClapArgs, Debug)]
pub struct Aerial {
    /// The plan
    #[command(flatten)]
    pub which: WhichPlan,
    /// Folder for the contractor's files (GeoJSON, Shapefile, KML, GPX); made if missing
    #[arg(long, value_name = "DIR")]
    pub out: Option<PathBuf>,
}

/// `mailing`
#[derive(ClapArgs, Debug)]
pub struct Mailing {
    /// The plan
    #[command(flatten)]
    pub which: WhichPlan,
    /// The city's list of addresses or parcels: CSV with longitude and latitude, GeoJSON, GeoPackage, Shapefile
    #[arg(long, value_name = "FILE")]
    pub addresses: PathBuf,
    /// Whom it is a list of: residents, school, hospital, beekeeper, organic grower, other
    #[arg(long, value_name = "WHOM", default_value = "residents")]
    pub whom: String,
    /// Coordinate system of the list, as EPSG:NUMBER or a proj string; overrides what the file says
    #[arg(long)]
    pub crs: Option<String>,
    /// Layer of a GeoPackage that has several
    #[arg(long)]
    pub layer: Option<String>,
    /// CSV to write: those to be told; never overwritten
    #[arg(long, value_name = "FILE")]
    pub to: PathBuf,
}

/// `map-files`
#[derive(ClapArgs, Debug)]
pub struct MapFiles {
    /// The plan
    #[command(flatten)]
    pub which: WhichPlan,
    /// Folder for the files; made if missing
    #[arg(long, value_name = "DIR")]
    pub out: PathBuf,
}

/// `teams`
#[derive(ClapArgs, Debug)]
pub struct Teams {
    /// Programme file
    pub programme: PathBuf,
    /// Add a team of this name, or put other values in its place
    #[arg(long, value_name = "NAME")]
    pub put: Option<String>,
    /// crew or volunteers
    #[arg(long, default_value = "volunteers", requires = "put")]
    pub who: String,
    /// How many go together
    #[arg(long, default_value_t = 1, requires = "put")]
    pub people: u32,
    /// Neighbourhood it stays in [default: anywhere]
    #[arg(long, requires = "put")]
    pub neighbourhood: Option<String>,
    /// Block in which its rounds begin [default: at the first tree]
    #[arg(long, value_name = "BLOCK", requires = "put")]
    pub starts: Option<String>,
    /// Block in which they end [default: at the last tree]
    #[arg(long, value_name = "BLOCK", requires = "put")]
    pub ends: Option<String>,
    /// Not before this time of day
    #[arg(long, default_value = "16:00", requires = "put")]
    pub from: String,
    /// Done by this time of day
    #[arg(long, default_value = "20:00", requires = "put")]
    pub to: String,
    /// Trained for ladders (paid crews only)
    #[arg(long, requires = "put")]
    pub ladder: bool,
    /// Most trees a day that it has material for
    #[arg(long, value_name = "TREES", requires = "put")]
    pub most: Option<u32>,
    /// Free text
    #[arg(long, default_value = "", hide_default_value = true, requires = "put")]
    pub note: String,
    /// Remove the team of this name
    #[arg(long, value_name = "NAME", conflicts_with = "put")]
    pub remove: Option<String>,
    /// Print JSON
    #[arg(long)]
    pub json: bool,
    /// Who makes the change, for the history [default: the computer's user]
    #[arg(long)]
    pub author: Option<String>,
}

/// `rounds`
#[derive(ClapArgs, Debug)]
pub struct Rounds {
    /// The plan
    #[command(flatten)]
    pub which: WhichPlan,
    /// What is done: put bands up, serve bands, take bands down, scrape from the ground, scrape from a ladder
    #[arg(long, default_value = "serve bands")]
    pub work: String,
    /// Day of the rounds
    #[arg(long, value_name = "DATE")]
    pub day: Date,
    /// A team that is not there; may be given again
    #[arg(long, value_name = "TEAM")]
    pub without: Vec<String>,
    /// Keep the rounds in the programme; those kept for the same day and work give way
    #[arg(long)]
    pub store: bool,
    /// Folder for a GPX file a team; made if missing
    #[arg(long, value_name = "DIR")]
    pub gpx: Option<PathBuf>,
}
