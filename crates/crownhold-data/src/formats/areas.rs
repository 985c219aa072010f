//! Attributes of blocks: of those that come along with outlines, and of those that are there already.

use std::collections::BTreeSet;

use crownhold::types::{
    Block, BlockId, Consent, HostShares, LandUse, Length, Ownership, Problem, Share, Stratum, StratumId,
};
use jiff::civil::Date;

use super::blocks;
use super::cells::{self, counts, heights, shares};
use super::columns::{Columns, Field, Measure};
use super::dates::dates;
use super::job::{Job, merge, note_doubles};
use super::keep::Kept;
use super::table::Table;
use super::trees;
use super::words::{Word, choices, readings, rows};

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
    SURVEY_CLOSED = "survey_closed", Plain, ["surveyclosed", "countclosed", "surveyclosedon", "countclosedon", "surveycloseddate", "dateclosed", "surveyend"];
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
    /// A block that was there, with what is given laid over it; what is not given stays, and is counted.
    pub fn over_known(self, old: &Block, kept: &mut Kept) -> Block {
        let known = old.clone();
        // A name that only repeats the id is no knowledge worth telling of.
        let name = Some(known.name).filter(|n| n != old.id.as_str());
        let (land_use, ownership) = (Some(old.land_use), Some(old.ownership));
        Block {
            id: known.id,
            shape: known.shape,
            name: kept.or_known(&NAME, "names", self.name, name).unwrap_or_else(|| old.id.to_string()),
            land_use: kept.or_known(&LAND_USE, "land uses", self.land_use, land_use).unwrap_or(old.land_use),
            ownership: kept.or_known(&OWNERSHIP, "owners", self.ownership, ownership).unwrap_or(old.ownership),
            consent: kept.or_known(&CONSENT, "consents", self.consent, Some(old.consent)).unwrap_or(old.consent),
            canopy: kept.or_known(&CANOPY, "canopy shares", self.canopy, known.canopy),
            hosts: kept.or_known(&SUSCEPTIBLE, "host shares", self.hosts, known.hosts),
            dwellings: kept.or_known(&DWELLINGS, "dwelling numbers", self.dwellings, known.dwellings),
            stratum: kept.or_known(&STRATUM, "strata", self.stratum, known.stratum),
            neighbourhood: kept.or_known(&NEIGHBOURHOOD, "neighbourhoods", self.neighbourhood, known.neighbourhood),
            elevation: kept.or_known(&ELEVATION, "elevations", self.elevation, known.elevation),
            built_up: kept.or_known(&BUILT_UP, "built-up shares", self.built_up, known.built_up),
            survey_closed: kept.or_known(&SURVEY_CLOSED, "count-closed days", self.survey_closed, known.survey_closed),
        }
    }

    /// A new block: what is not given is what [`blocks::bare`] says.
    pub fn new_block(self, id: BlockId, shape: geo::MultiPolygon<f64>) -> Block {
        let bare = blocks::bare(id, shape);
        self.over_known(&bare, &mut Kept::default())
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
    let mut kept = Kept::default();
    for (row, (id, given)) in ids.iter().zip(given).enumerate() {
        let Some(id) = id else { continue };
        match job.draft.blocks.iter().find(|b| &b.id == id) {
            Some(block) => incoming.push(given.over_known(block, &mut kept)),
            None => unknown_block(job, id, table.number(row)),
        }
    }
    kept.note(job, &columns);
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
    let land_use = readings(job, table, columns, &LAND_USE, land_use, &uses);
    let owners = words(&Ownership::ALL.iter().map(|u| u.word()).collect::<Vec<_>>());
    let ownership = choices(job, table, columns, &OWNERSHIP, ownership, &owners);
    let consents = words(&Consent::ALL.iter().map(|u| u.word()).collect::<Vec<_>>());
    let mut consent = readings(job, table, columns, &CONSENT, consent, &consents);
    read_not_applicable(job, table, columns, &ownership, &mut consent);
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

fn land_use(word: &str) -> Option<Word<LandUse>> {
    let small = word.to_lowercase();
    let sure = LandUse::from_word(word).or(match small.as_str() {
        "residential area" | "housing" | "homes" | "res" => Some(LandUse::Residential),
        "parks" | "public park" => Some(LandUse::Park),
        "schools" | "school grounds" | "day care" => Some(LandUse::School),
        "timber woodland" => Some(LandUse::Timber),
        _ => None,
    });
    let likely = match small.as_str() {
        "recreation" | "playground" | "open space" => LandUse::Park,
        "woodland" | "woodlot" | "forest" | "wood" | "woods" | "natural area" => LandUse::Woodland,
        "managed forest" => LandUse::Timber,
        "commercial" | "industrial" | "institutional" | "cemetery" | "golf course" | "vacant" => LandUse::Other,
        _ => return sure.map(Word::Sure),
    };
    sure.map(Word::Sure).or_else(|| Some(Word::Likely(likely, likely.to_string())))
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

/// Whatever is read as a consent is told: spraying without one can do harm.
fn consent(word: &str) -> Option<Word<Consent>> {
    if let Some(consent) = Consent::from_word(word) {
        return Some(Word::Sure(consent));
    }
    let given = || Some(Word::Likely(Consent::Given, "given (in writing)".to_owned()));
    match word.to_lowercase().as_str() {
        "granted" | "ok" | "okay" | "approved" | "agreed" | "signed" | "consented" => given(),
        "declined" | "denied" | "objected" | "opted out" => Some(Word::Sure(Consent::Refused)),
        "asked" | "waiting" | "no answer" | "no reply" => Some(Word::Sure(Consent::Pending)),
        "not required" | "exempt" => Some(Word::Likely(Consent::NotNeeded, Consent::NotNeeded.to_string())),
        other if cells::yes(other)? => given(),
        _ => Some(Word::Sure(Consent::Refused)),
    }
}

/// "n/a" can be "not applicable" or "not at hand": on public land no consent is needed, elsewhere it says nothing.
fn read_not_applicable(
    job: &mut Job<'_>,
    table: &Table,
    columns: &Columns,
    owners: &[Option<Ownership>],
    consents: &mut [Option<Consent>],
) {
    let Some(column) = columns.get(CONSENT.name).cloned() else { return };
    let (mut public, mut open) = (Vec::new(), Vec::new());
    for row in
        (0..table.len()).filter(|r| ["n/a", "na"].iter().any(|w| table.cell(*r, column.at).eq_ignore_ascii_case(w)))
    {
        let known = || {
            let id = cells::text(table, columns, &ID, row).map(BlockId::from)?;
            job.draft.blocks.iter().find(|b| b.id == id).map(|b| b.ownership)
        };
        if owners[row].or_else(known) == Some(Ownership::Public) {
            consents[row] = Some(Consent::NotNeeded);
            public.push(table.number(row));
        } else {
            open.push(table.number(row));
        }
    }
    if !public.is_empty() {
        let what = format!("\"n/a\" on public land ({}).", rows(&public));
        job.note(Problem::repaired("I-217", what, "It was read as consent not needed.").column(column.header.clone()));
    }
    if !open.is_empty() {
        let what = format!("\"n/a\" on land that is not said to be public ({}).", rows(&open));
        let remedy = "It was read as blank: the consent stays as it was, for new blocks pending.";
        job.note(Problem::notice("I-217", what, remedy).column(column.header.clone()));
    }
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
