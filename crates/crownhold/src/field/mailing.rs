//! Whose address lies near what is flown: from the city's own list of addresses or parcels, which no record keeps.

use geo::{BoundingRect as _, Distance as _, Euclidean, Geometry, Intersects as _, Rect};

use crate::types::{Audience, BlockId, Length, Parameters, Records};

/// An address that is to be told.
#[derive(Clone, Debug, PartialEq)]
pub struct Told {
    /// Its place in the list that was given.
    pub address: usize,
    /// The flown block nearest to it.
    pub block: BlockId,
    /// How far from it; 0 inside.
    pub distance: Length,
}

/// How far from what is flown somebody is told.
pub fn notice_reach(audience: Audience, parameters: &Parameters) -> Length {
    let name = if audience == Audience::Residents { "notices.residents_near" } else { "notices.near" };
    Length::feet(parameters.number(name))
}

/// The addresses within reach of flown blocks, in the order of the list. `places` are points or outlines in the
/// programme's own system; one without a place is never within reach.
pub fn within_reach(
    records: &Records,
    flown: &[BlockId],
    places: &[Option<Geometry<f64>>],
    reach: Length,
) -> Vec<Told> {
    let blocks: Vec<(&BlockId, Geometry<f64>, Rect<f64>)> = records
        .blocks
        .iter()
        .filter(|b| flown.contains(&b.id))
        .filter_map(|b| Some((&b.id, b.shape.clone().into(), grown(b.shape.bounding_rect()?, reach.as_metres()))))
        .collect();
    let told = |(address, place): (usize, &Option<Geometry<f64>>)| {
        let place = place.as_ref()?;
        let bounds = place.bounding_rect()?;
        let candidates = blocks.iter().filter(|(.., near)| near.intersects(&bounds));
        let distances = candidates.map(|(id, shape, _)| (Euclidean.distance(place, shape), *id));
        let (metres, block) = distances.min_by(|a, b| a.0.total_cmp(&b.0).then_with(|| a.1.cmp(b.1)))?;
        (metres <= reach.as_metres()).then(|| Told { address, block: block.clone(), distance: Length::metres(metres) })
    };
    places.iter().enumerate().filter_map(told).collect()
}

fn grown(r: Rect<f64>, by: f64) -> Rect<f64> {
    let (min, max) = (r.min(), r.max());
    Rect::new((min.x - by, min.y - by), (max.x + by, max.y + by))
}

#[cfg(test)]
mod tests {
    use geo::{MultiPolygon, Point, polygon};

    use super::*;
    use crate::types::{Block, Programme, UnitSystem};

    fn city() -> Records {
        let programme =
            Programme { name: "T".into(), season: 2027, epsg: 32_616, units: UnitSystem::Metric, invented: true };
        let mut records = Records::empty(programme);
        for (id, x) in [("A", 0.0), ("B", 300.0), ("C", 2000.0)] {
            let square = polygon![(x: x, y: 0.0), (x: x + 100.0, y: 0.0), (x: x + 100.0, y: 100.0), (x: x, y: 100.0)];
            records.blocks.push(Block::bare(id, MultiPolygon(vec![square])));
        }
        records
    }

    #[test]
    fn inside_near_and_far() {
        let records = city();
        let flown: [BlockId; 2] = ["A".into(), "B".into()];
        let parcel = polygon![(x: 110.0, y: 0.0), (x: 150.0, y: 0.0), (x: 150.0, y: 40.0), (x: 110.0, y: 40.0)];
        let places = [
            Some(Geometry::Point(Point::new(50.0, 50.0))),
            None,
            Some(Geometry::Point(Point::new(2050.0, 50.0))),
            Some(Geometry::MultiPolygon(MultiPolygon(vec![parcel]))),
            Some(Geometry::Point(Point::new(260.0, 50.0))),
            Some(Geometry::Point(Point::new(450.1, 50.0))),
        ];
        let told = within_reach(&records, &flown, &places, Length::metres(50.0));
        let brief: Vec<_> = told.iter().map(|t| (t.address, t.block.as_str(), t.distance.as_metres())).collect();
        assert_eq!(brief, [(0, "A", 0.0), (3, "A", 10.0), (4, "B", 40.0)]);
        assert!(within_reach(&records, &[], &places, Length::metres(50.0)).is_empty());
    }

    #[test]
    fn residents_have_a_reach_of_their_own() {
        let p = Parameters::defaults();
        assert!(notice_reach(Audience::Residents, &p).as_metres() < notice_reach(Audience::School, &p).as_metres());
    }
}
