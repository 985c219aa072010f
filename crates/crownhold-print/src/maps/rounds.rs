//! Rounds on the ground: each way as a line from tree to tree, with its number where it begins.

use crownhold::types::{Block, Street};
use geo::{LineString, Point};

use super::{empty, frame, frame::Frame};
use crate::sheet::Sheet;
use crate::svg::{Anchor, Svg, TextStyle, num};

/// A round as the map draws it.
#[derive(Clone, Debug)]
pub struct RoundWay {
    /// Its number in the list beside the map.
    pub number: usize,
    /// Trees in order.
    pub trees: Vec<Point<f64>>,
}

/// What lies under the rounds.
#[derive(Clone, Copy, Debug)]
pub struct RoundGround<'a> {
    /// Blocks that are filled.
    pub held: &'a [&'a Block],
    /// Blocks drawn by their edge.
    pub around: &'a [&'a Block],
    /// Streets, as far as they lie on the map.
    pub streets: &'a [Street],
}

/// Ways of some rounds. Every other one is dashed, so that ways that cross can be told apart without colour.
pub fn rounds_map(ground: RoundGround<'_>, ways: &[RoundWay], title: &str, sheet: &Sheet<'_>) -> String {
    const DOT: f64 = 3.0;
    let inks = sheet.inks;
    let RoundGround { held, around, streets } = ground;
    let Some(frame) = Frame::around(around.iter().chain(held).map(|b| &b.shape)) else { return empty(title, sheet) };
    let mut svg = Svg::new(frame::WIDTH, frame.height());
    for (blocks, fill) in [(around, "none"), (held, inks.accent_pale)] {
        for block in blocks {
            let paint = format!("fill=\"{fill}\" fill-rule=\"evenodd\" stroke=\"{}\" stroke-width=\"1\"", inks.soft);
            svg.path(&frame.path(&block.shape), &paint);
        }
    }
    let lines = streets.iter().flat_map(|s| &s.lines.0).filter_map(|line| on_the_map(line, &frame));
    let path: Vec<String> = lines.collect();
    if !path.is_empty() {
        svg.path(
            &path.concat(),
            &format!("fill=\"none\" stroke=\"{}\" stroke-width=\"1\" stroke-opacity=\"0.6\"", inks.soft),
        );
    }
    for way in ways {
        let points: Vec<(f64, f64)> = way.trees.iter().map(|p| frame.point(p.x(), p.y())).collect();
        let dash = if way.number % 2 == 0 { " stroke-dasharray=\"7 4\"" } else { "" };
        let line: Vec<String> = points.iter().map(|(x, y)| format!("{} {}", num(*x), num(*y))).collect();
        let paint = format!("fill=\"none\" stroke=\"{}\" stroke-width=\"2\" stroke-linejoin=\"round\"{dash}", inks.ink);
        svg.path(&format!("M{}", line.join("L")), &paint);
        for (x, y) in &points {
            svg.raw(&format!("<circle cx=\"{}\" cy=\"{}\" r=\"{DOT}\" fill=\"{}\"/>", num(*x), num(*y), inks.accent));
        }
    }
    // Numbers last, so that no way hides one.
    for way in ways {
        let Some(first) = way.trees.first() else { continue };
        let (x, y) = frame.point(first.x(), first.y());
        svg.raw(&format!(
            "<circle cx=\"{}\" cy=\"{}\" r=\"15\" fill=\"{}\" stroke=\"{}\" stroke-width=\"2\"/>",
            num(x),
            num(y),
            inks.paper,
            inks.ink
        ));
        let style = TextStyle::new(18.0, inks.ink).bold().anchor(Anchor::Middle);
        svg.text((x, y + 6.0), style, &way.number.to_string());
    }
    frame.north(&mut svg, inks);
    frame.scale_bar(&mut svg, inks, sheet.units);
    let trees: usize = ways.iter().map(|w| w.trees.len()).sum();
    svg.finish_told(sheet, title, &format!("{} rounds to {trees} trees; the list beside it names them.", ways.len()))
}

/// A line as a path; none where it cannot touch the map.
fn on_the_map(line: &LineString<f64>, frame: &Frame) -> Option<String> {
    let points: Vec<(f64, f64)> = line.coords().map(|c| frame.point(c.x, c.y)).collect();
    let spans = |of: fn(&(f64, f64)) -> f64, end: f64| {
        points.iter().any(|p| of(p) >= 0.0) && points.iter().any(|p| of(p) <= end)
    };
    let words: Vec<String> = points.iter().map(|(x, y)| format!("{} {}", num(*x), num(*y))).collect();
    (spans(|p| p.0, frame::WIDTH) && spans(|p| p.1, frame.height())).then(|| format!("M{}", words.join("L")))
}
