//! What a request for features asks: how many, where, in which system. Anything not understood is refused (OGC 17-069r4,
//! 7.15), so that nobody takes all features for the ones asked for.

use std::collections::BTreeMap;

use crownhold_data::formats::crs::Crs;
use geo::Coord;

/// Longitude and latitude, in that order.
pub(super) const CRS84: &str = "http://www.opengis.net/def/crs/OGC/1.3/CRS84";
/// Latitude and longitude.
pub(super) const EPSG4326: &str = "http://www.opengis.net/def/crs/EPSG/0/4326";

/// Features in an answer where none are asked for, and at most.
pub(super) const LIMIT: (usize, usize) = (1_000, 10_000);

/// A system that features are given in.
pub(super) struct System {
    /// Its address.
    pub uri: String,
    from: Crs,
    /// `None`: the programme's own, as stored.
    to: Option<Crs>,
    latitude_first: bool,
}

/// What is asked.
pub(super) struct Asked {
    /// Most features.
    pub limit: usize,
    /// Features passed over.
    pub offset: usize,
    /// West, south, east, north in the system of the box; a west beyond the east goes over the antimeridian.
    pub bbox: Option<([f64; 4], System)>,
    /// System of the answer.
    pub system: System,
}

impl System {
    /// The system of an address, for a programme in `epsg`.
    ///
    /// # Errors
    /// When the features are not offered in it.
    pub(super) fn named(uri: &str, epsg: u32) -> Result<Self, String> {
        let own = own_uri(epsg);
        let (to, latitude_first) = match uri {
            CRS84 => (Some(4326), false),
            EPSG4326 => (Some(4326), true),
            uri if uri == own => (None, false),
            _ => return Err(format!("\"{uri}\" is not offered; {CRS84}, {EPSG4326} and {own} are.")),
        };
        let to = to.map(Crs::epsg).transpose()?;
        Ok(Self { uri: uri.to_owned(), from: Crs::epsg(epsg)?, to, latitude_first })
    }

    /// A point of the programme in this system, in the order of its axes.
    pub(super) fn position(&self, at: Coord<f64>) -> Option<[f64; 2]> {
        let Some(to) = &self.to else { return Some([round(at.x, 1e3), round(at.y, 1e3)]) };
        let (lon, lat) = self.from.to(to, at.x, at.y)?;
        let (lon, lat) = (round(lon, 1e7), round(lat, 1e7));
        Some(if self.latitude_first { [lat, lon] } else { [lon, lat] })
    }
}

/// The address of the programme's own system.
pub(super) fn own_uri(epsg: u32) -> String {
    format!("http://www.opengis.net/def/crs/EPSG/0/{epsg}")
}

/// Millimetres, or a centimetre in degrees.
fn round(value: f64, by: f64) -> f64 {
    (value * by).round() / by
}

/// Reads the parameters of a request for features.
///
/// # Errors
/// What is not understood, in words.
pub(super) fn read(query: &BTreeMap<String, String>, epsg: u32) -> Result<Asked, String> {
    const KNOWN: [&str; 7] = ["limit", "offset", "bbox", "bbox-crs", "crs", "datetime", "f"];
    if let Some(other) = query.keys().find(|k| !KNOWN.contains(&k.as_str())) {
        return Err(format!("There is no parameter \"{other}\"; {} are understood.", KNOWN.join(", ")));
    }
    let whole = |name: &str| match query.get(name) {
        None => Ok(None),
        Some(text) => text.parse::<usize>().map(Some).map_err(|_| format!("{name} is \"{text}\": a whole number.")),
    };
    let limit = match whole("limit")? {
        Some(0) => return Err("limit is 0: at least 1.".to_owned()),
        given => given.unwrap_or(LIMIT.0).min(LIMIT.1),
    };
    let system_of = |name: &str| System::named(query.get(name).map_or(CRS84, String::as_str), epsg);
    let bbox = query.get("bbox").map(|text| Ok::<_, String>((corners(text)?, system_of("bbox-crs")?))).transpose()?;
    if query.contains_key("bbox-crs") {
        system_of("bbox-crs")?;
    }
    if query.get("f").is_some_and(|f| f != "json") {
        return Err("f is json or left away.".to_owned());
    }
    // Features without a time of their own are within every time (7.15.4); what is no time is still refused.
    query.get("datetime").map(|text| moment(text)).transpose()?;
    Ok(Asked { limit, offset: whole("offset")?.unwrap_or(0), bbox, system: system_of("crs")? })
}

/// Four numbers, or six with heights, which are of no interest here.
fn corners(text: &str) -> Result<[f64; 4], String> {
    let wrong = || format!("bbox is \"{text}\": four numbers (or six) with commas between them.");
    let numbers: Vec<f64> = text.split(',').map(|n| n.trim().parse().map_err(|_| wrong())).collect::<Result<_, _>>()?;
    let four = match numbers[..] {
        [a, b, c, d] => [a, b, c, d],
        [a, b, _, c, d, _] => [a, b, c, d],
        _ => return Err(wrong()),
    };
    if four.iter().all(|n| n.is_finite()) && four[1] <= four[3] { Ok(four) } else { Err(wrong()) }
}

/// A moment, a day, or an interval that may be open at one end.
fn moment(text: &str) -> Result<(), String> {
    let is_one =
        |t: &str| t.parse::<jiff::Timestamp>().is_ok() || (t.len() == 10 && t.parse::<jiff::civil::Date>().is_ok());
    let fits = match text.split_once('/') {
        None => is_one(text),
        Some((from, to)) => {
            let open = |t: &str| t.is_empty() || t == "..";
            (open(from) || is_one(from)) && (open(to) || is_one(to)) && !(open(from) && open(to))
        }
    };
    if fits {
        Ok(())
    } else {
        Err(format!("datetime is \"{text}\": a moment such as 2027-06-10T16:00:00Z, or two with / between them."))
    }
}

/// Do two boxes meet? `asked` may go over the antimeridian.
pub(super) fn meet(asked: [f64; 4], own: [f64; 4]) -> bool {
    let [w, s, e, n] = asked;
    let [west, south, east, north] = own;
    let across = if w <= e { west <= e && east >= w } else { east >= w || west <= e };
    across && south <= n && north >= s
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    fn asked(pairs: &[(&str, &str)]) -> Result<Asked, String> {
        read(&pairs.iter().map(|(k, v)| ((*k).to_owned(), (*v).to_owned())).collect(), 32_616)
    }

    #[test]
    fn what_is_not_understood_is_refused() {
        for (name, value) in [
            ("limit", "0"),
            ("limit", "-1"),
            ("limit", "many"),
            ("offset", "x"),
            ("bbox", "1,2,3"),
            ("bbox", "1,5,3,2"),
            ("bbox", "1,2,x,4"),
            ("bbox", "NaN,2,3,4"),
            ("crs", "EPSG:4326"),
            ("bbox-crs", "nonsense"),
            ("datetime", "yesterday"),
            ("datetime", "../.."),
            ("f", "html"),
            ("colour", "red"),
        ] {
            assert!(asked(&[(name, value)]).is_err(), "{name}={value}");
        }
        for value in ["2027-06-10", "2027-06-10T16:00:00Z", "2027-06-10/..", "/2027-06-10T00:00:00Z"] {
            assert!(asked(&[("datetime", value)]).is_ok(), "{value}");
        }
        assert_eq!(asked(&[("limit", "999999")]).unwrap().limit, LIMIT.1);
    }

    #[test]
    fn axes_are_in_the_order_of_the_system() {
        let at = Coord { x: 500_000.0, y: 4_815_000.0 };
        let by = |uri: &str| System::named(uri, 32_616).unwrap().position(at).unwrap();
        let [lon, lat] = by(CRS84);
        assert!((lon + 87.0).abs() < 1e-6 && (43.0..44.0).contains(&lat));
        assert_eq!(by(EPSG4326), [lat, lon]);
        assert_eq!(by(&own_uri(32_616)), [500_000.0, 4_815_000.0]);
    }

    #[test]
    fn boxes_meet_over_the_antimeridian_too() {
        assert!(meet([0.0, 0.0, 2.0, 2.0], [1.0, 1.0, 3.0, 3.0]) && !meet([0.0, 0.0, 2.0, 2.0], [2.5, 0.0, 3.0, 1.0]));
        assert!(meet([170.0, -5.0, -170.0, 5.0], [175.0, 0.0, 176.0, 1.0]));
        assert!(!meet([170.0, -5.0, -170.0, 5.0], [0.0, 0.0, 1.0, 1.0]));
    }
}
