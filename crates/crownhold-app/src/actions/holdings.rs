//! What a programme holds, and what of it is not known.

use std::collections::BTreeSet;

use crownhold::types::{Area, Consent, Records};
use jiff::civil::Date;

/// Counts of records, and of those that lack something.
#[derive(Clone, Debug, PartialEq)]
pub struct Holdings {
    /// Blocks.
    pub blocks: usize,
    /// Their ground.
    pub ground: Area,
    /// Blocks whose canopy or host mix is not known; no plan can be made with them.
    pub blocks_without_hosts: usize,
    /// Blocks without a plot of their own.
    pub blocks_without_plots: usize,
    /// Blocks whose consent is pending.
    pub consents_pending: usize,
    /// Trees.
    pub trees: usize,
    /// Trees whose species name the table does not know.
    pub trees_without_class: usize,
    /// Trees without a diameter.
    pub trees_without_diameter: usize,
    /// Trees in no block.
    pub trees_outside: usize,
    /// Plots.
    pub plots: usize,
    /// Plots without a position.
    pub plots_without_place: usize,
    /// Plots without a written count of this survey (from 1 August of the year before the season).
    pub plots_not_counted: usize,
    /// Visits.
    pub visits: usize,
    /// Visits where nothing was written down.
    pub visits_without_counts: usize,
    /// Weather stations.
    pub stations: usize,
    /// Days with both temperatures at the first station that has any, forecasts left out.
    pub days: usize,
    /// First and last of those days.
    pub span: Option<(Date, Date)>,
    /// Whole calendar years among them (360 days or more), the season's own not counted.
    pub past_years: usize,
    /// No-spray areas.
    pub no_spray: usize,
    /// Past seasons.
    pub past_seasons: usize,
    /// Fixed decisions.
    pub decisions: usize,
    /// Constants that differ from their default.
    pub own_constants: usize,
}

/// Days that make a year of weather nearly whole.
const WHOLE_YEAR: usize = 360;

/// Counts what the records hold.
pub fn holdings(records: &Records) -> Holdings {
    let known: BTreeSet<_> = records.plots.iter().map(|p| &p.block).collect();
    let (days, span, past_years) = weather(records);
    let blocks = &records.blocks;
    let trees = &records.trees;
    Holdings {
        blocks: blocks.len(),
        ground: Area::square_metres(blocks.iter().map(|b| b.area().as_square_metres()).sum()),
        blocks_without_hosts: blocks.iter().filter(|b| b.canopy.is_none() || b.hosts.is_none()).count(),
        blocks_without_plots: blocks.iter().filter(|b| !known.contains(&b.id)).count(),
        consents_pending: blocks.iter().filter(|b| b.consent == Consent::Pending).count(),
        trees: trees.len(),
        trees_without_class: trees.iter().filter(|t| t.class.is_none()).count(),
        trees_without_diameter: trees.iter().filter(|t| t.dbh.is_none()).count(),
        trees_outside: trees.iter().filter(|t| t.block.is_none()).count(),
        plots: records.plots.len(),
        plots_without_place: records.plots.iter().filter(|p| p.place.is_none()).count(),
        plots_not_counted: not_counted(records),
        visits: records.visits.len(),
        visits_without_counts: records.visits.iter().filter(|v| v.counts.is_empty()).count(),
        stations: records.weather.len(),
        days,
        span,
        past_years,
        no_spray: records.no_spray.len(),
        past_seasons: records.past.iter().map(|p| p.season).collect::<BTreeSet<_>>().len(),
        decisions: records.decisions.len(),
        own_constants: records.parameters.changed().len(),
    }
}

fn not_counted(records: &Records) -> usize {
    let autumn = records.programme.season - 1;
    let of_survey = |d: Date| (d.year() == autumn && d.month() >= 8) || (d.year() > autumn && d.month() < 8);
    let counted: BTreeSet<_> =
        records.visits.iter().filter(|v| of_survey(v.date) && !v.counts.is_empty()).map(|v| &v.plot).collect();
    records.plots.iter().filter(|p| p.method.is_area_count() && !counted.contains(&p.id)).count()
}

fn weather(records: &Records) -> (usize, Option<(Date, Date)>, usize) {
    let dates = |s: &crownhold::types::WeatherSeries| -> Vec<Date> {
        let usable = s.days.iter().filter(|d| !d.forecast && d.min.is_some() && d.max.is_some());
        usable.map(|d| d.date).collect()
    };
    let days = records.weather.iter().map(dates).find(|d| !d.is_empty()).unwrap_or_default();
    let years: BTreeSet<i16> = days.iter().map(|d| d.year()).collect();
    let whole = |year: &&i16| days.iter().filter(|d| d.year() == **year).count() >= WHOLE_YEAR;
    let past = years.iter().filter(|y| **y != records.programme.season).filter(whole).count();
    (days.len(), days.first().copied().zip(days.last().copied()), past)
}

#[cfg(test)]
mod tests {
    use crownhold::pellwood::pellwood;
    use crownhold::types::{Programme, Records, UnitSystem};

    use super::holdings;

    #[test]
    fn an_empty_programme_holds_nothing() {
        let programme =
            Programme { name: "Newtown".into(), season: 2027, epsg: 32616, units: UnitSystem::Us, invented: true };
        let h = holdings(&Records::empty(programme));
        assert_eq!((h.blocks, h.trees, h.plots, h.visits, h.days, h.past_seasons), (0, 0, 0, 0, 0, 0));
        assert_eq!(h.span, None);
    }

    #[test]
    fn what_is_taken_away_is_missed() {
        let mut city = pellwood(1, 2027);
        let before = holdings(&city);
        assert!(before.past_years >= 28, "{} years", before.past_years);
        city.blocks[0].hosts = None;
        city.trees[0].dbh = None;
        let plot = city.visits[0].plot.clone();
        city.visits.retain(|v| v.plot != plot);
        city.weather[0].days.truncate(365 * 2);
        let after = holdings(&city);
        assert_eq!(after.blocks_without_hosts, before.blocks_without_hosts + 1);
        assert_eq!(after.trees_without_diameter, before.trees_without_diameter + 1);
        assert_eq!(after.plots_not_counted, before.plots_not_counted + 1);
        assert!(after.past_years <= 2 && after.days <= 730);
    }
}
