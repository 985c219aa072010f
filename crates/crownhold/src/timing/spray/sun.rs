//! Sunrise, sunset and twilight, by the solar position algorithm of NREL (crate `solar-positioning`).

use jiff::civil::{Date, DateTime};
use solar_positioning::time::JulianDate;
use solar_positioning::{Horizon, Location, SolarEvents, SolarPositions, delta_t};

/// A place on the ground, degrees; east and north are positive.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Place {
    /// Degrees north.
    pub latitude: f64,
    /// Degrees east.
    pub longitude: f64,
}

/// What begins and ends.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Light {
    /// The upper edge of the sun is above the horizon.
    Sun,
    /// The sun is at most 6 degrees below it.
    Civil,
    /// 12 degrees.
    Nautical,
    /// 18 degrees.
    Astronomical,
}

/// When it begins and ends on a day of the local clock.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Daylight {
    /// From, on the local clock.
    pub from: DateTime,
    /// To, on the local clock.
    pub to: DateTime,
}

/// Light of a calendar day at a place whose clock is `offset` minutes ahead of universal time.
///
/// `None` where it does not begin and end on that day (far north), or the place is none.
pub fn daylight(day: Date, place: Place, offset: i16, light: Light) -> Option<Daylight> {
    let midnight = julian(day.at(0, 0, 0, 0), offset)?;
    let delta = delta_t::estimate_from_date(i32::from(day.year()), u32::try_from(day.month()).ok()?).ok()?;
    let horizon = match light {
        Light::Sun => Horizon::SunriseSunset,
        Light::Civil => Horizon::CivilTwilight,
        Light::Nautical => Horizon::NauticalTwilight,
        Light::Astronomical => Horizon::AstronomicalTwilight,
    };
    let location = Location { latitude: place.latitude, longitude: place.longitude };
    let events =
        SolarEvents::new().for_interval_from_julian(midnight, midnight + 1.0, location, delta, horizon).ok()?;
    let clock = |at: &f64| day.at(0, 0, 0, 0).checked_add(seconds((at - midnight) * 86_400.0)).ok();
    Some(Daylight { from: clock(events.rises.first()?)?, to: clock(events.sets.last()?)? })
}

/// Where the sun stands: true height above the horizon and bearing from north, degrees; no refraction.
pub fn position(time: DateTime, place: Place, offset: i16) -> Option<(f64, f64)> {
    let delta = delta_t::estimate_from_date(i32::from(time.year()), u32::try_from(time.month()).ok()?).ok()?;
    let at = JulianDate::new(julian(time, offset)?, delta).ok()?;
    let location = Location { latitude: place.latitude, longitude: place.longitude };
    let sun = SolarPositions::new().at_from_julian(at, location, 0.0, None).ok()?;
    Some((sun.elevation_angle(), sun.azimuth()))
}

fn seconds(s: f64) -> jiff::Span {
    jiff::Span::new().seconds(s.round() as i64)
}

/// Julian date in universal time of a moment of the local clock.
fn julian(time: DateTime, offset: i16) -> Option<f64> {
    let utc = time.checked_sub(jiff::Span::new().minutes(offset)).ok()?;
    let small = |v: i8| u32::try_from(v).ok();
    let date = JulianDate::from_utc_simple(
        i32::from(utc.year()),
        small(utc.month())?,
        small(utc.day())?,
        small(utc.hour())?,
        small(utc.minute())?,
        f64::from(utc.second()),
    );
    date.ok().map(|date| date.julian_date())
}
