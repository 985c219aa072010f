//! `crownhold backup`

use std::process::ExitCode;

use super::{args, say};
use crate::actions::backup;
use crate::trouble::Trouble;

pub(super) fn run(a: &args::Backup) -> Result<ExitCode, Trouble> {
    backup::to_file(&a.programme, &a.to)?;
    say(&format!("A whole copy lies in {}.", a.to.display()));
    Ok(ExitCode::SUCCESS)
}
