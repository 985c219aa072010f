//! Attributes of blocks: of those that come along with outlines, and of those that are there already.

use std::collections::BTreeSet;

use crownhold::types::{
    Block, BlockId, Consent, HostShares, LandUse, Length, Ownership, Problem, Share, Stratum, StratumId,
};
use jiff::civil::Date;

use super::cells::{self, choices, counts, heights, shares};
use super::columns::{Columns, Field, Measure};
use super::dates::dates;
use super::job::{Job, merge, note_doubles};
use super::table::Table;
use super::trees;

macro_rules! fields {
    ($($(#[$doc:meta])* $name:ident = $word:literal, $measure:ident, [$($way:literal),+ $(,)?];)+) => {
        $($(#[$doc])* pub(super) const $name: Field = Field { name: $word, measure: Measure::$measure, ways: &[$($way),+] };)+
        /// All of them, in the order in which columns are looked for.
        pub(super) const FIELDS: &[Field] = &[$($name),+];
    };
}
pub(super) use fields;

fields! {
    /// The block's own number.
    ID = "id", Plain, ["blockid", "block", "blockno", "blocknumber", "blocknum", "blockcode", "id", "unitid", "unit", "area", "areaid", "zone", "zoneid", "neighborhoodid", "nbhdid", "parkid", "areakey", "geoid", "objectid", "fid", "ogcfid", "gid"];
    /// Name for people.
    NAME = "name", Plain, ["name", "blockname", "areaname", "label", "title", "description", "parkname"];
    /// Use.
    LAND_USE = "land_use", Plain, ["landuse", "use", "landuseclass", "lu", "type", "class"];
    /// Share of the ground under crowns.
    CANOPY = "canopy", Share, ["canopy", "canopycover", "canopyshare", "treecanopy", "treecover", "crowncover", "utc"];
    /// Susceptible share of the canopy.
    SUSCEPTIBLE = "susceptible", Share, ["susceptible", "susceptibleshare", "hostssusceptible", "hostshare", "favored", "favoured", "favoredhost", "favouredhost", "preferredhost", "hostsusceptible"];
    /// Resistant share.
    RESISTANT = "resistant", Share, ["resistant", "resistantshare", "hostsresistant", "intermediate", "hostresistant"];
    /// Immune share.
    IMMUNE = "immune", Share, ["immune", "immuneshare", "hostsimmune", "avoided", "nonhost", "hostimmune"];
    /// Dwellings.
    DWELLINGS = "dwellings", Plain, ["dwellings", "homes", "houses", "households", "housingunits", "units", "addresses"];
    /// Owner.
    OWNERSHIP = "ownership", Plain, ["ownership", "owner", "ownertype", "tenure"];
    /// Consent to treat.
    CONSENT = "consent", Plain, ["consent", "permission", "agreement", "consented"];
    /// Stratum.
    STRATUM = "stratum", Plain, ["stratum", "strata", "stratumid"];
    /// Neighbourhood.
    NEIGHBOURHOOD = "neighbourhood", Plain, ["neighbourhood", "neighborhood", "nbhd", "district", "ward"];
    /// Height above sea level.
    ELEVATION = "elevation", Length, ["elevation", "elev", "altitude", "height", "meanelevation"];
    /// Built or paved share.
    BUILT_UP = "built_up", Share, ["builtup", "built", "paved", "impervious", "imperviousness"];
    /// Day the count was closed.
    SURVEY_CLOSED = "survey_closed", Plain, ["surveyclosed", "countclosed", "surveyclosedon", "surveyend"];
}

/// What one row gives; `None` leaves a block as it is.
#[derive(Default)]
pub(super) struct Given {
    name: Option<String>,
    land_use: Option<LandUse>,
    canopy: Option<Share>,
    hosts: Option<HostShares>,
    dwellings: Option<u32>,
    ownership: Option<Ownership>,
    consent: Option<Consent>,
    stratum: Option<StratumId>,
    neighbourhood: Option<String>,
    elevation: Option<Length>,
    built_up: Option<Share>,
    survey_closed: Option<Date>,
}

impl Given {
    /// Lays what is given over a block.
    pub fn lay_over(self, block: &mut Block) {
        fn set<T>(to: &mut T, from: Option<T>) {
            if let Some(value) = from {
                *to = value;
            }
        }
        fn fill<T>(to: &mut Option<T>, from: Option<T>) {
            if from.is_some() {
                *to = from;
            }
        }
        set(&mut block.name, self.name);
        set(&mut block.land_use, self.land_use);
        set(&mut block.ownership, self.ownership);
        set(&mut block.consent, self.consent);
        fill(&mut block.canopy, self.canopy);
        fill(&mut block.hosts, self.hosts);
        fill(&mut block.dwellings, self.dwellings);
        fill(&mut block.stratum, self.stratum);
        fill(&mut block.neighbourhood, self.neighbourhood);
        fill(&mut block.elevation, self.elevation);
        fill(&mut block.built_up, self.built_up);
        fill(&mut block.survey_closed, self.survey_closed);
    }
}

/// Takes attributes for blocks that are there.
pub(super) fn take(job: &mut Job<'_>, table: &Table) {
    let columns = Columns::find(job, table, FIELDS);
    let ids = ids(job, table, &columns);
    let given = given(job, table, &columns);
    note_doubles(
        job,
        "block",
        ids.iter().enumerate().filter_map(|(r, id)| Some((id.as_ref()?.to_string(), table.number(r)))),
    );
    let mut incoming = Vec::new();
    for (row, (id, given)) in ids.iter().zip(given).enumerate() {
        let Some(id) = id else { continue };
        match job.draft.blocks.iter().find(|b| &b.id == id).cloned() {
            Some(mut block) => {
                given.lay_over(&mut block);
                incoming.push(block);
            }
            None => unknown_block(job, id, table.number(row)),
        }
    }
    job.report.taken = merge(&mut job.draft.blocks, incoming, |b| b.id.clone());
    add_strata(job);
}

/// Notes a row that names a block the programme does not have.
pub(super) fn unknown_block(job: &mut Job<'_>, id: &BlockId, row: u64) {
    let what = format!("There is no block \"{id}\".");
    let remedy = "Import the blocks first, or correct the id.";
    job.note(Problem::error("I-503", what, remedy).row(row).expected("the id of a block of this programme"));
}

/// The id of each row; a row without one is noted.
pub(super) fn ids(job: &mut Job<'_>, table: &Table, columns: &Columns) -> Vec<Option<BlockId>> {
    let Some(column) = columns.need(job, table, &ID).cloned() else { return vec![None; table.len()] };
    let mut ids = Vec::with_capacity(table.len());
    for row in 0..table.len() {
        let id = cells::text(table, columns, &ID, row).map(BlockId::from);
        if id.is_none() {
            job.note(cells::bad_cell("I-214", "The row has no id.".to_owned(), table, row, &column));
        }
        ids.push(id);
    }
    ids
}

/// What every row gives.
pub(super) fn given(job: &mut Job<'_>, table: &Table, columns: &Columns) -> Vec<Given> {
    let words = |all: &[&'static str]| all.to_vec();
    let uses = words(&LandUse::ALL.iter().map(|u| u.word()).collect::<Vec<_>>());
    let land_use = choices(job, table, columns, &LAND_USE, land_use, &uses);
    let owners = words(&Ownership::ALL.iter().map(|u| u.word()).collect::<Vec<_>>());
    let ownership = choices(job, table, columns, &OWNERSHIP, ownership, &owners);
    let consents = words(&Consent::ALL.iter().map(|u| u.word()).collect::<Vec<_>>());
    let consent = choices(job, table, columns, &CONSENT, consent, &consents);
    let canopy = shares(job, table, columns, &CANOPY);
    let built_up = shares(job, table, columns, &BUILT_UP);
    let hosts = hosts(job, table, columns);
    let dwellings = counts(job, table, columns, &DWELLINGS);
    let elevation = heights(job, table, columns, &ELEVATION);
    let closed = match columns.get(SURVEY_CLOSED.name).cloned() {
        Some(column) => dates(job, table, &column),
        None => vec![None; table.len()],
    };
    let text = |field: &Field, row| cells::text(table, columns, field, row).map(str::to_owned);
    (0..table.len())
        .map(|row| Given {
            name: text(&NAME, row),
            land_use: land_use[row],
            canopy: canopy[row],
            hosts: hosts[row],
            dwellings: dwellings[row],
            ownership: ownership[row],
            consent: consent[row],
            stratum: text(&STRATUM, row).map(StratumId::new),
            neighbourhood: text(&NEIGHBOURHOOD, row),
            elevation: elevation[row],
            built_up: built_up[row],
            survey_closed: closed[row],
        })
        .collect()
}

fn land_use(word: &str) -> Option<LandUse> {
    LandUse::from_word(word).or_else(|| {
        Some(match word.to_lowercase().as_str() {
            "residential area" | "housing" | "homes" | "res" => LandUse::Residential,
            "parks" | "public park" | "recreation" => LandUse::Park,
            "schools" | "school grounds" | "day care" => LandUse::School,
            "woodland" | "woodlot" | "forest" | "wood" | "natural area" => LandUse::Woodland,
            "timber woodland" | "managed forest" => LandUse::Timber,
            _ => return None,
        })
    })
}

fn ownership(word: &str) -> Option<Ownership> {
    Ownership::from_word(word).or_else(|| {
        Some(match word.to_lowercase().as_str() {
            "city" | "municipal" | "town" | "county" | "state" => Ownership::Public,
            "both" => Ownership::Mixed,
            _ => return None,
        })
    })
}

fn consent(word: &str) -> Option<Consent> {
    let by_yes = || cells::yes(word).map(|y| if y { Consent::Given } else { Consent::Refused });
    Consent::from_word(word).or_else(by_yes)
}

/// Host shares: two of the three settle the third; one alone is not enough; all three must make a whole.
fn hosts(job: &mut Job<'_>, table: &Table, columns: &Columns) -> Vec<Option<HostShares>> {
    let all = [&SUSCEPTIBLE, &RESISTANT, &IMMUNE].map(|f| shares(job, table, columns, f));
    let mut made = Vec::with_capacity(table.len());
    let [susceptible, resistant, immune] = all;
    for (row, ((s, r), i)) in susceptible.into_iter().zip(resistant).zip(immune).enumerate() {
        let values = [s, r, i].map(|v| v.map(Share::value));
        let known: f64 = values.iter().flatten().sum();
        let blanks = values.iter().filter(|v| v.is_none()).count();
        let fault = match blanks {
            3 => None,
            0 if (known - 1.0).abs() > 0.02 => Some(format!("The host shares add up to {known:.3}.")),
            1 if known > 1.02 => Some(format!("Two of the host shares add up to {known:.3}.")),
            2 => Some("Only one of the three host shares is given.".to_owned()),
            _ => None,
        };
        if let Some(what) = fault {
            let remedy = "Give susceptible, resistant and immune shares of the canopy.";
            job.note(
                Problem::error("I-504", what, remedy)
                    .row(table.number(row))
                    .expected("three shares that add up to 1 (or 100 %)"),
            );
        } else if blanks < 3 {
            let rest = (1.0 - known).max(0.0);
            let total = if blanks == 0 { known } else { known.max(1.0) };
            let [s, r, i] = values.map(|v| Share::clamped(v.unwrap_or(rest) / total));
            made.push(Some(HostShares { susceptible: s, resistant: r, immune: i }));
            continue;
        }
        made.push(None);
    }
    made
}

/// Strata that blocks name and the programme does not list yet.
pub(super) fn add_strata(job: &mut Job<'_>) {
    let listed: BTreeSet<StratumId> = job.draft.strata.iter().map(|s| s.id.clone()).collect();
    let named: BTreeSet<StratumId> = job.draft.blocks.iter().filter_map(|b| b.stratum.clone()).collect();
    let new: Vec<Stratum> =
        named.difference(&listed).map(|id| Stratum { name: id.to_string(), id: id.clone() }).collect();
    if !new.is_empty() {
        let names = new.iter().map(|s| s.name.as_str()).collect::<Vec<_>>().join(", ");
        job.note(Problem::notice("I-505", format!("New strata: {names}."), "They were added."));
        merge(&mut job.draft.strata, new, |s| s.id.clone());
    }
}

/// Trees stand in blocks: after the blocks changed they are looked up again.
pub(super) fn relocate(job: &mut Job<'_>) {
    let finder = trees::Finder::new(&job.draft.blocks);
    let mut moved = 0;
    for tree in &mut job.draft.trees {
        let block = finder.block_at(tree.place);
        moved += usize::from(tree.block != block);
        tree.block = block;
    }
    if moved > 0 {
        job.note(Problem::notice(
            "I-506",
            format!("Trees that stand in another block now: {moved}."),
            "They were looked up again.",
        ));
    }
    let ids: BTreeSet<&BlockId> = job.draft.blocks.iter().map(|b| &b.id).collect();
    let lost: Vec<String> =
        job.draft.plots.iter().filter(|p| !ids.contains(&p.block)).map(|p| p.id.to_string()).collect();
    if !lost.is_empty() {
        let what = format!("Plots that name a block that is not there: {} ({}).", lost.len(), lost.join(", "));
        job.note(Problem::error("I-503", what, "Give the blocks their old ids, or import the plots again."));
    }
}
