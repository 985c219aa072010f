//! The desk: the tool as people see it, a local web server over one programme file.
//!
//! | module | does |
//! |---|---|
//! | [`pages`] | one file per place: what is asked, which action answers, what the page shows |
//! | `state` | the programme as last read, with everything worked out from it |
//! | `door` | who may come in: one-time link, session, same origin, known host |
//! | `join`, `ranks`, `sessions` | accounts and links; what each role may do; where sessions are kept |
//! | `api` | the records as OGC API - Features |
//! | `jobs` | long work with progress and a stop |
//! | `round` | the form on the phone: today's rounds out, visits in |
//! | `reports` | reports of imports and mailing lists, each with an address |
//! | `sent_files` | files sent by a form |
//! | `shell` | what stands around every page; trouble as a page |
//! | `trim` | leaves forms out that a role may not send |
//! | `town` | the public page, in the language of its reader |
//! | `assets` | bundle and stylesheet |
//!
//! Pages call [`actions`](crate::actions) and hold no domain logic. Domain work runs off the async threads.

mod api;
mod assets;
mod door;
mod jobs;
mod join;
mod pages;
mod ranks;
mod reports;
mod round;
mod sent_files;
mod sessions;
mod shell;
mod state;
mod town;
mod trim;

use std::io::{BufRead as _, Write as _};
use std::net::{IpAddr, SocketAddr};
use std::path::PathBuf;
use std::sync::Arc;

use crownhold::types::Problem;
use jiff::civil::Date;
use tokio::net::TcpListener;

use crate::actions::{access, photos};
use crate::clock;
use crate::trouble::Trouble;
use state::Desk;

/// Threads for work on files and records beside those that answer.
const BESIDE: usize = 8;

/// How to serve.
#[derive(Clone, Debug)]
pub struct Serve {
    /// Programme file.
    pub programme: PathBuf,
    /// Address of this computer to listen on.
    pub listen: IpAddr,
    /// Port; 0 takes a free one.
    pub port: u16,
    /// Names by which other computers reach it, as `https://desk.example`.
    pub names: Vec<String>,
    /// Open a browser?
    pub open: bool,
    /// Work as on this day instead of today.
    pub on: Option<Date>,
    /// Who changes are written down for, until somebody says who they are.
    pub author: String,
}

/// Serves the desk until it is interrupted.
///
/// # Errors
/// When the programme cannot be read or the port is taken.
pub fn serve(serve: Serve) -> Result<(), Trouble> {
    // Few at once: more of them than processors only wait for one another, and each keeps memory of its own.
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .enable_all()
        .max_blocking_threads(BESIDE)
        .build()
        .map_err(|e| no_server("No threads to serve with", &e))?;
    runtime.block_on(run(serve))
}

async fn run(serve: Serve) -> Result<(), Trouble> {
    let names = names(&serve)?;
    let address = SocketAddr::from((serve.listen, serve.port));
    let listener = TcpListener::bind(address)
        .await
        .map_err(|e| no_server(&format!("Port {} cannot be used (try another with --port)", serve.port), &e))?;
    let port = listener.local_addr().map_err(|e| no_server("The port is not known", &e))?.port();
    let desk = Arc::new(Desk::new(serve.programme, serve.on, serve.author, port, names));
    let season = desk.season().await?;
    let about = Arc::clone(&desk);
    // Without its photos the desk works all the same.
    if let Err(trouble) = state::off(move || photos::forget_removed(about.path(), &season.records)).await {
        say(&format!("The photos of visits cannot be used. {trouble}"));
    }
    greet(&desk, serve.open);
    let app = door::guard(pages::router(), Arc::clone(&desk));
    axum::serve(listener, app)
        .with_graceful_shutdown(async {
            let _ = tokio::signal::ctrl_c().await;
        })
        .await
        .map_err(|e| no_server("The server stopped", &e))
}

/// The names by which others may call the desk.
///
/// # Errors
/// When it is to be reached from elsewhere and nobody has an account, or it is not said by which name.
fn names(serve: &Serve) -> Result<Vec<String>, Trouble> {
    let refuse = |code, what: String, remedy: &str| Err(Trouble::one(Problem::error(code, what, remedy)));
    for name in &serve.names {
        let host = name.strip_prefix("https://").or(name.strip_prefix("http://"));
        if host.is_none_or(|host| host.is_empty() || host.contains('/')) {
            let what = format!("--name is \"{name}\".");
            return refuse("A-441", what, "Write scheme and host, such as https://desk.pellwood.example");
        }
    }
    if serve.listen.is_loopback() && serve.names.is_empty() {
        return Ok(Vec::new());
    }
    let (accounts, passes) = access::list(&serve.programme, clock::today())?;
    let managers = accounts.iter().map(|a| &a.rank).chain(passes.iter().map(|p| &p.rank));
    if !managers.into_iter().any(|rank| rank == access::Rank::Manager.word()) {
        let what = "The desk would be reached from other computers, and nobody has an account.".to_owned();
        return refuse(
            "A-440",
            what,
            "Invite a manager first: crownhold accounts PROGRAMME --invite NAME --role manager",
        );
    }
    if serve.names.is_empty() {
        let what = format!("The desk is to listen on {}, and it is not said what browsers call it.", serve.listen);
        return refuse("A-441", what, "Add --name, such as --name https://desk.pellwood.example");
    }
    if serve.names.iter().any(|name| name.starts_with("http://")) {
        say(
            "Caution: by an http:// name passwords travel unencrypted. Put a proxy with TLS before the desk and name it by https://.",
        );
    }
    Ok(serve.names.clone())
}

/// Prints the link, opens a browser if wished, and gives another link for every Enter.
fn greet(desk: &Arc<Desk>, open: bool) {
    let link = desk.new_link();
    say(&format!("Crownhold desk for {}", desk.path().display()));
    say(&format!("Open in your browser (this link works once): {link}"));
    say("Press Enter here for another link, Ctrl+C to stop.");
    if open {
        open_browser(&link);
    }
    let desk = Arc::clone(desk);
    std::thread::spawn(move || {
        for line in std::io::stdin().lock().lines() {
            if line.is_err() {
                return;
            }
            say(&desk.new_link());
        }
    });
}

fn say(line: &str) {
    let mut out = std::io::stdout().lock();
    // A reader that has gone away is no reason to stop serving.
    let _ = writeln!(out, "{line}").and_then(|()| out.flush());
}

/// Asks the computer to open the link; where it cannot, the printed link is enough.
fn open_browser(link: &str) {
    let opener = if cfg!(target_os = "macos") {
        "open"
    } else if cfg!(target_os = "windows") {
        "explorer"
    } else {
        "xdg-open"
    };
    let quiet = std::process::Stdio::null;
    let _ = std::process::Command::new(opener).arg(link).stdin(quiet()).stdout(quiet()).stderr(quiet()).spawn();
}

fn no_server(what: &str, error: &std::io::Error) -> Trouble {
    Trouble::one(Problem::error("A-140", format!("{what}: {error}."), "The desk was not opened; nothing was changed."))
}
