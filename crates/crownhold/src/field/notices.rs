//! Who is told of flights, and by when.

use geo::{Distance as _, Euclidean};
use jiff::ToSpan as _;
use jiff::civil::Date;

use super::mailing::notice_reach;
use crate::timing::{Timing, WindowKind};
use crate::types::{Audience, BlockId, Length, NoSprayKind, Records};

/// One kind of people to be told.
#[derive(Clone, Debug, PartialEq)]
pub struct NoticeDue {
    /// Whom.
    pub audience: Audience,
    /// Last day: counted back from the early edge of the flying window. `None` without dates.
    pub by: Option<Date>,
    /// How many days before that edge.
    pub days: i64,
    /// Places of theirs on record within reach of what is flown, nearest first, with their distance from it.
    pub places: Vec<(String, Length)>,
    /// Dwellings in the flown blocks; for residents only, and only where blocks tell them.
    pub dwellings: Option<u32>,
    /// Notices of this season that went out to them, with the last day.
    pub sent: u32,
    /// The last day on which some went out.
    pub last_sent: Option<Date>,
}

/// Everybody who is to be told of flights over some blocks, earliest deadline first.
///
/// Schools, beekeepers and organic growers are found among the no-spray areas on record; hospitals and others are not
/// on record and stand there to be thought of. Local rules say who must be told; the days and distances here are
/// parameters.
pub fn notices_due(records: &Records, flown: &[BlockId], timing: Option<&Timing>) -> Vec<NoticeDue> {
    if flown.is_empty() {
        return Vec::new();
    }
    let early = timing.and_then(|t| t.window(WindowKind::AerialBtk)?.opens_among_those_that_do(0.1));
    let mut all: Vec<NoticeDue> = Audience::ALL.iter().map(|whom| due(records, flown, early, *whom)).collect();
    all.sort_by_key(|due| (due.by, due.audience));
    all
}

fn due(records: &Records, flown: &[BlockId], early: Option<Date>, audience: Audience) -> NoticeDue {
    let days = records.parameters.number(days_name(audience)) as i64;
    let season = records.programme.season;
    let sent = records.log.notices.iter().filter(|n| n.audience == audience && n.date.year() == season);
    NoticeDue {
        audience,
        by: early.and_then(|day| day.checked_sub(days.days()).ok()),
        days,
        places: kind_of(audience).map(|kind| places(records, flown, kind)).unwrap_or_default(),
        dwellings: (audience == Audience::Residents).then(|| dwellings(records, flown)).flatten(),
        sent: sent.clone().fold(0, |all, n| all.saturating_add(n.number)),
        last_sent: sent.map(|n| n.date).max(),
    }
}

fn days_name(audience: Audience) -> &'static str {
    match audience {
        Audience::Residents => "notices.residents_days",
        Audience::School => "notices.school_days",
        Audience::Hospital => "notices.hospital_days",
        Audience::Beekeeper => "notices.beekeeper_days",
        Audience::OrganicGrower => "notices.organic_days",
        Audience::Other => "notices.other_days",
    }
}

fn kind_of(audience: Audience) -> Option<NoSprayKind> {
    match audience {
        Audience::School => Some(NoSprayKind::School),
        Audience::Beekeeper => Some(NoSprayKind::Apiary),
        Audience::OrganicGrower => Some(NoSprayKind::OrganicFarm),
        Audience::Residents | Audience::Hospital | Audience::Other => None,
    }
}

fn places(records: &Records, flown: &[BlockId], kind: NoSprayKind) -> Vec<(String, Length)> {
    let reach = notice_reach(Audience::School, &records.parameters);
    let blocks: Vec<_> = records.blocks.iter().filter(|b| flown.contains(&b.id)).collect();
    let near = |area: &crate::types::NoSprayArea| {
        let metres = blocks.iter().map(|b| Euclidean.distance(&b.shape, &area.shape)).fold(f64::INFINITY, f64::min);
        let name = if area.note.is_empty() { area.id.to_string() } else { area.note.clone() };
        (metres <= reach.as_metres()).then(|| (name, Length::metres(metres)))
    };
    let mut all: Vec<_> = records.no_spray.iter().filter(|a| a.kind == kind).filter_map(near).collect();
    all.sort_by(|a, b| a.1.as_metres().total_cmp(&b.1.as_metres()).then_with(|| a.0.cmp(&b.0)));
    all
}

/// `None` where no flown block tells its dwellings.
fn dwellings(records: &Records, flown: &[BlockId]) -> Option<u32> {
    let told = records.blocks.iter().filter(|b| flown.contains(&b.id)).filter_map(|b| b.dwellings);
    told.reduce(u32::saturating_add)
}
