//! The trees of the inventory as columns: 12,000 points are too many for one object each.

use crownhold::types::{HostClass, Records};
use serde::Serialize;

use super::Globe;
use crate::trouble::Trouble;

/// Words of the class codes, by position; the last is for species that the table does not have.
const CLASSES: [&str; 4] = ["susceptible", "resistant", "immune", "not known"];

/// All trees.
#[derive(Serialize, Debug)]
pub struct TreesFeed {
    classes: [&'static str; 4],
    lon: Vec<f64>,
    lat: Vec<f64>,
    /// Position in `classes`.
    class: Vec<u8>,
}

/// The trees in the order of the records.
///
/// # Errors
/// When a place cannot be brought to longitude and latitude.
pub fn trees(records: &Records) -> Result<TreesFeed, Trouble> {
    let globe = Globe::of(records)?;
    let count = records.trees.len();
    let mut feed = TreesFeed {
        classes: CLASSES,
        lon: Vec::with_capacity(count),
        lat: Vec::with_capacity(count),
        class: Vec::with_capacity(count),
    };
    for tree in &records.trees {
        let [lon, lat] = globe.position(tree.place.x(), tree.place.y())?;
        feed.lon.push(lon);
        feed.lat.push(lat);
        feed.class.push(code(tree.class));
    }
    Ok(feed)
}

fn code(class: Option<HostClass>) -> u8 {
    match class {
        Some(HostClass::Susceptible) => 0,
        Some(HostClass::Resistant) => 1,
        Some(HostClass::Immune) => 2,
        None => 3,
    }
}
