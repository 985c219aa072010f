//! When: heat, hatch, larval stages, leaves, and the working windows that follow from them.
//!
//! [`forecast`] answers with dates as an ensemble: this season's observed heat, forecast days, then each past
//! year's remainder, times draws of the parameters. [`degree_days`] counts heat in the ways that published
//! figures need, and keeps totals of different ways apart. [`weather`] looks a series over first and says
//! what it put right. Development is solved on heat axes (`axis`): egg heat above 3 C for hatch, larval heat
//! above 8 C for the stages, leaf heat above 50 F for oaks; the calendar comes in only at the ends.
//! [`spray`] judges hours and mornings for spraying, [`cold`] what winter left of exposed eggs, [`disease`]
//! whether the weather suits the fungus.
//! `docs/models/timing.md` has the model with its sources and limits.
//!
//! Field samples bend the ensemble ([`Learned`]): prior and posterior stay side by side, and a sample that does not
//! fit the others is named. Blocks differ from the station by height and built-up share ([`forecast_blocks`]).

mod ahead;
mod axis;
mod biology;
pub mod cold;
mod course;
mod defaults;
pub mod degree_days;
pub mod disease;
mod ensemble;
mod hatch;
mod heat;
pub mod hindcast;
mod leaf;
mod learning;
mod offsets;
mod signs;
pub mod spray;
mod stages;
pub mod weather;
pub(crate) mod weather_defaults;
mod windows;
mod years;

use jiff::civil::Date;

pub(crate) use defaults::DEFAULTS;
pub use ensemble::{Field, forecast};
pub use heat::{FAN_SHARES, FanDay, HeatAxis, HeatFan, HeatMark};
pub use learning::{Flag, Learned, MARKED, Moved, SampleVerdict};
pub use offsets::{BlockDates, OffsetDates, Offsets, forecast_blocks};
pub use signs::HatchSign;

use crate::types::records::choice;
use crate::types::{LeafHost, Problem, StationId};

choice! {
    /// A dated event of the season.
    Event {
        /// One mass in ten has hatched.
        HatchTenth = "hatch 10 %",
        /// Half the masses have hatched.
        HatchHalf = "hatch 50 %",
        /// Nine masses in ten have hatched.
        HatchNineTenths = "hatch 90 %",
        /// Half the larvae have reached the second instar.
        SecondInstar = "second instar 50 %",
        /// A quarter of the larvae have reached the third instar.
        ThirdInstarQuarter = "third instar 25 %",
        /// Half the larvae have reached the third instar.
        ThirdInstar = "third instar 50 %",
        /// Half the larvae have reached the fourth instar.
        FourthInstar = "fourth instar 50 %",
        /// Half of all have pupated.
        Pupae = "pupae 50 %",
        /// Half the males fly.
        MaleFlight = "male moths 50 %",
        /// Half the females are out.
        FemaleMoths = "female moths 50 %",
        /// Nineteen in twenty females have laid.
        LayingOver = "laying 95 %",
        /// Half of red oak buds are open.
        RedOakBudbreak = "red oak budbreak",
        /// Red oak leaves have 40 % of their final size.
        RedOakLeaf = "red oak leaf 40 %",
        /// Half of white oak buds are open.
        WhiteOakBudbreak = "white oak budbreak",
        /// White oak leaves have 40 % of their final size.
        WhiteOakLeaf = "white oak leaf 40 %",
    }
}
choice! {
    /// A working window.
    WindowKind {
        /// Scraping: count closed to first hatch.
        Scraping = "scraping",
        /// Btk from the ground.
        GroundBtk = "ground Btk",
        /// Btk from the air.
        AerialBtk = "aerial Btk",
        /// Bands go up and are serviced.
        Bands = "bands",
        /// Egg-mass survey.
        Survey = "egg-mass survey",
    }
}

/// The dates of one event over the ensemble.
#[derive(Clone, Debug, PartialEq)]
pub struct EventDates {
    /// Which.
    pub event: Event,
    /// One date per member; a member in which it does not happen before the year ends has none.
    pub dates: Vec<Option<Date>>,
}

/// One window over the ensemble.
#[derive(Clone, Debug, PartialEq)]
pub struct Window {
    /// Which.
    pub kind: WindowKind,
    /// First day, per member.
    pub opens: Vec<Option<Date>>,
    /// Last day, per member; never before `opens`.
    pub closes: Vec<Option<Date>>,
    /// What opens and what closes it, in words.
    pub rule: String,
}

/// Leaves of one host, and the flying window they open.
#[derive(Clone, Debug, PartialEq)]
pub struct HostDates {
    /// Which.
    pub host: LeafHost,
    /// The day its leaves are large enough to fly, per member.
    pub leaf: Vec<Option<Date>>,
    /// The window for Btk from the air over it.
    pub window: Window,
}

/// Shares of the stages on one day, averaged over the ensemble; they sum to 1.
#[derive(Clone, Debug, PartialEq)]
pub struct StageDay {
    /// The day.
    pub date: Date,
    /// Egg, L1 .. L6, pupa, adult, dead after laying; both sexes together.
    pub shares: [f64; 10],
}

/// The names of the stages in [`StageDay::shares`].
pub const STAGES: [&str; 10] =
    ["egg", "instar 1", "instar 2", "instar 3", "instar 4", "instar 5", "instar 6", "pupa", "adult", "spent"];

/// Dates of one season as an ensemble.
#[derive(Clone, Debug, PartialEq)]
pub struct Timing {
    /// The year of the spring concerned.
    pub season: i16,
    /// Day of the forecast; days after it come from forecasts and past years.
    pub issued: Date,
    /// Station used.
    pub station: StationId,
    /// Years whose remainder is in the ensemble.
    pub years: Vec<i16>,
    /// Event dates.
    pub events: Vec<EventDates>,
    /// Windows, by the leaves of red oak.
    pub windows: Vec<Window>,
    /// Leaves and flying window of every host.
    pub hosts: Vec<HostDates>,
    /// Other signs of hatch in use, each counted in its own way.
    pub signs: Vec<HatchSign>,
    /// Stage shares day by day through the season.
    pub stages: Vec<StageDay>,
    /// Heat day by day, one fan an axis, in the order of [`HeatAxis`].
    pub heat: Vec<HeatFan>,
    /// What field samples have changed, if there are any up to the day of the forecast. The dates above then
    /// stand with the samples taken in.
    pub learned: Option<Learned>,
    /// What should be known about the weather behind it (gaps filled, too few years ...).
    pub notes: Vec<Problem>,
}

/// Quantile of a list of dates; members without the event count as later than every date.
/// `None` when the quantile falls among those, or the list is empty.
pub fn date_quantile(dates: &[Option<Date>], p: f64) -> Option<Date> {
    let mut sorted: Vec<Date> = dates.iter().flatten().copied().collect();
    sorted.sort();
    let at = (p * (dates.len().checked_sub(1)?) as f64).round() as usize;
    sorted.get(at).copied()
}

impl Window {
    /// Share of the members in which the window exists and is still open on or after a day; `None` asks only
    /// whether it exists.
    pub fn chance_open_after(&self, day: Option<Date>) -> f64 {
        let open = |c: &&Option<Date>| c.is_some_and(|c| day.is_none_or(|d| c >= d));
        self.closes.iter().filter(open).count() as f64 / self.closes.len().max(1) as f64
    }
}

impl Window {
    /// Share of the members in which the window is open on a day.
    pub fn chance_open_on(&self, day: Date) -> f64 {
        let open = |(opens, closes): &(&Option<Date>, &Option<Date>)| {
            opens.is_some_and(|first| first <= day) && closes.is_some_and(|last| day <= last)
        };
        let open = self.opens.iter().zip(&self.closes).filter(open).count();
        open as f64 / self.opens.len().max(1) as f64
    }
    /// Quantile of its length in days, over the members that have the window.
    pub fn days_among_those_that_do(&self, p: f64) -> Option<f64> {
        let days: Vec<f64> = self.lengths().flatten().collect();
        (!days.is_empty()).then(|| crate::types::draws::quantile(&days, p))
    }
    fn lengths(&self) -> impl Iterator<Item = Option<f64>> {
        let length = |(open, close): (&Option<Date>, &Option<Date>)| {
            let span = open.as_ref()?.until(*close.as_ref()?).ok()?;
            Some(f64::from(span.get_days()) + 1.0)
        };
        self.opens.iter().zip(&self.closes).map(length)
    }
    /// Quantile of the opening day over the members that have the window.
    pub fn opens_among_those_that_do(&self, p: f64) -> Option<Date> {
        among(&self.opens, p)
    }
    /// Quantile of the closing day over the members that have the window.
    pub fn closes_among_those_that_do(&self, p: f64) -> Option<Date> {
        among(&self.closes, p)
    }
    /// Share of the members in which it is at least so many days long.
    pub fn chance_of_days(&self, days: f64) -> f64 {
        let long = self.lengths().filter(|length| length.is_some_and(|l| l >= days));
        long.count() as f64 / self.opens.len().max(1) as f64
    }
}

fn among(dates: &[Option<Date>], p: f64) -> Option<Date> {
    let there: Vec<Option<Date>> = dates.iter().filter(|d| d.is_some()).copied().collect();
    date_quantile(&there, p)
}

impl Timing {
    /// The dates of an event.
    pub fn event(&self, event: Event) -> Option<&EventDates> {
        self.events.iter().find(|e| e.event == event)
    }
    /// The heat of an axis.
    pub fn heat(&self, axis: HeatAxis) -> Option<&HeatFan> {
        self.heat.iter().find(|fan| fan.axis == axis)
    }
    /// A window.
    pub fn window(&self, kind: WindowKind) -> Option<&Window> {
        self.windows.iter().find(|w| w.kind == kind)
    }
}
