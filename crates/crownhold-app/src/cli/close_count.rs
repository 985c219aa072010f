//! `crownhold close-count`

use std::collections::BTreeSet;
use std::process::ExitCode;

use crownhold::types::Problem;
use crownhold_data::store::ProgrammeFile;

use super::{args, say};
use crate::trouble::Trouble;
use crate::{actions, clock};

pub(super) fn run(a: &args::CloseCount) -> Result<ExitCode, Trouble> {
    let day = a.on.unwrap_or_else(clock::today);
    let wanted: BTreeSet<String> = a.blocks.iter().map(|b| b.trim().to_lowercase()).collect();
    let all = wanted.contains("all");
    let mut file = ProgrammeFile::open(&a.programme)?;
    let what = format!("count closed on {day}: {}", a.blocks.join(", "));
    let closed = file.change(&actions::author(a.author.as_deref()), &clock::now(), &what, |records| {
        let known: BTreeSet<String> = records.blocks.iter().map(|b| b.id.as_str().to_lowercase()).collect();
        let unknown: Vec<Problem> = wanted
            .iter()
            .filter(|w| !all && !known.contains(*w))
            .map(|w| {
                Problem::error("A-040", format!("There is no block \"{w}\"."), "Name blocks of the programme, or all.")
            })
            .collect();
        if !unknown.is_empty() {
            return Err(Trouble::from(unknown));
        }
        let mut closed = 0;
        for block in records.blocks.iter_mut().filter(|b| all || wanted.contains(&b.id.as_str().to_lowercase())) {
            block.survey_closed = Some(day);
            closed += 1;
        }
        Ok(closed)
    })?;
    file.close()?;
    say(&format!("The count is closed in {closed} blocks; they may be scraped from now on."));
    Ok(ExitCode::SUCCESS)
}
