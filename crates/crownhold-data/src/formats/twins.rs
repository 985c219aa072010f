//! One station under two names: the same days with the same temperatures.

use crownhold::types::{DayWeather, Problem, StationId, WeatherSeries};

/// Above this share of equal days two series are one station (assumption: neighbouring stations agree to a
/// tenth of a degree in both temperatures on few days, never on nine of ten).
const ALIKE: f64 = 0.9;
/// Fewer shared days than this say nothing (assumption).
const LEAST_SHARED: usize = 5;
/// Values as close as this are equal, degrees C: half of the tenth to which files are rounded, and a little.
const EQUAL_C: f64 = 0.051;

/// An error when the days are those of another station, unless they are also the station's own.
pub(super) fn found(known: &[WeatherSeries], id: &StationId, days: &[DayWeather]) -> Option<Problem> {
    let own = known.iter().find(|s| s.station == *id);
    if own.is_some_and(|s| is_alike(shared(s, days))) {
        return None;
    }
    let (other, (equal, all)) = known
        .iter()
        .filter(|s| s.station != *id)
        .map(|s| (&s.station, shared(s, days)))
        .find(|(_, counted)| is_alike(*counted))?;
    let what = format!("This is station {other} again: {equal} of {all} days that both have are equal, as \"{id}\".");
    let remedy = format!("Use --station \"{other}\" to bring that station up to date.");
    Some(Problem::error("I-614", what, remedy).item(format!("station {id}")).expected("days of another station"))
}

fn is_alike((equal, all): (usize, usize)) -> bool {
    all >= LEAST_SHARED && equal as f64 > ALIKE * all as f64
}

/// Days with both temperatures in both series: how many are equal, and how many there are.
fn shared(series: &WeatherSeries, days: &[DayWeather]) -> (usize, usize) {
    let both = |d: &DayWeather| Some((d.min?, d.max?));
    let mut counted = (0, 0);
    for day in days {
        let Ok(at) = series.days.binary_search_by(|d| d.date.cmp(&day.date)) else { continue };
        if let (Some(one), Some(other)) = (both(day), both(&series.days[at])) {
            counted.1 += 1;
            let equal = (one.0 - other.0).abs() <= EQUAL_C && (one.1 - other.1).abs() <= EQUAL_C;
            counted.0 += usize::from(equal);
        }
    }
    counted
}
