//! Polygons put right: closed, uncrossed, in ring order, without doubled points and empty parts.

use crownhold::types::{Area, Problem, UnitSystem};
use geo::orient::{Direction, Orient as _};
use geo::{
    Area as _, BooleanOps as _, BoundingRect as _, Intersects as _, MultiPolygon, RemoveRepeatedPoints as _,
    Validation as _,
};
use geo::{CoordsIter as _, unary_union};

use super::job::Job;

/// Parts below this area are left out as slivers, in square metres.
const SLIVER: f64 = 0.5;
/// Overlaps below this area are drawing inaccuracy and not told, in square metres.
const OVERLAP: f64 = 10.0;

/// An outline to be mended: what it belongs to, and where it stood.
pub(super) struct Outline<'o> {
    /// "block 12".
    pub item: &'o str,
    /// Row in the user's file.
    pub row: u64,
    /// Rings that were closed on reading.
    pub unclosed: usize,
}

/// An area in the programme's units, for messages.
pub(super) fn spoken(job: &Job<'_>, square_metres: f64) -> String {
    let area = Area::square_metres(square_metres);
    match job.draft.programme.units {
        UnitSystem::Us => format!("{:.2} acres", area.as_acres()),
        UnitSystem::Metric => format!("{:.3} ha", area.as_hectares()),
    }
}

/// Mends an outline in metres; `None` after an error was noted.
pub(super) fn mend(job: &mut Job<'_>, shape: &MultiPolygon<f64>, about: &Outline<'_>) -> Option<MultiPolygon<f64>> {
    if about.unclosed > 0 {
        let what = format!("Rings that did not end where they began: {}.", about.unclosed);
        job.note(Problem::repaired("I-402", what, "They were closed.").row(about.row).item(about.item));
    }
    if shape.coords_count() == 0 {
        let what = "The shape is empty.";
        job.note(Problem::error("I-406", what, "Draw it again or take the row out.").row(about.row).item(about.item));
        return None;
    }
    let thinned = shape.remove_repeated_points();
    let whole = uncross(job, &thinned, about);
    let kept = without_slivers(job, whole, about);
    if kept.0.is_empty() {
        let what = "The shape has no area.";
        job.note(Problem::error("I-406", what, "Draw it again or take the row out.").row(about.row).item(about.item));
        return None;
    }
    Some(kept.orient(Direction::Default))
}

/// Each polygon by the even-odd rule (what a crossing outline most plausibly encloses), then all parts
/// together as their union, so that parts drawn over each other do not cancel.
fn uncross(job: &mut Job<'_>, shape: &MultiPolygon<f64>, about: &Outline<'_>) -> MultiPolygon<f64> {
    let oriented = shape.orient(Direction::Default);
    let Err(why) = oriented.check_validation() else { return oriented };
    let parts: Vec<MultiPolygon<f64>> =
        shape.0.iter().map(|p| MultiPolygon(vec![p.clone()]).union(&MultiPolygon::<f64>(Vec::new()))).collect();
    let mended = unary_union(&parts);
    let (before, after) = (spoken(job, shape.unsigned_area()), spoken(job, mended.unsigned_area()));
    let what = format!("The outline is not a valid polygon: {why}.");
    let remedy = format!("It was redrawn by the even-odd rule: {before} before, {after} after. Look at it on the map.");
    job.note(Problem::repaired("I-403", what, remedy).row(about.row).item(about.item));
    mended
}

fn without_slivers(job: &mut Job<'_>, shape: MultiPolygon<f64>, about: &Outline<'_>) -> MultiPolygon<f64> {
    let all = shape.0.len();
    let kept: Vec<_> = shape.0.into_iter().filter(|p| p.unsigned_area() >= SLIVER).collect();
    if kept.len() < all && !kept.is_empty() {
        let what = format!("{} of {all} parts have next to no area.", all - kept.len());
        job.note(Problem::repaired("I-405", what, "They were left out.").row(about.row).item(about.item));
    }
    MultiPolygon(kept)
}

/// By how many square metres a shape overlaps each of some others, by their names; next to nothing is left out.
pub fn overlaps<'s, N>(
    shape: &MultiPolygon<f64>,
    others: impl IntoIterator<Item = (N, &'s MultiPolygon<f64>)>,
) -> Vec<(N, f64)> {
    let bounds = shape.bounding_rect();
    others
        .into_iter()
        .filter(|(_, other)| bounds.zip(other.bounding_rect()).is_some_and(|(a, b)| a.intersects(&b)))
        .map(|(name, other)| (name, shape.intersection(other).unsigned_area()))
        .filter(|(_, area)| *area > OVERLAP)
        .collect()
}

/// Notes every pair of outlines that overlap.
pub(super) fn note_overlaps(job: &mut Job<'_>, outlines: &[(String, &MultiPolygon<f64>)]) {
    let boxes: Vec<_> = outlines.iter().map(|(_, s)| s.bounding_rect()).collect();
    for (i, (one, shape)) in outlines.iter().enumerate() {
        for (j, (other, second)) in outlines.iter().enumerate().skip(i + 1) {
            let near = boxes[i].zip(boxes[j]).is_some_and(|(a, b)| a.intersects(&b));
            if !near {
                continue;
            }
            let area = shape.intersection(*second).unsigned_area();
            if area > OVERLAP {
                let what = format!("{one} and {other} overlap by {}.", spoken(job, area));
                let remedy = "The ground there counts twice; mend it in the map program if that matters.";
                job.note(Problem::notice("I-407", what, remedy).item(one.as_str()));
            }
        }
    }
}
