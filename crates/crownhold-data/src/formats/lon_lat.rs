//! Shapes and places as a map on a screen has them, longitude and latitude on WGS 84, to the programme's own
//! system and back.

use crownhold::types::{Block, BlockId, Problem, Programme, Records};
use geo::{Coord, LineString, MultiLineString, MultiPolygon, Point};
use serde_json::{Value, json};

use super::crs::Crs;
use super::job::Job;
use super::report::Kind;
use super::trees::Finder;
use super::{Wishes, geojson, places};

/// What a drawn shape is called in messages.
const DRAWN: &str = "the drawn shape";

/// An outline from GeoJSON text (a polygon or multipolygon, or a feature with one), mended as an import mends it.
/// `near` are the blocks that are there: a shape far from all of them is refused. Gives the repairs beside the shape.
///
/// # Errors
/// Every problem, when there is no usable outline in it.
pub fn shape_from_lon_lat(
    text: &str,
    programme: &Programme,
    near: &[Block],
) -> Result<(MultiPolygon<f64>, Vec<Problem>), Vec<Problem>> {
    let records = Records { blocks: near.to_vec(), ..Records::empty(programme.clone()) };
    let wishes = Wishes::default();
    let mut job = Job::new(Kind::NoSpray, "", &wishes, &records);
    let shapes = match feature(text) {
        Ok(text) => geojson::read(&mut job, &text).and_then(|t| places::outlines(&mut job, &t, |_| DRAWN.to_owned())),
        Err(problems) => return Err(problems),
    };
    let problems: Vec<Problem> = job.report.problems.into_iter().map(of_a_drawing).collect();
    match shapes.and_then(|s| s.into_iter().next().flatten()) {
        Some(shape) if !problems.iter().any(Problem::is_error) => Ok((shape, problems)),
        _ => Err(problems),
    }
}

/// The text of one feature around whatever form the shape came in.
fn feature(text: &str) -> Result<String, Vec<Problem>> {
    let refuse = |what: String| {
        let problem = Problem::error("I-108", what, "Draw the shape again.");
        Err(vec![problem.expected("a GeoJSON polygon or multipolygon")])
    };
    let value: Value = match serde_json::from_str(text) {
        Ok(value) => value,
        Err(e) => return refuse(format!("The shape is not whole JSON: {e}.")),
    };
    let geometry = match (value["type"].as_str(), value["features"].as_array()) {
        (Some("Feature"), _) => value["geometry"].clone(),
        (Some("FeatureCollection"), Some(all)) if all.len() == 1 => all[0]["geometry"].clone(),
        (Some("FeatureCollection"), all) => {
            return refuse(format!("There are {} shapes, and one is needed.", all.map_or(0, Vec::len)));
        }
        _ => value,
    };
    Ok(json!({ "type": "Feature", "properties": {}, "geometry": geometry }).to_string())
}

/// A drawing has no file and no rows, and nobody can name its system.
fn of_a_drawing(mut problem: Problem) -> Problem {
    problem.place.file = None;
    problem.place.row = None;
    match problem.code {
        "I-307" | "I-309" if problem.is_error() => "Draw it where the programme lies.".clone_into(&mut problem.remedy),
        "I-308" | "I-406" => "Draw it again.".clone_into(&mut problem.remedy),
        "I-401" => {
            problem = Problem::error("I-401", "A point or a line was drawn.", "Draw the outline of an area.");
        }
        _ => {}
    }
    problem
}

/// A place from longitude and latitude in degrees, in the programme's system.
///
/// # Errors
/// When there is no such place, or it lies where the programme's system is not used.
pub fn place_from_lon_lat(lon: f64, lat: f64, epsg: u32) -> Result<Point<f64>, Vec<Problem>> {
    let own = own(epsg)?;
    let there = (lon.abs() <= 180.0 && lat.abs() <= 90.0).then(|| Crs::epsg(4326).ok()?.to(&own, lon, lat)).flatten();
    match there.filter(|(x, y)| own.is_plausible(*x, *y)) {
        Some((x, y)) => Ok(Point::new(x, y)),
        None => {
            let what = format!("Longitude {lon}, latitude {lat} does not lie where {} is used.", own.name());
            Err(vec![Problem::error("I-307", what, "Give longitude first, then latitude, in degrees.")])
        }
    }
}

fn own(epsg: u32) -> Result<Crs, Vec<Problem>> {
    Crs::epsg(epsg)
        .map_err(|why| vec![Problem::error("I-301", why, "Give the programme a projected system in metres.")])
}

/// The block at a place, if there is one.
pub fn block_at(blocks: &[Block], place: Point<f64>) -> Option<BlockId> {
    Finder::new(blocks).block_at(place)
}

/// From the programme's system to longitude and latitude. Made once, it serves for any number of shapes.
#[derive(Clone, Debug)]
pub struct ToLonLat {
    own: Crs,
    geographic: Crs,
}

/// Longitude and latitude, degrees.
pub type LonLat = [f64; 2];

impl ToLonLat {
    /// For a programme kept in this system.
    ///
    /// # Errors
    /// When the system is not known.
    pub fn new(epsg: u32) -> Result<Self, Vec<Problem>> {
        Ok(Self { own: own(epsg)?, geographic: own(4326)? })
    }

    /// One place; `None` where the projection does not reach.
    pub fn place(&self, place: Point<f64>) -> Option<LonLat> {
        self.coord(place.0)
    }

    /// A shape as the coordinates of a GeoJSON multipolygon: parts, their rings (outer one first), their corners.
    /// Corners that the projection does not reach are left out.
    pub fn shape(&self, shape: &MultiPolygon<f64>) -> Vec<Vec<Vec<LonLat>>> {
        let ring = |r: &LineString<f64>| r.0.iter().filter_map(|c| self.coord(*c)).collect();
        shape.0.iter().map(|p| std::iter::once(p.exterior()).chain(p.interiors()).map(ring).collect()).collect()
    }

    /// Lines as the coordinates of a GeoJSON multi-line: their parts and corners.
    pub fn lines(&self, lines: &MultiLineString<f64>) -> Vec<Vec<LonLat>> {
        lines.0.iter().map(|l| l.0.iter().filter_map(|c| self.coord(*c)).collect()).collect()
    }

    fn coord(&self, at: Coord<f64>) -> Option<LonLat> {
        self.own.to(&self.geographic, at.x, at.y).map(|(lon, lat)| [lon, lat])
    }
}

/// The parts, rings and corners of one shape; see [`ToLonLat`] for many.
///
/// # Errors
/// When the system is not known.
pub fn to_lon_lat(shape: &MultiPolygon<f64>, epsg: u32) -> Result<Vec<Vec<Vec<LonLat>>>, Vec<Problem>> {
    Ok(ToLonLat::new(epsg)?.shape(shape))
}
