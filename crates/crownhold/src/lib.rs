//! Crownhold's computing, without a file, clock, network or environment in sight.
//!
//! One season is a chain of plain values, each made from those before it:
//!
//! [`Records`](types::Records) -> [`Density`](survey::Density) -> [`Outlook`](outlook::Outlook) +
//! [`Timing`](timing::Timing) -> [`Options`](tactics::Options) -> [`Plan`](plan::Plan) ->
//! [`WorkOrders`](field::WorkOrders) -> [`Log`](field::Log) -> [`Evidence`](evidence::Evidence)
//!
//! Uncertain results are passed on as [`Draws`](types::Draws) (draws x blocks), never as a single figure.
//! The date, the seed and the number of draws arrive in one [`Setting`]; work is spread over whatever
//! thread pool the caller runs in, and the numbers do not depend on it.
//!
//! | room | answers | may use |
//! |---|---|---|
//! | [`types`] | what are the words and units? | nothing |
//! | [`timing`] | when does it hatch, grow, fly; when are the windows? | types |
//! | [`survey`] | how many egg masses stand in each block, and how sure is that? | types |
//! | [`outlook`] | what happens if nothing is done? | types, timing, survey |
//! | [`tactics`] | what could be done in each block, what would it cost, what would it change? | types, timing, survey, outlook |
//! | [`plan`] | what a plan is, what is wrong with one, and why a block got its option | types, tactics |
//! | [`field`] | who does what where in which week; what was done | types, timing, tactics, plan |
//! | [`evidence`] | did it work? | types, survey, outlook, tactics, plan, field |
//! | [`pellwood`] | the invented city for demos and tests | types |

pub mod evidence;
pub mod field;
pub mod outlook;
pub mod pellwood;
pub mod plan;
pub mod survey;
pub mod tactics;
pub mod timing;
pub mod types;

use jiff::civil::Date;

/// What the computing needs to know of the world outside the records.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Setting {
    /// The day the question is asked on.
    pub today: Date,
    /// Seed of every random stream.
    pub seed: u64,
    /// How many draws.
    pub draws: usize,
}
