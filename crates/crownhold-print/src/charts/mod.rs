//! Charts as SVG, 1,000 drawing units wide.

mod outlook;
mod season;

pub use outlook::{OutlookBar, untreated_outlook};
pub use season::season_dates;

/// Width of every chart.
const WIDTH: f64 = 1000.0;
