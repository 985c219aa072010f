//! What the map in the browser draws: the city, its trees and a plan as JSON in WGS 84, longitude before latitude.
//!
//! Figures that a person reads come as texts in the programme's units; figures that the browser classes or
//! interpolates come as numbers. Absent on purpose: colours of classes (the page's theme has them) and any
//! domain logic.

mod city;
mod plan;
mod squares;
mod trees;

pub use city::{CityFeed, city};
pub use plan::{PlanFeed, plan};
pub use squares::{SquaresFeed, squares};
pub use trees::{TreesFeed, trees};

use crownhold::types::{Problem, Records};
use crownhold_data::formats::crs::Crs;
use geo::{Coord, LineString, MultiPolygon};

use crate::trouble::Trouble;
use crate::wire::round;

/// A position, degrees: longitude, latitude.
type Position = [f64; 2];

/// From the programme's system to longitude and latitude.
struct Globe {
    from: Crs,
    to: Crs,
}

impl Globe {
    fn of(records: &Records) -> Result<Self, Trouble> {
        let known = |code| Crs::epsg(code).map_err(|why| Trouble::one(unknown_system(why)));
        Ok(Self { from: known(records.programme.epsg)?, to: known(4326)? })
    }

    /// Six decimals are about a decimetre.
    fn position(&self, x: f64, y: f64) -> Result<Position, Trouble> {
        let (lon, lat) = self.from.to(&self.to, x, y).ok_or_else(|| Trouble::one(out_of_reach(x, y)))?;
        Ok([round(lon), round(lat)])
    }

    fn ring(&self, ring: &LineString<f64>) -> Result<Vec<Position>, Trouble> {
        ring.coords().map(|Coord { x, y }| self.position(*x, *y)).collect()
    }

    /// The coordinates of a GeoJSON MultiPolygon.
    fn shape(&self, shape: &MultiPolygon<f64>) -> Result<Vec<Vec<Vec<Position>>>, Trouble> {
        let rings = |polygon: &geo::Polygon<f64>| {
            std::iter::once(polygon.exterior()).chain(polygon.interiors()).map(|r| self.ring(r)).collect()
        };
        shape.iter().map(rings).collect()
    }
}

fn unknown_system(why: String) -> Problem {
    Problem::error("A-010", why, "Set the programme's coordinate system to a projected EPSG system in metres.")
}

fn out_of_reach(x: f64, y: f64) -> Problem {
    Problem::error(
        "A-012",
        format!("The point {x:.0}, {y:.0} has no place on the globe in the programme's coordinate system."),
        "Check the coordinate system of the programme, and the shapes that were imported.",
    )
}

#[cfg(test)]
mod tests;
