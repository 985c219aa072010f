//! Records for tests of which only what a test is about is known.

use geo::MultiPolygon;

use super::{Block, Consent, LandUse, Ownership};

impl Block {
    /// A block of which only the outline is known.
    pub(crate) fn bare(id: &str, shape: MultiPolygon<f64>) -> Self {
        Self {
            id: id.into(),
            name: id.to_owned(),
            shape,
            land_use: LandUse::Park,
            canopy: None,
            hosts: None,
            dwellings: None,
            ownership: Ownership::Public,
            consent: Consent::NotNeeded,
            stratum: None,
            neighbourhood: None,
            elevation: None,
            built_up: None,
            survey_closed: None,
        }
    }
}
