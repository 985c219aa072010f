//! Coordinate systems: which one is meant, and from one to another.
//!
//! The projections are those of the `proj4rs` library: plane and ellipsoidal transformations through
//! WGS 84. WGS 84 and NAD 83 are taken as one (they differ by one to two metres in North America).
//! NAD 27 needs a shift grid that is not built in; layers in it are refused rather than placed tens of
//! metres off, unless the user gives a proj string with its own `+towgs84`.
//!
//! Coordinates are always easting, northing or longitude, latitude, in the unit of their system
//! (degrees for geographic ones), whatever order a registry lists the axes in.

use proj4rs::Proj;
use proj4rs::transform::transform;

use super::wkt;

/// Half-axis of the Clarke 1866 ellipsoid in metres; in practice the mark of NAD 27.
const CLARKE_1866: f64 = 6_378_206.4;

/// A coordinate system.
#[derive(Clone)]
pub struct Crs {
    name: String,
    // Boxed: a projection is half a kilobyte.
    proj: Box<Proj>,
}

impl std::fmt::Debug for Crs {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "Crs({})", self.name)
    }
}

impl Crs {
    /// By EPSG number.
    ///
    /// # Errors
    /// A sentence, when the number is not known or the system needs a shift grid.
    pub fn epsg(code: u32) -> Result<Self, String> {
        let unknown = || format!("EPSG:{code} is not among the coordinate systems this program knows.");
        let proj = Proj::from_epsg_code(u16::try_from(code).map_err(|_| unknown())?).map_err(|e| match e {
            proj4rs::errors::Error::ProjectionNotFound => unknown(),
            other => format!("EPSG:{code} needs something that is not built in, such as a datum shift grid ({other})."),
        })?;
        Self::checked(format!("EPSG:{code}"), proj, false)
    }

    /// By whatever a user or a file writes: "EPSG:2253", "2253", an OGC URN, a proj string, WKT 1 or 2.
    ///
    /// # Errors
    /// A sentence that says what could not be understood.
    pub fn parse(text: &str) -> Result<Self, String> {
        let text = text.trim().trim_start_matches('\u{feff}');
        if text.starts_with('+') {
            let proj = Proj::from_proj_string(text).map_err(|e| format!("The proj string is not usable: {e}."))?;
            return Self::checked("the given proj string".to_owned(), proj, text.contains("+towgs84"));
        }
        if text.contains('[') || text.contains('(') {
            return Self::from_wkt(text);
        }
        let last = text.rsplit([':', '/', '#']).next().unwrap_or_default();
        if last.eq_ignore_ascii_case("CRS84") || last.eq_ignore_ascii_case("OGC84") {
            return Self::epsg(4326);
        }
        match last.trim().parse() {
            Ok(code) => Self::epsg(code),
            Err(_) => Err(format!("\"{text}\" is not a coordinate system this program can read.")),
        }
    }

    fn from_wkt(text: &str) -> Result<Self, String> {
        let read = wkt::read(text)?;
        if let Some(code) = read.epsg
            && let Ok(crs) = Self::epsg(code)
        {
            return Ok(crs);
        }
        let proj = Proj::from_proj_string(&read.proj)
            .map_err(|e| format!("The coordinate system \"{}\" could not be set up ({e}).", read.name))?;
        Self::checked(read.name, proj, read.proj.contains("+towgs84"))
    }

    fn checked(name: String, proj: Proj, shift_given: bool) -> Result<Self, String> {
        if !shift_given && (proj.ellipse_parameters().0 - CLARKE_1866).abs() < 1.0 {
            return Err(format!(
                "{name} is on the old datum NAD 27, which needs a shift grid that is not built in; \
                 without it shapes would lie up to 100 m off."
            ));
        }
        Ok(Self { name, proj: Box::new(proj) })
    }

    /// Its name for people.
    pub fn name(&self) -> &str {
        &self.name
    }

    /// Longitude and latitude in degrees?
    pub fn is_geographic(&self) -> bool {
        self.proj.is_latlong()
    }

    /// Projected, with metres as its unit?
    pub fn is_metric(&self) -> bool {
        !self.is_geographic() && (self.proj.to_meter() - 1.0).abs() < 1e-12
    }

    /// Metres in one of its units (1 for degrees).
    pub fn metres_per_unit(&self) -> f64 {
        if self.is_geographic() { 1.0 } else { self.proj.to_meter() }
    }

    /// One position in another system; `None` where the projections do not reach.
    pub fn to(&self, other: &Self, x: f64, y: f64) -> Option<(f64, f64)> {
        let mut point = if self.is_geographic() { (x.to_radians(), y.to_radians(), 0.0) } else { (x, y, 0.0) };
        transform(&self.proj, &other.proj, &mut point).ok()?;
        let (x, y) =
            if other.is_geographic() { (point.0.to_degrees(), point.1.to_degrees()) } else { (point.0, point.1) };
        (x.is_finite() && y.is_finite()).then_some((x, y))
    }

    /// Longitude and latitude of a position, in degrees.
    pub fn lon_lat(&self, x: f64, y: f64) -> Option<(f64, f64)> {
        let geographic = Self::epsg(4326).ok()?;
        self.to(&geographic, x, y)
    }

    /// Could a city of the temperate zones lie there in this system? Latitude 15 to 75 degrees, and not
    /// farther from the projection's origin meridian than such a projection is used for.
    pub fn is_plausible(&self, x: f64, y: f64) -> bool {
        let Some((lon, lat)) = self.lon_lat(x, y) else { return false };
        (15.0..=75.0).contains(&lat.abs()) && self.is_near_origin(lon)
    }

    fn is_near_origin(&self, lon: f64) -> bool {
        let reach = match self.proj.projname() {
            "utm" | "tmerc" | "etmerc" => 6.0,
            "lcc" | "omerc" => 15.0,
            "aea" => 45.0,
            _ => return true,
        };
        let origin = self.proj.longitude_of_origin().to_degrees();
        (lon - origin + 540.0).rem_euclid(360.0) - 180.0 < reach
            && (origin - lon + 540.0).rem_euclid(360.0) - 180.0 < reach
    }
}
