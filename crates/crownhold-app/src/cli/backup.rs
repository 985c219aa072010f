//! `crownhold backup`

use std::process::ExitCode;

use super::{args, say};
use crate::actions::backup;
use crate::trouble::Trouble;

pub(super) fn run(a: &args::Backup) -> Result<ExitCode, Trouble> {
    let files = backup::to_file(&a.programme, &a.to)?;
    let names: Vec<String> = files.iter().map(|file| file.display().to_string()).collect();
    say(&match names.as_slice() {
        [programme, photos] => format!("A whole copy lies in {programme}, the photos of visits in {photos}."),
        _ => format!("A whole copy lies in {}.", names.join(", ")),
    });
    Ok(ExitCode::SUCCESS)
}
