//! The field log: what was done and caught, by whom and when.
//!
//! Log entries are records like any other. What they add up to is worked out by the field room, what they achieved by
//! the evidence room.

use geo::Point;
use jiff::civil::{Date, Time};

use super::id::{BlockId, LogId, TreeId};
use super::quantity::{Area, Hours, Share, Speed};
use super::records::choice;

/// Everything that was done.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Log {
    /// Visits to bands in id order.
    pub bands: Vec<BandVisit>,
    /// Scraping in id order.
    pub scraping: Vec<ScrapingVisit>,
    /// Application records by id and version.
    pub applications: Vec<Application>,
    /// Notices in id order.
    pub notices: Vec<NoticeSent>,
}

impl Log {
    /// The last version of every application record of a year.
    pub fn applications_of(&self, year: i16) -> impl Iterator<Item = &Application> {
        let is_last = |i: usize| self.applications.get(i + 1).is_none_or(|next| next.id != self.applications[i].id);
        self.applications.iter().enumerate().filter(move |(i, a)| is_last(*i) && a.date.year() == year).map(|(_, a)| a)
    }
    /// Ground treated in a year, repeats counted.
    pub fn treated_in(&self, year: i16) -> Area {
        self.applications_of(year).filter_map(|a| a.area).sum()
    }
}

/// What was found under bands on one visit.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub struct Catch {
    /// Larvae of the first to third instar: black heads.
    pub small: u32,
    /// Larvae from the fourth instar on: heads mottled yellow.
    pub large: u32,
    /// Pupae.
    pub pupae: u32,
    /// Egg masses.
    pub masses: u32,
    /// Dead by the fungus.
    pub fungus: u32,
    /// Dead by the virus.
    pub virus: u32,
}

impl Catch {
    /// The names of its places, in order.
    pub const NAMES: [&str; 6] =
        ["small larvae", "large larvae", "pupae", "egg masses", "dead by fungus", "dead by virus"];
    /// From counts in the order of [`Catch::NAMES`].
    pub fn from_counts([small, large, pupae, masses, fungus, virus]: [u32; 6]) -> Self {
        Self { small, large, pupae, masses, fungus, virus }
    }
    /// Counts in the order of [`Catch::NAMES`].
    pub fn counts(&self) -> [u32; 6] {
        [self.small, self.large, self.pupae, self.masses, self.fungus, self.virus]
    }
    /// Living larvae taken off.
    pub fn larvae(&self) -> u32 {
        self.small.saturating_add(self.large)
    }
    /// Living larvae and pupae taken off: insects that will not lay.
    pub fn insects(&self) -> u32 {
        self.larvae().saturating_add(self.pupae)
    }
    /// Both together.
    pub fn and(self, other: Self) -> Self {
        let (a, b) = (self.counts(), other.counts());
        Self::from_counts(std::array::from_fn(|i| a[i].saturating_add(b[i])))
    }
}

choice! {
    /// What was done at a band.
    BandWork {
        /// It was looked under, and what hid there was taken off.
        Look = "looked under",
        /// It was put up.
        PutUp = "put up",
        /// It was taken down.
        TakeDown = "taken down",
    }
}

/// One visit to one band, or to several of a block.
#[derive(Clone, Debug, PartialEq)]
pub struct BandVisit {
    /// Its own number.
    pub id: LogId,
    /// Day.
    pub date: Date,
    /// Block.
    pub block: BlockId,
    /// The tree, where it was one.
    pub tree: Option<TreeId>,
    /// What was done.
    pub work: BandWork,
    /// Bands it was done at; at least one.
    pub bands: u32,
    /// What was found and taken off.
    pub found: Catch,
    /// Time spent by all together.
    pub hours: Option<Hours>,
    /// Who.
    pub who: String,
    /// Where the phone stood, in the programme's reference system; `None` where it was not asked or did not know.
    pub place: Option<Point<f64>>,
    /// Free text.
    pub note: String,
}

/// Egg masses scraped off in one block on one day.
#[derive(Clone, Debug, PartialEq)]
pub struct ScrapingVisit {
    /// Its own number.
    pub id: LogId,
    /// Day.
    pub date: Date,
    /// Block.
    pub block: BlockId,
    /// The tree, where it was one.
    pub tree: Option<TreeId>,
    /// Masses taken off within reach from the ground.
    pub low: u32,
    /// Masses taken off higher up, with a pole or from a ladder.
    pub high: u32,
    /// Masses seen and left, out of reach.
    pub left: u32,
    /// Trees and objects gone over.
    pub trees: u32,
    /// Time spent by all together.
    pub hours: Option<Hours>,
    /// Who.
    pub who: String,
    /// Where the phone stood, as for bands.
    pub place: Option<Point<f64>>,
    /// Free text.
    pub note: String,
}

choice! {
    /// How a product was put out.
    SprayMethod {
        /// From the air.
        Air = "air",
        /// From the ground.
        Ground = "ground",
    }
}

/// One application of a pesticide, as regulators ask for it. Versions of one id follow each other: a closed one is
/// never changed, only amended by the next.
#[derive(Clone, Debug, PartialEq)]
pub struct Application {
    /// Its own number.
    pub id: LogId,
    /// 1 for the first; an amendment is one more.
    pub version: u32,
    /// Why it was amended; empty for the first version.
    pub reason: String,
    /// The day it was closed, and by whom; `None` while it may still be written on.
    pub closed: Option<(Date, String)>,
    /// How.
    pub method: SprayMethod,
    /// Blocks treated.
    pub blocks: Vec<BlockId>,
    /// Where, in words.
    pub place: String,
    /// Day.
    pub date: Date,
    /// Start and end, local time.
    pub from: Option<Time>,
    /// End.
    pub to: Option<Time>,
    /// Product, as on the label.
    pub product: String,
    /// Registration number of the product.
    pub registration: String,
    /// Formulation and strength, as on the label.
    pub formulation: String,
    /// Rate as applied, in words with its unit ("36 BIU in 0.5 gallon an acre").
    pub rate: String,
    /// Total of product used, in words with its unit.
    pub total: String,
    /// Ground treated.
    pub area: Option<Area>,
    /// Wind.
    pub wind: Option<Speed>,
    /// Direction it came from, degrees from north.
    pub wind_from: Option<f64>,
    /// Degrees C.
    pub temperature: Option<f64>,
    /// Relative humidity.
    pub humidity: Option<Share>,
    /// Who applied it.
    pub applicator: String,
    /// Licence or certificate number.
    pub licence: String,
    /// Aircraft registration, or gear.
    pub craft: String,
    /// Remarks.
    pub note: String,
}

choice! {
    /// Who is told of a spray.
    Audience {
        /// People who live there.
        Residents = "residents",
        /// A school or day care.
        School = "school",
        /// A hospital or care home.
        Hospital = "hospital",
        /// A beekeeper.
        Beekeeper = "beekeeper",
        /// An organic grower.
        OrganicGrower = "organic grower",
        /// Police, fire, airfield, neighbouring cities and others.
        Other = "other",
    }
}
choice! {
    /// How somebody is told.
    Means {
        /// By letter.
        Letter = "letter",
        /// By a card at the door.
        DoorCard = "door card",
        /// By e-mail.
        Email = "e-mail",
        /// By telephone.
        Telephone = "telephone",
        /// By signs at the place.
        Sign = "sign",
        /// In a newspaper.
        Newspaper = "newspaper",
        /// On the city's pages.
        Web = "web",
    }
}

/// Notices that went out: proof of what was sent when.
#[derive(Clone, Debug, PartialEq)]
pub struct NoticeSent {
    /// Its own number.
    pub id: LogId,
    /// Day it went out.
    pub date: Date,
    /// Whom.
    pub audience: Audience,
    /// How.
    pub means: Means,
    /// Blocks the notice speaks of.
    pub blocks: Vec<BlockId>,
    /// How many went out.
    pub number: u32,
    /// Who sent them.
    pub who: String,
    /// Free text: the version of the letter, a receipt.
    pub note: String,
}
