//! Spray weather: may it be sprayed in this hour, is this morning long enough, and how many such mornings will
//! the window have?
//!
//! Hours are held against [`Limits`] (parameters, one set for aircraft and one for the ground) by [`judge`],
//! which gives every reason of a no. What was not written down makes no go: the hour is "unknown". Light comes
//! from the sun's position. [`mornings`] puts hours together; a [`Climatology`] of past years' mornings gives the
//! chance of a calendar day's morning and of enough mornings in a window.
//!
//! Deliberately absent: turning a forecast's own uncertainty into a chance, and any leave to spray. The label,
//! the licensed applicator and the pilot decide.

mod judge;
mod limits;
mod mornings;
mod sun;

pub use judge::{JudgedHour, Reading, Reason, Verdict, judge};
pub use limits::{Limits, MPH, Spraying};
pub use mornings::{Climatology, DayChance, ENOUGH_YEARS, MOST_MORNINGS, Morning, WindowMornings, mornings};
pub use sun::{Daylight, Light, Place, daylight, position};
