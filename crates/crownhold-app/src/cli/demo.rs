//! `crownhold demo`

use std::process::ExitCode;

use crownhold::pellwood::{pellwood, streets};
use crownhold_data::store::{ProgrammeFile, StoreError};
use crownhold_data::town::{Street, TownFile};

use super::{args, say};
use crate::clock;
use crate::trouble::Trouble;

const AUTHOR: &str = "Crownhold demo";

pub(super) fn run(a: &args::Demo) -> Result<ExitCode, Trouble> {
    let season = a.season.unwrap_or_else(|| clock::season_of(clock::today()));
    std::fs::create_dir_all(&a.dir).map_err(|e| Trouble::file(&a.dir, &e))?;
    let path = a.dir.join("pellwood.gpkg");
    let city = pellwood(a.seed, season);
    let when = clock::now();
    let mut file = ProgrammeFile::create(&path, &city.programme, AUTHOR, &when)?;
    let what = format!("the invented city of Pellwood, seed {}", a.seed);
    file.change(AUTHOR, &when, &what, |records| {
        records.clone_from(&city);
        Ok::<_, StoreError>(())
    })?;
    file.close()?;
    let street = |(name, numbers, block)| Street { name, numbers, block };
    TownFile::open(&path)?.set_streets(&streets(&city.blocks).into_iter().map(street).collect::<Vec<_>>())?;
    say(&format!(
        "Pellwood, an invented city, for the spring of {season}: {} blocks, {} trees, {} plots, {} days of weather.\n\
         Everything in it is made up from seed {}.\n{}",
        city.blocks.len(),
        city.trees.len(),
        city.plots.len(),
        city.weather.iter().map(|w| w.days.len()).sum::<usize>(),
        a.seed,
        path.display()
    ));
    Ok(ExitCode::SUCCESS)
}
