//! What was seen in the field in spring: hatch, instars, leaves.
//!
//! A sample is one look at one place on one day. It is a record like any other; what the season's dates learn
//! from it is worked out by the timing room.

use jiff::civil::Date;

use super::id::{BlockId, SampleId};
use super::quantity::Share;
use super::records::choice;

choice! {
    /// An oak whose leaves are rated.
    LeafHost {
        /// Northern red oak.
        RedOak = "red oak",
        /// White oak.
        WhiteOak = "white oak",
        /// Red maple.
        RedMaple = "red maple",
        /// Yellow birch.
        YellowBirch = "yellow birch",
        /// American beech.
        Beech = "beech",
        /// Sugar maple.
        SugarMaple = "sugar maple",
    }
}

choice! {
    /// What kind of look it was.
    SampleKind {
        /// The first hatched mass of this place.
        FirstHatch = "first hatch",
        /// Masses were looked at and none had hatched.
        NoHatch = "no hatch yet",
        /// Larvae and pupae counted by instar.
        Instars = "instars",
        /// What a day's visits found under bands: larvae from the fourth instar on, and pupae.
        UnderBands = "under bands",
        /// Leaves rated against their final size.
        Leaf = "leaf",
    }
}

/// Larvae and pupae of one look, by stage: instars 1 to 6, then pupae. Eggs and moths are not in it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub struct InstarCounts(pub [u32; 7]);

impl InstarCounts {
    /// The names of its places.
    pub const STAGES: [&str; 7] = ["L1", "L2", "L3", "L4", "L5", "L6", "pupa"];
    /// How many were looked at.
    pub fn total(&self) -> u32 {
        self.0.iter().fold(0, |sum, n| sum.saturating_add(*n))
    }
    /// Mean stage: 1 is all first instar, 7 all pupae. `None` when nothing was counted.
    pub fn mean(&self) -> Option<f64> {
        let total = self.total();
        let sum: f64 = (1_u32..).zip(self.0).map(|(stage, n)| f64::from(stage) * f64::from(n)).sum();
        (total > 0).then(|| sum / f64::from(total))
    }
}

/// What was seen.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Seen {
    /// First hatched mass.
    FirstHatch,
    /// No mass had hatched.
    NoHatch,
    /// Instars; at least one larva or pupa.
    Instars(InstarCounts),
    /// Under bands; at least one larva or pupa.
    UnderBands {
        /// Larvae from the fourth instar on. Younger ones hardly hide there and tell nothing.
        late: u32,
        /// Pupae.
        pupae: u32,
    },
    /// Leaves.
    Leaf {
        /// Of which oak.
        host: LeafHost,
        /// Mean length against the final length.
        size: Share,
    },
}

impl Seen {
    /// Under bands, from counts by instar: those from the fourth on count together. `None` when none of them was there.
    pub fn under_bands(counts: InstarCounts) -> Option<Self> {
        let [.., l4, l5, l6, pupae] = counts.0;
        let late = l4.saturating_add(l5).saturating_add(l6);
        (late > 0 || pupae > 0).then_some(Self::UnderBands { late, pupae })
    }
    /// As counts by instar, where something was counted; larvae under bands stand as fourth instars.
    pub fn counts(&self) -> Option<InstarCounts> {
        match self {
            Self::Instars(counts) => Some(*counts),
            Self::UnderBands { late, pupae } => Some(InstarCounts([0, 0, 0, *late, 0, 0, *pupae])),
            _ => None,
        }
    }
    /// What kind of look it was.
    pub fn kind(&self) -> SampleKind {
        match self {
            Self::FirstHatch => SampleKind::FirstHatch,
            Self::NoHatch => SampleKind::NoHatch,
            Self::Instars(_) => SampleKind::Instars,
            Self::UnderBands { .. } => SampleKind::UnderBands,
            Self::Leaf { .. } => SampleKind::Leaf,
        }
    }
}

/// One look at one place on one day.
#[derive(Clone, Debug, PartialEq)]
pub struct FieldSample {
    /// Its own number.
    pub id: SampleId,
    /// Day.
    pub date: Date,
    /// Block, if it is known; its height and built-up share then count.
    pub block: Option<BlockId>,
    /// Where, in words.
    pub place: String,
    /// Who looked.
    pub observer: String,
    /// What was seen.
    pub seen: Seen,
    /// Free text.
    pub note: String,
}
