//! GPX 1.1: the outline of each spray block and each pass as a track.

use gpx::{Gpx, GpxVersion, Track, TrackSegment, Waypoint};

use super::super::{LonLat, ToLonLat};
use super::{AreaToFly, LineToFly};

pub(super) fn write(areas: &[AreaToFly], lines: &[LineToFly], to: &ToLonLat) -> Result<Vec<u8>, String> {
    let outlines = areas.iter().map(|a| track(a.id.clone(), "spray block", to.shape(&a.shape).concat()));
    let passes = lines.iter().map(|l| track(format!("{} pass {}", l.block, l.number), "pass", to.lines(&l.stretches)));
    let file = Gpx {
        version: GpxVersion::Gpx11,
        creator: Some("crownhold".to_owned()),
        tracks: outlines.chain(passes).collect(),
        ..Gpx::default()
    };
    let mut out = Vec::new();
    gpx::write(&file, &mut out).map_err(|e| e.to_string())?;
    Ok(out)
}

fn track(name: String, kind: &str, parts: Vec<Vec<LonLat>>) -> Track {
    let point = |c: &LonLat| Waypoint::new(geo::Point::new(c[0], c[1]));
    let segments = parts.iter().map(|p| TrackSegment { points: p.iter().map(point).collect() }).collect();
    Track { name: Some(name), type_: Some(kind.to_owned()), segments, ..Track::default() }
}
