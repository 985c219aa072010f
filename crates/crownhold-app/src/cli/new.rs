//! `crownhold new`

use std::process::ExitCode;

use crownhold::types::{Problem, Programme, UnitSystem};
use crownhold_data::store::ProgrammeFile;

use super::{args, say};
use crate::actions::author;
use crate::clock;
use crate::trouble::Trouble;

pub(super) fn run(a: &args::New) -> Result<ExitCode, Trouble> {
    let programme = Programme {
        name: a.name.clone(),
        season: a.season.unwrap_or_else(|| clock::season_of(clock::today())),
        epsg: epsg(&a.crs)?,
        units: units(&a.units)?,
        invented: false,
    };
    ProgrammeFile::create(&a.file, &programme, &author(a.author.as_deref()), &clock::now())?.close()?;
    say(&format!(
        "{} is ready for the spring of {}. Next: crownhold import FILE --as blocks --into {}",
        a.file.display(),
        programme.season,
        a.file.display()
    ));
    Ok(ExitCode::SUCCESS)
}

fn epsg(text: &str) -> Result<u32, Trouble> {
    let number = text.trim().to_lowercase();
    number.strip_prefix("epsg:").unwrap_or(&number).parse().map_err(|_| {
        Trouble::one(
            Problem::error(
                "A-010",
                format!("\"{text}\" is not a coordinate system."),
                "Give the projected system your GIS uses for the city.",
            )
            .expected("EPSG:NUMBER, such as EPSG:26917 for UTM zone 17 north"),
        )
    })
}

fn units(text: &str) -> Result<UnitSystem, Trouble> {
    match text.trim().to_lowercase().as_str() {
        "us" => Ok(UnitSystem::Us),
        "metric" | "si" => Ok(UnitSystem::Metric),
        _ => Err(Trouble::one(
            Problem::error("A-011", format!("\"{text}\" is not a unit system."), "").expected("us or metric"),
        )),
    }
}
