//! `crownhold map-files`

use std::process::ExitCode;

use super::{args, say, say_json};
use crate::actions::{self, map_files};
use crate::clock;
use crate::trouble::Trouble;

pub(super) fn run(a: &args::MapFiles) -> Result<ExitCode, Trouble> {
    let records = actions::records(&a.which.plan.stage.programme)?;
    let made = super::plan::kept_or_made(&a.which, &records)?;
    let files = map_files::write(&made, &records, &clock::now(), &a.out)?;
    let files: Vec<String> = files.iter().map(|p| p.display().to_string()).collect();
    match a.which.plan.stage.json {
        true => say_json(&serde_json::json!({ "files": files })),
        false => files.iter().for_each(|f| say(f)),
    }
    Ok(ExitCode::SUCCESS)
}
