//! `crownhold split`

use std::process::ExitCode;

use super::blocks::area;
use super::{args, say};
use crate::actions::split::split;
use crate::actions::{By, author};
use crate::clock;
use crate::trouble::Trouble;

pub(super) fn run(a: &args::Split) -> Result<ExitCode, Trouble> {
    let (author, when) = (author(a.author.as_deref()), clock::now());
    let done = split(&a.programme, area(&a.larger_than)?, &a.blocks, By::new(&author, &when))?;
    say(&format!("Done: {}.", done.what));
    say("Kept plans name the whole blocks: make the plan again.");
    Ok(ExitCode::SUCCESS)
}
