//! What the field log of this season holds: what was taken off, and what it was of the whole.

use std::collections::BTreeSet;

use crownhold::field::crews::scraping_season;
use crownhold::types::{BlockId, SprayMethod};
use crownhold_print::wording::{count, grouped, percent};

use crate::desk::pages::field::{bands, scraping};
use crate::desk::state::Season;

/// One kind of work.
pub(super) struct LogRow {
    pub(super) work: &'static str,
    pub(super) blocks: String,
    pub(super) did: String,
    /// What it was of the whole; blank where that is not known.
    pub(super) whole: String,
    pub(super) href: &'static str,
}

/// The work that was written down, by kind.
pub(super) fn rows(season: &Season) -> Vec<LogRow> {
    let sprays = [
        (SprayMethod::Air, "Sprayed from the air", "/field/applications"),
        (SprayMethod::Ground, "Sprayed from the ground", "/field/applications"),
    ];
    let sprayed = sprays.into_iter().filter_map(|(method, work, href)| spray(season, method, work, href));
    [scraped(season), banded(season)].into_iter().flatten().chain(sprayed).collect()
}

fn blocks(ids: &BTreeSet<BlockId>) -> String {
    count(ids.len(), "block", "blocks")
}

fn scraped(season: &Season) -> Option<LogRow> {
    let visits = scraping::of_season(season);
    let places: BTreeSet<BlockId> = visits.iter().map(|v| v.block.clone()).collect();
    let ids: Vec<BlockId> = places.iter().cloned().collect();
    let stages = season.stages.as_ref();
    let (area, density) = stages.map(|s| s.density.together(&season.records, &ids)).unwrap_or_default();
    let all = scraping_season(ids.first()?, &visits, area, &density);
    let share = all.share.map(|s| {
        let (low, high) = (percent(s.low), percent(s.high));
        format!("{} of the new masses in those blocks ({low} to {high})", percent(s.middle))
    });
    Some(LogRow {
        work: "Scraping",
        blocks: blocks(&places),
        did: format!("{} egg masses taken off, {} seen and left", number(all.taken()), number(all.left)),
        whole: share.unwrap_or_default(),
        href: "/field/scraping",
    })
}

fn banded(season: &Season) -> Option<LogRow> {
    let visits = bands::of_season(season);
    let places: BTreeSet<BlockId> = visits.iter().map(|v| v.block.clone()).collect();
    if places.is_empty() {
        return None;
    }
    let all = bands::sum(season, &visits, &places.iter().cloned().collect::<Vec<_>>());
    Some(LogRow {
        work: "Bands",
        blocks: blocks(&places),
        did: format!("{} larvae and pupae taken off at {} looks", number(all.found.insects()), number(all.band_visits)),
        whole: all.share.map(|s| bands::of_all(&s)).unwrap_or_default(),
        href: "/field/bands",
    })
}

fn spray(season: &Season, method: SprayMethod, work: &'static str, href: &'static str) -> Option<LogRow> {
    let records = season.records.log.applications_of(season.records.programme.season);
    let of_it: Vec<_> = records.filter(|a| a.method == method).collect();
    if of_it.is_empty() {
        return None;
    }
    let places: BTreeSet<BlockId> = of_it.iter().flat_map(|a| a.blocks.iter().cloned()).collect();
    let area = season.wording().area(of_it.iter().filter_map(|a| a.area).sum());
    let open = of_it.iter().filter(|a| a.closed.is_none()).count();
    let waiting =
        if open > 0 { format!("; {} not closed yet", count(open, "record", "records")) } else { String::new() };
    Some(LogRow {
        work,
        blocks: blocks(&places),
        did: format!("{area}, repeats counted, by {}{waiting}", count(of_it.len(), "record", "records")),
        whole: String::new(),
        href,
    })
}

fn number(n: u32) -> String {
    grouped(f64::from(n))
}
