//! Days for anybody's calendar: iCalendar (RFC 5545).

use icalendar::{Calendar, Component as _, Event, Property};
use jiff::ToSpan as _;
use jiff::civil::Date;

/// Most octets of a line.
const LONGEST: usize = 75;

/// A span of whole days with what it is about.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DaysToKeep {
    /// Name that stays the same when the days move, so that a calendar moves the entry and does not double it.
    pub uid: String,
    /// First day.
    pub first: Date,
    /// Last day.
    pub last: Date,
    /// Title.
    pub title: String,
    /// What is known about it.
    pub note: String,
    /// What kind of entry it is.
    pub kind: &'static str,
}

/// A calendar of these days, in their order. The same days and day of issue give the same bytes.
pub fn days_to_calendar(name: &str, issued: Date, days: &[DaysToKeep]) -> Vec<u8> {
    let mut calendar = Calendar::new();
    calendar.name(name);
    for d in days {
        // The end of whole days is the day after the last one (RFC 5545, 3.6.1).
        let after = d.last.checked_add(1.day()).unwrap_or(d.last);
        let event = Event::new()
            .uid(&d.uid)
            .summary(&d.title)
            .description(&d.note)
            .append_property(Property::new("DTSTAMP", format!("{}T000000Z", plain(issued))))
            .append_property(date_property("DTSTART", d.first))
            .append_property(date_property("DTEND", after))
            .append_property(Property::new("CATEGORIES", d.kind))
            .append_property(Property::new("TRANSP", "TRANSPARENT"))
            .done();
        calendar.push(event);
    }
    folded(&calendar.to_string()).into_bytes()
}

/// Lines of at most 75 octets (RFC 5545, 3.1). The library folds at 75 without the blank that leads a continued line.
fn folded(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for line in text.replace("\r\n ", "").split_terminator("\r\n") {
        let mut room = LONGEST;
        for c in line.chars() {
            if c.len_utf8() > room {
                out.push_str("\r\n ");
                room = LONGEST - 1;
            }
            room -= c.len_utf8();
            out.push(c);
        }
        out.push_str("\r\n");
    }
    out
}

fn date_property(name: &str, day: Date) -> Property {
    Property::new(name, plain(day)).add_parameter("VALUE", "DATE").done()
}

fn plain(day: Date) -> String {
    day.strftime("%Y%m%d").to_string()
}

#[cfg(test)]
mod tests {
    use jiff::civil::date;

    use super::{DaysToKeep, days_to_calendar};

    #[test]
    fn whole_days_end_on_the_day_after() {
        let days = DaysToKeep {
            uid: "2027-bands@crownhold".into(),
            first: date(2027, 5, 30),
            last: date(2027, 5, 31),
            title: "Bands; up, and emptied".into(),
            note: "A long line that must be folded because it is longer than seventy-five octets, with ä and é in it, \
                   and that is continued on a second and on a third line, each of which begins with a blank of its own."
                .into(),
            kind: "window",
        };
        let text = String::from_utf8(days_to_calendar("Pellwood 2027", date(2027, 3, 1), &[days])).unwrap();
        for part in [
            "DTSTART;VALUE=DATE:20270530\r\n",
            "DTEND;VALUE=DATE:20270601\r\n",
            "DTSTAMP:20270301T000000Z\r\n",
            "SUMMARY:Bands\\; up\\, and emptied\r\n",
            "UID:2027-bands@crownhold\r\n",
        ] {
            assert!(text.contains(part), "{part} in\n{text}");
        }
        assert!(text.lines().all(|l| l.len() <= 75), "{text}");
    }
}
