//! A flying job as files for those who fly it: GeoJSON, KML and GPX in longitude and latitude (WGS 84), and
//! shapefiles in the programme's own system. The same job gives the same bytes.

mod geo_json;
mod gpx_tracks;
pub(crate) mod kml_file;
pub(crate) mod shape_files;

use crownhold::types::Problem;
use geo::{MultiLineString, MultiPolygon};

use super::ToLonLat;

/// A spray block.
#[derive(Clone, Debug, PartialEq)]
pub struct AreaToFly {
    /// Short id, such as S1.
    pub id: String,
    /// The city's blocks in it.
    pub blocks: String,
    /// Acres to be sprayed.
    pub acres: f64,
    /// Applications.
    pub flights: u32,
    /// Degrees clockwise from grid north.
    pub heading: f64,
    /// Ground to be sprayed.
    pub shape: MultiPolygon<f64>,
}

/// One pass.
#[derive(Clone, Debug, PartialEq)]
pub struct LineToFly {
    /// Spray block.
    pub block: String,
    /// Number in flying order, from 1.
    pub number: u32,
    /// Stretches with open booms, in the direction of flight.
    pub stretches: MultiLineString<f64>,
}

/// A file to be written: its name and its bytes.
pub type NamedFile = (String, Vec<u8>);

/// Every file of a job.
///
/// # Errors
/// When the programme's system is not known, or a text cannot stand in one of the formats.
pub fn files_to_fly(areas: &[AreaToFly], lines: &[LineToFly], epsg: u32) -> Result<Vec<NamedFile>, Vec<Problem>> {
    let to = ToLonLat::new(epsg)?;
    let fault = |what: String| vec![Problem::error("A-002", what, "")];
    let mut files = vec![
        ("spray-blocks.geojson".to_owned(), geo_json::areas(areas, &to)),
        ("passes.geojson".to_owned(), geo_json::lines(lines, &to)),
        ("aerial-job.kml".to_owned(), kml_file::write(areas, lines, &to).map_err(fault)?),
        ("aerial-job.gpx".to_owned(), gpx_tracks::write(areas, lines, &to).map_err(fault)?),
    ];
    files.extend(shape_files::write(areas, lines, epsg).map_err(fault)?);
    Ok(files)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use geo::{BooleanOps as _, LineString, Rect, coord};

    /// The same job gives the same bytes; marks of XML and accents stay what they are.
    #[test]
    fn every_file() {
        let square = |x: f64, w: f64| {
            let (low, high) = (coord! { x: x, y: 4_690_000.0 + x / 1e6 }, coord! { x: x + w, y: 4_690_000.0 + w });
            MultiPolygon(vec![Rect::new(low, high).to_polygon()])
        };
        let pond =
            |x: f64| Rect::new(coord! { x: x, y: 4_690_100.0 }, coord! { x: x + 50.0, y: 4_690_150.0 }).to_polygon();
        let ponds = MultiPolygon(vec![pond(600_100.0), pond(600_200.0)]);
        let area = AreaToFly {
            id: "S1".into(),
            blocks: "A<1> & Béla".into(),
            acres: 12.5,
            flights: 1,
            heading: 90.0,
            shape: square(600_000.0, 400.0).difference(&ponds),
        };
        let line = LineToFly {
            block: "S1".into(),
            number: 1,
            stretches: MultiLineString(vec![LineString::from(vec![
                (600_000.0, 4_690_010.0),
                (600_400.0, 4_690_010.0),
            ])]),
        };
        let made = files_to_fly(std::slice::from_ref(&area), std::slice::from_ref(&line), 32616).unwrap();
        assert_eq!(made, files_to_fly(&[area], &[line], 32616).unwrap());
        assert_eq!(made.len(), 14);
        let text = |name: &str| String::from_utf8_lossy(&made.iter().find(|f| f.0 == name).unwrap().1).into_owned();
        assert_eq!(text("aerial-job.kml").matches("<innerBoundaryIs>").count(), 2, "a boundary for each pond");
        assert!(text("aerial-job.kml").contains("A&lt;1&gt; &amp; Béla"));
        assert!(text("spray-blocks.geojson").contains("\"A<1> & Béla\""));
        assert!(text("passes.prj").contains("UTM zone 16N"));
    }
}
