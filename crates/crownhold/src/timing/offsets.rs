//! Blocks against the station: warmer where built up, colder where higher.
//!
//! One offset for day and night and the whole season: a plain first reckoning. Frost hollows, lake shores and the
//! nightly heat of a city centre are not in it; field samples show them.

use std::collections::BTreeMap;

use super::ensemble::{Base, Draw, Field};
use super::{Event, EventDates, date_quantile};
use crate::Setting;
use crate::types::{Block, BlockId, Length, Parameters, Problem, WeatherSeries};

use jiff::civil::Date;

/// How much warmer than the station a block is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Offsets {
    lapse: f64,
    built_up: f64,
    station_built_up: f64,
    station: Option<Length>,
}

impl Offsets {
    /// From the parameters and the station's height.
    pub fn of(parameters: &Parameters, station: Option<Length>) -> Self {
        let read = |name: &str| parameters.number(&format!("timing.offset.{name}"));
        Self { lapse: read("lapse"), built_up: read("built-up"), station_built_up: read("station-built-up"), station }
    }

    /// Degrees C above the station. What is not known adds nothing.
    pub fn block(&self, block: &Block) -> f64 {
        let height = block.elevation.zip(self.station);
        let lapse = height.map_or(0.0, |(block, station)| self.lapse * (station.as_metres() - block.as_metres()));
        lapse + block.built_up.map_or(0.0, |share| self.built_up * (share.value() - self.station_built_up))
    }

    /// The same to a tenth of a degree; finer would be feigned.
    pub fn rounded(&self, block: &Block) -> f64 {
        (10.0 * self.block(block)).round() / 10.0
    }
}

/// Dates of the blocks at one offset.
#[derive(Clone, Debug, PartialEq)]
pub struct OffsetDates {
    /// Degrees C above the station, to a tenth.
    pub offset: f64,
    /// The blocks.
    pub blocks: Vec<BlockId>,
    /// Their dates over the ensemble, in the order of [`Event::ALL`]; member `i` of every offset belongs together.
    pub events: Vec<EventDates>,
}

/// Dates over the city, coldest blocks first.
#[derive(Clone, Debug, PartialEq)]
pub struct BlockDates {
    /// By offset, rising.
    pub at: Vec<OffsetDates>,
    /// Blocks of which neither height nor built-up share is known; they stand with the station.
    pub unknown: usize,
}

impl BlockDates {
    /// The dates of a block.
    pub fn block(&self, id: &BlockId) -> Option<&OffsetDates> {
        self.at.iter().find(|at| at.blocks.contains(id))
    }
    /// The warmest blocks, which are early.
    pub fn early(&self) -> Option<&OffsetDates> {
        self.at.last()
    }
    /// The coldest blocks, which are late.
    pub fn late(&self) -> Option<&OffsetDates> {
        self.at.first()
    }
}

impl OffsetDates {
    /// Quantile of an event's date.
    pub fn quantile(&self, event: Event, p: f64) -> Option<Date> {
        date_quantile(&self.events.iter().find(|e| e.event == event)?.dates, p)
    }
}

/// Event dates block by block, with the field samples taken in: one ensemble per offset to a tenth of a degree.
///
/// # Errors
/// As [`forecast`](super::forecast).
pub fn forecast_blocks(
    weather: &[WeatherSeries],
    field: Field<'_>,
    parameters: &Parameters,
    season: i16,
    setting: &Setting,
) -> Result<BlockDates, Vec<Problem>> {
    let base = Base::new(weather, parameters, season, setting)?;
    let (lesson, _) = base.learn(field, parameters);
    let draws: Vec<Draw> =
        lesson.map_or_else(|| (0..setting.draws).map(|i| base.prior(i)).collect(), |lesson| lesson.draws);
    let offsets = Offsets::of(parameters, base.station.elevation);
    let mut groups: BTreeMap<i64, Vec<BlockId>> = BTreeMap::new();
    for block in field.blocks {
        groups.entry((10.0 * offsets.block(block)).round() as i64).or_default().push(block.id.clone());
    }
    let dates = |(tenths, blocks): (i64, Vec<BlockId>)| {
        let offset = tenths as f64 / 10.0;
        let years = base.years_at(offset, &base.paths);
        OffsetDates { offset, blocks, events: base.run(&years, &draws).event_dates() }
    };
    let is_unknown =
        |block: &&Block| block.built_up.is_none() && (block.elevation.is_none() || base.station.elevation.is_none());
    let unknown = field.blocks.iter().filter(is_unknown).count();
    Ok(BlockDates { at: groups.into_iter().map(dates).collect(), unknown })
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    /// By hand: 100 m lower is 0.65 C warmer, half built up 1 C.
    #[test]
    fn height_and_built_up_share() {
        let mut block = Block::bare("A01", geo::MultiPolygon(Vec::new()));
        let offsets = Offsets::of(&Parameters::defaults(), Some(Length::metres(300.0)));
        block.elevation = Some(Length::metres(200.0));
        block.built_up = crate::types::Share::new(0.5);
        assert!((offsets.block(&block) - 1.65).abs() < 1e-12);
        block.elevation = None;
        assert!((offsets.rounded(&block) - 1.0).abs() < 1e-12);
        block.built_up = None;
        assert_eq!(offsets.block(&block), 0.0);
    }
}
