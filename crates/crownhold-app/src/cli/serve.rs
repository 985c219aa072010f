//! `crownhold serve`

use std::process::ExitCode;

use super::args;
use crate::actions;
use crate::desk::{Serve, serve};
use crate::trouble::Trouble;

pub(super) fn run(a: &args::Serve) -> Result<ExitCode, Trouble> {
    serve(Serve {
        programme: a.programme.clone(),
        listen: a.listen,
        port: a.port,
        names: a.name.clone(),
        open: !a.no_open,
        on: a.on,
        author: actions::author(a.author.as_deref()),
    })?;
    Ok(ExitCode::SUCCESS)
}
