//! `crownhold close-count`

use std::process::ExitCode;

use super::{args, say};
use crate::actions::{By, author, counts};
use crate::clock;
use crate::trouble::Trouble;

pub(super) fn run(a: &args::CloseCount) -> Result<ExitCode, Trouble> {
    let (author, when) = (author(a.author.as_deref()), clock::now());
    let by = By::new(&author, &when);
    if a.reopen {
        let done = counts::reopen_count(&a.programme, &a.blocks, by)?;
        say(&format!("The count is open again in {} blocks; nothing is scraped there until it is closed.", done.item));
    } else {
        let done = counts::close_count(&a.programme, &a.blocks, a.on.unwrap_or_else(clock::today), by)?;
        say(&format!("The count is closed in {} blocks; they may be scraped from now on.", done.item));
    }
    Ok(ExitCode::SUCCESS)
}
