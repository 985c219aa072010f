//! Block labels: as much as fits, clear of no-spray areas where that can be had.

use crownhold::types::NoSprayArea;
use geo::{BoundingRect, Contains, InteriorPoint, Intersects, MultiPolygon, Point, Polygon, Rect, coord};

use super::MapBlock;
use super::frame::Frame;
use crate::palette::OptionStyle;
use crate::svg::{Anchor, Svg, TextStyle, text_width};

/// Places tried along each side of a block's extent.
const TRIED: u32 = 5;

/// Writes id and letters on a plate inside the block, in one line or two; or the letters alone, where they fit.
pub fn draw(svg: &mut Svg, frame: &Frame, b: &MapBlock<'_>, no_spray: &[NoSprayArea]) {
    let style = OptionStyle::of(b.bundle);
    let (shape, places) = (&b.block.shape, places(&b.block.shape));
    let near: Vec<&MultiPolygon<f64>> = no_spray.iter().map(|n| &n.shape).filter(|n| n.intersects(shape)).collect();
    let clear = |plate: &Polygon<f64>| !near.iter().any(|n| n.intersects(plate));
    let (with_id, alone) = tries(b.block.id.as_str(), &style.code);
    let middle = &places[..places.len().min(1)];
    // The id in the middle, else the id elsewhere, else the letters; over a no-spray area rather than not at all.
    for (avoid, tries, places) in [
        (true, &with_id, middle),
        (true, &with_id, places.as_slice()),
        (true, &alone, places.as_slice()),
        (false, &with_id, middle),
        (false, &alone, places.as_slice()),
    ] {
        for (lines, size) in tries {
            let extent = extent(lines, *size);
            let fits = |at: &&Point<f64>| {
                let plate = plate(**at, frame.ground(extent.0), frame.ground(extent.1));
                shape.contains(&plate) && (!avoid || clear(&plate))
            };
            if let Some(at) = places.iter().find(fits) {
                return write(svg, frame.point(at.x(), at.y()), &style, lines, *size);
            }
        }
    }
}

/// Lines of a label and their size.
type Try = (Vec<String>, f64);

/// Labels with the id, and letters alone, each best first.
fn tries(id: &str, code: &str) -> (Vec<Try>, Vec<Try>) {
    let both = vec![format!("{id} {code}")];
    let stacked = vec![id.to_owned(), code.to_owned()];
    let alone = vec![code.to_owned()];
    let with_id = vec![(both.clone(), 15.0), (both, 12.5), (stacked.clone(), 12.5), (stacked, 11.0)];
    (with_id, vec![(alone.clone(), 12.5), (alone, 10.5)])
}

/// Width and height of a plate, drawing units.
fn extent(lines: &[String], size: f64) -> (f64, f64) {
    let width = lines.iter().map(|l| text_width(l, size)).fold(0.0, f64::max);
    (width + 6.0, size * lines.len() as f64 + 2.0)
}

/// Places for a label: the middle of the shape, then others by their distance from it.
fn places(shape: &MultiPolygon<f64>) -> Vec<Point<f64>> {
    let (Some(middle), Some(around)) = (shape.interior_point(), shape.bounding_rect()) else { return Vec::new() };
    let step = |i: u32| f64::from(i + 1) / f64::from(TRIED + 1);
    let at = |i, k| Point::new(around.min().x + around.width() * step(i), around.min().y + around.height() * step(k));
    let mut places: Vec<Point<f64>> = (0..TRIED).flat_map(|i| (0..TRIED).map(move |k| at(i, k))).collect();
    places.push(middle);
    let far = |p: &Point<f64>| (p.x() - middle.x()).hypot(p.y() - middle.y());
    places.sort_by(|a, b| far(a).total_cmp(&far(b)));
    places
}

fn plate(at: Point<f64>, width: f64, height: f64) -> Polygon<f64> {
    Rect::new(
        coord! { x: at.x() - width / 2.0, y: at.y() - height / 2.0 },
        coord! { x: at.x() + width / 2.0, y: at.y() + height / 2.0 },
    )
    .to_polygon()
}

fn write(svg: &mut Svg, (x, y): (f64, f64), style: &OptionStyle, lines: &[String], size: f64) {
    let (width, height) = extent(lines, size);
    let (left, top) = (x - width / 2.0, y - height / 2.0);
    svg.rect((left, top), (width, height), &format!("rx=\"2\" fill=\"{}\"", style.fill));
    for (i, line) in lines.iter().enumerate() {
        let base = top + 1.0 + size * (i as f64 + 0.8);
        svg.text((x, base), TextStyle::new(size, style.ink).anchor(Anchor::Middle), line);
    }
}
