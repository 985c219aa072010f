//! The desk, and who comes in to it.

use std::path::PathBuf;

use clap::Args as ClapArgs;
use jiff::civil::Date;

/// `serve`
#[derive(ClapArgs, Debug)]
pub struct Serve {
    /// Programme file
    pub programme: PathBuf,
    /// Address of this computer to listen on; any but its own loopback address needs accounts and --name
    #[arg(long, value_name = "ADDRESS", default_value = "127.0.0.1")]
    pub listen: std::net::IpAddr,
    /// Port; 0 takes a free one
    #[arg(long, default_value_t = 0)]
    pub port: u16,
    /// What browsers elsewhere call the desk, such as https://desk.example; may be given again
    #[arg(long, value_name = "URL")]
    pub name: Vec<String>,
    /// Print the link only, open no browser
    #[arg(long)]
    pub no_open: bool,
    /// Work as on this day instead of today
    #[arg(long, value_name = "DATE")]
    pub on: Option<Date>,
    /// Who changes are written down for [default: the computer's user]
    #[arg(long)]
    pub author: Option<String>,
}

/// `people`
#[derive(ClapArgs, Debug)]
pub struct People {
    /// Programme file
    pub programme: PathBuf,
    /// Add somebody of this name
    #[arg(long, value_name = "NAME")]
    pub add: Option<String>,
    /// What they do: manager, technician, crew lead, volunteer lead, contractor, other [default: other]
    #[arg(long, requires = "add")]
    pub role: Option<String>,
    /// Telephone or e-mail
    #[arg(long, default_value = "", hide_default_value = true, requires = "add")]
    pub reach: String,
    /// Free text
    #[arg(long, default_value = "", hide_default_value = true, requires = "add")]
    pub note: String,
    /// Remove the one of this name
    #[arg(long, value_name = "NAME", conflicts_with = "add")]
    pub remove: Option<String>,
    /// Print JSON
    #[arg(long)]
    pub json: bool,
    /// Who makes the change, for the history [default: the computer's user]
    #[arg(long)]
    pub author: Option<String>,
}

/// `accounts`
#[derive(ClapArgs, Debug)]
pub struct Accounts {
    /// Programme file
    pub programme: PathBuf,
    /// Invite somebody of this name: prints an address at which they choose a password, once, within a week
    #[arg(long, value_name = "NAME")]
    pub invite: Option<String>,
    /// Give a link to somebody of this name that works without a password until a day
    #[arg(long, value_name = "NAME", conflicts_with = "invite", requires = "until")]
    pub link: Option<String>,
    /// What they may do: manager, technician, crew, volunteer, reader [default: reader; of a link volunteer]
    #[arg(long)]
    pub role: Option<String>,
    /// Last day of the link
    #[arg(long, value_name = "DATE")]
    pub until: Option<Date>,
    /// What browsers call the desk, for the printed address
    #[arg(long, value_name = "URL", default_value = "")]
    pub name: String,
    /// Take out the account, invitations and links of this name
    #[arg(long, value_name = "NAME", conflicts_with_all = ["invite", "link"])]
    pub remove: Option<String>,
    /// Print JSON
    #[arg(long)]
    pub json: bool,
}
