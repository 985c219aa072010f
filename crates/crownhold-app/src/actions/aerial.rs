//! The aerial job of a plan.

use std::path::{Path, PathBuf};

use crownhold::field::aerial::{Aircraft, Job, Sheet, job, spray_blocks};
use crownhold::plan::Plan;
use crownhold::timing::Timing;
use crownhold::timing::spray::{MOST_MORNINGS, Spraying, WindowMornings};
use crownhold::types::{Problem, Records};
use crownhold_data::formats::{AreaToFly, LineToFly, files_to_fly};
use geo::{LineString, MultiLineString};

use super::spray::spray_weather;
use crate::trouble::Trouble;

/// The job and what is known of its mornings.
#[derive(Clone, Debug)]
pub struct Aerial {
    /// The aircraft, from the parameters.
    pub craft: Aircraft,
    /// Sheets and hours.
    pub job: Job,
    /// Chances of mornings in the window; `None` without hourly weather or window.
    pub window: Option<WindowMornings>,
    /// What to look at.
    pub notices: Vec<Problem>,
}

impl Aerial {
    /// Chance of as many suitable mornings in the window as the job takes; `None` when it is not known, or when more
    /// are needed than chances are worked out for.
    pub fn chance(&self) -> Option<f64> {
        let needed = usize::try_from(self.job.mornings).ok().filter(|n| (1..=MOST_MORNINGS).contains(n))?;
        self.window.as_ref().map(|w| w.chance[needed - 1])
    }
}

/// Lays out the flights of a plan.
///
/// # Errors
/// When nothing is flown, or the aircraft's parameters cannot be used.
pub fn aerial(plan: &Plan, records: &Records, timing: Option<&Timing>) -> Result<Aerial, Trouble> {
    let craft = Aircraft::read(&records.parameters)?;
    let blocks = spray_blocks(plan, records);
    if blocks.is_empty() {
        let problem = Problem::error("A-232", "The plan flies no block.", "Nothing has to be laid out.");
        return Err(Trouble::one(problem));
    }
    let job = job(blocks, &craft);
    let window = spray_weather(records, timing, Spraying::Air)?.and_then(|w| w.window);
    let mut notices: Vec<Problem> = window.iter().flat_map(|w| w.notes.clone()).collect();
    if window.is_none() {
        let what = "The chance of enough suitable mornings is not known: there is no hourly weather of past years.";
        notices.push(Problem::notice("A-233", what, "Import it with --as hourly-weather."));
    } else if job.mornings as usize > MOST_MORNINGS {
        let what = format!("{} mornings are needed; chances are worked out for up to {MOST_MORNINGS}.", job.mornings);
        notices.push(Problem::notice("A-233", what, "A second aircraft, a greater swath or fewer blocks."));
    }
    if job.gear.mix.is_some_and(|m| !m.fits()) {
        let what = "The dose of the parameters takes more product than the rate puts out.";
        notices.push(Problem::notice("A-231", what, "Correct aircraft.dose, aircraft.rate or aircraft.strength."));
    }
    let lost = job.sheets.iter().filter(|s| s.passes.is_empty());
    notices.extend(lost.map(|s| {
        let what = "No pass can be flown with its whole swath off the no-spray ground.";
        Problem::notice("A-234", what, "Treat it from the ground, or with a narrower swath.").item(s.block.id.clone())
    }));
    Ok(Aerial { craft, job, window, notices })
}

/// The files for the contractor, by name.
///
/// # Errors
/// When one of them cannot be made.
pub fn files(made: &Aerial, records: &Records) -> Result<Vec<(String, Vec<u8>)>, Trouble> {
    let areas: Vec<AreaToFly> = made.job.sheets.iter().map(area).collect();
    let lines: Vec<LineToFly> = made.job.sheets.iter().flat_map(lines).collect();
    Ok(files_to_fly(&areas, &lines, records.programme.epsg)?)
}

/// Writes the files for the contractor into a folder; gives their paths.
///
/// # Errors
/// When one of them cannot be made or written. They are all made before the first is written.
pub fn write_files(made: &Aerial, records: &Records, dir: &Path) -> Result<Vec<PathBuf>, Trouble> {
    let files = files(made, records)?;
    std::fs::create_dir_all(dir).map_err(|e| Trouble::file(dir, &e))?;
    let write = |(name, bytes): (String, Vec<u8>)| {
        let path = dir.join(name);
        std::fs::write(&path, bytes).map_err(|e| Trouble::file(&path, &e))?;
        Ok(path)
    };
    files.into_iter().map(write).collect()
}

fn area(s: &Sheet) -> AreaToFly {
    AreaToFly {
        id: s.block.id.clone(),
        blocks: s.block.blocks.iter().map(ToString::to_string).collect::<Vec<_>>().join(" "),
        acres: s.area.as_acres(),
        flights: s.block.flights,
        heading: s.heading,
        shape: s.block.shape.clone(),
    }
}

fn lines(s: &Sheet) -> impl Iterator<Item = LineToFly> {
    s.passes.iter().zip(1..).map(|(p, number)| LineToFly {
        block: s.block.id.clone(),
        number,
        stretches: MultiLineString(p.sprayed.iter().map(|(a, b)| LineString(vec![*a, *b])).collect()),
    })
}
