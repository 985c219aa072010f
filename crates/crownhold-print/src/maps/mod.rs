//! Maps as SVG. Grid north is up; one scale in both directions.

mod frame;
mod labels;
mod legend;
mod rounds;

use std::collections::BTreeMap;

use crownhold::tactics::Bundle;
use crownhold::types::{Block, BlockId, NoSprayArea};

use geo::{Centroid as _, Point};

use crate::palette::{OptionStyle, no_spray_pattern};
use crate::sheet::Sheet;
use crate::svg::{Anchor, Svg, TextStyle, escape, num};
use frame::Frame;

pub use rounds::{RoundGround, RoundWay, rounds_map};

/// One block with the option that is shown for it.
#[derive(Clone, Copy, Debug)]
pub struct MapBlock<'a> {
    /// Block.
    pub block: &'a Block,
    /// Option.
    pub bundle: &'a Bundle,
}

/// Every block as a link, one of them marked: to find a place by eye. The links lie outside the order of the keyboard
/// and are hidden from screen readers; a list of the same places must stand beside the drawing.
pub fn place_map(
    blocks: &[Block],
    here: Option<&BlockId>,
    href: impl Fn(&Block) -> String,
    title: &str,
    sheet: &Sheet<'_>,
) -> String {
    let inks = sheet.inks;
    let Some(frame) = Frame::around(blocks.iter().map(|b| &b.shape)) else { return empty(title, sheet) };
    let mut svg = Svg::new(frame::WIDTH, frame.height());
    svg.raw("<g aria-hidden=\"true\">");
    for block in blocks {
        let (fill, width) = if here == Some(&block.id) { (inks.accent, 3) } else { (inks.accent_pale, 1) };
        svg.raw(&format!(
            "<a href=\"{}\" tabindex=\"-1\"><title>{}</title>",
            escape(&href(block)),
            escape(&block.name)
        ));
        let paint = format!("fill=\"{fill}\" fill-rule=\"evenodd\" stroke=\"{}\" stroke-width=\"{width}\"", inks.ink);
        svg.path(&frame.path(&block.shape), &paint);
        svg.raw("</a>");
    }
    for (name, at) in neighbourhoods(blocks, &frame) {
        let style = TextStyle::new(24.0, inks.ink).bold().anchor(Anchor::Middle);
        svg.raw(&format!("<g class=\"over\" stroke=\"{}\" stroke-width=\"5\" paint-order=\"stroke\">", inks.paper));
        svg.text(at, style, name);
        svg.raw("</g>");
    }
    svg.raw("</g>");
    svg.finish_linked(sheet, title, "")
}

/// What is known of a plot on a map.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PlotMark {
    /// To be counted.
    Wanted,
    /// To be counted only when another one cannot be.
    Replacement,
    /// Counted.
    Counted,
}

/// Plots on their blocks: full dots are to be counted, rings are replacements, crosses were counted.
pub fn plot_map(blocks: &[Block], plots: &[(Point<f64>, PlotMark)], title: &str, sheet: &Sheet<'_>) -> String {
    const REACH: f64 = 6.0;
    let inks = sheet.inks;
    let Some(frame) = Frame::around(blocks.iter().map(|b| &b.shape)) else { return empty(title, sheet) };
    let mut svg = Svg::new(frame::WIDTH, frame.height());
    for block in blocks {
        let paint =
            format!("fill=\"{}\" fill-rule=\"evenodd\" stroke=\"{}\" stroke-width=\"1\"", inks.accent_pale, inks.soft);
        svg.path(&frame.path(&block.shape), &paint);
    }
    for (place, mark) in plots {
        let (x, y) = frame.point(place.x(), place.y());
        let circle = |fill: &str| {
            format!(
                "<circle cx=\"{}\" cy=\"{}\" r=\"{REACH}\" fill=\"{fill}\" stroke=\"{}\" stroke-width=\"2\"/>",
                num(x),
                num(y),
                inks.ink
            )
        };
        match mark {
            PlotMark::Wanted => svg.raw(&circle(inks.ink)),
            PlotMark::Replacement => svg.raw(&circle("none")),
            PlotMark::Counted => {
                svg.line((x - REACH, y - REACH), (x + REACH, y + REACH), inks.ink, 2.0, "none");
                svg.line((x - REACH, y + REACH), (x + REACH, y - REACH), inks.ink, 2.0, "none");
            }
        }
    }
    frame.north(&mut svg, inks);
    frame.scale_bar(&mut svg, inks, sheet.units);
    svg.finish(sheet, title)
}

/// Names of neighbourhoods in the middle of their blocks.
fn neighbourhoods<'a>(blocks: &'a [Block], frame: &Frame) -> BTreeMap<&'a str, (f64, f64)> {
    let mut sums: BTreeMap<&str, (f64, f64, f64)> = BTreeMap::new();
    for block in blocks {
        let (Some(name), Some(centre)) = (block.neighbourhood.as_deref(), block.shape.centroid()) else { continue };
        let sum = sums.entry(name).or_default();
        *sum = (sum.0 + centre.x(), sum.1 + centre.y(), sum.2 + 1.0);
    }
    sums.into_iter().map(|(name, (x, y, n))| (name, frame.point(x / n, y / n))).collect()
}

/// Name of the no-spray pattern inside a drawing.
fn no_spray_id(sheet: &Sheet<'_>) -> String {
    format!("{}-no-spray", sheet.id)
}

/// Blocks by option: tone, pattern and letters; no-spray areas cross-hatched; legend, scale bar, grid north.
///
/// Labels stand where they fit: block id and option letters, or the letters alone, or nothing.
/// No-spray areas are drawn without their buffers. Always wide.
pub fn option_map(blocks: &[MapBlock<'_>], no_spray: &[NoSprayArea], title: &str, sheet: &Sheet<'_>) -> String {
    let inks = sheet.inks;
    let shapes = blocks.iter().map(|b| &b.block.shape).chain(no_spray.iter().map(|n| &n.shape));
    let Some(frame) = Frame::around(shapes) else { return empty(title, sheet) };
    let classes = legend::classes(blocks);
    let height = frame.height() + legend::height(&classes, !no_spray.is_empty());
    let mut svg = Svg::new(frame::WIDTH, height);
    definitions(&mut svg, &classes, sheet);
    for b in blocks {
        draw_block(&mut svg, &frame, b, sheet);
    }
    for area in no_spray {
        let d = frame.path(&area.shape);
        let outline = |ink: &str, width: f64, dash: &str| {
            format!(
                "fill=\"none\" stroke=\"{ink}\" stroke-width=\"{width}\" stroke-dasharray=\"{dash}\" stroke-linejoin=\"round\""
            )
        };
        svg.path(&d, &format!("fill=\"url(#{})\" fill-rule=\"evenodd\"", no_spray_id(sheet)));
        svg.path(&d, &outline(inks.paper, 3.2, "none"));
        svg.path(&d, &outline(inks.guard, 1.6, "5 2.5"));
    }
    for b in blocks {
        labels::draw(&mut svg, &frame, b, no_spray);
    }
    frame.north(&mut svg, inks);
    frame.scale_bar(&mut svg, inks, sheet.units);
    legend::draw(&mut svg, &classes, !no_spray.is_empty(), frame.height(), sheet);
    svg.finish(sheet, title)
}

fn empty(title: &str, sheet: &Sheet<'_>) -> String {
    let mut svg = Svg::new(frame::WIDTH, 80.0);
    svg.text(
        (frame::WIDTH / 2.0, 48.0),
        TextStyle::new(20.0, sheet.inks.soft).anchor(Anchor::Middle),
        "No blocks to draw yet.",
    );
    svg.finish(sheet, title)
}

fn definitions(svg: &mut Svg, classes: &[legend::Class], sheet: &Sheet<'_>) {
    let mut patterns: Vec<String> = classes.iter().flat_map(|c| c.style.pattern_definitions(sheet.id)).collect();
    patterns.sort();
    patterns.dedup();
    patterns.push(no_spray_pattern(sheet.inks, &no_spray_id(sheet)));
    svg.raw(&format!("<defs>{}</defs>", patterns.concat()));
}

fn draw_block(svg: &mut Svg, frame: &Frame, b: &MapBlock<'_>, sheet: &Sheet<'_>) {
    let style = OptionStyle::of(b.bundle);
    let d = frame.path(&b.block.shape);
    svg.raw(&format!("<g><title>{}: {}</title>", escape(b.block.id.as_str()), escape(&b.bundle.key())));
    svg.path(&d, &format!("fill=\"{}\" fill-rule=\"evenodd\"", style.fill));
    for mark in &style.marks {
        svg.path(&d, &format!("fill=\"url(#{})\" fill-rule=\"evenodd\"", style.pattern_id(sheet.id, *mark)));
    }
    svg.path(&d, &format!("fill=\"none\" stroke=\"{}\" stroke-width=\"1\" stroke-linejoin=\"round\"", sheet.inks.ink));
    svg.raw("</g>");
}
