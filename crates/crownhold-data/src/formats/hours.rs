//! Hours as people and weather services write them.

use jiff::civil::{Date, DateTime};

use super::cells::is_blank;
use super::columns::Column;
use super::dates::dates;
use super::job::Job;
use super::table::Table;
use super::words::Found;
use crownhold::types::Problem;

/// One time as read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Clock {
    /// The nearest full hour on the clock of the file.
    pub hour: DateTime,
    /// Minutes that the reading is away from it.
    pub beside: i64,
    /// Minutes ahead of universal time, where the file says it.
    pub offset: Option<i16>,
}

/// The hours of a column, or of a day column with an hour column beside it; unreadable ones are noted.
pub(super) fn hours_of(job: &mut Job<'_>, table: &Table, time: &Column, hour: Option<&Column>) -> Vec<Option<Clock>> {
    let days = dates(job, table, time);
    let mut strange = Found::default();
    let mut hours = Vec::with_capacity(days.len());
    for (row, day) in days.into_iter().enumerate() {
        let cell = hour.map_or_else(|| clock::time_of(table.cell(row, time.at)), |c| table.cell(row, c.at));
        let found = day.and_then(|day| {
            let (minutes, offset) = clock::minutes(cell)?;
            clock::at(day, minutes, offset)
        });
        if found.is_none() && day.is_some() {
            strange.add(format!("\"{cell}\""), table.number(row));
        }
        hours.push(found.filter(|_| !is_blank(table.cell(row, time.at))));
    }
    if let Some(first) = strange.first() {
        let what = format!("Not an hour of the day: {}.", strange.listed());
        let column = hour.unwrap_or(time).header.clone();
        let problem = Problem::error("I-620", what, "Correct the cells.").row(first).column(column);
        job.note(problem.expected("a time such as 2027-05-10 06:00, or a day and an hour from 0 to 24"));
    }
    hours
}

/// Minutes ahead of universal time of "-04:00", "-0400", "-4" or "Z".
pub fn utc_offset(text: &str) -> Option<i16> {
    clock::offset(text)
}

/// Reading clocks.
pub(super) mod clock {
    use super::{Clock, Date};

    /// The part of a cell after its day.
    pub(in super::super) fn time_of(cell: &str) -> &str {
        let at = cell.find('T').filter(|at| *at == 10).or_else(|| cell.find(':').and_then(|c| cell[..c].rfind(' ')));
        at.map_or("", |at| cell[at + 1..].trim())
    }

    /// Minutes since midnight and the offset of "6", "06:00", "6:53 PM", "18:00:00Z", "18:00-04:00", "1800".
    pub(in super::super) fn minutes(text: &str) -> Option<(i64, Option<i16>)> {
        let text = text.trim().to_lowercase();
        let (text, far) = half_day(&text);
        let split = text.find(['z', '+', '-']).filter(|at| *at > 0);
        let (time, offset) = match split {
            Some(at) => (&text[..at], Some(self::offset(&text[at..])?)),
            None => (text, None),
        };
        let mut parts = time.trim().split(':');
        let first = parts.next()?.trim();
        let (hour, minute) = match (parts.next(), first.len()) {
            (Some(minute), _) => (first.parse::<f64>().ok()?, minute.trim().parse::<i64>().ok()?),
            (None, 3 | 4) if first.bytes().all(|b| b.is_ascii_digit()) => {
                let both: i64 = first.parse().ok()?;
                ((both / 100) as f64, both % 100)
            }
            (None, _) => (first.parse::<f64>().ok()?, 0),
        };
        let hour = match far {
            Some(late) if (1.0..=12.0).contains(&hour) => hour % 12.0 + if late { 12.0 } else { 0.0 },
            Some(_) => return None,
            None => hour,
        };
        let good = hour.fract() == 0.0 && (0.0..=24.0).contains(&hour) && (0..60).contains(&minute);
        good.then_some((hour as i64 * 60 + minute, offset))
    }

    /// "am" and "pm" taken off; is it the second half of the day?
    fn half_day(text: &str) -> (&str, Option<bool>) {
        for (mark, late) in [("am", false), ("pm", true)] {
            if let Some(rest) = text.strip_suffix(mark) {
                return (rest.trim(), Some(late));
            }
        }
        (text, None)
    }

    /// "-04:00", "-0400", "-4", "Z" as minutes.
    pub(in super::super) fn offset(text: &str) -> Option<i16> {
        let text = text.trim();
        if text.eq_ignore_ascii_case("z") || text.eq_ignore_ascii_case("utc") {
            return Some(0);
        }
        let (sign, rest) = match text.strip_prefix(['-', '\u{2212}']) {
            Some(rest) => (-1, rest),
            None => (1, text.strip_prefix('+').unwrap_or(text)),
        };
        let (hours, minutes) = match rest.split_once(':') {
            Some((hours, minutes)) => (hours.parse::<i16>().ok()?, minutes.parse::<i16>().ok()?),
            None if rest.len() == 4 => (rest[..2].parse::<i16>().ok()?, rest[2..].parse::<i16>().ok()?),
            None => (rest.parse::<i16>().ok()?, 0),
        };
        ((0..=14).contains(&hours) && (0..60).contains(&minutes)).then_some(sign * (hours * 60 + minutes))
    }

    /// Minutes of a day, put to the nearest full hour; 24 is the next day's midnight.
    pub(in super::super) fn at(day: Date, minutes: i64, offset: Option<i16>) -> Option<Clock> {
        let full = (minutes + 30).div_euclid(60);
        let hour = day.at(0, 0, 0, 0).checked_add(jiff::Span::new().hours(full)).ok()?;
        Some(Clock { hour, beside: (minutes - full * 60).abs(), offset })
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use jiff::civil::date;

    #[test]
    fn times_as_people_and_services_write_them() {
        for (text, minutes, offset) in [
            ("6", 360, None),
            ("06:00", 360, None),
            ("6:53 PM", 18 * 60 + 53, None),
            ("12:00 am", 0, None),
            ("18:00:00Z", 1080, Some(0)),
            ("18:00-04:00", 1080, Some(-240)),
            ("0600", 360, None),
            ("24", 1440, None),
        ] {
            assert_eq!(clock::minutes(text), Some((minutes, offset)), "{text}");
        }
        for text in ["", "25", "6:75", "13:00 pm", "soon"] {
            assert_eq!(clock::minutes(text), None, "{text}");
        }
        assert_eq!(clock::time_of("2027-05-10T06:00-04:00"), "06:00-04:00");
        assert_eq!(clock::time_of("5/10/2027 6:00 AM"), "6:00 AM");
        assert_eq!(clock::offset("-0530"), Some(-330));
    }

    #[test]
    fn readings_go_to_the_nearest_hour() {
        let day = date(2027, 5, 31);
        assert_eq!(clock::at(day, 5 * 60 + 53, None).unwrap().hour, day.at(6, 0, 0, 0));
        assert_eq!(clock::at(day, 1440, None).unwrap().hour, date(2027, 6, 1).at(0, 0, 0, 0));
        assert_eq!(clock::at(day, 6 * 60 + 20, None).unwrap().beside, 20);
    }
}
