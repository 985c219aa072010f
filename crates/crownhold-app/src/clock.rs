//! The only place that reads the clock.

use jiff::civil::Date;
use jiff::tz::TimeZone;
use jiff::{Timestamp, ZonedDateTime};

/// Today, by the computer's own time zone.
pub fn today() -> Date {
    ZonedDateTime::now().date()
}

/// This moment, RFC 3339.
pub fn now() -> String {
    Timestamp::now().to_string()
}

/// A moment (RFC 3339) by the computer's own time zone, for people; as it is where it cannot be read.
pub fn local(moment: &str) -> String {
    let shown = |t: Timestamp| t.to_zoned_datetime(TimeZone::system()).strftime("%Y-%m-%d %H:%M").to_string();
    moment.parse().map_or_else(|_| moment.to_owned(), shown)
}

/// The season that a day belongs to: from August on, the count is for next spring.
pub fn season_of(day: Date) -> i16 {
    if day.month() >= 8 { day.year() + 1 } else { day.year() }
}
