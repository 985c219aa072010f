//! Charts as SVG. Those of the papers are 1,000 drawing units wide; those of the desk are as wide as their
//! [`Sheet`](crate::Sheet) says, with no text under 11 units, each with a description for those who do not see it.

mod areas;
mod calendar;
mod catch;
mod compare;
mod dots;
mod fan;
mod flight;
mod hours;
mod learned;
mod ledger;
mod losses;
mod outlook;
mod past_forecasts;
mod polar;
mod ring;
mod season;
mod stages;
mod trade_off;
mod windows;

pub use areas::stage_areas;
pub use catch::catch_curve;
pub use compare::{CompareBar, bars_compare};
pub use dots::{DensityRow, density_dots};
pub use fan::heat_fan;
pub use flight::flight;
pub use hours::{morning_chances, reason_letter, spray_hours};
pub use learned::{LearnedEvent, learned_dates};
pub use ledger::{LedgerYear, ledger, season_ledger};
pub use losses::{LossRow, loss_ranges};
pub use outlook::{OutlookBar, untreated_outlook};
pub use past_forecasts::{PastForecast, past_forecasts};
pub use ring::{YearRing, year_ring};
pub use season::season_dates;
pub use trade_off::{TradeOffChart, trade_off};
pub use windows::{Deadline, WindowBars, window_bars};

/// Width of the charts of the papers.
const WIDTH: f64 = 1000.0;

/// Smallest text on a desk chart, and the one for what is read first.
const SMALL: f64 = 12.0;
const PLAIN: f64 = 13.0;

/// How wide a text of the desk will be at most: its typeface is the page's, which may be wider than the papers'.
fn screen_width(text: &str, size: f64) -> f64 {
    crate::svg::text_width(text, size) * 1.2
}

/// The same for bold text.
fn bold_width(text: &str, size: f64) -> f64 {
    screen_width(text, size) * 1.1
}
