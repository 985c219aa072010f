//! Where to count and when to stop, and blocks in parts.

use std::path::PathBuf;

use clap::Args as ClapArgs;

use super::Stage;

/// `design`
#[derive(ClapArgs, Debug)]
#[command(group = clap::ArgGroup::new("aim").required(true))]
pub struct Design {
    /// Programme file
    pub programme: PathBuf,
    /// This many plots, shared out over the strata
    #[arg(long, group = "aim")]
    pub plots: Option<usize>,
    /// As many plots as this relative standard error of the mean takes, such as 25%
    #[arg(long, group = "aim")]
    pub precision: Option<String>,
    /// On every block as many plots as tell the two densities of the stop rule apart
    #[arg(long, group = "aim")]
    pub threshold: bool,
    /// Seed of the places
    #[arg(long, default_value_t = 1)]
    pub seed: u64,
    /// Least plots in a stratum
    #[arg(long, default_value_t = 2)]
    pub least: usize,
    /// Replacement places for each stratum (with --threshold: each block)
    #[arg(long, default_value_t = 3)]
    pub spare: usize,
    /// Least distance between places, such as 100ft or 30m
    #[arg(long, default_value = "30m")]
    pub apart: String,
    /// Layer of buildings, land without access and the like, to keep plots off
    #[arg(long, value_name = "FILE")]
    pub keep_off: Option<PathBuf>,
    /// Coordinate system of that layer, as EPSG:NUMBER or a proj string; overrides what the file says
    #[arg(long, requires = "keep_off")]
    pub crs: Option<String>,
    /// Layer of a GeoPackage that has several
    #[arg(long, requires = "keep_off")]
    pub layer: Option<String>,
    /// Write the places as GPX
    #[arg(long, value_name = "FILE")]
    pub gpx: Option<PathBuf>,
    /// Add the plots to the programme, to be counted
    #[arg(long)]
    pub add: bool,
    /// Print JSON
    #[arg(long)]
    pub json: bool,
    /// Who adds them, for the history [default: the computer's user]
    #[arg(long)]
    pub author: Option<String>,
}

/// `stop-rule`
#[derive(ClapArgs, Debug)]
pub struct StopRule {
    /// wald (between two densities), iwao (around one), green or kuno (fixed precision)
    #[arg(long, default_value = "wald")]
    pub rule: String,
    /// Density where "below" is right [default: 150 per acre]
    #[arg(long, allow_negative_numbers = true)]
    pub low: Option<f64>,
    /// Density where "above" is right [default: 350 per acre]
    #[arg(long, allow_negative_numbers = true)]
    pub high: Option<f64>,
    /// Density of Iwao's plan [default: the middle of low and high]
    #[arg(long, allow_negative_numbers = true)]
    pub threshold: Option<f64>,
    /// Relative standard error for green and kuno
    #[arg(long, default_value = "25%")]
    pub precision: String,
    /// Unit of densities: acre or ha
    #[arg(long, default_value = "acre")]
    pub per: String,
    /// Plot: a size with its unit, such as "1/40 acre", "100 m2" or "circle 18.6 ft" [default: 1/40 acre]
    #[arg(long)]
    pub plot: Option<String>,
    /// Dispersion of counts on such a plot [default: 1]
    #[arg(long, allow_negative_numbers = true)]
    pub k: Option<f64>,
    /// Share of the masses on a plot that your counters find, such as 85% [default: 100%]
    #[arg(long)]
    pub found: Option<String>,
    /// Chance of "above" at the low density, as asked for [default: 0.1]
    #[arg(long, allow_negative_numbers = true)]
    pub alpha: Option<f64>,
    /// Chance of "below" at the high density, as asked for [default: 0.1]
    #[arg(long, allow_negative_numbers = true)]
    pub beta: Option<f64>,
    /// Taylor's A,B for green [default: 1.684,1.672]
    #[arg(long, value_name = "A,B")]
    pub taylor: Option<String>,
    /// Iwao's ALPHA,BETA for iwao and kuno [default: 0 and 1 + 1/k]
    #[arg(long, value_name = "ALPHA,BETA", allow_hyphen_values = true)]
    pub patchiness: Option<String>,
    /// Confidence of iwao's lines and of intervals
    #[arg(long, default_value_t = 0.9)]
    pub level: f64,
    /// Least plots before anybody stops [default: 5]
    #[arg(long)]
    pub min: Option<u32>,
    /// Most plots; then the mean decides [default: 20]
    #[arg(long)]
    pub max: Option<u32>,
    /// Counts so far, one per plot, such as 3,0,5: say what to do now
    #[arg(long, value_name = "LIST")]
    pub counts: Option<String>,
    /// True densities of the exact figures, with commas between them
    #[arg(long, value_name = "LIST")]
    pub at: Option<String>,
    /// Search nominal errors whose real ones keep alpha and beta
    #[arg(long)]
    pub adjust: bool,
    /// Print JSON
    #[arg(long)]
    pub json: bool,
}

/// `survey`
#[derive(ClapArgs, Debug)]
pub struct Survey {
    /// What and on which day
    #[command(flatten)]
    pub stage: Stage,
    /// Also write the density between the plots as a layer of squares: GeoJSON, KML, shapefile and GeoPackage
    #[arg(long, value_name = "FOLDER")]
    pub map: Option<PathBuf>,
    /// Side of a square, such as 200ft or 60m [default: parameter survey.space.cell]
    #[arg(long, requires = "map")]
    pub side: Option<String>,
    /// Density whose chance to be exceeded is written, per acre or hectare as the programme counts [default: parameter
    /// survey.prior.level]
    #[arg(long, requires = "map")]
    pub over: Option<f64>,
}

/// `recount`
#[derive(ClapArgs, Debug)]
#[command(group = clap::ArgGroup::new("measured").required(true).multiple(true).args(["found", "all"]))]
pub struct Recount {
    /// Programme file
    pub programme: PathBuf,
    /// Masses that a second person found on plots where the first had marked every mass with chalk
    #[arg(long, requires = "marked")]
    pub found: Option<u32>,
    /// Of these, with a mark
    #[arg(long, requires = "found")]
    pub marked: Option<u32>,
    /// Masses on lots that were searched whole
    #[arg(long, requires = "on_trees")]
    pub all: Option<u32>,
    /// Of these, on trees
    #[arg(long, requires = "all")]
    pub on_trees: Option<u32>,
    /// Where and by whom
    #[arg(long)]
    pub note: Option<String>,
    /// Who makes the change, for the history [default: the computer's user]
    #[arg(long)]
    pub author: Option<String>,
}

/// `split`
#[derive(ClapArgs, Debug)]
pub struct Split {
    /// Programme file
    pub programme: PathBuf,
    /// Blocks; without any, all that are larger
    pub blocks: Vec<String>,
    /// Parts are no larger than this, such as 80acre or 30ha
    #[arg(long, value_name = "AREA")]
    pub larger_than: String,
    /// Who cuts them, for the history [default: the computer's user]
    #[arg(long)]
    pub author: Option<String>,
}
