//! Records: what was observed and decided, with who, when and how. The first stage of the pipeline.
//!
//! Shapes and points are planar, in the programme's own projected system, in metres.
//! What is not known is `None`, never a made-up zero.

use geo::{MultiLineString, MultiPolygon, Point};
use jiff::civil::Date;

use super::id::{BlockId, NoSprayId, PlotId, StratumId, StreetId, TreeId, VisitId};
use super::parameters::Parameters;
use super::quantity::{Area, Hours, Length, MassesPerArea, Money, Share, UnitSystem};
use super::samples::FieldSample;
use super::weather::WeatherSeries;

/// Words that people and files use for a fixed list of choices.
macro_rules! choice {
    ($(#[$doc:meta])* $name:ident { $($(#[$vdoc:meta])* $variant:ident = $word:literal),+ $(,)? }) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum $name { $($(#[$vdoc])* $variant),+ }
        impl $name {
            /// Every choice, in order.
            pub const ALL: &'static [Self] = &[$(Self::$variant),+];
            /// The word in files and on screens.
            pub fn word(self) -> &'static str {
                match self { $(Self::$variant => $word),+ }
            }
            /// From the word; upper and lower case, blanks, hyphens and underscores do not matter.
            pub fn from_word(word: &str) -> Option<Self> {
                let plain = |s: &str| s.chars().filter(|c| c.is_alphanumeric()).collect::<String>().to_lowercase();
                Self::ALL.iter().copied().find(|c| plain(c.word()) == plain(word))
            }
        }
        impl std::fmt::Display for $name {
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                f.write_str(self.word())
            }
        }
    };
}
pub(crate) use choice;

/// The programme: one city, one season.
#[derive(Clone, Debug, PartialEq)]
pub struct Programme {
    /// Name of the city or district.
    pub name: String,
    /// The year whose spring is planned for; the counts are of the autumn before.
    pub season: i16,
    /// EPSG number of the projected system, in metres, that all shapes are kept in.
    pub epsg: u32,
    /// Units shown to people.
    pub units: UnitSystem,
    /// Said on every paper when the data are invented.
    pub invented: bool,
}

choice! {
    /// What a block is used for. It sets the tolerance and the action threshold.
    LandUse {
        /// Homes and streets.
        Residential = "residential",
        /// Public park with regular visitors.
        Park = "park",
        /// School or day-care grounds.
        School = "school",
        /// Woodland used for recreation.
        Woodland = "recreation woodland",
        /// Woodland kept for timber.
        Timber = "timber",
        /// Anything else.
        Other = "other",
    }
}
choice! {
    /// Who owns the land.
    Ownership {
        /// The city or another public body.
        Public = "public",
        /// Private owners.
        Private = "private",
        /// Both.
        Mixed = "mixed",
    }
}
choice! {
    /// May the block be treated?
    Consent {
        /// Not needed (own land).
        NotNeeded = "not needed",
        /// Given in writing.
        Given = "given",
        /// Asked, no answer yet.
        Pending = "pending",
        /// Refused.
        Refused = "refused",
    }
}
choice! {
    /// How well the insect does on a tree: the three susceptibility classes of the trade
    /// (Liebhold et al. 1995, USDA Forest Service NE-211).
    HostClass {
        /// All larvae feed and grow on it.
        Susceptible = "susceptible",
        /// Fed on by some stages or when better hosts are bare.
        Resistant = "resistant",
        /// Left alone.
        Immune = "immune",
    }
}

/// Shares of the canopy by susceptibility class; they add up to 1.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HostShares {
    /// Share of the canopy that is susceptible.
    pub susceptible: Share,
    /// Share that is resistant.
    pub resistant: Share,
    /// Share that is immune.
    pub immune: Share,
}

/// A block: the management unit for which a tactic is chosen.
#[derive(Clone, Debug, PartialEq)]
pub struct Block {
    /// The city's own number or name for it.
    pub id: BlockId,
    /// Name for people; may be the same as the id.
    pub name: String,
    /// Outline.
    pub shape: MultiPolygon<f64>,
    /// Use.
    pub land_use: LandUse,
    /// Share of the ground under tree crowns.
    pub canopy: Option<Share>,
    /// Host mix of that canopy.
    pub hosts: Option<HostShares>,
    /// Number of dwellings.
    pub dwellings: Option<u32>,
    /// Owner.
    pub ownership: Ownership,
    /// Consent to treat.
    pub consent: Consent,
    /// Stratum for the survey; blocks without one share the stratum of their land use.
    pub stratum: Option<StratumId>,
    /// Neighbourhood whose volunteers and crews can work here.
    pub neighbourhood: Option<String>,
    /// Ground height above sea level.
    pub elevation: Option<Length>,
    /// Share of ground that is built or paved (cities hatch early).
    pub built_up: Option<Share>,
    /// Date on which the egg-mass count was closed. Nothing is scraped before.
    pub survey_closed: Option<Date>,
}

/// A survey stratum.
#[derive(Clone, Debug, PartialEq)]
pub struct Stratum {
    /// Its name in the data.
    pub id: StratumId,
    /// Name for people.
    pub name: String,
}

/// A tree of the inventory.
#[derive(Clone, Debug, PartialEq)]
pub struct Tree {
    /// The inventory's own number.
    pub id: TreeId,
    /// Block it stands in, if any.
    pub block: Option<BlockId>,
    /// Where.
    pub place: Point<f64>,
    /// Species as the inventory writes it.
    pub species: String,
    /// Its class by the species table; `None` when the name is not in the table.
    pub class: Option<HostClass>,
    /// Trunk diameter at breast height.
    pub dbh: Option<Length>,
    /// Tree of the city.
    pub public: bool,
}

/// How a plot is counted.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum PlotMethod {
    /// Circle; the area follows from the radius.
    FixedRadius,
    /// Square.
    Square,
    /// Whole lot or parcel.
    WholeLot,
    /// Trees tallied with a prism (basal area factor in ft2 per acre), the rest on the fixed plot area.
    Prism {
        /// Basal area factor, square feet per acre.
        basal_area_factor: f64,
    },
    /// Timed walk: an index, used through double sampling only.
    TimedWalk,
    /// Counts under burlap: an index.
    Burlap,
    /// Trap catch: an index of presence only.
    Trap,
}

impl PlotMethod {
    /// The word in files and on screens.
    pub fn word(self) -> &'static str {
        match self {
            Self::FixedRadius => "fixed radius",
            Self::Square => "square",
            Self::WholeLot => "whole lot",
            Self::Prism { .. } => "prism",
            Self::TimedWalk => "timed walk",
            Self::Burlap => "burlap",
            Self::Trap => "trap",
        }
    }
    /// Is the count an area count, so that it gives a density by itself?
    pub fn is_area_count(self) -> bool {
        matches!(self, Self::FixedRadius | Self::Square | Self::WholeLot | Self::Prism { .. })
    }
}

/// A survey plot.
#[derive(Clone, Debug, PartialEq)]
pub struct Plot {
    /// Its own number.
    pub id: PlotId,
    /// Block it lies in.
    pub block: BlockId,
    /// Centre.
    pub place: Option<Point<f64>>,
    /// Method.
    pub method: PlotMethod,
    /// Counted area: of the circle, square or lot; for a prism plot that of its concentric fixed plot.
    pub area: Option<Area>,
}

choice! {
    /// What the masses were on.
    Substrate {
        /// Everything together.
        All = "all",
        /// Trees.
        Trees = "trees",
        /// Houses, walls, fences, furniture.
        Structures = "structures",
        /// Litter, stones, shrubs.
        Ground = "ground",
    }
}

/// Egg masses counted on one kind of substrate (or one prism-tallied tree) at one visit.
#[derive(Clone, Debug, PartialEq)]
pub struct Count {
    /// On what.
    pub substrate: Substrate,
    /// Diameter of the tallied tree; only for prism plots.
    pub dbh: Option<Length>,
    /// New masses, told by touch or sight.
    pub new: u32,
    /// Old masses.
    pub old: u32,
    /// Masses too high to tell; the new share found within reach is applied to them.
    pub out_of_reach: u32,
}

/// One visit to one plot.
#[derive(Clone, Debug, PartialEq)]
pub struct Visit {
    /// Its own number.
    pub id: VisitId,
    /// Plot.
    pub plot: PlotId,
    /// Day.
    pub date: Date,
    /// Who counted.
    pub observer: String,
    /// What was counted; empty means: visited, nothing written down, and is not used.
    pub counts: Vec<Count>,
    /// Free text.
    pub note: String,
}

choice! {
    /// Why an area is not sprayed. Sets the default buffer.
    NoSprayKind {
        /// Lake, river, stream, pond.
        Water = "water",
        /// School or day-care grounds.
        School = "school",
        /// Organic farm or garden.
        OrganicFarm = "organic farm",
        /// Owner opted out.
        OptOut = "opt-out",
        /// Habitat of a rare species.
        RareSpecies = "rare species",
        /// Beehives.
        Apiary = "apiary",
        /// Anything else.
        Other = "other",
    }
}

/// A street, or a stretch of one, for the ways of crews.
#[derive(Clone, Debug, PartialEq)]
pub struct Street {
    /// Its own number.
    pub id: StreetId,
    /// Name for people; may be blank.
    pub name: String,
    /// Its middle line. Streets meet where they share a corner, and where one ends beside another.
    pub lines: MultiLineString<f64>,
}

/// An area that is not sprayed.
#[derive(Clone, Debug, PartialEq)]
pub struct NoSprayArea {
    /// Its own number.
    pub id: NoSprayId,
    /// Why.
    pub kind: NoSprayKind,
    /// Outline.
    pub shape: MultiPolygon<f64>,
    /// Distance kept from it; `None` takes the default of its kind from the parameters.
    pub buffer: Option<Length>,
    /// Free text.
    pub note: String,
}

choice! {
    /// Whose hours.
    Workforce {
        /// Paid crews.
        Crew = "crew",
        /// Volunteers.
        Volunteers = "volunteers",
    }
}
choice! {
    /// The three working periods of the year that hours are set aside for.
    Period {
        /// After the count is closed and before hatch: scraping.
        Winter = "winter",
        /// Hatch to leaf expansion: ground sprays.
        Spring = "spring",
        /// Bands and their service.
        Summer = "summer",
    }
}

/// Hours that can be worked.
#[derive(Clone, Debug, PartialEq)]
pub struct HoursSupply {
    /// Whose.
    pub who: Workforce,
    /// When.
    pub period: Period,
    /// In which neighbourhood; `None` anywhere.
    pub neighbourhood: Option<String>,
    /// How many.
    pub hours: Hours,
}

/// What the city can spend.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Resources {
    /// Money for the season.
    pub budget: Option<Money>,
    /// Most acres that may be sprayed from the air, repeat applications counted.
    pub most_sprayed: Option<Area>,
    /// Hours; periods without an entry for a workforce have none of its hours.
    pub hours: Vec<HoursSupply>,
}

choice! {
    /// One way to act on a block.
    Tactic {
        /// Egg masses scraped off and drowned.
        Scraping = "scraping",
        /// Burlap bands, serviced.
        Bands = "bands",
        /// Btk from the ground.
        GroundBtk = "ground Btk",
        /// Btk from the air, one application.
        AerialOnce = "aerial Btk once",
        /// Btk from the air, two applications.
        AerialTwice = "aerial Btk twice",
    }
}

impl Tactic {
    /// From the air?
    pub fn is_aerial(self) -> bool {
        matches!(self, Self::AerialOnce | Self::AerialTwice)
    }
    /// How many applications from the air.
    pub fn flights(self) -> u32 {
        match self {
            Self::AerialOnce => 1,
            Self::AerialTwice => 2,
            _ => 0,
        }
    }
}

/// What the manager has decided about a block, whatever the plan would choose.
#[derive(Clone, Debug, PartialEq)]
pub struct FixedDecision {
    /// Block.
    pub block: BlockId,
    /// The decision.
    pub rule: DecisionRule,
    /// Why.
    pub note: String,
}

/// A fixed decision.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum DecisionRule {
    /// Take exactly this bundle (its key, as `Bundle::key` writes it).
    Take(String),
    /// Never use this tactic here.
    Never(Tactic),
    /// Never spray from the air here.
    NeverFly,
    /// Always fly here, once or twice.
    AlwaysFly,
}

/// What is known of one block in one past season.
#[derive(Clone, Debug, PartialEq)]
pub struct PastSeason {
    /// The year of that spring.
    pub season: i16,
    /// Block.
    pub block: BlockId,
    /// Density counted in the autumn before.
    pub density: Option<MassesPerArea>,
    /// Tactics used, as `Bundle::key` writes them.
    pub treatment: String,
    /// Share of favoured-host foliage lost that summer.
    pub defoliation: Option<Share>,
    /// Acres flown, repeats counted.
    pub sprayed: Option<Area>,
}

/// How a species name is classed.
#[derive(Clone, Debug, PartialEq)]
pub struct SpeciesRule {
    /// Scientific name, or a genus followed by "sp.".
    pub scientific: String,
    /// Common names.
    pub common: Vec<String>,
    /// Class.
    pub class: HostClass,
    /// Where the class comes from.
    pub source: String,
    /// How it is known.
    pub known: super::parameters::Known,
}

/// All records of a programme: plain values, whatever file they came from.
#[derive(Clone, Debug, PartialEq)]
pub struct Records {
    /// The programme.
    pub programme: Programme,
    /// Blocks in id order.
    pub blocks: Vec<Block>,
    /// Strata in id order.
    pub strata: Vec<Stratum>,
    /// Trees in id order.
    pub trees: Vec<Tree>,
    /// Plots in id order.
    pub plots: Vec<Plot>,
    /// Visits in id order.
    pub visits: Vec<Visit>,
    /// Weather stations; the first one with usable days is used.
    pub weather: Vec<WeatherSeries>,
    /// Hourly weather by station; the first with readings is used.
    pub hourly: Vec<super::HourlySeries>,
    /// No-spray areas in id order.
    pub no_spray: Vec<NoSprayArea>,
    /// Streets in id order.
    pub streets: Vec<Street>,
    /// What can be spent.
    pub resources: Resources,
    /// Fixed decisions in block order.
    pub decisions: Vec<FixedDecision>,
    /// Past seasons, by year and block.
    pub past: Vec<PastSeason>,
    /// Parameters: defaults and this programme's own values.
    pub parameters: Parameters,
    /// Species table.
    pub species: Vec<SpeciesRule>,
    /// People in name order.
    pub people: Vec<super::Person>,
    /// Field samples of all years in id order.
    pub samples: Vec<FieldSample>,
    /// Teams that go round, in name order.
    pub teams: Vec<super::Team>,
    /// Rounds that were planned, by day, work and team.
    pub rounds: Vec<super::Round>,
    /// What was done, of all years.
    pub log: super::Log,
}

impl Records {
    /// A programme with nothing in it but the default parameters and species table.
    pub fn empty(programme: Programme) -> Self {
        Self {
            programme,
            blocks: Vec::new(),
            strata: Vec::new(),
            trees: Vec::new(),
            plots: Vec::new(),
            visits: Vec::new(),
            weather: Vec::new(),
            hourly: Vec::new(),
            no_spray: Vec::new(),
            streets: Vec::new(),
            resources: Resources::default(),
            decisions: Vec::new(),
            past: Vec::new(),
            parameters: Parameters::defaults(),
            species: super::species::default_table(),
            people: Vec::new(),
            samples: Vec::new(),
            teams: Vec::new(),
            rounds: Vec::new(),
            log: super::Log::default(),
        }
    }

    /// Position of a block.
    pub fn block_index(&self, id: &BlockId) -> Option<usize> {
        self.blocks.iter().position(|b| &b.id == id)
    }

    /// The stratum a block belongs to: its own, or that of its land use.
    pub fn stratum_of(&self, block: &Block) -> StratumId {
        block.stratum.clone().unwrap_or_else(|| StratumId::new(block.land_use.word()))
    }
}

impl Block {
    /// Planar area of the outline.
    pub fn area(&self) -> Area {
        use geo::Area as _;
        Area::square_metres(self.shape.unsigned_area())
    }
    /// Ground under susceptible crowns; `None` while canopy or host mix is not known.
    pub fn host_area(&self) -> Option<Area> {
        Some(self.area() * (self.canopy?.value() * self.hosts?.susceptible.value()))
    }
}
