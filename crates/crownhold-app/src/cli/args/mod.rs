//! The shape of the command line.

mod dates;
mod desk;
mod field;
mod survey;

use std::path::PathBuf;

use clap::{Args as ClapArgs, Parser, Subcommand};
use jiff::civil::Date;

pub use dates::{Hindcast, Sample, SprayWeather};
pub use desk::{Accounts, People, Serve};
pub use field::{Aerial, Calibrate, Mailing, MapFiles, Rounds, Teams};
pub use survey::{Design, Recount, Split, StopRule, Survey};

/// Plan a spongy moth season: count, forecast, spray least, hold the crowns.
#[derive(Parser, Debug)]
#[command(name = "crownhold", version, max_term_width = 100)]
pub struct Args {
    /// Threads to compute on; results do not depend on it [default: all cores]
    #[arg(long, global = true)]
    pub threads: Option<usize>,
    /// What to do
    #[command(subcommand)]
    pub command: Command,
}

/// Commands, in the order of a season.
#[derive(Subcommand, Debug)]
pub enum Command {
    /// Make the invented city of Pellwood to try everything on
    Demo(Demo),
    /// Make an empty programme file
    New(New),
    /// Bring data in: all of a file or nothing
    Import(Import),
    /// Cut a boundary into blocks
    Blocks(Blocks),
    /// Cut large blocks into parts, each planned by itself
    Split(Split),
    /// Say what the programme still lacks
    Check(Check),
    /// Degree-days of a weather file by a stated method
    DegreeDays(DegreeDays),
    /// Where to count: plots per stratum and balanced random places
    Design(Design),
    /// When to stop counting plots, and what the rule really does
    StopRule(StopRule),
    /// Egg-mass density of every block, with its interval
    Survey(Survey),
    /// What share of the masses is found, from masses marked and looked for again
    Recount(Recount),
    /// This season's dates and working windows
    Timing(Timing),
    /// Go and no-go hours of an hourly weather file, with the reason of each no
    SprayWeather(SprayWeather),
    /// How good the dates would have been: past years forecast from what was known then
    Hindcast(Hindcast),
    /// What happens if nothing is done
    Outlook(Stage),
    /// The least spraying that holds the crowns
    Plan(Plan),
    /// Where one more plot would tell the plan most
    NextPlots(NextPlots),
    /// The whole trade-off: the least harm for every amount of spraying, or of money
    Frontier(Frontier),
    /// What a little more would buy: money, volunteer hours in an area, a consent, an opt-out taken back
    Worth(Worth),
    /// The plan tried on seasons that go wrong: early hatch, a lost morning, weak bands, few volunteers
    Stress(Stress),
    /// What keeping money and hours back for spring is worth: ways to plan, tried on the same springs
    Reserve(Reserve),
    /// The season's papers (PDF): plan, dates, crew sheets, letters
    Papers(Papers),
    /// Who may come in to the desk from other computers: invite, link, take out, list
    Accounts(Accounts),
    /// Teams that go round: add, change, remove, list
    Teams(Teams),
    /// A day's rounds: which trees are due, and who goes to them in which order
    Rounds(Rounds),
    /// The flights of a plan: spray blocks, passes, loads, hours, and files for the contractor
    Aerial(Aerial),
    /// Whom to write to before flights: the city's address list cut to what lies near
    Mailing(Mailing),
    /// The plan as map layers for others: GeoJSON, KML, shapefile, GeoPackage
    MapFiles(MapFiles),
    /// Flow and mix of an aircraft or sprayer from speed, swath and rate
    Calibrate(Calibrate),
    /// Fix or forbid what is done on a block
    Decide(Decide),
    /// Show, set or restore the constants behind the figures
    Parameters(Parameters),
    /// Close the egg-mass count of blocks, so that they may be scraped
    CloseCount(CloseCount),
    /// Show or add tree names and their host class
    Species(Species),
    /// Open the desk: the programme in a browser
    Serve(Serve),
    /// Every change made to the programme
    History(History),
    /// Take the last change back
    Undo(Undo),
    /// Where a printed figure comes from
    Explain(Explain),
    /// Who does what in the programme
    People(People),
    /// Field samples of spring: list, add, correct, remove
    Sample(Sample),
    /// Write a whole copy of the programme
    Backup(Backup),
}

/// `demo`
#[derive(ClapArgs, Debug)]
pub struct Demo {
    /// Folder for pellwood.gpkg; made if missing
    pub dir: PathBuf,
    /// Seed of the invented city
    #[arg(long, default_value_t = 1)]
    pub seed: u64,
    /// Year of the spring to plan for [default: the coming one]
    #[arg(long)]
    pub season: Option<i16>,
}

/// `new`
#[derive(ClapArgs, Debug)]
pub struct New {
    /// Programme file to make (.gpkg)
    pub file: PathBuf,
    /// Name of the city or district
    #[arg(long)]
    pub name: String,
    /// Projected coordinate system in metres, as EPSG:NUMBER
    #[arg(long)]
    pub crs: String,
    /// Units shown: us or metric
    #[arg(long, default_value = "us")]
    pub units: String,
    /// Year of the spring to plan for [default: the coming one]
    #[arg(long)]
    pub season: Option<i16>,
    /// Who makes the change, for the history [default: the computer's user]
    #[arg(long)]
    pub author: Option<String>,
}

/// `import`
#[derive(ClapArgs, Debug)]
pub struct Import {
    /// File: GeoJSON, GeoPackage, Shapefile (.shp or zipped), CSV or TOML
    pub file: PathBuf,
    /// What its rows are: blocks, areas, no-spray, trees, plots, counts, weather, hourly-weather, resources, strata, past-seasons, samples, band-visits, scraping, teams, streets
    #[arg(long = "as", value_name = "KIND")]
    pub kind: String,
    /// Programme file to bring it into
    #[arg(long)]
    pub into: PathBuf,
    /// Field=column, where a header is not understood; may be repeated
    #[arg(long, value_name = "F=COL")]
    pub map: Vec<String>,
    /// Field=unit, where a header does not say it; may be repeated
    #[arg(long, value_name = "F=UNIT")]
    pub unit: Vec<String>,
    /// Coordinate system of the file, as EPSG:NUMBER or a proj string; overrides what the file says
    #[arg(long)]
    pub crs: Option<String>,
    /// Layer of a GeoPackage that has several
    #[arg(long)]
    pub layer: Option<String>,
    /// Order of day and month where a column does not show it: month-first or day-first
    #[arg(long, value_name = "ORDER")]
    pub dates: Option<String>,
    /// Weather station, where the file does not name it
    #[arg(long)]
    pub station: Option<String>,
    /// Hours that the clock of an hourly file is ahead of universal time, such as -04:00, where it does not say it
    #[arg(long, allow_hyphen_values = true)]
    pub offset: Option<String>,
    /// Print the report as JSON
    #[arg(long)]
    pub json: bool,
    /// Who makes the change, for the history [default: the computer's user]
    #[arg(long)]
    pub author: Option<String>,
}

/// `blocks`
#[derive(ClapArgs, Debug)]
pub struct Blocks {
    /// Programme file
    pub programme: PathBuf,
    /// Outline of the city: GeoJSON, GeoPackage or Shapefile
    #[arg(long, value_name = "BOUNDARY")]
    pub from: PathBuf,
    /// Area of a cell, such as 10acre or 4ha
    #[arg(long, default_value = "10acre")]
    pub cell: String,
    /// square or hexagon
    #[arg(long, default_value = "square")]
    pub shape: String,
    /// Water to cut out
    #[arg(long)]
    pub water: Option<PathBuf>,
    /// Coordinate system of the boundary file
    #[arg(long)]
    pub crs: Option<String>,
    /// Canopy share for every new block, where you know no better (0 to 1)
    #[arg(long)]
    pub canopy: Option<f64>,
    /// Who makes the change, for the history [default: the computer's user]
    #[arg(long)]
    pub author: Option<String>,
}

/// `check`
#[derive(ClapArgs, Debug)]
pub struct Check {
    /// Programme file
    pub programme: PathBuf,
    /// Day of the question [default: today]
    #[arg(long, value_parser = date)]
    pub on: Option<Date>,
    /// Print JSON
    #[arg(long)]
    pub json: bool,
}

/// `degree-days`
#[derive(ClapArgs, Debug)]
pub struct DegreeDays {
    /// Daily weather (CSV)
    pub weather: PathBuf,
    /// mean, corn mean, single triangle, double triangle, single sine, double sine
    #[arg(long, default_value = "single sine")]
    pub method: String,
    /// Lower threshold, such as 3C or 50F (without a letter: degrees C)
    #[arg(long)]
    pub base: String,
    /// Upper threshold
    #[arg(long)]
    pub upper: Option<String>,
    /// What happens above it: none, horizontal, intermediate, vertical [default: horizontal if --upper is given]
    #[arg(long)]
    pub cutoff: Option<String>,
    /// First day [default: the first in the file]
    #[arg(long, value_parser = date)]
    pub from: Option<Date>,
    /// Last day [default: the last in the file]
    #[arg(long, value_parser = date)]
    pub to: Option<Date>,
    /// Field=column, where a header is not understood
    #[arg(long, value_name = "F=COL")]
    pub map: Vec<String>,
    /// Field=unit, where a header does not say it
    #[arg(long, value_name = "F=UNIT")]
    pub unit: Vec<String>,
    /// Print JSON
    #[arg(long)]
    pub json: bool,
}

/// `survey` and `outlook`
#[derive(ClapArgs, Debug)]
pub struct Stage {
    /// Programme file
    pub programme: PathBuf,
    /// Seed of the draws
    #[arg(long, default_value_t = 1)]
    pub seed: u64,
    /// Number of draws
    #[arg(long, default_value_t = 500, value_parser = clap::value_parser!(u32).range(1..=100_000))]
    pub draws: u32,
    /// Day of the question [default: today]
    #[arg(long, value_parser = date)]
    pub on: Option<Date>,
    /// Print JSON
    #[arg(long)]
    pub json: bool,
}

/// `timing`
#[derive(ClapArgs, Debug)]
pub struct Timing {
    /// What and on which day
    #[command(flatten)]
    pub stage: Stage,
    /// Also write windows and deadlines as a calendar (iCalendar, for any calendar program)
    #[arg(long, value_name = "FILE")]
    pub ics: Option<PathBuf>,
}

/// `plan`
#[derive(ClapArgs, Debug)]
pub struct Plan {
    /// What and on which day
    #[command(flatten)]
    pub stage: Stage,
    /// Money to spend, dollars [default: the programme's]
    #[arg(long, allow_negative_numbers = true)]
    pub budget: Option<f64>,
    /// Volunteer hours in all, shared out as the programme shares them [default: the programme's]
    #[arg(long, allow_negative_numbers = true)]
    pub volunteer_hours: Option<f64>,
    /// Most acres flown, repeats counted [default: the programme's]
    #[arg(long, allow_negative_numbers = true)]
    pub max_sprayed_acres: Option<f64>,
    /// Chance of losing more than tolerated that is accepted on every block; 0 counts every chance
    /// [default: by land use, from the parameters]
    #[arg(long, allow_negative_numbers = true)]
    pub accepted_chance: Option<f64>,
    /// Relative gap to prove
    #[arg(long, allow_negative_numbers = true)]
    pub gap: Option<f64>,
    /// Judge every option by the worst of three seasons: as forecast, early hatch, weak bands
    #[arg(long)]
    pub robust: bool,
    /// Keep the plan in the programme file under this name
    #[arg(long)]
    pub keep: Option<String>,
    /// Show what changes against a plan kept under this name
    #[arg(long)]
    pub against: Option<String>,
    /// Who keeps it, for the history [default: the computer's user]
    #[arg(long)]
    pub author: Option<String>,
}

/// `frontier`
#[derive(ClapArgs, Debug)]
pub struct Frontier {
    /// What and on which day
    #[command(flatten)]
    pub stage: Stage,
    /// How many plans
    #[arg(long, default_value_t = 15, value_parser = clap::value_parser!(u16).range(2..=200))]
    pub points: u16,
    /// Hold the harm against this instead of the area sprayed
    #[arg(long, value_parser = ["area", "money"], default_value = "area")]
    pub against: String,
    /// Money to spend, dollars [default: the programme's]
    #[arg(long, allow_negative_numbers = true)]
    pub budget: Option<f64>,
    /// Volunteer hours in all, shared out as the programme shares them [default: the programme's]
    #[arg(long, allow_negative_numbers = true)]
    pub volunteer_hours: Option<f64>,
    /// Most acres flown, repeats counted [default: the programme's]
    #[arg(long, allow_negative_numbers = true)]
    pub max_sprayed_acres: Option<f64>,
    /// Relative gap to prove for each plan
    #[arg(long, allow_negative_numbers = true)]
    pub gap: Option<f64>,
}

/// `next-plots`
#[derive(ClapArgs, Debug)]
pub struct NextPlots {
    /// What and on which day
    #[command(flatten)]
    pub stage: Stage,
}

/// `worth`
#[derive(ClapArgs, Debug)]
pub struct Worth {
    /// What and on which day
    #[command(flatten)]
    pub stage: Stage,
}

/// `stress`
#[derive(ClapArgs, Debug)]
pub struct Stress {
    /// What and on which day
    #[command(flatten)]
    pub stage: Stage,
}

/// `reserve`
#[derive(ClapArgs, Debug)]
pub struct Reserve {
    /// What and on which day
    #[command(flatten)]
    pub stage: Stage,
}

/// `papers`
#[derive(ClapArgs, Debug)]
pub struct Papers {
    /// The plan
    #[command(flatten)]
    pub which: WhichPlan,
    /// Folder for the papers; made if missing
    #[arg(long, value_name = "DIR")]
    pub out: PathBuf,
}

/// A plan made now, or a kept one.
#[derive(ClapArgs, Debug)]
pub struct WhichPlan {
    /// The plan to make
    #[command(flatten)]
    pub plan: Plan,
    /// Take the plan kept under this name instead of making one
    #[arg(
        long = "plan",
        value_name = "NAME",
        conflicts_with_all = [
            "budget", "volunteer_hours", "max_sprayed_acres", "accepted_chance", "gap", "robust", "keep", "against", "seed",
            "draws", "on"
        ]
    )]
    pub kept: Option<String>,
}

/// `decide`
#[derive(ClapArgs, Debug)]
pub struct Decide {
    /// Programme file
    pub programme: PathBuf,
    /// Block
    pub block: String,
    /// Take exactly this option, such as "scraping + bands" or "watch"
    #[arg(long, group = "rule")]
    pub take: Option<String>,
    /// Never use this tactic here
    #[arg(long, group = "rule")]
    pub never: Option<String>,
    /// Never fly here
    #[arg(long, group = "rule")]
    pub never_fly: bool,
    /// Always fly here, once or twice
    #[arg(long, group = "rule")]
    pub always_fly: bool,
    /// Remove the decisions about this block
    #[arg(long, group = "rule")]
    pub clear: bool,
    /// Why
    #[arg(long, default_value = "")]
    pub note: String,
    /// Who decides, for the history [default: the computer's user]
    #[arg(long)]
    pub author: Option<String>,
}

/// `parameters`
#[derive(ClapArgs, Debug)]
pub struct Parameters {
    /// Programme file
    pub programme: PathBuf,
    /// NAME=VALUE; a value is one number, or "low,middle,high" or "mean±sd" where the default has that form
    #[arg(long, value_name = "NAME=VALUE", requires = "source")]
    pub set: Option<String>,
    /// Where the new value comes from
    #[arg(long)]
    pub source: Option<String>,
    /// Restore the default of NAME, or of all
    #[arg(long, value_name = "NAME|all", conflicts_with = "set")]
    pub restore: Option<String>,
    /// Show only names beginning with this
    #[arg(long, default_value = "")]
    pub only: String,
    /// Print JSON
    #[arg(long)]
    pub json: bool,
    /// Who makes the change, for the history [default: the computer's user]
    #[arg(long)]
    pub author: Option<String>,
}

/// `history`
#[derive(ClapArgs, Debug)]
pub struct History {
    /// Programme file
    pub programme: PathBuf,
    /// Print JSON
    #[arg(long)]
    pub json: bool,
}

/// `undo`
#[derive(ClapArgs, Debug)]
pub struct Undo {
    /// Programme file
    pub programme: PathBuf,
    /// Who takes it back, for the history [default: the computer's user]
    #[arg(long)]
    pub author: Option<String>,
}

/// `explain`
#[derive(ClapArgs, Debug)]
pub struct Explain {
    /// The plan
    #[command(flatten)]
    pub which: WhichPlan,
    /// Id printed beside the figure, such as P-cost or A07.density; "list" shows all
    pub number: String,
}

/// `close-count`
#[derive(ClapArgs, Debug)]
pub struct CloseCount {
    /// Programme file
    pub programme: PathBuf,
    /// Blocks whose egg-mass count is over; "all" for every block
    #[arg(required = true)]
    pub blocks: Vec<String>,
    /// Day on which it was closed [default: today]
    #[arg(long, value_parser = date)]
    pub on: Option<Date>,
    /// Open the count again instead
    #[arg(long, conflicts_with = "on")]
    pub reopen: bool,
    /// Who closes it, for the history [default: the computer's user]
    #[arg(long)]
    pub author: Option<String>,
}

/// `backup`
#[derive(ClapArgs, Debug)]
pub struct Backup {
    /// Programme file
    pub programme: PathBuf,
    /// File to write; never overwritten
    #[arg(long, value_name = "FILE")]
    pub to: PathBuf,
}

/// `species`
#[derive(ClapArgs, Debug)]
pub struct Species {
    /// Programme file
    pub programme: PathBuf,
    /// NAME=CLASS: susceptible, resistant or immune
    #[arg(long, value_name = "NAME=CLASS", requires = "source")]
    pub set: Option<String>,
    /// Where the class comes from
    #[arg(long)]
    pub source: Option<String>,
    /// Who makes the change, for the history [default: the computer's user]
    #[arg(long)]
    pub author: Option<String>,
}

/// A day of the calendar as people are asked to write it.
fn date(text: &str) -> Result<Date, String> {
    text.trim().parse().map_err(|_| "write the day as year-month-day, such as 2027-05-14".to_owned())
}

fn latitude(text: &str) -> Result<f64, String> {
    degrees(text, 90.0)
}

fn longitude(text: &str) -> Result<f64, String> {
    degrees(text, 180.0)
}

fn degrees(text: &str, most: f64) -> Result<f64, String> {
    let value = text.trim().parse::<f64>().ok().filter(|v| v.abs() <= most);
    value.ok_or_else(|| format!("write degrees from -{most} to {most}, such as 42.28"))
}
