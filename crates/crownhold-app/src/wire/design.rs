//! `design --json`.

use crownhold_data::formats::ToLonLat;
use serde::Serialize;

use super::{ProblemJson, problems, round};
use crate::actions::design::Design;

/// A design: strata and places.
#[derive(Serialize, Debug)]
pub struct DesignJson {
    plot_square_metres: f64,
    relative_standard_error: Option<f64>,
    plots_per_block: Option<usize>,
    strata: Vec<StratumJson>,
    places: Vec<PlaceJson>,
    notes: Vec<ProblemJson>,
}

#[derive(Serialize, Debug)]
struct StratumJson {
    id: String,
    blocks: usize,
    area_hectares: f64,
    expected_per_acre: f64,
    known_blocks: usize,
    plots: usize,
    placed: usize,
}

#[derive(Serialize, Debug)]
struct PlaceJson {
    id: String,
    block: String,
    stratum: String,
    replacement: bool,
    easting: f64,
    northing: f64,
    longitude: Option<f64>,
    latitude: Option<f64>,
}

impl DesignJson {
    /// Twin of a design.
    pub fn new(design: &Design, to: &ToLonLat) -> Self {
        let strata = design.strata.iter().map(|s| StratumJson {
            id: s.id.to_string(),
            blocks: s.blocks,
            area_hectares: round(s.area.as_hectares()),
            expected_per_acre: round(s.expected.as_per_acre()),
            known_blocks: s.known_blocks,
            plots: s.plots,
            placed: s.placed,
        });
        let places = design.places.iter().map(|p| {
            let at = to.place(p.place);
            PlaceJson {
                id: p.id.clone(),
                block: p.block.to_string(),
                stratum: p.stratum.to_string(),
                replacement: p.replacement,
                easting: round(p.place.x()),
                northing: round(p.place.y()),
                longitude: at.map(|a| round(a[0])),
                latitude: at.map(|a| round(a[1])),
            }
        });
        Self {
            plot_square_metres: round(design.plot.as_square_metres()),
            relative_standard_error: design.precision.map(round),
            plots_per_block: design.per_block,
            strata: strata.collect(),
            places: places.collect(),
            notes: problems(&design.notes),
        }
    }
}
