//! Places for a hand-held receiver or a telephone: waypoints as GPX 1.1.

use gpx::{Gpx, GpxVersion, Waypoint};

use super::LonLat;

/// A place with its name and what is to be done there.
#[derive(Clone, Debug, PartialEq)]
pub struct PlaceToGo {
    /// Short name, such as a plot's number.
    pub name: String,
    /// What is there.
    pub note: String,
    /// Kind, by which a device may sort.
    pub kind: String,
    /// Where.
    pub place: LonLat,
}

/// A GPX file of these places, in their order. The same places give the same bytes.
///
/// # Errors
/// What the writer says when a text cannot stand in XML.
pub fn places_to_gpx(places: &[PlaceToGo]) -> Result<Vec<u8>, String> {
    let waypoints = places.iter().map(|p| {
        let mut point = Waypoint::new(geo::Point::new(p.place[0], p.place[1]));
        point.name = Some(p.name.clone());
        point.description = Some(p.note.clone());
        point.type_ = Some(p.kind.clone());
        point
    });
    let file = Gpx {
        version: GpxVersion::Gpx11,
        creator: Some("crownhold".to_owned()),
        waypoints: waypoints.collect(),
        ..Gpx::default()
    };
    let mut out = Vec::new();
    gpx::write(&file, &mut out).map_err(|e| e.to_string())?;
    Ok(out)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    /// What is written is read back, text with signs of XML included.
    #[test]
    fn there_and_back() {
        let place = PlaceToGo {
            name: "P001".to_owned(),
            note: "block \"A<1>\" & more".to_owned(),
            kind: "plot".to_owned(),
            place: [-85.25, 42.5],
        };
        let bytes = places_to_gpx(std::slice::from_ref(&place)).unwrap();
        let read = gpx::read(bytes.as_slice()).unwrap();
        let point = &read.waypoints[0];
        assert_eq!((point.point().x(), point.point().y()), (-85.25, 42.5));
        assert_eq!((point.name.as_deref(), point.description.as_deref()), (Some("P001"), Some(place.note.as_str())));
    }
}
