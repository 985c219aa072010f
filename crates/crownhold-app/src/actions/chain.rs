//! The stages of one season, from records to options.

use crownhold::Setting;
use crownhold::outlook::{self, Outlook};
use crownhold::survey::{self, Density};
use crownhold::tactics::{self, Options};
use crownhold::timing::{self, BlockDates, Field, Timing};
use crownhold::types::{Problem, Records};

use jiff::civil::Date;

use super::progress::{Phase, Watcher};
use crate::trouble::Trouble;

/// Everything that is worked out before a plan is made.
#[derive(Clone, Debug)]
pub struct Stages {
    /// Densities.
    pub density: Density,
    /// Dates, if there is weather to work them out from; else why not.
    pub timing: Result<Timing, Vec<Problem>>,
    /// The untreated season.
    pub outlook: Outlook,
    /// Options.
    pub options: Options,
}

/// Works the stages out.
///
/// # Errors
/// When there is no usable count, or a block's hosts are not known. Missing weather is no error here: the
/// plan can be made without dates, and says so.
pub fn stages(records: &Records, setting: &Setting) -> Result<Stages, Trouble> {
    stages_watched(records, setting, Watcher::default())
}

/// The same, telling how far it is.
///
/// # Errors
/// As [`stages`], and when it was stopped.
pub fn stages_watched(records: &Records, setting: &Setting, watcher: Watcher<'_>) -> Result<Stages, Trouble> {
    watcher.begin(Phase::Counts)?;
    let (density, timing) = rayon::join(|| survey::estimate(records, setting), || dates(records, setting));
    let density = density?;
    watcher.begin(Phase::OutlookAndOptions)?;
    let outlook = outlook::forecast(records, &density, setting)?;
    let options = tactics::options(records, &density, timing.as_ref().ok(), setting);
    Ok(Stages { density, timing, outlook, options })
}

/// The same after a change, with what the change leaves as it was taken from stages worked out before, by the same setting.
///
/// # Errors
/// As [`stages`].
pub fn stages_again(records: &Records, setting: &Setting, before: (&Records, &Stages)) -> Result<Stages, Trouble> {
    let (old, stages) = before;
    let (counted, dated) = (records.counts_alike(old), records.dates_alike(old));
    let (density, timing) = rayon::join(
        || if counted { Ok(stages.density.clone()) } else { survey::estimate(records, setting) },
        || if dated { stages.timing.clone() } else { dates(records, setting) },
    );
    let density = density?;
    // The outlook reads nothing that the densities do not.
    let outlook = if counted { stages.outlook.clone() } else { outlook::forecast(records, &density, setting)? };
    let options = tactics::options(records, &density, timing.as_ref().ok(), setting);
    Ok(Stages { density, timing, outlook, options })
}

/// The season's dates.
///
/// # Errors
/// When there is no usable weather.
pub fn dates(records: &Records, setting: &Setting) -> Result<Timing, Vec<Problem>> {
    timing::forecast(&records.weather, field(records), &records.parameters, records.programme.season, setting)
}

/// The dates of each block, for the early and late ends of the city.
///
/// # Errors
/// When there is no usable weather.
pub fn block_dates(records: &Records, setting: &Setting) -> Result<BlockDates, Vec<Problem>> {
    timing::forecast_blocks(&records.weather, field(records), &records.parameters, records.programme.season, setting)
}

/// The dates as they stood on an earlier day: weather and samples up to it. Forecast days for after it are left out, for the
/// file keeps only the last forecast, which was not known then.
///
/// # Errors
/// When there is no usable weather.
pub fn dates_as_of(records: &Records, day: Date, setting: &Setting) -> Result<Timing, Vec<Problem>> {
    let mut then = records.clone();
    for series in &mut then.weather {
        series.days.retain(|d| d.date <= day);
    }
    dates(&then, &Setting { today: day, ..*setting })
}

fn field(records: &Records) -> Field<'_> {
    Field { samples: &records.samples, blocks: &records.blocks }
}
