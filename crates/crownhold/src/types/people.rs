//! People of the programme, the teams that go round, and the rounds planned for them.

use jiff::civil::{Date, Time};

use super::id::{BlockId, TreeId};
use super::quantity::{Hours, Length};
use super::records::{Workforce, choice};

choice! {
    /// What somebody does in the programme.
    Role {
        /// Runs it.
        Manager = "manager",
        /// Counts and inspects.
        Technician = "technician",
        /// Leads a paid crew.
        CrewLead = "crew lead",
        /// Leads volunteers.
        VolunteerLead = "volunteer lead",
        /// Works for the city by contract.
        Contractor = "contractor",
        /// Anything else.
        Other = "other",
    }
}

/// Somebody of the programme.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Person {
    /// Name; each stands once.
    pub name: String,
    /// What they do.
    pub role: Role,
    /// Telephone or e-mail, free text.
    pub reach: String,
    /// Free text.
    pub note: String,
}

/// People who go round together: one volunteer, a pair, a crew with its car.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Team {
    /// Name; each stands once.
    pub name: String,
    /// Paid or not.
    pub who: Workforce,
    /// How many; work at a tree takes a team of two half as long.
    pub people: u32,
    /// Neighbourhood it stays in; `None`: anywhere.
    pub neighbourhood: Option<String>,
    /// Block in the middle of which its rounds begin; `None`: at its first tree.
    pub starts: Option<BlockId>,
    /// Block in the middle of which they end; `None`: at its last tree.
    pub ends: Option<BlockId>,
    /// Not before this time of day.
    pub from: Time,
    /// Done by this time of day.
    pub to: Time,
    /// Trained for ladders; volunteers never are.
    pub ladder: bool,
    /// Most trees a day that it has material for.
    pub most: Option<u32>,
    /// Free text.
    pub note: String,
}

choice! {
    /// What is done tree by tree on a round.
    RoundWork {
        /// Bands are put up.
        PutUp = "put bands up",
        /// Bands are looked under, and what hides there is taken off.
        Serve = "serve bands",
        /// Bands are taken down.
        TakeDown = "take bands down",
        /// Egg masses are scraped off within reach.
        Scrape = "scrape from the ground",
        /// Egg masses are scraped off higher up.
        ScrapeHigh = "scrape from a ladder",
    }
}

impl RoundWork {
    /// Needs a team trained for ladders?
    pub fn on_ladders(self) -> bool {
        self == Self::ScrapeHigh
    }
    /// Work on egg masses, which waits for the count?
    pub fn is_scraping(self) -> bool {
        matches!(self, Self::Scrape | Self::ScrapeHigh)
    }
}

/// A tree on a round.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RoundStop {
    /// Which.
    pub tree: TreeId,
    /// When work there begins, as planned.
    pub at: Time,
}

/// A round planned for one team on one day.
#[derive(Clone, Debug, PartialEq)]
pub struct Round {
    /// Day.
    pub date: Date,
    /// What is done.
    pub work: RoundWork,
    /// Whose.
    pub team: String,
    /// Trees in order.
    pub stops: Vec<RoundStop>,
    /// When it ends, as planned.
    pub back: Time,
    /// Time on the way.
    pub travel: Hours,
    /// Length of the way, detours counted.
    pub way: Length,
}
