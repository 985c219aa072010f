//! What a week has done to the dates, in words.

use crownhold::field::notices_by;
use crownhold::timing::{HeatAxis, MARKED, Timing, WindowKind, date_quantile};
use crownhold_print::wording::{Wording, capital, count, listed};
use jiff::civil::Date;

use crate::desk::state::Season;

/// The week's moves.
pub(super) struct MovedView {
    pub(super) since: String,
    pub(super) why: Vec<String>,
    pub(super) rows: Vec<MovedRow>,
}

/// One date, then and now.
pub(super) struct MovedRow {
    pub(super) name: String,
    pub(super) before: String,
    pub(super) now: String,
    /// Arrow for the eye; empty where nothing moved.
    pub(super) mark: &'static str,
    pub(super) moved: String,
}

/// The forecast beside the one of a week ago; nothing where that one cannot be made.
pub(super) fn view(season: &Season, now: &Timing) -> Option<MovedView> {
    let before = season.week_ago()?;
    let w = season.wording();
    Some(MovedView {
        since: w.date(before.issued),
        why: why(season, before, now, w),
        rows: rows(season, before, now, w),
    })
}

fn rows(season: &Season, before: &Timing, now: &Timing, w: Wording) -> Vec<MovedRow> {
    let mut all = Vec::new();
    for event in MARKED {
        let middle = |t: &Timing| t.event(event).and_then(|e| date_quantile(&e.dates, 0.5));
        all.push(row(capital(event.word()), middle(before), middle(now), w));
    }
    for window in &now.windows {
        let name = capital(window.kind.word());
        let then = before.window(window.kind);
        let (opens, closes) =
            (then.and_then(|t| t.opens_among_those_that_do(0.5)), then.and_then(|t| t.closes_among_those_that_do(0.5)));
        all.push(row(format!("{name}: opens"), opens, window.opens_among_those_that_do(0.5), w));
        all.push(row(format!("{name}: closes"), closes, window.closes_among_those_that_do(0.5), w));
    }
    let days = season.records.parameters.number("aerial.notice_days") as i64;
    let due = |t: &Timing| notices_by(t.window(WindowKind::AerialBtk)?, days);
    let mut last = row("Last day for notices of flights".to_owned(), due(before), due(now), w);
    if due(now).is_some_and(|day| day < season.today) {
        last.moved += ", gone by";
    }
    all.push(last);
    all
}

fn row(name: String, before: Option<Date>, now: Option<Date>, w: Wording) -> MovedRow {
    let day = |d: Option<Date>| d.map_or("not this year".to_owned(), |d| w.day(d));
    let (mark, moved) = moved(before, now);
    MovedRow { name, before: day(before), now: day(now), mark, moved }
}

/// Arrow and words for a move.
fn moved(before: Option<Date>, now: Option<Date>) -> (&'static str, String) {
    match (before, now) {
        (Some(before), Some(now)) => match (now - before).get_days() {
            0 => ("", "same day".to_owned()),
            days if days < 0 => ("←", format!("{} earlier", count(days.unsigned_abs() as usize, "day", "days"))),
            days => ("→", format!("{} later", count(days.unsigned_abs() as usize, "day", "days"))),
        },
        (None, None) => ("", "still not this year".to_owned()),
        (None, Some(_)) => ("←", "expected now".to_owned()),
        (Some(_), None) => ("→", "no longer expected".to_owned()),
    }
}

/// What came in during the week: weather, and samples.
fn why(season: &Season, before: &Timing, now: &Timing, w: Wording) -> Vec<String> {
    let mut all = vec![weather(before, now, w)];
    let of_week = |s: &&crownhold::types::FieldSample| s.date > before.issued && s.date <= now.issued;
    let samples: Vec<String> = season
        .records
        .samples
        .iter()
        .filter(of_week)
        .map(|s| format!("{} ({})", crate::actions::samples::words(s), w.day(s.date)))
        .collect();
    if samples.is_empty() {
        all.push("No field sample is from this week.".to_owned());
    } else {
        all.push(format!("Seen in the field: {}.", listed(&samples)));
    }
    all
}

/// The week's measured heat for eggs beside the middle of past years.
fn weather(before: &Timing, now: &Timing, w: Wording) -> String {
    const NOTHING: &str = "No day of this week has been measured yet, so the weather has moved nothing.";
    let Some(fan) = now.heat(HeatAxis::Egg) else { return NOTHING.to_owned() };
    let at = |day: Date| fan.days.iter().find(|d| d.date == day);
    let Some(last) = fan.observed_to.filter(|last| *last > before.issued) else { return NOTHING.to_owned() };
    let (Some(from), Some(to)) = (at(before.issued), at(last)) else {
        return "Heat for eggs is not counted in this part of the year.".to_owned();
    };
    let (got, usual) = (to.points[2] - from.points[2], to.usual - from.usual);
    let verdict = if (got - usual).abs() < 0.1 * usual.max(1.0) {
        "about as warm as usual"
    } else if got > usual {
        "warmer than usual, which draws dates forward"
    } else {
        "colder than usual, which puts dates back"
    };
    format!(
        "Weather of {} to {}: {verdict}. The heat for eggs rose by {}, in past years by {} in the same days (middle), in {}.",
        w.day(before.issued + jiff::Span::new().days(1)),
        w.day(last),
        w.bare_heat(got),
        w.bare_heat(usual),
        w.heat_method_in_short(&fan.method)
    )
}

#[cfg(test)]
mod tests {
    use jiff::civil::date;

    use super::*;

    #[test]
    fn a_move_has_a_direction_and_days() {
        let day = |d| Some(date(2027, 5, d));
        assert_eq!(moved(day(10), day(7)), ("←", "3 days earlier".to_owned()));
        assert_eq!(moved(day(10), day(11)), ("→", "1 day later".to_owned()));
        assert_eq!(moved(day(10), day(10)).0, "");
        assert_eq!(moved(day(10), None).1, "no longer expected");
    }
}
