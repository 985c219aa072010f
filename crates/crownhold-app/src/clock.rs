//! The only place that reads the clock.

use jiff::civil::Date;
use jiff::{Timestamp, ZonedDateTime};

/// Today, by the computer's own time zone.
pub fn today() -> Date {
    ZonedDateTime::now().date()
}

/// This moment, RFC 3339.
pub fn now() -> String {
    Timestamp::now().to_string()
}

/// The season that a day belongs to: from August on, the count is for next spring.
pub fn season_of(day: Date) -> i16 {
    if day.month() >= 8 { day.year() + 1 } else { day.year() }
}
