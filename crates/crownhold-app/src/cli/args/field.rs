//! Commands of the field work.

use std::path::PathBuf;

use clap::Args as ClapArgs;

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
