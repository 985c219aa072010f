//! How one spray block is flown: its ground, what is kept off, and the passes.

use crownhold::field::aerial::Sheet as JobSheet;
use crownhold::types::{Length, UnitSystem};
use geo::{BoundingRect as _, Coord, LineString, MultiPolygon};

use super::SMALL;
use crate::sheet::Sheet;
use crate::svg::{Anchor, Svg, TextStyle, num};
use crate::wording::grouped;

const EDGE: f64 = 18.0;
const HEIGHT: f64 = 360.0;

/// North is up. Ground pale, no-spray ground hatched by its outline, passes as lines: open booms whole.
pub fn flight(job: &JobSheet, sheet: &Sheet<'_>) -> String {
    let (inks, width) = (sheet.inks, sheet.size.units());
    let mut svg = Svg::new(width, HEIGHT + 34.0);
    let Some(frame) = job.block.shape.bounding_rect() else {
        return svg.finish(sheet, "A spray block without ground");
    };
    let scale = ((width - 2.0 * EDGE) / frame.width().max(1.0)).min((HEIGHT - 2.0 * EDGE) / frame.height().max(1.0));
    let centre = frame.center();
    let at = |c: Coord<f64>| (width / 2.0 + (c.x - centre.x) * scale, HEIGHT / 2.0 - (c.y - centre.y) * scale);
    let ring = |line: &LineString<f64>| {
        let points: Vec<String> =
            line.coords().map(|c| at(*c)).map(|(x, y)| format!("{} {}", num(x), num(y))).collect();
        format!("M{}Z", points.join("L"))
    };
    let path = |shape: &MultiPolygon<f64>| {
        let rings = shape.iter().flat_map(|p| std::iter::once(p.exterior()).chain(p.interiors()));
        rings.map(ring).collect::<String>()
    };
    let ground =
        format!("fill=\"{}\" fill-rule=\"evenodd\" stroke=\"{}\" stroke-width=\"1.4\"", inks.accent_pale, inks.accent);
    svg.path(&path(&job.block.shape), &ground);
    if !job.block.kept_off.0.is_empty() {
        let kept = format!(
            "fill=\"{}\" fill-rule=\"evenodd\" stroke=\"{}\" stroke-width=\"1.6\" stroke-dasharray=\"5 3\"",
            inks.guard_pale, inks.guard
        );
        svg.path(&path(&job.block.kept_off), &kept);
    }
    for (a, b) in job.passes.iter().flat_map(|p| &p.sprayed) {
        svg.line(at(*a), at(*b), inks.ink, 1.0, "");
    }
    north(&mut svg, sheet, width);
    bar(&mut svg, sheet, scale);
    let told = format!(
        "{} passes at a heading of {:.0} degrees over {}.",
        job.passes.len(),
        job.heading,
        sheet.wording().area(job.area)
    );
    svg.finish_told(sheet, &format!("Spray block {}: ground and passes", job.block.id), &told)
}

fn north(svg: &mut Svg, sheet: &Sheet<'_>, width: f64) {
    let (x, ink) = (width - 18.0, sheet.inks.ink);
    svg.line((x, 34.0), (x, 12.0), ink, 1.6, "");
    svg.path(&format!("M{} 12L{} 19L{} 19Z", num(x), num(x - 4.0), num(x + 4.0)), &format!("fill=\"{ink}\""));
    svg.text((x, 48.0), TextStyle::new(SMALL, ink).anchor(Anchor::Middle), "N");
}

/// A round length at the foot.
fn bar(svg: &mut Svg, sheet: &Sheet<'_>, scale: f64) {
    let us = sheet.units == UnitSystem::Us;
    let (unit, name) = if us { (Length::feet(1.0).as_metres(), "ft") } else { (1.0, "m") };
    let lengths = [50.0, 100.0, 200.0, 500.0, 1000.0, 2000.0, 5000.0, 10_000.0];
    let longest = lengths.into_iter().rfind(|l| l * unit * scale <= 160.0).unwrap_or(lengths[0]);
    let (base, end) = (HEIGHT + 14.0, EDGE + longest * unit * scale);
    svg.line((EDGE, base), (end, base), sheet.inks.ink, 2.0, "");
    svg.text((end + 8.0, base + 4.0), TextStyle::new(SMALL, sheet.inks.ink), &format!("{} {name}", grouped(longest)));
}
